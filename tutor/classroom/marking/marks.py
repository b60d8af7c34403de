"""What marking comes to: every student's marks, as frozen values and as ``marks.json``.

``marks.json`` is one JSON object of the format "rungwise.marks/1", written with one student a
line, so that it can be read by eye and made without holding it in memory.  Points are exact, as
texts: "3/2".  What is empty is left out::

    {"format": "rungwise.marks/1",
     "title": "Filters, week 3", "course": "EE 210", "date": "2026-11-30", "language": "en",
     "symbols": "iec-60617", "paper": "us-letter",    only where the plan names others than usual
     "tolerance": "1/20",          relative; only where --tolerance replaced the plan's own
     "students": [
       {"number": 1, "folder": "01-ann-other", "name": "Ann Other", "id": "4711",
        "group": "Thu 10:00", "variant": "A",   only where there are any
        "state": "marked",         or "missing" (no hand-in), "apart" (see below)
        "file": "01-ann-other/answers.csv",
        "points": "17/2", "of": "12", "open": 1,
        "notes": ["…"],            what is odd about the hand-in
        "problems": [
          {"number": 1, "title": "", "family": "series-rc", "level": 1, "task": "analyse",
           "questions": [
             {"number": "1.1", "rung": "corner", "form": "quantity", "of": "1", "points": "0",
              "verdict": "wrong",  right, rough, wrong, unclear, blank or paper
              "typed": "1k6",      the answer as it was handed in, one line
              "understood": "1.6 kHz",   how it was read
              "answer": "254.6 Hz",      the right answer
              "slips": [["radians-as-hertz", "This is the angular frequency …"], …],
              "trouble": "…",      why it is unclear
              "told": ["…"],       of a sketch: its pieces in words, never what would be right
              "pieces": [3, 5],    of a sketch: how many are right, of how many
              "follows": ["1.1"],  wrong, but right for these earlier answers, which were wrong
              "wider": {…},        right by a wider tolerance alone: see WiderMark
              "settled": "points",  or "text": a human decided
              "alike": "G3fa9…",   of an unclear or settled one: what it has in common with others
              "suggested": [{"text": "1.6 kHz", …}, …]   of an unclear one: what it may mean
             }, …]}, …]}, …],
     "apart": [{"file": "x.csv", "sheet": 3, "what": "…", "remedy": "…"}, …],
     "counts": {"students": 30, "marked": 27, "missing": 1, "unread": 1, "apart": 1, "open": 3},
     "made_of": "9f3c…"}           SHA-256 of all that stands before it: other marks, another one

``open`` counts answers that are unclear: they have no points until a human settles them.
:func:`marks_of` reads such a document back, however it was damaged.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from enum import StrEnum
from fractions import Fraction
from functools import cache, partial
from typing import TYPE_CHECKING, Any

from ....problems.sheets.records import read, strict, structured, whole

if TYPE_CHECKING:
    from _typeshed import DataclassInstance
    from cattrs import Converter

    from .made_class import ClassMember


MARKS_FORMAT = "rungwise.marks/1"
_QUESTION = re.compile(r"\d{1,4}\.\d{1,4}", re.ASCII)
_FRACTION = re.compile(r"\d{1,12}(?:/[1-9]\d{0,11})?", re.ASCII)
_REMEDY = "run `rungwise sheet mark` again"


class QuestionOutcome(StrEnum):
    """What became of a question."""

    RIGHT = "right"
    ROUGH = "rough"  # within the tolerance but badly rounded: full points
    WRONG = "wrong"
    UNCLEAR = "unclear"  # not understood: a human decides
    BLANK = "blank"
    PAPER = "paper"  # it says that the answer is on paper, where a human reads it

    @property
    def passed(self) -> bool:
        """Whether it counts as right."""
        return self in (QuestionOutcome.RIGHT, QuestionOutcome.ROUGH)


class HandInState(StrEnum):
    """What became of a student's hand-in."""

    MARKED = "marked"
    MISSING = "missing"  # there is none
    UNREAD = "unread"  # what there is is of kinds that are not read: a human has to look at it
    APART = "apart"  # there is one, but which of several counts, or what it says, is not clear


class SettledAnswer(StrEnum):
    """What a human decided about an answer."""

    POINTS = "points"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Slipped:
    """A slip that explains a wrong answer, and its sentence about that answer."""

    slip: str
    sentence: str


@dataclass(frozen=True, slots=True)
class SuggestedAnswer:
    """What an unclear answer may mean, and what it would then come to.

    Attributes:
        text: what it would be read as; "" where only points are suggested.
        understood: how that is understood.
        points: the points it would have.
        verdict: what would become of it.
        before: whether a human decided so about alike answers in another class.
    """

    text: str = ""
    understood: str = ""
    points: Fraction = Fraction(0)
    verdict: QuestionOutcome = QuestionOutcome.UNCLEAR
    before: bool = False


@dataclass(frozen=True, slots=True)
class WiderMark:
    """What became of an answer that only a tolerance wider than the plan's takes for right.

    Attributes:
        points: what it earns by the wider tolerance.
        without: what it earns by the plan's.
        slip: the known mistake that leads to it, if one does; it is not credited then, unless the
            teacher says so.
        value: what that mistake gives.
    """

    points: Fraction
    without: Fraction
    slip: str = ""
    value: str = ""


@dataclass(frozen=True, slots=True)
class QuestionMark:
    """One question of one student; see the head of this module for the attributes."""

    number: str
    rung: str
    form: str
    of: Fraction
    points: Fraction
    verdict: QuestionOutcome
    typed: str = ""
    understood: str = ""
    answer: str = ""
    slips: tuple[Slipped, ...] = ()
    trouble: str = ""
    told: tuple[str, ...] = ()
    pieces: tuple[int, int] | None = None
    settled: SettledAnswer | None = None
    alike: str = ""
    suggested: tuple[SuggestedAnswer, ...] = ()
    follows: tuple[str, ...] = ()
    wider: WiderMark | None = None

    @property
    def lost(self) -> Fraction:
        """The points that it did not reach."""
        return self.of - self.points

    @property
    def slip(self) -> str:
        """The slip behind a wrong answer, of several the likeliest; "" where none is known."""
        wrong = self.verdict is QuestionOutcome.WRONG
        return self.slips[0].slip if wrong and self.slips else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemMark:
    """One problem of one student."""

    number: int
    title: str = ""
    family: str = ""
    level: int
    task: str
    questions: tuple[QuestionMark, ...]

    @property
    def points(self) -> Fraction:
        """The points reached."""
        return sum((q.points for q in self.questions), Fraction(0))

    @property
    def of(self) -> Fraction:
        """The points that can be had."""
        return sum((q.of for q in self.questions), Fraction(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class StudentMarks:
    """One student's marks.  ``name``, ``id`` and ``group`` are as in the roster: hostile text."""

    number: int
    folder: str
    name: str = ""
    id: str = ""
    group: str = ""
    variant: str = ""
    state: HandInState
    file: str = ""
    notes: tuple[str, ...] = ()
    problems: tuple[ProblemMark, ...] = ()

    @property
    def points(self) -> Fraction:
        """The points reached."""
        return sum((q.points for q in self.questions), Fraction(0))

    @property
    def of(self) -> Fraction:
        """The points that can be had; 0 where nothing was marked."""
        return sum((q.of for q in self.questions), Fraction(0))

    @property
    def share(self) -> Fraction:
        """The share of the points that was reached, 0 to 1."""
        return self.points / of if (of := self.of) else Fraction(0)

    @property
    def called(self) -> str:
        """The name, or what tells the student from others where there is none."""
        return self.name or self.id or str(self.number)

    @property
    def questions(self) -> Iterator[QuestionMark]:
        """Every question of every problem, in the order of the sheet."""
        for problem in self.problems:
            yield from problem.questions

    def belongs_to(self, member: ClassMember) -> bool:
        """Whether these are of the sheet that a ``member`` of the class has now.

        A roster may have been edited since: where rows number a class, a number is another
        student's then; and a variant may have changed, with all its circuits.
        """
        same_id = not (self.id and member.id) or self.id == member.id
        theirs = (member.number, member.folder, member.variant)
        return same_id and (self.number, self.folder, self.variant) == theirs

    @property
    def on_paper(self) -> int:
        """How many answers wait to be entered from paper."""
        return sum(q.verdict is QuestionOutcome.PAPER for q in self.questions)

    @property
    def open(self) -> int:
        """How many answers wait for a human."""
        return sum(q.verdict is QuestionOutcome.UNCLEAR for q in self.questions)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetApart:
    """Something that could not be marked, why not, and what mends it."""

    file: str
    sheet: int = 0
    what: str
    remedy: str


@dataclass(frozen=True, slots=True)
class ClassMarks:
    """A whole class."""

    title: str
    students: tuple[StudentMarks, ...]
    apart: tuple[SetApart, ...] = ()
    course: str = ""
    date: str = ""
    language: str = "en"
    tolerance: Fraction | None = None
    made_of: str = ""
    symbols: str = ""
    paper: str = ""


def student_document(marks: StudentMarks) -> dict[str, Any]:
    """A student's marks as plain values, for JSON."""
    found = _converter().unstructure(marks)
    problems = found.pop("problems", [])
    totals = {"points": str(marks.points), "of": str(marks.of), "open": marks.open}
    return {**found, **totals, "problems": problems}


def apart_document(apart: SetApart) -> dict[str, Any]:
    """What was listed apart as plain values, for JSON."""
    return dict(_converter().unstructure(apart))


def marks_of(document: object) -> ClassMarks:
    """Read ``marks.json``, as ``json.loads`` gave it.

    Raises:
        SheetError: it is no such document; says where, what was found and what should be there.
    """
    return read(document, MARKS_FORMAT, ClassMarks, _converter(), _REMEDY, _REMEDY)


def student_of(document: object) -> StudentMarks:
    """Read one student's line of ``marks.json``.

    Raises:
        SheetError: as for :func:`marks_of`.
    """
    return structured(document, StudentMarks, _converter(), _REMEDY)


@cache
def _converter() -> Converter:
    """What reads and writes marks; members that tell what follows from others are passed over."""
    from cattrs.gen import make_dict_structure_fn, make_dict_unstructure_fn, override

    made = strict(forbid_extra_keys=False)
    made.register_structure_hook(int, whole)
    made.register_structure_hook(Fraction, _points)
    made.register_structure_hook(Slipped, _slipped)
    made.register_unstructure_hook(Slipped, lambda hit: [hit.slip, hit.sentence])
    number = override(struct_hook=_question_number)
    question = make_dict_structure_fn(QuestionMark, made, number=number)
    made.register_structure_hook(QuestionMark, question)
    for kind in (ProblemMark, StudentMarks, SetApart):
        # It would put what may be left out behind what may not.
        write = make_dict_unstructure_fn(kind, made, _cattrs_omit_if_default=True)
        made.register_unstructure_hook(kind, partial(_in_order, write))
    return made


def _in_order(write: Callable[[Any], dict[str, Any]], value: DataclassInstance) -> dict[str, Any]:
    found = write(value)
    return {one.name: found[one.name] for one in fields(value) if one.name in found}


def _points(value: object, _: object) -> Fraction:
    if not isinstance(value, str) or not _FRACTION.fullmatch(value):
        raise ValueError('expected a fraction such as "3/2"')
    return Fraction(value)


def _question_number(value: object, _: object) -> str:
    if not isinstance(value, str) or not _QUESTION.fullmatch(value):
        raise ValueError('expected the number of a question such as "3.2"')
    return value


def _slipped(value: object, _: object) -> Slipped:
    if not isinstance(value, list) or [type(text) for text in value] != [str, str]:
        raise ValueError("expected a slip and its sentence")
    return Slipped(*value)
