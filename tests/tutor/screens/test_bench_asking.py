"""The bench asks first, and steps through a list of changes: by keyboard, at 80x24."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from rungwise.problems.questions.effects import EffectOn
from rungwise.tutor.screens.bench.asking import AskScreen
from rungwise.tutor.screens.bench.overlaid import OverlaidBode
from rungwise.tutor.screens.bench.scripted import ScriptScreen
from rungwise.tutor.screens.common.help import HelpScreen
from rungwise.tutor.store.keeper import Keeper
from textual.pilot import Pilot
from textual.widgets import Static

from .benched import RLC, bench, circuit, opened
from .stage import LARGE, MEDIUM, SIZES, SMALL, settled, squeezed, text

LIST = """\
# Who damps it?
R1 = 220 Ω
ask tap L1
keep
load 1 kΩ
ask no load   # and back
"""


def asking(pilot: Pilot[None]) -> AskScreen:
    assert isinstance(pilot.app.screen, AskScreen)
    return pilot.app.screen


def caption(pilot: Pilot[None]) -> str:
    return str(bench(pilot).query_one("#script", Static).content)


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await settled(pilot)


# --- asking first -------------------------------------------------------------------------


async def test_nothing_moves_until_it_is_answered_and_every_answer_has_its_reason() -> None:
    async with opened() as pilot:
        chart = bench(pilot).query_one("#magnitude", OverlaidBode)
        before = chart.picture
        await press(pilot, "p", "right")
        assert "R1 from 100 Ω to 120 Ω" in text(pilot) and "What happens to f₀?" in text(pilot)
        assert circuit(pilot) == RLC and chart.picture.text == before.text
        await press(pilot, "1", "2")
        assert circuit(pilot) == RLC and chart.picture.text == before.text
        assert "What happens to the gain" in text(pilot)
        await press(pilot, "enter")
        assert circuit(pilot) == RLC.replace("100 Ω", "120 Ω")
        assert chart.picture.text != before.text  # seen above what is told
        told = squeezed(pilot).replace(" │ │ ", " ")
        assert "✗ f₀ goes up · f₀ = 1/(2π·√(L1·C1)) does not contain R1: it stays" in told
        assert "✓ Q goes down · Q = √(L1/C1)/R1: with this R1 it goes down, from 3.16" in told
        assert "– Gain not answered · Gain = 1 does not contain R1: it stays, at 1." in told
        await press(pilot, "enter")
        assert pilot.app.screen is bench(pilot) and "asks first" in text(pilot)
        await press(pilot, "u")  # to take something back is no change to ask about
        assert circuit(pilot) == RLC
        await press(pilot, "p", "right")
        assert pilot.app.screen is bench(pilot) and "120 Ω" in circuit(pilot)


CHANGES = [
    ("right", "100 Ω to 120 Ω"),
    ("shift+left", "100 Ω to 99.01 Ω"),
    ("pageup", "100 Ω to 1 kΩ"),
    ("t", "The output taken across L1"),
    ("o", "changes places"),
    ("x", "The arm of R1 exchanged"),
    ("v", "The arm of R1 turned"),
    ("l", "A load of 1 kΩ"),
]


async def test_any_change_can_be_asked_about() -> None:
    async with opened() as pilot:
        for key, words in CHANGES:
            await press(pilot, "p", key)
            assert words in text(pilot) and circuit(pilot) == RLC
            effects = asking(pilot).foreseen.effects
            if effects[0].on is EffectOn.TYPE:
                assert "1 low-pass" in text(pilot) and "goes up" not in text(pilot)
                await press(pilot, "4")
                assert asking(pilot).answers == ["notch"]
            await press(pilot, "escape")  # shows it, whatever was left
            assert circuit(pilot) != RLC
            assert len(asking(pilot).answers) == len(effects)
            await press(pilot, "escape")
            assert pilot.app.screen is bench(pilot)
            await press(pilot, "u", "p")  # taken back, and no longer asking
            assert circuit(pilot) == RLC


async def test_a_loss_goes_in_and_out_and_what_has_no_figures_is_shown_at_once() -> None:
    async with opened() as pilot:
        await press(pilot, "y")
        assert "Only an inductor or a capacitor" in text(pilot)
        await press(pilot, "down", "p", "y")
        assert "L1 made lossy" in text(pilot)
        await press(pilot, "escape", "enter")
        assert "R_L1" in circuit(pilot)
        await press(pilot, "y")
        assert "The loss of L1 taken out" in text(pilot)
        await press(pilot, "escape", "enter")
        assert circuit(pilot) == RLC
    three = "source 1 kΩ; series C1 = 1 µF; shunt L1 = 1 mH || C2 = 100 nF; load 1 kΩ"
    async with opened(circuit=three) as pilot:
        await press(pilot, "p", "right")
        assert pilot.app.screen is bench(pilot) and "C1 = 1.2 µF" in circuit(pilot)
        assert "There is nothing here to ask about" in text(pilot)


async def test_a_change_that_cannot_be_is_told_and_not_asked() -> None:
    async with opened(circuit="series R1 = 100 MΩ; shunt C1 = 1 nF") as pilot:
        await press(pilot, "p", "right")
        assert pilot.app.screen is bench(pilot) and "end of the range" in text(pilot)


async def test_the_keys_are_named_and_help_says_what_it_is_for() -> None:
    async with opened() as pilot:
        assert "P Ask first" in text(pilot)
        await press(pilot, "p", "right")
        assert "1 goes up 2 goes down 3 stays Enter Skip Esc Show it F1 Help" in squeezed(pilot)
        await press(pilot, "f1")
        assert isinstance(pilot.app.screen, HelpScreen)
        assert "Nothing of this is kept" in squeezed(pilot)
        await press(pilot, "escape", "up", "down", "equals_sign")
        assert asking(pilot).answers == ["up", "down", "same"]


@pytest.mark.parametrize("size", [(60, 20), *SIZES])
async def test_asking_fits_and_leaves_the_curves_in_sight(size: tuple[int, int]) -> None:
    async with opened(size) as pilot:
        await press(pilot, "p", "l", "escape")
        box = asking(pilot).query_one("#asking")
        assert box.region.bottom <= size[1] - 1 and box.region.right <= size[0]
        assert box.region.y >= size[1] * 0.3
        while asking(pilot).check_action("scroll", ()) and not box.is_vertical_scroll_end:
            await press(pilot, "pagedown")
        assert "it goes down" in squeezed(pilot).replace(" │ │ ", " ")


# --- a list of changes ----------------------------------------------------------------------


@pytest.mark.parametrize("size", [SMALL, MEDIUM, LARGE])
async def test_a_whole_list_by_keyboard(size: tuple[int, int]) -> None:
    async with opened(size, changes=LIST) as pilot:
        assert "6 steps: Space goes on" in text(pilot)
        await press(pilot, "space")
        assert "1 of 6" in text(pilot) and "Who damps it?" in text(pilot)
        assert circuit(pilot) == RLC
        await press(pilot, "right")
        assert "2 of 6 R1 = 220 Ω" in squeezed(pilot) and "Q 1.44" in text(pilot)
        await press(pilot, "space")  # asked
        assert "What type is it then?" in text(pilot)
        assert "220 Ω; series L1" in circuit(pilot)
        await press(pilot, "2", "3", "3", "3")
        assert text(pilot).count("✓") == 4
        assert circuit(pilot).endswith("shunt L1 = 10 mH")
        await press(pilot, "enter")
        assert "3 of 6 tap L1" in squeezed(pilot) and "high-pass" in text(pilot)
        await press(pilot, "space", "space")
        assert [v.letter for v in bench(pilot).bench.versions] == ["A", "B"]
        assert "load 1 kΩ" in circuit(pilot)
        await press(pilot, "space", "escape", "enter")
        assert "6 of 6 no load" in squeezed(pilot) and "and back" in text(pilot)
        await press(pilot, "space")
        assert "That was the last step" in text(pilot)
        await press(pilot, *["left"] * 3, *["backspace"] * 3)
        assert circuit(pilot) == RLC and "6 steps" in text(pilot)
        assert [v.letter for v in bench(pilot).bench.versions] == ["A"]
        await press(pilot, "left")
        assert "where the list begins" in text(pilot)


async def test_what_is_turned_by_hand_leads_back_to_the_list_first() -> None:
    async with opened(changes=LIST) as pilot:
        await press(pilot, "space", "space", "plus", "down", "minus")
        assert "R1 = 270 Ω" in circuit(pilot) and "L1 = 8.2 mH" in circuit(pilot)
        assert "turned by hand" in caption(pilot)
        await press(pilot, "space")
        assert "R1 = 220 Ω" in circuit(pilot) and "L1 = 10 mH" in circuit(pilot)
        assert "2 of 6" in caption(pilot) and "by hand" not in caption(pilot)
        await press(pilot, "u")
        assert "L1 = 8.2 mH" in circuit(pilot)
        await press(pilot, "left", "space", "escape", "enter")
        assert "3 of 6" in caption(pilot)


async def test_every_change_of_a_list_can_be_asked_about() -> None:
    async with opened(changes=LIST) as pilot:
        await press(pilot, "p", "space", "space")
        assert "R1 from 100 Ω to 220 Ω" in text(pilot)
        await press(pilot, "escape", "enter", "space", "escape", "enter")
        await press(pilot, "space")  # keeping a version changes nothing to ask about
        assert "4 of 6" in caption(pilot)


async def test_help_names_the_keys_of_the_list() -> None:
    async with opened(changes=LIST) as pilot:
        assert "Next" in text(pilot) and "P Ask first" in text(pilot)
        await press(pilot, "f1")
        assert "back with Backspace" in squeezed(pilot)


async def test_notes_are_no_markup() -> None:
    async with opened(changes="# [red]x[/red] [@click=app.exit]y\nR1 x 2") as pilot:
        await press(pilot, "space")
        assert "[red]x[/red] [@click=app.exit]y" in text(pilot)


async def test_nothing_is_kept_in_the_record() -> None:
    keeper = Keeper()
    async with opened(changes=LIST) as pilot:
        await press(pilot, *["space"] * 3, "1", "escape", "enter")
        assert isinstance(bench(pilot), ScriptScreen)
    assert keeper.path is None or not keeper.path.exists()


# --- the command ----------------------------------------------------------------------------


def run(*arguments: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    code = "from rungwise.tutor.cli.entry import main; main()"
    return subprocess.run(
        [sys.executable, "-c", code, "bench", *arguments],
        input=stdin,
        capture_output=True,
        text=True,
        start_new_session=True,
        check=False,
        timeout=300,
    )


def test_every_fault_of_the_file_is_told_before_the_screen_opens(tmp_path: Path) -> None:
    file = tmp_path / "list.txt"
    file.write_text("R9 x 2\nR1 x 2\ntap\n", "utf-8")
    done = run("--text", RLC, "--script", str(file))
    assert done.returncode == 2 and not done.stdout
    first, second = done.stderr.strip().splitlines()
    assert f"{file}: line 1, column 1: “R9” is here" in first
    assert f"{file}: line 3, column 4: the end of the line is here" in second


def test_in_plain_lines_and_without_a_terminal(tmp_path: Path) -> None:
    done = run("--text", RLC, "--script", "-", "--plain", stdin=LIST)
    assert done.returncode == 0 and not done.stderr
    assert done.stdout.startswith("low-pass · 2 poles")
    lines = " ".join(done.stdout.split())
    assert "1. # Who damps it? 2. R1 = 220 Ω" in lines
    assert "Q = √(L1/C1)/R1: with this R1 it goes down, from 3.16 to 1.44." in lines
    file = tmp_path / "list.txt"
    file.write_text(LIST, "utf-8")
    done = run("--script", str(file))
    assert done.returncode == 2 and "fills a terminal" in done.stderr
    assert run("--plain").returncode == 2
    assert "not both" in run("-", "--script", "-").stderr
