"""Whether a wrong answer is right for the student's own earlier ones, which were wrong.

What is right for them is worked out exactly from what they answered (``questions/follows.py``) and
judged as the truth would be.  An earlier answer that was right may have been carried on as it was
typed or unrounded.  A formula in letters alone names the circuit's own figures, so nothing follows
for it from anybody's; where a derivation ends in a figure (``B = f0/Q = 13.2 kHz``), its letters
may stand for what the student answered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace

from ..analysis.response import Facts
from ..formulas.work import TooMuchWorkError
from ..questions.follows import Own, as_asked, in_hertz, relations_for, what_follows
from ..questions.kinds import named_parts
from ..questions.model import Form, Problem, Question, Rung, Verdict, figure_of
from ..slips.case import Case, numeric
from . import read
from .judge import judge
from .reading import Reading, Unclear
from .setting import Setting


@dataclass(frozen=True, slots=True)
class OwnAnswer:
    """An earlier answer of the same problem: what was typed, in Hz, and whether it was wrong."""

    question: Question
    typed: Own
    wrong: bool


def own_answer(
    problem: Problem, question: Question, text: str, facts: Facts, setting: Setting, *, wrong: bool
) -> OwnAnswer | None:
    """An answer as later ones may follow from it; ``None`` where nothing can.

    Args:
        problem: the problem.
        question: what was asked.
        text: what was typed.
        facts: the exact facts of the problem's circuit.
        setting: how the text is read.
        wrong: whether it was marked wrong.
    """
    reading = _read(problem, question, text, facts, setting)
    if reading is None or question.form is Form.SKETCH:
        return None
    if question.form is Form.FORMULA:
        return OwnAnswer(question, reading.transfer, wrong) if reading.transfer else None
    if reading.value is None:
        return None
    return OwnAnswer(question, in_hertz(question, reading.value), wrong)


@dataclass(frozen=True, slots=True)
class Followed:
    """An answer that is right for earlier ones.

    Attributes:
        rungs: the wrong ones among these.
        shown: how the answer was read.
    """

    rungs: tuple[Rung, ...]
    shown: str


def followed(
    problem: Problem,
    question: Question,
    text: str,
    facts: Facts,
    setting: Setting,
    earlier: Sequence[OwnAnswer],
) -> Followed | None:
    """The wrong earlier answers for which a wrong answer is right; ``None`` for none.

    Args:
        problem: the problem.
        question: what was asked.
        text: what was typed.
        facts: the exact facts of the problem's circuit.
        setting: how the text is read.
        earlier: what was answered to the questions before it.
    """
    wrong = {own.question.rung for own in earlier if own.wrong}
    if not wrong:
        return None
    reading = _read(problem, question, text, facts, setting) or _read(
        problem, question, text, _as_answered(facts, earlier), setting
    )
    if reading is None or reading.lettered:
        return None
    truths = {own.question.rung: _truth(own.question, facts) for own in earlier}
    typed = {own.question.rung: _values(own, truths) for own in earlier}
    for relation in relations_for(facts, question, truths):
        if not wrong.intersection(relation.takes):
            continue
        for found in what_follows(relation, facts, typed):
            right = replace(question, truth=as_asked(question, found))
            signed = right.form is Form.LEVEL
            if numeric(right) and not signed and figure_of(found) <= 0:
                continue
            if _is_right(Case(problem.ladder, facts, right), reading):
                rungs = tuple(rung for rung in relation.takes if rung in wrong)
                return Followed(rungs, reading.shown)
    return None


_FIGURES = {
    Rung.CORNER: "corner_hz",
    Rung.Q: "q",
    Rung.LOADED_Q: "q",
    Rung.BANDWIDTH: "bandwidth_hz",
}
"""The figures that a derivation may name, as facts have them."""


def _as_answered(facts: Facts, earlier: Sequence[OwnAnswer]) -> Facts:
    """Facts for a reader of derivations, in which figures are what was answered."""
    known = copy(facts)
    for own in earlier:
        if name := _FIGURES.get(own.question.rung):
            vars(known)[name] = own.typed  # where facts keep a figure once it is worked out
    return known


def _read(
    problem: Problem, question: Question, text: str, facts: Facts, setting: Setting
) -> Reading | None:
    try:
        return read.read(question, text, named_parts(problem), facts, setting)
    except Unclear:
        return None


def _truth(question: Question, facts: Facts) -> Own:
    return facts.transfer if question.form is Form.FORMULA else in_hertz(question)


def _values(own: OwnAnswer, truths: Mapping[Rung, Own]) -> tuple[Own, ...]:
    return (own.typed,) if own.wrong else (own.typed, truths[own.question.rung])


def _is_right(case: Case, reading: Reading) -> bool:
    try:
        return judge(case, reading) is not Verdict.WRONG
    except TooMuchWorkError:
        return False
