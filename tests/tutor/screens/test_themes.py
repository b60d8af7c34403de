"""Contrast of our themes, by the formula of WCAG 2.2, and that nothing depends on colour.

Source: W3C, *Web Content Accessibility Guidelines 2.2* (Recommendation, 5 October 2023):
definitions of "relative luminance" and "contrast ratio"; success criteria 1.4.3 (text, at
least 4.5:1), 1.4.6 (strong contrast, at least 7:1) and 1.4.11 (graphics, at least 3:1).  The
grids of the charts are held to 3:1 as well: values are read off them, so they are no ornament.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Awaitable, Callable, Iterator

import pytest
from rich.segment import Segment
from rungwise.tutor.language.texts import Words
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.answers.choices import Choices
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.bench.knobs import Knobs
from rungwise.tutor.screens.compat.menu import Palette
from rungwise.tutor.screens.themes import CONTRAST, DUSK, GREY, THEMES, after
from textual.color import Color
from textual.pilot import Pilot
from textual.theme import Theme

from .scenes import bench, chooser, half_way, onto_the_bench, summit, tutor
from .stage import MEDIUM, question, settled, text

by_theme = pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)


@pytest.fixture(autouse=True)
def colours_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the terminal that runs the tests asks for."""
    monkeypatch.delenv("NO_COLOR", raising=False)


INKS = ("text", "ink-quiet", "ink-copper", "ink-verdigris", "ink-brass", "ink-rust")


def luminance(color: Color) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""

    def linear(channel: int) -> float:
        c = channel / 255
        return float(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)

    return 0.2126 * linear(color.r) + 0.7152 * linear(color.g) + 0.0722 * linear(color.b)


def contrast(a: str, b: str) -> float:
    """The contrast ratio of WCAG 2.2."""
    high, low = sorted((luminance(Color.parse(a)), luminance(Color.parse(b))), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_as_published() -> None:
    # Extremes of the definition, and #777 on white, the usual example that just fails.
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def least(theme: Theme) -> float:
    """The contrast that a theme promises for text."""
    return 7 if theme is CONTRAST else 4.5


def grounds(theme: Theme) -> dict[str, str]:
    assert theme.background and theme.surface and theme.panel
    return {
        "background": theme.background,
        "surface": theme.surface,
        "panel": theme.panel,
        "picked": theme.variables["picked"],
    }


@by_theme
@pytest.mark.parametrize("ink", INKS)
def test_text_is_legible_on_every_ground(theme: Theme, ink: str) -> None:
    for name, ground in grounds(theme).items():
        assert contrast(theme.variables[ink], ground) >= least(theme), name


@by_theme
def test_reversed_text_is_legible(theme: Theme) -> None:
    ink = theme.variables
    assert contrast(ink["ink-reversed"], ink["ink-copper"]) >= least(theme)
    for what in ("block-cursor", "block-cursor-blurred", "input-cursor", "input-selection"):
        ratio = contrast(ink[f"{what}-foreground"], ink[f"{what}-background"])
        assert ratio >= least(theme), what
    # A selection in the line that is typed in can be told from the line.
    assert contrast(ink["input-selection-background"], ink["picked"]) >= 3


@by_theme
def test_lines_are_visible(theme: Theme) -> None:
    for name in ("background", "surface"):
        assert contrast(theme.variables["ink-line"], grounds(theme)[name]) >= 3, name
    assert contrast(theme.variables["scrollbar"], theme.variables["scrollbar-background"]) >= 3


Ink = tuple[str, str, str]
"""A character, its colour and its ground."""


WINDOWS = "#chooser, #picking, #circuit-box, #--input, CommandList"


def cells(pilot: Pilot[None]) -> Iterator[Ink]:
    """Every character painted now, as it reaches the terminal, blanks left out.

    Of a window on top of a screen, the window alone: what it covers is dimmed on purpose, and
    not in use (success criterion 1.4.3 leaves that out).
    """
    screen = pilot.app.screen
    strips = screen._compositor.render_strips(screen.size)
    windows = [part.region for part in screen.query(WINDOWS)]
    for window in windows or [screen.region]:
        for strip in strips[window.y : window.bottom]:
            shown = strip.crop(window.x, window.right).apply_filter(
                pilot.app._filters[-1], screen.background_colors[1]
            )
            for segment in shown:
                yield from inks(segment)


def inks(segment: Segment) -> Iterator[Ink]:
    """The characters of a segment, each with its colour and its ground."""
    style = segment.style
    if not segment.text.strip() or style is None:
        return
    assert style.color is not None and style.bgcolor is not None, segment
    assert not style.dim, "how faint a terminal draws dim text, nobody knows"
    ends = [Color.from_rich_color(color).rgb for color in (style.color, style.bgcolor)]
    if style.reverse:
        ends.reverse()
    ink, ground = (f"#{r:02X}{g:02X}{b:02X}" for r, g, b in ends)
    for character in segment.text:
        if not character.isspace():
            yield character, ink, ground


def is_text(character: str) -> bool:
    """Letters, digits and punctuation; what remains are lines, dots and signs.

    The rungs still to be climbed are drawn as a middle dot.
    """
    return unicodedata.category(character)[0] in "LNP" and character != "·"


async def picking(pilot: Pilot[None]) -> None:
    """A choice picked, and another found wrong."""
    await settled(pilot)
    wrong = [i for i, c in enumerate(question(pilot).choices) if c.id != question(pilot).truth]
    await pilot.press("abcdef"[wrong[0]], "enter", "up")
    await settled(pilot)


async def lesson(pilot: Pilot[None]) -> None:
    """The lesson of the level."""
    await settled(pilot)
    await pilot.press("f7")
    await settled(pilot)


async def catalogue(pilot: Pilot[None]) -> None:
    """Finding a circuit for the bench, the second of the list picked."""
    await pilot.press("f")
    await settled(pilot)
    await pilot.press("down")
    await settled(pilot)


async def circuit(pilot: Pilot[None]) -> None:
    """Typing a circuit for the bench, some of it selected, the cursor on a character."""
    await pilot.press("c")
    await settled(pilot)
    await pilot.press("up", "left", "shift+left", "shift+left", "shift+left")
    await settled(pilot)


async def closed(pilot: Pilot[None]) -> None:
    """The window that lies on the bench is gone again."""
    await pilot.press("escape")
    await settled(pilot)


WALKS = [
    [half_way], [chooser], [picking], [lesson],
    [summit, onto_the_bench, catalogue, closed, circuit],
]  # fmt: skip
"""Scenes one after the other, in one sitting."""
Scene = Callable[[Pilot[None]], Awaitable[None]]


@pytest.mark.parametrize("walk", WALKS, ids=lambda walk: walk[0].__name__)
async def test_all_that_is_painted_is_legible(walk: list[Scene]) -> None:
    app = tutor()
    async with app.run_test(size=MEDIUM) as pilot:
        for scene in walk:
            await scene(pilot)
            for theme in THEMES if scene is not closed else ():
                app.theme = theme.name
                await pilot.pause()
                await pilot.pause()
                legible(pilot, theme)


def legible(pilot: Pilot[None], theme: Theme) -> None:
    """What is painted now keeps the promises of its theme."""
    faint: Counter[tuple[str, str, float, str]] = Counter()
    seen = set()
    for character, ink, ground in cells(pilot):
        seen.add(ink)
        wanted = least(theme) if is_text(character) else 3
        if contrast(ink, ground) < wanted:
            faint[ink, ground, round(contrast(ink, ground), 2), character] += 1
    assert not faint, theme.name
    # It is this theme's inks that were seen, and more than one of them.
    assert len(seen) >= 2
    assert theme.variables["text"] in seen
    if theme is GREY:
        assert all(len({c[1:3], c[3:5], c[5:7]}) == 1 for c in seen), seen


async def test_palette_and_help_are_legible() -> None:
    app = tutor()
    async with app.run_test(size=MEDIUM) as pilot:
        await settled(pilot)
        await pilot.press("f1")
        for theme in THEMES:
            app.theme = theme.name
            await settled(pilot)
            legible(pilot, theme)
            await pilot.press("ctrl+p")
            await settled(pilot)
            assert isinstance(app.screen, Palette)
            legible(pilot, theme)
            await pilot.press("escape")
            await settled(pilot)


async def test_in_greys_what_is_picked_is_reversed_and_bold() -> None:
    app = tutor(GREY.name)
    async with app.run_test(size=MEDIUM) as pilot:
        await picking(pilot)
        choices = pilot.app.screen.query_one(Choices)
        assert choices.picked is not None
        looks = set()
        for i in range(len(question(pilot).choices)):
            style = next(s.style for s in choices.render_line(i) if s.text.strip())
            assert style is not None and style.color and style.bgcolor
            ink, ground = (Color.from_rich_color(c) for c in (style.color, style.bgcolor))
            assert (ground.brightness > ink.brightness) == (i == choices.picked)
            looks.add((bool(style.bold), i == choices.picked))
        assert (True, True) in looks
        # Without any colour there still are a pointer and a cross.
        shown = text(pilot)
        assert "▸" in shown and "✗" in shown


async def test_in_greys_the_selected_part_is_reversed_and_curves_have_patterns() -> None:
    app = tutor(GREY.name)
    async with app.run_test(size=MEDIUM) as pilot:
        await bench(pilot)
        knobs = pilot.app.screen.query_one(Knobs)
        reversed_lines = []
        for y in range(knobs.size.height):
            style = next(s.style for s in knobs.render_line(y) if s.text.strip())
            assert style is not None and style.color and style.bgcolor
            ink, ground = (Color.from_rich_color(c) for c in (style.color, style.bgcolor))
            if ground.brightness > ink.brightness:
                assert style.bold
                reversed_lines.append("".join(s.text for s in knobs.render_line(y)))
        assert len(reversed_lines) == 1 and "◂" in reversed_lines[0]
        legend = [line for line in text(pilot).splitlines() if " Q " in line]
        samples = [{c for c in line[2:9] if "\u2800" < c <= "\u28ff"} for line in legend]
        assert len(samples) == 3 and all(samples), legend
        assert len({frozenset(sample) for sample in samples}) == 3


async def test_only_our_themes_are_offered_and_the_key_steps_through_them() -> None:
    app = Rungwise(ProblemRequest(1, None, 7))
    assert set(app.available_themes) == {theme.name for theme in THEMES}
    async with app.run_test() as pilot:
        assert app.theme == DUSK.name
        seen = [app.theme]
        for key in ("f6", "ctrl+t", "f6", "ctrl+t"):
            await pilot.press(key)
            seen.append(app.theme)
        assert seen == [*(theme.name for theme in THEMES), DUSK.name]


async def test_the_palette_offers_every_theme() -> None:
    app = Rungwise(ProblemRequest(1, None, 7))
    async with app.run_test() as pilot:
        await settled(pilot)
        offered = {c.title: c.callback for c in app.get_system_commands(app.screen)}
        titles = [Words.load().ui(f"theme.{theme.name}.title") for theme in THEMES]
        assert len(set(titles)) == len(THEMES) and set(titles) <= set(offered)
        assert "Theme" not in offered
        await pilot.press("ctrl+p")
        await pilot.press(*"greys")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert app.theme == GREY.name


async def test_an_unknown_theme_changes_nothing() -> None:
    app = Rungwise(ProblemRequest(1, None, 7))
    async with app.run_test() as pilot:
        app.theme = GREY.name
        for name in ("", "no such theme", "textual-dark", "rungwise-grey ", "[red]"):
            app.theme = name
            await pilot.pause()
            assert app.theme == GREY.name
    assert after("no such theme") == DUSK.name


@pytest.mark.parametrize("value", ["1", "0", "no"])
async def test_no_color_starts_in_greys(monkeypatch: pytest.MonkeyPatch, value: str) -> None:
    # https://no-color.org/: whatever its value, NO_COLOR asks for no colours.
    monkeypatch.setenv("NO_COLOR", value)
    app = Rungwise(ProblemRequest(1, None, 7))
    assert app.theme == GREY.name
    async with app.run_test(size=MEDIUM) as pilot:
        await settled(pilot)
        only_greys(pilot)
        if value == "1":  # every theme is turned into greys then, windows too
            for _ in THEMES:
                await pilot.press("f6")
                await settled(pilot)
                only_greys(pilot)
                await pilot.press("ctrl+p")
                await settled(pilot)
                only_greys(pilot)
                await pilot.press("escape")
                await settled(pilot)


def only_greys(pilot: Pilot[None]) -> None:
    """All that is painted now is legible, and grey."""
    painted = list(cells(pilot))
    assert painted
    for character, ink, ground in painted:
        for colour in (ink, ground):
            assert len({colour[1:3], colour[3:5], colour[5:7]}) == 1
        assert contrast(ink, ground) >= (4.5 if is_text(character) else 3), (character, ink)
