"""The tables that marking writes, row by row: marks, what is unclear, what is apart, changes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from ....problems.questions.model import Rung
from ...files.names import sheet_name
from ...language.texts import Words
from .mark import tag
from .marks import HandInState, QuestionMark, QuestionOutcome, StudentMarks
from .settled import COLUMNS as UNCLEAR_COLUMNS

APART_COLUMNS = ("file", "sheet", "what", "remedy")
CHANGES_COLUMNS = ("number", "id", "name", "question", "before", "after", "was", "is")
Row = tuple[object, ...]


def decimal(points: Fraction) -> str:
    """Points as grade books take them: at most two places, rounded half up, "." before them."""
    exact = Decimal(points.numerator) / Decimal(points.denominator)
    text = f"{exact.quantize(Decimal('0.01'), ROUND_HALF_UP):f}"
    return text.rstrip("0").rstrip(".")


def percent(points: Fraction, of: Fraction) -> str:
    """A share in percent, to a tenth; "" where there is nothing to be had."""
    if not of:
        return ""
    tenth = Decimal("0.1")
    share = points / of * 100
    exact = Decimal(share.numerator) / Decimal(share.denominator)
    return f"{exact.quantize(tenth, ROUND_HALF_UP):f}".removesuffix(".0")


def marks_head(problems: int) -> Row:
    """The head of ``marks.csv`` for a sheet of so many problems."""
    each = (f"problem {number}" for number in range(1, problems + 1))
    return ("number", "id", "name", *each, "total", "of", "percent", "open", "state", "notes")


def marks_row(marks: StudentMarks, problems: int) -> Row:
    """A student's row of ``marks.csv``; without points where nothing was marked."""
    notes = "; ".join(marks.notes)
    known = (sheet_name(marks.number), marks.id, marks.name)
    if marks.state is not HandInState.MARKED:
        return (*known, *[""] * problems, "", "", "", "", marks.state.value, notes)
    each = [decimal(problem.points) for problem in marks.problems]
    each += [""] * (problems - len(each))
    total, of = marks.points, marks.of
    return (
        *known, *each, decimal(total), decimal(of), percent(total, of), str(marks.open),
        marks.state.value, notes,
    )  # fmt: skip


def unclear_rows(marks: StudentMarks, strays: Iterable[tuple[str, str]]) -> Iterator[Row]:
    """A student's rows of ``unclear.csv``: what waits for a human, with room for a decision.

    Args:
        marks: the student's marks.
        strays: (label, text) of answers to questions that the sheet does not ask.
    """
    words, sheet, student = Words.load(), sheet_name(marks.number), marks.id or marks.name
    for problem in marks.problems:
        for q in problem.questions:
            if q.verdict is QuestionOutcome.UNCLEAR:
                asked = words.title(Rung(q.rung))
                known = tag(marks.number, q.number, q.typed), sheet, student, f"Q{q.number}"
                yield *known, asked, q.typed, q.trouble, decimal(q.of), "", ""
    for label, typed in strays:
        trouble = "the sheet has no such question: give the number of the one that is meant"
        yield "", sheet, student, label, "", typed, trouble, "", "", ""


def change_rows(before: StudentMarks | None, after: StudentMarks) -> Iterator[Row]:
    """What is new for a student: question by question, and the total."""
    was = _questions(before) if before else {}
    now = _questions(after)
    known = sheet_name(after.number), after.id, after.name
    totals = [_total(marks) for marks in (before, after)]
    states = [marks.state.value if marks else "" for marks in (before, after)]
    if totals[0] != totals[1] or states[0] != states[1]:
        yield *known, "total", *totals, *states
    for number in sorted({*was, *now}, key=lambda number: [int(n) for n in number.split(".")]):
        sides = [side.get(number) for side in (was, now)]
        points = [decimal(side.points) if side else "" for side in sides]
        verdicts = [side.verdict.value if side else "" for side in sides]
        if points[0] != points[1] or verdicts[0] != verdicts[1]:
            yield *known, f"Q{number}", *points, *verdicts


def _questions(marks: StudentMarks) -> dict[str, QuestionMark]:
    return {q.number: q for problem in marks.problems for q in problem.questions}


def _total(marks: StudentMarks | None) -> str:
    return decimal(marks.points) if marks and marks.state is HandInState.MARKED else ""


__all__ = [
    "APART_COLUMNS",
    "CHANGES_COLUMNS",
    "UNCLEAR_COLUMNS",
    "Row",
    "change_rows",
    "decimal",
    "marks_head",
    "marks_row",
    "percent",
    "unclear_rows",
]
