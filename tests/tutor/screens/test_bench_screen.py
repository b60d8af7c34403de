"""The bench on the screen: driven by keyboard and mouse, at every size, with bad input."""

from __future__ import annotations

import fcntl
import os
import pty
import random
import re
import select
import struct
import subprocess
import sys
import termios
import time

import pytest
from rungwise.problems.circuits.statement import MAX_BYTES
from rungwise.problems.circuits.write import write_circuit
from rungwise.tutor.drafting.bench import example
from rungwise.tutor.language.texts import fill
from rungwise.tutor.screens.bench.catalogue import CatalogueScreen
from rungwise.tutor.screens.bench.circuit import CircuitScreen, CircuitText
from rungwise.tutor.screens.bench.knobs import Knobs
from rungwise.tutor.screens.bench.overlaid import Overlaid, OverlaidBode
from rungwise.tutor.screens.bench.screen import PAGES, ROOMY, BenchScreen
from rungwise.tutor.screens.bench.versions import Versions
from rungwise.tutor.screens.common.help import HelpScreen
from rungwise.tutor.screens.common.picking import FindLine
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.pictures.schematic import SchematicView
from textual import events

from tests.support.children import end, limited_fork
from tests.support.samples import sample

from .benched import RLC, circuit, opened
from .benched import bench as screen
from .stage import LARGE, MEDIUM, SIZES, SMALL, climb, settled, squeezed, stage, text

# --- turning ------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
async def test_arrows_turn_and_everything_follows(size: tuple[int, int]) -> None:
    async with opened(size) as pilot:
        assert "5.033 kHz Q 3.16" in text(pilot)
        before = [view.picture for view in screen(pilot).query(OverlaidBode)]
        await pilot.press("right", "right")
        assert circuit(pilot).startswith("series R1 = 150 Ω")
        await pilot.pause()
        assert "5.033 kHz Q 2.11" in text(pilot)
        after = [view.picture for view in screen(pilot).query(OverlaidBode)]
        assert all(one != other for one, other in zip(before, after, strict=True))
        await pilot.press("down", "left", "shift+right", "pageup")
        assert "L1 = 82.82 mH" in circuit(pilot)
        await pilot.press("e", "up", "right")
        assert "R1 = 160 Ω" in circuit(pilot)
        await pilot.pause()
        assert "E24" in text(pilot)
        for _ in range(6):
            await pilot.press("u")
        assert circuit(pilot) == RLC


async def test_step_and_plane_follow_too() -> None:
    async with opened(MEDIUM) as pilot:
        views = list(screen(pilot).query("#step, #plane").results(Overlaid))
        before = [view.picture for view in views]
        await pilot.press("right")
        await pilot.pause()
        assert len(views) == 2
        assert all(view.picture != old for view, old in zip(views, before, strict=True))


async def test_a_page_that_was_hidden_is_up_to_date_when_it_is_turned_to() -> None:
    async with opened(SMALL) as pilot:
        await pilot.press("tab")
        await pilot.pause()
        assert "60.5 % at 101 µs" in text(pilot) or "settles to 1 V" in text(pilot)
        await pilot.press("tab", "pageup", "tab", "tab")
        await pilot.pause()
        step = screen(pilot).query_one("#step")
        assert "overshoot" not in step.picture.text  # type: ignore[attr-defined]
        assert "◇" not in step.picture.text  # type: ignore[attr-defined]


# --- moves --------------------------------------------------------------------------------


async def test_the_tap_changes_the_type_and_the_line_says_so() -> None:
    async with opened(SMALL) as pilot:
        seen = []
        for _ in range(4):
            seen.append(squeezed(pilot).split("steps ")[1].split(" ·")[0])
            await pilot.press("t")
            await pilot.pause()
        assert seen == ["low-pass", "high-pass", "band-pass", "notch"]
        await pilot.press("T")
        await pilot.pause()
        assert "notch · 2 poles · 2 zeros · slopes 0 and 0 dB/decade" in squeezed(pilot)
        assert "output across L1 + C1" in squeezed(pilot)


async def test_swapping_exchanging_and_buffers() -> None:
    async with opened(SMALL, "source 50; series L 1m; shunt C 1n; load 50") as pilot:
        assert "series-fed" in text(pilot)
        await pilot.press("o")
        await pilot.pause()
        assert "shunt-fed" in text(pilot)
        await pilot.press("x")
        await pilot.pause()
        assert "high-pass" in text(pilot)
        await pilot.press("b")
        await pilot.pause()
        assert "no place for a buffer" not in text(pilot) and "buffer" in circuit(pilot)
        await pilot.press("b", "s")
        await pilot.pause()
        assert "only one section" in text(pilot)
        await pilot.press("r")
        await pilot.pause()
        assert "series-fed" in text(pilot) and "only one section" not in text(pilot)


async def test_a_part_that_adds_no_pole_is_explained() -> None:
    async with opened(MEDIUM) as pilot:
        await pilot.press("o")
        await pilot.pause()
        assert "flat" in text(pilot)
        assert "C1 lies directly across an ideal source" in squeezed(pilot)
    async with opened(SMALL) as pilot:
        await pilot.press("o", "tab", "tab")
        await pilot.pause()
        why = screen(pilot).query_one("#why")
        assert str(why.render()).endswith("it adds no pole.")  # type: ignore[attr-defined]
        assert "it adds no pole." in squeezed(pilot)


# --- versions -----------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
async def test_three_versions_told_apart_without_colour(size: tuple[int, int]) -> None:
    async with opened(size) as pilot:
        await pilot.press("k", "pageup", "k", "left", "left", "left", "left", "left", "left")
        await pilot.pause()
        shown = str(screen(pilot).query_one(Versions).render())
        assert all(line.strip() in text(pilot) for line in shown.splitlines())
        legend = [line for line in shown.splitlines() if re.search(r"[ ▸][ABC] [⠀-⣿ ]{4} ", line)]
        assert len(legend) == 3
        samples = [re.search(r"[ABC] ([⠀-⣿ ]{4}) ", line)[1] for line in legend]  # type: ignore[index]
        assert len(set(samples)) == 3
        assert all("5.033 kHz Q" in line for line in legend)
        magnitude = screen(pilot).query_one("#magnitude", OverlaidBode).picture.text
        assert all(f"{letter}" in magnitude for letter in "ABC")
        await pilot.press("k")
        await pilot.pause()
        assert "There are three versions already" in text(pilot)
        await pilot.press("1")
        assert screen(pilot).bench.hand == "A"
        await pilot.press("d", "d", "d")
        await pilot.pause()
        assert "the only version" in text(pilot)
        assert len(screen(pilot).bench.versions) == 1


# --- marker -------------------------------------------------------------------------------


async def test_the_marker_reads_frequency_gain_and_phase() -> None:
    async with opened(SMALL, "series R 1 kΩ; shunt C 100 nF") as pilot:
        assert "a click sets it" in text(pilot)
        await pilot.press("m")
        await pilot.pause()
        assert "● 1.592 kHz at f₀" in text(pilot)
        assert "A −3.01 dB −45.0°" in squeezed(pilot)
        assert "┃" in screen(pilot).query_one("#magnitude", OverlaidBode).picture.text
        await pilot.press("greater_than_sign", "greater_than_sign", "full_stop", "comma")
        await pilot.pause()
        assert "● 5.033 kHz" in text(pilot)
        await pilot.press("M")
        await pilot.pause()
        assert "a click sets it" in text(pilot)
        assert "−3 dB at 1.592 kHz" in text(pilot)


async def test_nothing_reads_minus_zero() -> None:
    async with opened(SMALL, "source 1 kΩ; shunt L1 10 µH || C1 1 nF; load 10 kΩ") as pilot:
        await pilot.press("m", "m")
        await pilot.pause()
        assert "−0.83 dB 0.0°" in squeezed(pilot)
    async with opened(SMALL, "series R 1 Ω; shunt C 1 pF") as pilot:
        screen(pilot).bench.marker = 1.0
        await pilot.press("e")
        await pilot.pause()
        assert "A 0.00 dB 0.0°" in squeezed(pilot)


async def test_the_width_of_a_band_pass_is_shown() -> None:
    async with opened(SMALL, "series L 10 mH; series C 100 nF; shunt R 100 Ω") as pilot:
        assert "−3 dB width 1.592 kHz" in text(pilot)


async def test_zoom_and_back() -> None:
    async with opened(MEDIUM) as pilot:
        magnitude = screen(pilot).query_one("#magnitude", OverlaidBode)
        spans = []
        for _ in range(4):
            assert magnitude.axis is not None
            spans.append(magnitude.axis.high - magnitude.axis.low)
            await pilot.press("z")
            await pilot.pause()
        assert spans[0] > spans[1] > spans[2] and spans[3] == spans[0]


# --- circuits -----------------------------------------------------------------------------


async def test_a_circuit_is_typed_with_live_errors() -> None:
    async with opened(SMALL) as pilot:
        await pilot.press("c")
        await settled(pilot)
        assert isinstance(pilot.app.screen, CircuitScreen)
        area = pilot.app.screen.query_one(CircuitText)
        assert area.text.splitlines() == RLC.split("; ")
        area.text = ""
        await pilot.pause()
        assert "Type series or shunt" in squeezed(pilot)
        await pilot.press(*"series", "space", *"R", "space", *"1k", "ctrl+j", *"shnt")
        await pilot.pause()
        assert "✗ line 2, column 1: “shnt” is here" in squeezed(pilot)
        await pilot.press("enter")  # not taken: the cursor goes to the place instead
        assert isinstance(pilot.app.screen, CircuitScreen)
        assert area.cursor_location == (1, 0)
        await pilot.press(*["delete"] * 4, *"shunt", "space", *"C", "space", *"1u")
        await pilot.pause()
        assert "✓ low-pass · 1 pole" in squeezed(pilot)
        assert "R" in pilot.app.screen.query_one(SchematicView).picture.text
        await pilot.press("enter")
        await settled(pilot)
        assert circuit(pilot) == "series R = 1 kΩ; shunt C = 1 µF"
        assert "159.2 Hz" in text(pilot)
        await pilot.press("u")
        assert circuit(pilot) == RLC


async def test_values_left_out_are_filled_and_told() -> None:
    async with opened(MEDIUM) as pilot:
        await pilot.press("c")
        await settled(pilot)
        pilot.app.screen.query_one(CircuitText).text = "series L; shunt C"
        await pilot.pause()
        await pilot.press("enter")
        await settled(pilot)
        assert circuit(pilot) == "series L = 10 mH; shunt C = 100 nF"
        assert "Parts without a value were given a usual one" in squeezed(pilot)


HOSTILE = [
    "x" * 1_000_000,
    "\x1b[2J\x1b]0;evil\x07series R 1k\n[red]shunt C 1u[/red]",
    "series R 1k\r\nshunt C 1u\r\n" * 3000,
    "\x00\u202e\u200b" * 999,
    "series " + "(" * 5000,
    "series R 1e999999999",
    "；".join(["série R²"] * 40),
]


@pytest.mark.parametrize("paste", HOSTILE)
async def test_hostile_pastes(paste: str) -> None:
    async with opened(SMALL) as pilot:
        for key in ("c", "f"):
            await pilot.press(key)
            await settled(pilot)
            kind = CircuitText if key == "c" else FindLine
            pilot.app.screen.query_one(kind).post_message(events.Paste(paste))
            await pilot.pause()
            assert "\x1b" not in text(pilot)
            await pilot.press("escape")
            await settled(pilot)
        pilot.app.screen.post_message(events.Paste(paste))
        await pilot.pause()
        assert circuit(pilot) == RLC


async def test_a_circuit_text_has_an_end() -> None:
    """However much is typed or pasted, as a page may send it without end."""
    async with opened(SMALL) as pilot:
        await pilot.press("c")
        await settled(pilot)
        area = pilot.app.screen.query_one(CircuitText)
        area.text = "series R = 1 kΩ # "
        area.move_cursor(area.document.end)
        for _ in range(40):
            area.insert("x" * 256)
        await pilot.press("y", "ctrl+j", "z")
        await pilot.pause()
        assert len(area.text) == MAX_BYTES and area.text.endswith("x")
        said = fill("bench", "circuit.longest", [("limit", MAX_BYTES)]).partition(":")[0]
        assert said in squeezed(pilot)
        area.select_all()
        area.replace(
            "series R = 2 kΩ\nshunt C = 1 µF", *area.selection
        )  # what is marked makes room
        await pilot.pause()
        assert said not in squeezed(pilot) and "✓ low-pass · 1 pole" in squeezed(pilot)


async def test_a_circuit_is_picked_from_the_catalogue() -> None:
    async with opened(SMALL) as pilot:
        await pilot.press("f")
        await settled(pilot)
        assert isinstance(pilot.app.screen, CatalogueScreen)
        await pilot.press(*"notch")
        await pilot.pause()
        assert "Level 4" in text(pilot) and "Level 1" not in text(pilot)
        await pilot.press("down", "enter")
        await settled(pilot)
        assert circuit(pilot) == write_circuit(example("shunt-fed-notch"), "; ")
        assert "notch" in text(pilot)
        await pilot.press("f")
        await settled(pilot)
        await pilot.press(*"xyzzy", "enter", "down", "enter")
        await pilot.pause()
        assert "No circuit has that name." in text(pilot)
        await pilot.press("escape")
        await settled(pilot)
        assert "notch" in text(pilot)


# --- mouse --------------------------------------------------------------------------------


async def test_the_mouse_does_it_too() -> None:
    async with opened(MEDIUM) as pilot:
        bench = screen(pilot).bench
        knobs = screen(pilot).query_one(Knobs)
        await pilot.click(knobs, offset=(3, 1))
        await pilot.pause()
        assert bench.selected == "L1"
        line = str(knobs.render()).splitlines()[1]
        await pilot.click(knobs, offset=(line.index("▸"), 1))
        await pilot.pause()
        assert "L1 = 12 mH" in circuit(pilot)
        await pilot.click(knobs, offset=(line.index("◂"), 1))
        await pilot.pause()
        assert "L1 = 10 mH" in circuit(pilot)
        await pilot.press("k")
        await pilot.pause()
        await pilot.click(screen(pilot).query_one(Versions), offset=(3, 0))
        await pilot.pause()
        assert bench.hand == "A"
        await pilot.click(screen(pilot).query_one("#magnitude"), offset=(30, 3))
        await pilot.pause()
        assert bench.marker is not None
        await pilot.pause()
        picture = screen(pilot).query_one("#magnitude", OverlaidBode).picture
        assert picture.lines[3][30] in "┃●"
        await pilot.click(screen(pilot).query_one("#magnitude"), offset=(1, 5))  # outside the axes
        assert picture is screen(pilot).query_one("#magnitude", OverlaidBode).picture


# --- sizes, themes, heavy circuits ---------------------------------------------------------


@pytest.mark.parametrize("size", [(60, 20), *SIZES])
async def test_everything_fits(size: tuple[int, int]) -> None:
    async with opened(size) as pilot:
        await pilot.press("k", "right", "k", "right", "m")
        await pilot.pause()
        lines = text(pilot).splitlines()
        assert len(lines) == size[1] and all(len(line) == size[0] for line in lines)
        shown = "\n".join(lines)
        for part in ("R1", "150 Ω", "5.033 kHz Q", "Esc"):
            assert part in shown, part
        roomy = size[0] >= ROOMY[0] and size[1] >= ROOMY[1] + 4
        for _ in range(len(PAGES)):
            views = [v for v in screen(pilot).query("#charts > *") if v.display]
            assert len(views) == (5 if roomy else 2)
            await pilot.press("tab")
            await pilot.pause()


async def test_too_small_a_window_asks_for_room_and_keeps_the_bench() -> None:
    async with opened(SMALL) as pilot:
        await pilot.press("right")
        for size in ((30, 10), (59, 24), (80, 19), (5, 3), (1, 1), (200, 60), (60, 20), SMALL):
            await pilot.resize_terminal(*size)
            await pilot.press("right", "m", "k", "t")
            await pilot.pause()
        await pilot.resize_terminal(30, 12)
        await pilot.pause()
        assert "at least 60 columns" in squeezed(pilot)


async def test_a_big_circuit_is_computed_beside_the_screen_and_only_the_newest_shown() -> None:
    big = "; ".join(f"series L{n} = {n} mH; shunt C{n} = {n} nF" for n in range(1, 9))
    async with opened(LARGE, f"source 1k; {big}; load 1k") as pilot:
        assert "16 poles" in text(pilot)
        await pilot.press(*["right"] * 12)
        await settled(pilot)
        value = screen(pilot).bench.version.element("L1").value  # type: ignore[union-attr]
        shown = screen(pilot).query_one("#magnitude", OverlaidBode)
        assert value is not None and float(value) == pytest.approx(10e-3)
        assert shown._hand is screen(pilot).bench.version
        await pilot.press("up", "up")
        await pilot.pause()
        assert "↑" in text(pilot)  # more parts above than there are lines


async def test_a_long_drawing_scrolls_to_the_selected_part() -> None:
    long = "; ".join(f"series L{n} = {n} mH; shunt C{n} = {n} nF" for n in range(1, 7))
    async with opened(SMALL, f"source 50; {long}; load 50") as pilot:
        await pilot.press("tab", "tab")
        for key, name in (("up", "Rs"), ("up", "RL"), ("up", "C6"), ("right", "C6"), ("up", "L6")):
            await pilot.press(key)
            await settled(pilot)
            assert screen(pilot).bench.selected == name
            drawing = screen(pilot).query_one("#drawing", SchematicView)
            rows = [drawing.render_line(y).text for y in range(drawing.size.height)]
            assert any(f"▸{name}" in row for row in rows), (name, rows)


async def test_help_opens_and_closes() -> None:
    async with opened(MEDIUM) as pilot:
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpScreen)
        await pilot.press("f1", "right")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, HelpScreen)
        assert "R1 = 120 Ω" in circuit(pilot)


async def test_leaving_a_bench_opened_alone_ends_the_program() -> None:
    async with opened(SMALL) as pilot:
        await pilot.press("escape")
        await pilot.pause()
        assert not pilot.app._running or pilot.app._exit


@pytest.mark.usefixtures("painted")
async def test_hundreds_of_random_keys() -> None:
    """300 keys; ``python -m tests.journeys.monkey 20000`` plays on the bench, too, and for long."""
    chance = random.Random(20260725)
    keys = (
        ["right", "left", "up", "down", "tab", "shift+tab", "shift+right", "shift+left"] * 3
        + ["pageup", "pagedown", "comma", "full_stop", "less_than_sign", "greater_than_sign"] * 2
        + [*"tokmcfuxsberdzTM123", "enter", "space", "backspace", "delete", "f1", "ctrl+j"]
        + ["plus", "minus", "colon", "semicolon", "home", "end", "ctrl+t", "x", "5", "λ"]
    )
    async with opened(SMALL) as pilot:
        for number in range(sample(300, 600)):
            key = chance.choice(keys)
            if number % 40 == 39:
                key = "escape" if len(pilot.app.screen_stack) > 1 else "r"
            # Not one by one: keys that come faster than the screen paints are the harder test.
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
            if number % 10 == 9:
                await pilot.pause()
            if number % 75 == 74:
                await pilot.resize_terminal(*chance.choice([(60, 20), SMALL, MEDIUM, (40, 12)]))
        while len(pilot.app.screen_stack) > 1:
            await pilot.press("escape")
            await settled(pilot)
        await pilot.resize_terminal(*SMALL)
        await settled(pilot)
        assert "poles" in text(pilot) or "pole" in text(pilot)


# --- from a climb -------------------------------------------------------------------------


async def test_from_the_summit_and_back() -> None:
    async with stage(MEDIUM, level=2) as pilot:
        while not climb(pilot).done:
            await pilot.press("f4")
        await pilot.press("enter")
        await settled(pilot)
        summit = pilot.app.screen
        assert isinstance(summit, SummitScreen)
        await pilot.press("b")
        await settled(pilot)
        bench = pilot.app.screen
        assert isinstance(bench, BenchScreen)
        assert bench.bench.version.ladder == climb(pilot).problem.ladder
        await pilot.press("right", "t", "k", "escape", "escape")
        await settled(pilot)
        assert pilot.app.screen is summit or not isinstance(pilot.app.screen, BenchScreen)
        assert climb(pilot).problem.ladder == summit._climb.problem.ladder


async def test_no_bench_before_the_last_rung() -> None:
    """The bench shows type, slopes and corner: on the way up it would give answers away."""
    async with stage(MEDIUM, level=2) as pilot:
        offered = [c.title for c in pilot.app.get_system_commands(pilot.app.screen)]
        title = fill("bench", "palette.title")
        assert title not in offered
        await pilot.press("b")
        await pilot.pause()
        assert not any(isinstance(s, BenchScreen) for s in pilot.app.screen_stack)
        while not climb(pilot).done:
            await pilot.press("f4")
        await pilot.press("enter")
        await settled(pilot)
        offered = [c.title for c in pilot.app.get_system_commands(pilot.app.screen)]
        assert title in offered


# --- the command --------------------------------------------------------------------------


def run(*arguments: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    code = "from rungwise.tutor.cli.entry import main; main()"
    return subprocess.run(
        [sys.executable, "-c", code, "bench", *arguments],
        input=stdin,
        capture_output=True,
        text=True,
        start_new_session=True,  # no terminal to fall back on
        check=False,
        timeout=300,
    )


@pytest.mark.parametrize(
    ("arguments", "stdin", "words"),
    [
        (("--text", "series R 1k; shnt C 1u"), "", "line 1, column 14: “shnt” is here"),
        (("-",), "series R 1k\nshunt C", "no terminal"),
        (("-",), "series R 1q", "line 1, column 11"),
        (("--family", "series-rlc-acros-c"), "", "series-rlc-across-c"),
        (("--family", "rc-low-pass", "--text", "series R 1"), "", "one circuit"),
        (("/nowhere/at/all",), "", "/nowhere/at/all"),
        ((), "", "none"),
    ],
)
def test_bad_use_of_the_command_is_explained(
    arguments: tuple[str, ...], stdin: str, words: str
) -> None:
    done = run(*arguments, stdin=stdin)
    assert done.returncode == 2
    assert words in done.stderr and "Traceback" not in done.stderr
    assert not done.stdout


@pytest.mark.parametrize("piped", [False, True])
def test_the_command_opens_the_bench_in_a_terminal(piped: bool) -> None:
    code = "from rungwise.tutor.cli.entry import main; main()"
    command = [sys.executable, "-c", code, "bench"]
    command += ["-"] if piped else ["--text", "series R7 = 47 Ω; shunt C9 = 1 µF"]
    child, terminal = pty.fork()
    if child == 0:  # pragma: no cover - the child becomes the program
        os.environ.update(TERM="xterm-256color", COLUMNS="80", LINES="24")
        if piped:
            source, sink = os.pipe()
            os.write(sink, "series R7 = 47 Ω; shunt C9 = 1 µF".encode())
            os.close(sink)
            os.dup2(source, 0)
        os.execv(command[0], command)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    seen, sent = "", False
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline:
        ready, _, _ = select.select([terminal], [], [], 0.2)
        if ready:
            try:
                seen += os.read(terminal, 65536).decode(errors="replace")
            except OSError:
                break  # the program has gone
        if not sent and "low-pass" in seen and "47 Ω" in seen:
            os.write(terminal, b"q")
            sent = True
    if time.monotonic() >= deadline:
        end(child)
    with limited_fork(child):
        _, status = os.waitpid(child, 0)
    os.close(terminal)
    assert sent, seen[-500:]
    assert os.waitstatus_to_exitcode(status) == 0


@pytest.mark.parametrize("part", ["TopLine", "Versions", "SchematicView", "#note"])
async def test_what_is_drawn_late_finds_a_screen_that_is_being_taken_away(part: str) -> None:
    async with opened(MEDIUM) as pilot:
        bench = screen(pilot)
        await bench.query_one(part).remove()
        await bench._flush()
        await bench._show_rest()
        assert pilot.app._exception is None
