"""The tables that marking writes, head and rows: marks, what is apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import NamedTuple

from ....problems.questions.model import Rung
from ...files.names import sheet_name
from ...language.texts import Words, speaker
from .hand_in import FileFate
from .mark import tag
from .marks import HandInState, SetApart, StudentMarks

WIDENED_COLUMNS = ("tag", "sheet", "student", "question", "asked", "typed", "right", "mistake",
                   "gives", "without", "with", "points")  # fmt: skip
"""The columns of ``widened.csv``: what :class:`WiderAnswer` says, and room to decide."""
Row = tuple[object, ...]
_say = speaker("handins")


class MarkedStudent(NamedTuple):
    """A student's marks, and (label, text) of answers to questions the sheet does not ask."""

    marks: StudentMarks
    strays: tuple[tuple[str, str], ...]


class FileRow(NamedTuple):
    """A file that was looked at: whose it is (0: nobody's), what became of it, and why."""

    file: str
    sheet: int
    fate: FileFate
    why: str = ""


class WiderAnswer(NamedTuple):
    """An answer that only a wider tolerance takes for right, in words.

    ``slip`` is the known mistake that leads to it, if one does, and ``gives`` what that gives;
    ``without`` and ``points`` are what it earns without the tolerance and with it.
    """

    tag: str
    sheet: str
    student: str
    question: str
    asked: str
    typed: str
    right: str
    slip: str
    gives: str
    without: str
    points: str


def wider_answers(marks: StudentMarks) -> Iterator[WiderAnswer]:
    """The answers of a student that only a tolerance wider than the plan's takes for right."""
    words = Words.load()
    for q in marks.questions:
        if q.wider is not None:
            yield WiderAnswer(
                *(tag(marks.number, q.number, q.typed), sheet_name(marks.number)),
                *(marks.id or marks.name, q.number, words.title(Rung(q.rung)), q.typed, q.answer),
                *(words.slip_name(q.wider.slip) if q.wider.slip else "", q.wider.value),
                *(decimal(q.wider.without), decimal(q.wider.points)),
            )


def decimal(points: Fraction) -> str:
    """Points as grade books take them: at most two places, rounded half up, "." before them."""
    return _rounded(points, "0.01").rstrip("0").rstrip(".")


def _rounded(value: Fraction, to: str) -> str:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return f"{exact.quantize(Decimal(to), ROUND_HALF_UP):f}"


def marks_table(marked: Sequence[MarkedStudent]) -> Iterator[Row]:
    """``marks.csv``: a student's points by problem; none where nothing was marked.

    Groups and variants have a column where the class has any.
    """
    problems = max((len(marks.problems) for marks, _ in marked), default=0)
    each = (f"problem {number}" for number in range(1, problems + 1))
    also = [name for name in ("group", "variant") if any(getattr(m, name) for m, _ in marked)]
    yield "number", "id", "name", *also, *each, "total", "of", "percent", "open", "state", "notes"
    for marks, _ in marked:
        told: list[str] = [""] * (problems + 4)
        if marks.state is HandInState.MARKED:
            points = [decimal(problem.points) for problem in marks.problems]
            total, of = marks.points, marks.of
            share = _rounded(total / of * 100, "0.1").removesuffix(".0") if of else ""
            points += [""] * (problems - len(points))
            told = [*points, decimal(total), decimal(of), share, str(marks.open)]
        known = sheet_name(marks.number), marks.id, marks.name
        yield (
            *known,
            *(getattr(marks, name) for name in also),
            *told,
            marks.state.value,
            "; ".join(marks.notes),
        )


def widened_table(marked: Iterable[MarkedStudent]) -> Iterator[Row]:
    """``widened.csv``: what a wider tolerance alone takes for right, and whose it is.

    With points filled in it says what the teacher decided, as ``unclear.csv`` does.
    """
    yield WIDENED_COLUMNS
    for marks, _ in marked:
        for wider in wider_answers(marks):
            yield *wider._replace(question=f"Q{wider.question}"), ""


def apart_table(apart: Iterable[SetApart]) -> Iterator[Row]:
    """``apart.csv``: what could not be marked."""
    yield "file", "sheet", "what", "remedy"
    for found in apart:
        sheet = sheet_name(found.sheet) if found.sheet else ""
        yield found.file, sheet, found.what, found.remedy


def files_table(files: Iterable[FileRow]) -> Iterator[Row]:
    """``files.csv``: every file that was looked at, and what became of it."""
    yield "file", "sheet", "became", "why"
    for found in files:
        sheet = sheet_name(found.sheet) if found.sheet else ""
        yield found.file, sheet, _say(f"fate.{found.fate.value}"), found.why
