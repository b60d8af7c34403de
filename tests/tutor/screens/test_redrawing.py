"""What is said of an end is seen in the drill: opens and shorts, the reason, more each time."""

from __future__ import annotations

import io

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.model import Rung
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.phrases import answer_text as saying
from rungwise.tutor.phrases import explaining
from rungwise.tutor.phrases.redrawn import at, caption, in_lines
from rungwise.tutor.plain.drill import PlainDrill
from rungwise.tutor.screens.common.notes import Notes
from rungwise.tutor.screens.pictures.circuit import Circuit
from textual.pilot import Pilot

from .stage import (
    LARGE,
    MEDIUM,
    SIZES,
    SMALL,
    answer,
    answer_rightly,
    climb,
    drill,
    question,
    stage,
    text,
)

FAMILY = "series-fed-low-pass"
LOW, HIGH = at(End.LOW), at(End.HIGH)


async def on_to(pilot: Pilot[None], rung: Rung) -> None:
    """A wrong type first, so that the ends are asked; then to the question of a kind."""
    await answer(pilot, "notch")
    while question(pilot).rung is not rung:
        await answer_rightly(pilot)


def newest(pilot: Pilot[None]) -> str:
    """The newest note, as far as it is in sight."""
    notes = drill(pilot).query_one(Notes)
    note, shown = notes.children[-1], notes.region
    assert note.region.y == max(shown.y, note.region.y), "its beginning is scrolled away"
    rows = text(pilot).splitlines()[note.region.y : shown.bottom]
    return " ".join(" ".join(row[shown.x : shown.right] for row in rows).split())


def drawn(pilot: Pilot[None]) -> str:
    """What stands where the circuit is drawn."""
    return drill(pilot).query_one(Circuit).picture.text


def test_the_family_has_what_is_looked_for() -> None:
    problem = generate(7, family=FAMILY)
    assert [e.name for e in problem.ladder.reactive()] == ["L1", "C1"]


@pytest.mark.parametrize("size", SIZES)
async def test_the_second_hint_redraws_the_end(size: tuple[int, int]) -> None:
    async with stage(size, family=FAMILY) as pilot:
        await on_to(pilot, Rung.LOW_END)
        await pilot.press("f2")
        assert LOW not in drawn(pilot) and "short" not in drawn(pilot)
        await pilot.press("f2")
        await pilot.pause()
        shown = drawn(pilot)
        assert caption() in shown and LOW in shown and HIGH not in shown
        assert "▸L1" in shown and "short" in shown and "▸C1" in shown and "open" in shown
        await answer_rightly(pilot)  # the next question shows the circuit as it is
        assert LOW not in drawn(pilot) and caption() not in drawn(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_the_type_redraws_both_ends(size: tuple[int, int]) -> None:
    async with stage(size, family=FAMILY) as pilot:
        await pilot.press("f2", "f2", "f2")
        await pilot.pause()
        assert LOW in text(pilot) and HIGH in text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_what_is_shown_has_its_reason_and_is_redrawn(size: tuple[int, int]) -> None:
    async with stage(size, family=FAMILY) as pilot:
        asked, problem = question(pilot), climb(pilot).problem
        await pilot.press("f3")
        await pilot.pause()
        reason = " ".join(saying.reason(problem, asked).split())
        assert asked.rung is Rung.TYPE and reason in newest(pilot)
        assert LOW in text(pilot) and HIGH in text(pilot)
        await pilot.press("enter")
        assert HIGH not in text(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_the_same_error_again_is_told_more_and_redrawn(size: tuple[int, int]) -> None:
    """At both times all that is said is in sight, the newest at the top where there is no room."""
    async with stage(size, family=FAMILY) as pilot:
        said = []
        for again in range(2):
            await answer(pilot, "notch")
            await pilot.pause()
            explanation = climb(pilot).explanation
            assert explanation is not None
            said.append(explaining.sentences(explanation))
            for sentence in said[-1]:
                assert sentence in newest(pilot)
            ends = {end for end in End if at(end) in drawn(pilot)}
            assert ends >= {*explanation.ends}
            assert bool(ends) is bool(again or explanation.ends)
        assert said[0] != said[1]


async def test_a_window_of_another_size_keeps_what_is_redrawn() -> None:
    async with stage(LARGE, family=FAMILY) as pilot:
        await answer(pilot, "notch")
        await answer(pilot, "notch")
        for size in (SMALL, MEDIUM, LARGE):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            await pilot.pause()
            assert HIGH in drawn(pilot) and "short" in text(pilot)


def test_in_plain_lines_circuit_text_says_it() -> None:
    wish = ProblemRequest(None, FAMILY, 7)
    problem = wish.problem()
    low, high = in_lines(problem.ladder, End)
    output = io.StringIO()
    typed = io.StringIO("d\nd\n?\n?\n.\n")  # a notch, twice; hints; the answer
    PlainDrill(typed, output, 78, False, False, True).run(lambda _: problem, 1, 7)
    first = output.getvalue().split("Question 2 of")[0]
    told = [line.strip() for line in first.splitlines()]
    assert low == "At DC: series L1 (short); shunt C1 (open); load RL"
    _, once, twice = " ".join(told).split("Wrong: ")
    twice, rest = twice.split("Hint 1:")
    assert high in twice or low in twice
    assert once.split("Try again")[0] != twice.split("Try again")[0]
    assert rest.count(low) == rest.count(high) == 1  # with the hint, and not once more
    reason = saying.reason(problem, problem.questions[0])
    assert " ".join(reason.split()) in rest.split("Answer: ")[1]
