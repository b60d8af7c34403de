"""Problems → one student's sheet, which shows no more than it may, and the key to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from ..analysis.response import Facts, facts
from ..circuits.gaps import boxed, unvalued
from ..questions.exhibit import Points
from ..questions.kinds import REVERSED
from ..questions.model import Face, Problem, Question, Rung, Task
from ..questions.plotted import gain_points, map_plot
from ..sketches.paper import frame
from .inspection import as_seen
from .model import (
    KEY_FORMAT,
    OLD_KEY_FORMAT,
    OLD_PLAN_FORMAT,
    AskedQuestion,
    Heading,
    Key,
    KeyItem,
    Plan,
    ProblemLot,
    Sheet,
    SheetProblem,
    SheetSection,
    Student,
    Variant,
)
from .problems import fixed_problem, problem_of

_PAPER = frozenset({Rung.GAIN_SKETCH, Rung.PHASE_SKETCH})


def variant(plan: Plan, student: Student, lots: Sequence[ProblemLot]) -> Variant:
    """The sheet and key of the problems, ``lots`` of ``plan``, that were handed to ``student``.

    Raises:
        GenerationError: a lot is not of this plan.
    """
    problems = []
    for lot in lots:
        section = plan.sections[lot.section]
        if lot.circuit >= 0:
            problems.append(fixed_problem(section, section.circuits[lot.circuit]))
        else:
            problems.append(problem_of(section, lot.family, lot.seed))
    return assembled(plan, student, lots, problems)


def assembled(
    plan: Plan, student: Student, lots: Sequence[ProblemLot], problems: Sequence[Problem]
) -> Variant:
    """The sheet and key of problems that were made.

    Args:
        plan: the teacher's.
        student: whose sheet it is.
        lots: what was handed out, in order.
        problems: one for each lot.
    """
    heading = heading_of(plan)
    student = replace(student, seat="", email="", identity="")
    old = plan.format == OLD_PLAN_FORMAT
    keys: list[KeyItem] = []
    items: dict[int, list[SheetProblem]] = {index: [] for index in range(len(plan.sections))}
    for number, (lot, problem) in enumerate(zip(lots, problems, strict=True), 1):
        section = plan.sections[lot.section]
        title = section.circuits[lot.circuit].title if lot.circuit >= 0 else ""
        points = tuple(section.points.of(question.rung) for question in problem.questions)
        known = problem if old else replace(problem, seed=0)
        keys.append(KeyItem(number, known, points, title, section.weights))
        item = shown(number, problem, points, title)
        items[lot.section].append(as_seen(item, section.values) if section.by_inspection else item)
    parts = (
        SheetSection(
            section.title, section.instructions, tuple(items[index]), section.by_inspection
        )
        for index, section in enumerate(plan.sections)
        if items[index]
    )
    key = Key(heading, student, tuple(keys), OLD_KEY_FORMAT if old else KEY_FORMAT)
    return Variant(Sheet(heading, student, tuple(parts)), key)


def heading_of(plan: Plan) -> Heading:
    """What stands at the head of a plan's sheets."""
    return Heading(
        plan.title,
        plan.course,
        plan.date,
        plan.instructions,
        plan.language,
        plan.symbols,
        plan.paper,
        plan.marking,
        plan.printing,
    )


def shown(
    number: int, problem: Problem, points: Iterable[Fraction], title: str = ""
) -> SheetProblem:
    """A problem as a student may see it: nothing in it says what is asked for.

    Args:
        number: its number on the sheet.
        problem: the problem itself.
        points: what each question is worth.
        title: the teacher's words above a circuit of their own.
    """
    asked = tuple(
        _asked(f"{number}.{place}", question, each)
        for place, (question, each) in enumerate(zip(problem.questions, points, strict=True), 1)
    )
    rungs = {question.rung for question in problem.questions}
    hidden = problem.task is Task.PREDICT or (problem.task is Task.REVERSE and rungs & REVERSED)
    face = problem.face if hidden else Face.CIRCUIT
    known = facts(problem.ladder)
    item = SheetProblem(number, problem.task, face, asked, title)
    paper = frame(known) if rungs & _PAPER else None
    match face:
        case Face.NONE:
            return item
        case Face.GAIN:
            return replace(item, gain=curve(known))
        case Face.MAP:
            map_ = map_plot(known)
            return replace(item, poles=map_.poles, zeros=map_.zeros)
        case Face.BLANK if Rung.MISSING_ARM in rungs:
            return replace(item, ladder=boxed(problem.ladder, problem.blank))
        case Face.BLANK:
            ladder = unvalued(problem.ladder, problem.blank)
            return replace(item, ladder=ladder, unvalued=problem.blank)
    return replace(item, ladder=problem.ladder, paper=paper)


def _asked(number: str, question: Question, points: Fraction) -> AskedQuestion:
    return AskedQuestion(
        number,
        question.rung,
        question.form,
        points,
        question.choices,
        question.unit,
        question.tolerance,
        question.values,
        question.exhibit,
    )


def curve(known: Facts) -> Points:
    """The gain in dB (two decimals) against Hz (five digits), over the paper of a sketch."""
    low, high, *_ = frame(known)
    return gain_points(known, low, high)
