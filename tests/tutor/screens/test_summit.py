"""The whole picture after a climb."""

from __future__ import annotations

import pytest
from rungwise.problems.solutions.solution import worked_solution
from rungwise.problems.solutions.step import View
from rungwise.tutor.language.texts import Words
from rungwise.tutor.screens.common.keyline import KeyLine
from rungwise.tutor.screens.drill.summit import PAGES, SummitScreen
from rungwise.tutor.screens.pictures.bode import BodeView
from rungwise.tutor.screens.pictures.schematic import SchematicView
from textual.pilot import Pilot

from tests.support.samples import covering

from .stage import MEDIUM, SIZES, SMALL, climb, drill, settled, squeezed, stage, text


async def to_the_top(pilot: Pilot[None]) -> SummitScreen:
    """Skip every question and look around."""
    while not climb(pilot).done:
        await pilot.press("f4")
    await pilot.press("enter")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, SummitScreen)
    return screen


@pytest.mark.parametrize(("level", "size"), covering(range(1, 7), SIZES))
async def test_everything_is_there(level: int, size: tuple[int, int]) -> None:
    async with stage(size, level=level) as pilot:
        await to_the_top(pilot)
        seen = ""
        for _ in PAGES:
            seen += text(pilot)
            await pilot.press("tab")
        family = climb(pilot).problem.family
        assert Words.load().family(family) in seen  # told only now
        assert "dB" in seen and "°" in seen and "Hz" in seen
        assert ("σ" in seen and "×" in seen) or level == 5
        assert "step 1 of" in seen


async def test_the_solution_goes_step_by_step() -> None:
    async with stage(MEDIUM, level=2) as pilot:
        await to_the_top(pilot)
        steps = worked_solution(climb(pilot).problem.ladder)
        words = Words.load()
        for i, step in enumerate(steps):
            assert f"step {i + 1} of {len(steps)}" in text(pilot)
            assert words.step(step)[0] in squeezed(pilot)
            await pilot.press("right" if i % 2 else "space")
        assert f"step {len(steps)} of {len(steps)}" in text(pilot)
        line = str(pilot.app.screen.query_one(KeyLine).render())
        assert words.ui("keys.forward") not in line and words.ui("keys.back") in line
        await pilot.press("left")
        assert f"step {len(steps) - 1} of {len(steps)}" in text(pilot)


async def test_a_small_window_shows_one_page_at_a_time() -> None:
    async with stage(SMALL, level=4) as pilot:
        screen = await to_the_top(pilot)
        shown = []
        for _ in range(4):
            shown.append([w.id for w in screen.query("#views > *") if w.display])
            await pilot.press("tab")
        assert shown == [
            ["magnitude", "phase"],
            ["circuit", "plane"],
            ["circuit", "solution"],
            shown[0],
        ]
        await pilot.press("shift+tab", "right")
        assert [w.id for w in screen.query("#views > *") if w.display] == ["circuit", "solution"]
        await pilot.resize_terminal(*MEDIUM)
        await pilot.pause()
        assert all(w.display for w in screen.query("#views > *"))


async def test_back_to_the_ladder_and_on() -> None:
    async with stage(SMALL, level=1) as pilot:
        await to_the_top(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is drill(pilot) and climb(pilot).done
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SummitScreen)
        await pilot.press("n")
        await settled(pilot)
        assert climb(pilot).problem.seed == 8


async def test_other_problems_can_be_chosen_from_here() -> None:
    async with stage(SMALL, level=1) as pilot:
        await to_the_top(pilot)
        await pilot.press("f5")
        await settled(pilot)
        await pilot.press("down", "enter")
        await settled(pilot)
        assert pilot.app.screen is drill(pilot)
        assert climb(pilot).problem.level == 2


async def test_the_circuit_is_shown_as_it_is_at_each_end() -> None:
    async with stage(MEDIUM, family="rc-low-pass") as pilot:
        await to_the_top(pilot)
        steps = [step.id for step in worked_solution(climb(pilot).problem.ladder)]
        for name in steps:
            await pilot.pause()
            # At DC a capacitor is open, at high frequency a short; elsewhere it is itself.
            assert ("open" in circuit_text(pilot)) == name.startswith("low-"), name
            assert ("short" in circuit_text(pilot)) == name.startswith("high-"), name
            await pilot.press("right")


def circuit_text(pilot: Pilot[None]) -> str:
    return pilot.app.screen.query_one(SchematicView).picture.text


async def test_straight_lines_grow_with_the_steps_and_end_in_the_curve() -> None:
    async with stage(SMALL, family="buffered-high-pass-low-pass") as pilot:
        screen = await to_the_top(pilot)
        steps = worked_solution(climb(pilot).problem.ladder)
        gain, phase = screen.query_one("#magnitude", BodeView), screen.query_one("#phase", BodeView)
        whole = gain.picture.text
        seen = []
        await pilot.press("tab", "tab")
        for step in steps:
            shown = {w.id for w in screen.query("#views > *") if w.display}
            joints, curve = gain.picture.text.count("●"), "exact" in gain.picture.text
            match step.view:
                case View.GAIN_LINES:
                    assert shown == {"magnitude", "solution"}
                    assert not curve and joints == step.breaks
                    seen.append(joints)
                case View.PHASE_LINES:
                    assert shown == {"phase", "solution"}
                    assert "exact" not in phase.picture.text
                case View.CURVE:
                    assert shown == {"magnitude", "solution"} and curve and not joints
                case View.MAP:
                    assert shown == {"plane", "solution"} and curve
                case View.CIRCUIT:
                    assert shown == {"circuit", "solution"} and curve
            await pilot.press("right")
            await pilot.pause()
            if step.view is View.GAIN_LINES:
                await pilot.resize_terminal(*MEDIUM)
                await pilot.pause()
                assert all(w.display for w in screen.query("#views > *"))
                await pilot.resize_terminal(*SMALL)
                await pilot.pause()
        assert seen == [0, 1, 2]
        await pilot.press("tab")
        await pilot.pause()
        assert gain.picture.text == whole
