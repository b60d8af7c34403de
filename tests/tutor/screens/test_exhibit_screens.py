"""What is asked about on the screens that ask: the circuit hidden, a marker read by keyboard."""

from __future__ import annotations

import io
import re
from functools import cache

import pytest
from rungwise.problems.generate.predict import generate
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Face, Problem, Rung, Task, Verdict
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.plain.drill import PlainDrill
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.pictures.circuit import Circuit
from rungwise.tutor.screens.pictures.exhibit import ExhibitView

from .stage import MEDIUM, SIZES, SMALL, answer_rightly, climb, drill, settled, stage, text

CURVE, STEP = Rung.READ_CORNER, Rung.WHICH_STEP
FAMILY = {CURVE: "series-rlc-across-r", STEP: "series-rlc-across-c"}


@cache
def seed_of(rung: Rung) -> int:
    """A seed whose problem asks this kind."""
    for seed in range(200):
        asked = [question.rung for question in generate(seed, family=FAMILY[rung]).questions]
        if rung in asked and (rung is not CURVE or asked[0] is CURVE):
            return seed
    raise AssertionError(rung)


def open_at(rung: Rung, size: tuple[int, int]):  # type: ignore[no-untyped-def]
    return stage(size, family=FAMILY[rung], seed=seed_of(rung), task=Task.PREDICT)


@pytest.mark.parametrize("size", SIZES)
async def test_a_curve_hides_its_circuit_until_the_problem_is_done(size: tuple[int, int]) -> None:
    async with open_at(CURVE, size) as pilot:
        screen = drill(pilot)
        names = [element.name for element in climb(pilot).problem.ladder.elements()]
        while not climb(pilot).done:
            assert not screen.query_one(Circuit).display
            shown = climb(pilot).current.question.exhibit
            view = screen.query_one(ExhibitView)
            assert view.display == (shown is not None)
            if shown is not None:
                assert view.size.height >= 8 and view.region.bottom <= size[1]
                assert view.picture.text.strip()
            assert not any(re.search(rf"\b{name}\b", text(pilot)) for name in names)
            await answer_rightly(pilot)
        assert screen.query_one(Circuit).display
        assert not screen.query_one(ExhibitView).display
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, SummitScreen)


async def test_no_hint_redraws_a_circuit_that_is_not_shown() -> None:
    async with open_at(CURVE, MEDIUM) as pilot:
        await pilot.press("f2", "f2", "f2")
        await settled(pilot)
        assert not drill(pilot).query_one(Circuit).display
        assert drill(pilot).query_one(Circuit).ladder is None


@pytest.mark.parametrize("size", [SMALL, MEDIUM])
async def test_a_marker_is_moved_and_read_by_keyboard(size: tuple[int, int]) -> None:
    async with open_at(CURVE, size) as pilot:
        view = drill(pilot).query_one(ExhibitView)
        assert "Read off" in text(pilot)
        before = view.picture.lines[0]
        await pilot.press("tab", "end")
        assert view.has_focus
        shown = climb(pilot).current.question.exhibit
        assert shown is not None
        last = shown.plots[0].points[-1]
        level = f"{last[1]:.2f}".replace("-", "−")
        assert level in view.picture.lines[0] != before
        await pilot.press("left", "up", "down")
        moved = view.picture.lines[0]
        await pilot.press("right")
        assert level in view.picture.lines[0] != moved
        for back in ("tab", "escape", "enter"):
            await pilot.press(back)
            assert not view.has_focus and drill(pilot).is_active
            assert level in view.picture.lines[0]  # what was read stays in sight
            await pilot.press("1", "backspace", "tab")
            assert view.has_focus


async def test_pictures_to_choose_from_stand_with_the_circuit() -> None:
    for size in SIZES:
        async with open_at(STEP, size) as pilot:
            screen = drill(pilot)
            while climb(pilot).current.question.rung is not STEP:
                await answer_rightly(pilot)
            circuit, view = screen.query_one(Circuit), screen.query_one(ExhibitView)
            assert circuit.display and view.display
            task = screen.query_one("#task")
            for one in (circuit, view):
                assert one.region.height >= 5 and one.region.bottom <= task.region.y
            assert all(re.search(rf"{letter}", view.picture.text) for letter in "abcd")


def lines_of(problem: Problem, typed: str, *, draw: bool = False) -> str:
    output = io.StringIO()
    plain = PlainDrill(io.StringIO(typed), output, 80, draw=draw)
    plain.run(lambda _: problem, 1, problem.seed)
    return output.getvalue()


def test_plain_lines_tell_a_curve_once_and_the_circuit_when_all_is_done() -> None:
    problem = generate(seed_of(CURVE), family=FAMILY[CURVE])
    assert problem.face is Face.NONE
    said = lines_of(problem, "?\n?\n?\n" + "\n" * len(problem.questions))
    assert said.count("The gain against frequency:") == 1
    first, _, after = said.partition("The circuit, ")
    names = [element.name for element in problem.ladder.elements()]
    assert after and not any(re.search(rf"\b{name}\b", first) for name in names)
    drawn = lines_of(problem, "", draw=True)
    assert len(drawn.splitlines()) > 20 and "⠤" in drawn


def test_the_right_answer_to_a_curve_passes_in_a_climb() -> None:
    problem = generate(seed_of(CURVE), family=FAMILY[CURVE])
    going = Climb(problem)
    question = going.current.question
    mark = going.answer(f"{question.figure * (1 + float(question.tolerance) / 2):.4g}")
    assert mark.passed


def test_an_answer_names_no_part_of_a_circuit_that_is_not_shown() -> None:
    """Who guesses the names of its parts, or asks for f0 by its name, is told nothing."""
    problem = generate(seed_of(CURVE), family=FAMILY[CURVE])
    inductor, capacitor = (
        next(e for e in problem.ladder.elements() if e.kind.value == kind) for kind in "LC"
    )
    question = problem.questions[0]
    for typed in (f"1/(2π√({inductor.name}·{capacitor.name}))", "f0", "ω0/(2π)"):
        assert grade(problem, question, typed).verdict is Verdict.UNCLEAR
    assert Climb(problem).basis.parts == ()
