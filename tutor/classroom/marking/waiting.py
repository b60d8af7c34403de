"""Answers that wait for a human, alike ones together, as a table and a screen show them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ....problems.questions.model import Rung
from ...files.names import question_place, sheet_name
from ...language.texts import Words, filled
from .marks import QuestionMark, QuestionOutcome, StudentMarks, SuggestedAnswer
from .settled import COLUMNS, suggested_cell
from .tables import MarkedStudent, Row, decimal

MOST_NAMED = 8
"""Students, sheets or questions named in a cell; of the others it says how many there are."""


@dataclass(frozen=True, slots=True)
class AlikeMember:
    """One of those who answered alike."""

    number: int
    folder: str
    student: str
    mark: QuestionMark


@dataclass(frozen=True, slots=True)
class AlikeAnswers:
    """Alike answers to questions with the same right answer; there is at least one."""

    tag: str
    members: tuple[AlikeMember, ...]

    @property
    def first(self) -> QuestionMark:
        """The mark of the first of them."""
        return self.members[0].mark

    @property
    def title(self) -> str:
        """The kind of question in a few words."""
        return Words.load().title(Rung(self.first.rung))

    @property
    def typed(self) -> str:
        """What was answered."""
        return self.first.typed

    @property
    def of(self) -> Fraction:
        """The points for it."""
        return self.first.of

    def students(self, most: int) -> str:
        """Who answered so; at ``most`` so many by name."""
        return listed((member.student for member in self.members), most, "; ")

    def sheets(self, most: int) -> str:
        """Whose sheets these are; at ``most`` so many."""
        return listed((sheet_name(member.number) for member in self.members), most)

    def questions(self, most: int) -> str:
        """The questions' numbers; at ``most`` so many."""
        return listed((f"Q{member.mark.number}" for member in self.members), most)


def alike_answers(
    students: Iterable[StudentMarks], outcome: QuestionOutcome | None = None
) -> list[AlikeAnswers]:
    """Answers of ``students`` that are unclear or were settled, alike ones together, in order.

    With an ``outcome``, only those of which that became.
    """
    found: dict[str, list[AlikeMember]] = {}
    for marks in students:
        student = marks.name or marks.id or sheet_name(marks.number)
        for mark in marks.questions:
            if mark.alike and outcome in (None, mark.verdict):
                member = AlikeMember(marks.number, marks.folder, student, mark)
                found.setdefault(mark.alike, []).append(member)
    alike = [AlikeAnswers(tag, tuple(members)) for tag, members in found.items()]
    return sorted(alike, key=_place)


def _place(alike: AlikeAnswers) -> tuple[tuple[int, ...], int, int]:
    number = min(question_place(member.mark.number) for member in alike.members)
    return number, -len(alike.members), alike.members[0].number


def listed(names: Iterable[str], most: int, between: str = ", ") -> str:
    """All ``names``, each once, with ``between`` them; more than ``most`` are counted."""
    known = list(dict.fromkeys(names))
    told = between.join(known[:most])
    more = len(known) - most
    return (
        filled("settling", "waiting.more", [("some", told), ("more", more)]) if more > 0 else told
    )


def comes_to_text(suggested: SuggestedAnswer, of: Fraction) -> str:
    """What is ``suggested`` comes to: a reading, a verdict and points ``of`` so many."""
    points = [("points", decimal(suggested.points)), ("of", decimal(of))]
    if not suggested.text:
        return filled("settling", "comes.points", points)
    said = [("verdict", filled("marking", f"verdict.{suggested.verdict.value}")), *points]
    if suggested.understood and suggested.understood != suggested.text:
        said.append(("understood", suggested.understood))
        return filled("settling", "comes.read", said)
    return filled("settling", "comes.so", said)


def unclear_table(marked: Sequence[MarkedStudent]) -> Iterator[Row]:
    """``unclear.csv``: what waits for a human, alike answers in one row, with room to decide."""
    yield COLUMNS
    for alike in alike_answers((marks for marks, _ in marked), QuestionOutcome.UNCLEAR):
        suggested, comes_to = "", ""
        first = alike.first
        if first.suggested:
            best = first.suggested[0]
            suggested = suggested_cell(decimal(best.points), best.text, best.before)
            comes_to = comes_to_text(best, alike.of)
        known = alike.sheets(MOST_NAMED), alike.students(MOST_NAMED), str(len(alike.members) - 1)
        asked = alike.questions(MOST_NAMED), alike.title, alike.typed, first.trouble
        read = suggested, comes_to, first.answer, decimal(alike.of)
        yield *known, *asked, *read, "", "", "", alike.tag
    for marks, strays in marked:
        sheet, student = sheet_name(marks.number), marks.name or marks.id
        for label, typed in strays:
            trouble = filled("settling", "waiting.stray")
            yield sheet, student, "0", label, "", typed, trouble, *[""] * 8
