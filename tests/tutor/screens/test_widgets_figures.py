"""The figures on the screen: they follow their room, their subject and the theme."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from rich.color import Color
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.response import Response, facts
from rungwise.problems.circuits.gaps import boxed
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.tutor.figures import splane
from rungwise.tutor.figures.bode import chart as bode
from rungwise.tutor.figures.schematic import parts as schematic_parts
from rungwise.tutor.figures.schematic.draw import Schematic
from rungwise.tutor.screens.pictures.bode import BodeView
from rungwise.tutor.screens.pictures.figure import PREFIX, FigureView
from rungwise.tutor.screens.pictures.schematic import SchematicView
from rungwise.tutor.screens.pictures.splane import PlaneView
from textual.app import App, ComposeResult
from textual.containers import Container
from textual.geometry import Size

LADDER = read_circuit("source 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF; load 600 Ω")
LONG = read_circuit(";".join(f"series L{n} = {n} mH; shunt C{n} = {n} nF" for n in range(1, 13)))


class Shop(App[None]):
    """One figure, alone on the screen."""

    def __init__(self, figure: FigureView) -> None:
        super().__init__()
        self.figure = figure

    def compose(self) -> ComposeResult:
        with Container():
            yield self.figure


def shown(figure: FigureView) -> list[str]:
    """The text of the lines that the widget renders."""
    return [figure.render_line(y).text for y in range(figure.size.height)]


def response(ladder: Ladder = LADDER) -> Response:
    return facts(ladder)


async def test_the_charts_fill_their_room_and_follow_it() -> None:
    for figure in (BodeView(response()), BodeView(response(), phase=True), PlaneView(response())):
        app = Shop(figure)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            assert (figure.picture.width, figure.picture.height) == (80, 24)
            assert shown(figure) == list(figure.picture.lines)
            await pilot.resize_terminal(101, 31)
            await pilot.pause()
            assert (figure.picture.width, figure.picture.height) == (101, 31)
            assert shown(figure) == list(figure.picture.lines)
            assert not figure.can_focus


async def test_the_charts_show_what_the_figures_draw() -> None:
    figure = BodeView(response())
    async with Shop(figure).run_test(size=(90, 20)) as pilot:
        await pilot.pause()
        assert shown(figure) == list(bode.chart(response(), 90, 20).lines)
    plane = PlaneView(response())
    async with Shop(plane).run_test(size=(90, 20)) as pilot:
        await pilot.pause()
        assert shown(plane) == list(splane.map(response(), 90, 20).lines)


async def test_another_response_is_drawn_at_once() -> None:
    figure = BodeView()
    async with Shop(figure).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert set("".join(shown(figure))) <= {" "}
        figure.set_response(response())
        await pilot.pause()
        assert any("7.118 kHz" in line for line in shown(figure))
        figure.set_response(None)
        await pilot.pause()
        assert set("".join(shown(figure))) <= {" "}


async def test_the_schematic_takes_the_form_that_fits() -> None:
    figure = SchematicView(LADDER)
    async with Shop(figure).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        roomy = figure.picture
        assert roomy.lines == Schematic(LADDER).fit(80, 24).lines
        assert roomy.size is not None and roomy.size >= 2
        await pilot.resize_terminal(80, 9)
        await pilot.pause()
        assert figure.picture.height <= 9 and figure.picture.size < roomy.size
        assert not figure.can_focus


async def test_a_long_schematic_scrolls_by_keyboard() -> None:
    figure = SchematicView(LONG)
    async with Shop(figure).run_test(size=(60, 20)) as pilot:
        pilot.app.animation_level = "none"
        await pilot.pause()
        assert figure.picture.width > 60
        assert figure.virtual_size == Size(figure.picture.width, figure.picture.height)
        assert figure.can_focus
        figure.focus()
        before = shown(figure)
        assert "Vs" in "".join(before)
        assert all(len(line) == 60 for line in before)
        assert [line[-1] for line in before].count("▸") == 2
        assert not any(line.startswith("◂") for line in before)
        await pilot.press("end")
        for _ in range(figure.max_scroll_x + 2):
            await pilot.press("right")
        await pilot.pause()
        after = shown(figure)
        assert after != before
        assert "Vout" in "".join(after)
        assert [line[0] for line in after].count("◂") == 2
        assert not any(line.endswith("▸") for line in after)
        # Another circuit begins at its left end.
        figure.set_ladder(LONG)
        await pilot.pause()
        assert shown(figure) == before


async def test_marks_come_and_go() -> None:
    figure = SchematicView(LADDER)
    async with Shop(figure).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        plain = shown(figure)
        figure.mark(["C1"])
        await pilot.pause()
        assert any("▸C1" in line for line in shown(figure))
        figure.mark()
        await pilot.pause()
        assert shown(figure) == plain


async def test_the_ends_of_the_frequency_axis_are_shown_in_its_place() -> None:
    figure = SchematicView(LADDER)
    async with Shop(figure).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        plain = shown(figure)
        figure.show_end(End.LOW)
        await pilot.pause()
        assert any("L1 short" in line for line in shown(figure))
        figure.show_end(End.HIGH)
        await pilot.pause()
        assert any("L1 open" in line for line in shown(figure))
        figure.show_end(None)
        await pilot.pause()
        assert shown(figure) == plain


async def test_reversed_names_point_out_a_mark_even_without_colour() -> None:
    figure = SchematicView(LADDER)
    async with Shop(figure).run_test(size=(80, 24)) as pilot:
        figure.mark(["L1"])
        await pilot.pause()
        row = next(y for y, line in enumerate(shown(figure)) if "▸L1" in line)
        segments = [s for s in figure.render_line(row) if "L1" in s.text]
        assert segments
        assert all(s.style is not None and s.style.reverse for s in segments)


@pytest.mark.parametrize("theme", ["textual-dark", "textual-light"])
async def test_colours_follow_the_theme(theme: str) -> None:
    figure = BodeView(response())
    app = Shop(figure)
    async with app.run_test(size=(80, 24)) as pilot:
        app.theme = "textual-dark" if theme == "textual-light" else "textual-light"
        await pilot.pause()
        before = colours(figure)
        app.theme = theme
        await pilot.pause()
        assert colours(figure) != before
        assert len(colours(figure)) >= 4


def colours(figure: FigureView) -> set[Color | None]:
    return {
        segment.style.color
        for y in range(figure.size.height)
        for segment in figure.render_line(y)
        if segment.style is not None
    }


def every_role() -> Iterator[tuple[type[FigureView], str]]:
    text = (
        "source 50 Ω; series L1 = 1 mH || C2 = 1 µF; shunt C1 = 1 nF; buffer; series R1 = 1 kΩ;"
        "shunt C3 = 1 nF; load 1 kΩ"
    )
    ladder = read_circuit(text)
    for end in (None, *End):
        for span in Schematic(ladder, marked=["C1"], end=end).compact().spans:
            yield SchematicView, span.role
    for span in Schematic(boxed(ladder, ["C1"])).compact().spans:
        yield SchematicView, span.role
    for case in (LADDER, read_circuit("source 50 Ω; shunt L1 = 1 mH || C1 = 1 µF")):
        for phase in (False, True):
            for span in bode.chart(response(case), 120, 40, phase=phase).spans:
                yield BodeView, span.role
        for span in splane.map(response(case), 80, 30).spans:
            yield PlaneView, span.role


def test_every_role_has_a_component_class_and_every_class_a_role() -> None:
    """So that a theme can reach every part, and no style is left over."""
    used: dict[type[FigureView], set[str]] = {}
    for kind, role in every_role():
        used.setdefault(kind, set()).add(PREFIX + role)
    for kind, roles in used.items():
        assert roles == kind.COMPONENT_CLASSES
        for role in roles:
            assert f".{role} " in kind.DEFAULT_CSS.replace(",", " ")
    assert PREFIX + schematic_parts.MARKED_LABEL in used[SchematicView]


async def test_text_is_never_read_as_markup() -> None:
    """Names can hold no brackets; but nothing the widgets show is parsed as markup anyway."""
    figure = SchematicView(LADDER)
    async with Shop(figure).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        drawing = Schematic(LADDER).compact()
        figure._picture = type(drawing)(("[red]x[/red]",), ())
        figure._strips = [None]
        assert figure.render_line(0).text.startswith("[red]x[/red]")


async def test_a_resize_storm_ends_in_the_right_picture() -> None:
    figure = BodeView(response())
    async with Shop(figure).run_test(size=(80, 24)) as pilot:
        for step in range(30):
            await pilot.resize_terminal(10 + 7 * step % 190, 3 + 5 * step % 60)
        await pilot.resize_terminal(100, 30)
        await pilot.pause()
        assert shown(figure) == list(bode.chart(response(), 100, 30).lines)


def test_figures_are_pure_text() -> None:
    """Drawing needs no screen library: proved in a fresh process."""
    import subprocess
    import sys

    code = (
        "import sys\n"
        "from rungwise.tutor.figures.bode import chart as bode\n"
        "from rungwise.tutor.figures.schematic.draw import Schematic\n"
        "from rungwise.tutor.figures import splane\n"
        "from rungwise.problems.circuits.text import read_circuit\n"
        "from rungwise.problems.analysis.response import facts\n"
        "c = read_circuit('source 1 k; shunt C1 = 1 uF')\n"
        "Schematic(c).fit(80, 20); bode.chart(facts(c), 80, 20); splane.map(facts(c), 40, 12)\n"
        "bad = {'textual', 'rich', 'numpy', 'scipy', 'sympy'} & set(sys.modules)\n"
        "assert not bad, bad\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
