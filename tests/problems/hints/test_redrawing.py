"""Circuits redrawn at an end: which questions redraw which ends, and what each part is there."""

from __future__ import annotations

import pytest
from rungwise.problems.analysis.arms import End, write_redrawn
from rungwise.problems.analysis.ends import end_fact
from rungwise.problems.circuits.model import Kind
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.hints.hint import focus
from rungwise.problems.hints.redrawing import LOOK, STEP, decided, hinted
from rungwise.problems.questions.model import Rung

from tests.support.word_corpus import asked

BOTH = (End.LOW, End.HIGH)
ENDS: dict[Rung, tuple[End, ...]] = {
    Rung.LOW_END: (End.LOW,),
    Rung.LOW_END_REASON: (End.LOW,),
    Rung.HIGH_END: (End.HIGH,),
    Rung.HIGH_END_REASON: (End.HIGH,),
    Rung.TYPE: BOTH,
    Rung.TYPE_REASON: BOTH,
    Rung.ORIGIN_ZEROS: (End.LOW,),
    Rung.LOW_SLOPE: (End.LOW,),
    Rung.HIGH_SLOPE: (End.HIGH,),
    Rung.LOW_PHASE: (End.LOW,),
    Rung.HIGH_PHASE: (End.HIGH,),
    Rung.STEP_FIRST: (End.HIGH,),
    Rung.STEP_LAST: (End.LOW,),
    Rung.DC_OUTPUT: (End.LOW,),
    Rung.HIGH_OUTPUT: (End.HIGH,),
}


def test_questions_about_an_end_redraw_it_and_no_others_do() -> None:
    seen = set()
    for _, problem, question in asked():
        found = tuple(one.end for one in hinted(problem, question, LOOK))
        if question.rung is Rung.GAIN:
            assert len(found) <= 1
        else:
            assert found in ((), ENDS.get(question.rung, ())), question.rung
        if found:
            seen.add(question.rung)
        elif question.rung in ENDS:  # nothing there that could be an open or a short
            assert not focus(problem, question) or not problem.ladder.reactive()
    assert seen == {*ENDS, Rung.GAIN}


def test_the_principle_redraws_nothing_and_the_step_marks_what_decides() -> None:
    for _, problem, question in asked():
        assert hinted(problem, question, 1) == ()
        for look, step in zip(
            hinted(problem, question, LOOK), hinted(problem, question, STEP), strict=True
        ):
            assert look.end is step.end
            assert look.marked == focus(problem, question)
            assert step == decided(problem.ladder, step.end)
            assert step.marked == end_fact(problem.ladder, step.end).parts


def test_circuit_text_says_what_each_part_is() -> None:
    for label, problem, _ in asked():
        for end in End:
            text = write_redrawn(problem.ladder, end)
            for element in problem.ladder.reactive():
                is_open = (element.kind is Kind.C) == (end is End.LOW)
                state = "open" if is_open else "short"
                assert f"{element.name} ({state})" in text, label


@pytest.mark.parametrize(
    ("end", "text"),
    [
        (End.LOW, "source 50 Ω; series (L1 (short) + R1 = 2 Ω) || C1 (open); shunt C2 (open)"),
        (End.HIGH, "source 50 Ω; series (L1 (open) + R1 = 2 Ω) || C1 (short); shunt C2 (short)"),
    ],
)
def test_groups_keep_their_brackets(end: End, text: str) -> None:
    ladder = read_circuit(
        "source 50; series (L1 = 1 mH + R1 = 2) || C1 = 1 nF; shunt C2 = 1 nF; load 1 k"
    )
    assert write_redrawn(ladder, end) == f"{text}; load 1 kΩ"
