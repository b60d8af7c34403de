"""One text is read alike wherever it is typed: drill, plain lines, rehearsal, sheet, hand-in."""

from __future__ import annotations

import io
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.questions.model import Form, Problem, Question, Task, Verdict
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import KeyItem, Plan, PlanSection, Student, Variant
from rungwise.tutor.classroom.handins.files import Answers
from rungwise.tutor.classroom.handins.filling import Filling
from rungwise.tutor.classroom.marking.mark import mark_answers
from rungwise.tutor.classroom.marking.marks import QuestionOutcome
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.rehearsal import Rehearsal
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.plain.drill import PlainDrill

from tests.support.typed_kinds import answers

NOW = datetime(2026, 1, 1, tzinfo=UTC)
PLAN = Plan(
    "Filters",
    2**61 + 7,
    (
        PlanSection("Climbs", levels=(2, 3, 4), count=4, same_families=False),
        PlanSection("Ways back", task=Task.REVERSE, count=2, same_families=False),
    ),
)


@cache
def variant() -> Variant:
    return draft(PLAN, Student(1, "Ann", "1")).variant


def asked() -> Iterator[tuple[KeyItem, int, Question]]:
    """Every question of the sheet, with its place in its problem."""
    for item in variant().key.items:
        for at, question in enumerate(item.problem.questions):
            if question.form is not Form.SKETCH:
                yield item, at, question


def alone(problem: Problem, question: Question) -> Problem:
    return replace(problem, questions=(question,))


def in_drill(problem: Problem, text: str) -> Verdict:
    return Climb(problem).answer(text).verdict


class Lines(PlainDrill):
    """A drill in plain lines that is asked but how it marks an answer."""

    def mark(self, how: str, text: str) -> None:
        if not hasattr(self, "how"):
            self.how = how

    def solve(self, problem: Problem) -> None:
        """The worked solution takes its time."""


def in_lines(problem: Problem, text: str) -> Verdict:
    lines = Lines(io.StringIO(text + "\n"), io.StringIO())
    lines.run(lambda _: problem, 1, problem.seed)
    return Verdict(lines.how)


def in_rehearsal(problem: Problem, text: str) -> bool:
    """Whether it is taken."""
    exam = Rehearsal([ProblemRequest(problem.level, None, problem.seed)], [problem], NOW, 10)
    given = exam.answer(text, NOW)
    return given is not None and given.trouble is None


def in_hand_in(item: KeyItem, question: Question, text: str) -> QuestionOutcome:
    key = replace(
        variant().key,
        items=(replace(item, problem=alone(item.problem, question), points=(item.points[0],)),),
    )
    (marked,) = mark_answers(key, Answers(answers=((f"{item.number}.1", (text,)),)))
    return marked.questions[0].verdict


def on_sheet(item: KeyItem, at: int, text: str) -> bool:
    """Whether it is taken as it is filled in."""
    filling = Filling(variant().sheet, "01")
    number = f"{item.number}.{at + 1}"
    filling.go([asked.number for _, asked in filling.places].index(number))
    return not filling.give(text).trouble


@pytest.mark.parametrize("seed", range(4))
def test_a_text_is_read_alike_wherever_it_is_typed(seed: int) -> None:
    chance = random.Random(seed)
    verdicts = set()
    for item, at, question in asked():
        known, problem = facts(item.problem.ladder), alone(item.problem, question)
        for typed in answers(item.problem, known, question, chance):
            if typed.decimal or "\n" in typed.text or typed.text.strip() in ("?", ".", ""):
                continue  # what a hand-in alone can tell, and the keys of plain lines
            verdict = in_drill(problem, typed.text)
            verdicts.add(verdict)
            told = typed, verdict
            assert in_lines(problem, typed.text) is verdict, told
            assert in_rehearsal(problem, typed.text) is (verdict is not Verdict.UNCLEAR), told
            marked = in_hand_in(item, question, typed.text)
            if typed.kind == "blank":
                assert (verdict, marked) == (Verdict.UNCLEAR, QuestionOutcome.BLANK), told
            else:
                assert marked.value == verdict.value, told
            # A sheet knows no answer, so that it takes what only the truth makes doubtful.
            assert on_sheet(item, at, typed.text) or verdict is Verdict.UNCLEAR, told
    assert {Verdict.RIGHT, Verdict.WRONG, Verdict.UNCLEAR} <= verdicts
