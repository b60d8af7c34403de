"""Marks as statements of the Experience API: a local file, one statement a line.

For each sheet that was marked there is one statement "scored", and for each of its questions one
"answered", with the answer as it was handed in, its points and whether it was right.  What waits
for the teacher has no success, as it has none yet; what is blank is left out.

Statements have the same ids whenever they are made again of the same marks.  They have no time
but the plan's day: a learning record store sets ``stored`` itself, and when an answer was written
nobody knows.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Any
from uuid import UUID, uuid5

from ...files.xapi import ADL, ASSESSMENT, HOME, QUESTION, activity, agent, line, mailed, said
from ...language.texts import fill, plain
from ..marking.marks import (
    ClassMarks,
    HandInState,
    QuestionMark,
    QuestionOutcome,
    StudentMarks,
)

_SPACE = UUID("5c0b7a0e-6a3f-5a0e-9f1d-1f0d4e8b2c77")
VERDICT, SLIPS, SKILL = f"{HOME}/xapi/verdict", f"{HOME}/xapi/slips", f"{HOME}/xapi/kind"
"""Extensions: the verdict, the slips that were named, and the kind of question."""
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}\Z")
_INTERACTION = {"choice": "choice", "formula": "fill-in", "sketch": "long-fill-in"}


@dataclass(frozen=True, slots=True)
class Accounts:
    """How students are known to the store that statements go to.

    Attributes:
        home_page: the system that students' ids are accounts of.
        emails: e-mail addresses by the number of the student, whose hash is given; who has none
            is known by an account.
    """

    home_page: str = HOME
    emails: Mapping[int, str] = field(default_factory=dict)

    def of(self, student: StudentMarks, namesakes: Collection[str] = ()) -> dict[str, Any]:
        """A student as an actor.

        Args:
            student: whose results they are.
            namesakes: names that several have who have no ids: no account is of two students.
        """
        shown = plain(student.name)
        if address := plain(self.emails.get(student.number, "")):
            return mailed(address, shown)
        name = plain(student.id) or ("" if shown in namesakes else shown)
        name = name or f"sheet-{student.number:02d}"
        return agent(name, shown, self.home_page)


OURS = Accounts()


def statements(marks: ClassMarks, accounts: Accounts = OURS) -> Iterator[str]:
    """A line for each statement of ``marks``, without its break; ``accounts`` say who is who."""
    names = Counter(plain(one.name) for one in marks.students if not plain(one.id))
    namesakes = {name for name, count in names.items() if count > 1}
    for student in marks.students:
        if student.state is HandInState.MARKED and student.problems:
            saying = _Saying(marks, student, accounts.of(student, namesakes))
            yield saying.sheet()
            for problem in student.problems:
                for question in problem.questions:
                    if question.verdict is not QuestionOutcome.BLANK:
                        yield saying.answer(question)


@dataclass(frozen=True, slots=True)
class _Saying:
    """What is said about one student."""

    marks: ClassMarks
    student: StudentMarks
    actor: dict[str, Any]

    def sheet(self) -> str:
        result: dict[str, Any] = {"score": _score(self.student.points, self.student.of)}
        if not self.student.open:
            result["completion"] = True
        return self._line("sheet", "scored", _sheet_activity(self.marks), result)

    def answer(self, question: QuestionMark) -> str:
        result: dict[str, Any] = {
            "score": _score(question.points, question.of),
            "response": plain(question.typed),
        }
        if question.verdict not in (QuestionOutcome.UNCLEAR, QuestionOutcome.PAPER):
            result["success"] = question.verdict.passed
        result["extensions"] = {
            VERDICT: question.verdict.value,
            SLIPS: [hit.slip for hit in question.slips],
            SKILL: question.rung,
        }
        asked = activity(
            f"{_place(self.marks)}/sheet/{self.student.number}/{question.number}",
            QUESTION,
            _title(question.number, question.rung),
            _INTERACTION.get(question.form, "numeric"),
        )
        whole = _sheet_activity(self.marks)
        return self._line(question.number, "answered", asked, result, whole)

    def _line(
        self,
        what: str,
        verb: str,
        about: dict[str, Any],
        result: dict[str, Any],
        parent: dict[str, Any] | None = None,
    ) -> str:
        place, date = _place(self.marks), self.marks.date
        statement = said(
            self.actor,
            (f"{ADL}/verbs/{verb}", fill("interchange", f"verb.{verb}")),
            about,
            result,
            _registration(place, self.student.number),
            parent=parent,
            timestamp=f"{date}T00:00:00Z" if _DAY.match(date) else "",
        )
        # The same marks have the same id; a store refuses other marks under an id it knows.
        whole = json.dumps([place, what, statement], sort_keys=True)
        return line(str(uuid5(_SPACE, whole)), statement)


def _score(points: Fraction, of: Fraction) -> dict[str, float]:
    score = {"raw": float(points), "min": 0.0, "max": float(of)}
    if of:
        score["scaled"] = float(points / of)
    else:  # min has to be less than max
        del score["min"], score["max"]
    return score


def _place(marks: ClassMarks) -> str:
    """The IRI under which the activities of a class lie."""
    return _place_of(marks.title, marks.course, marks.date)


@lru_cache(maxsize=16)
def _place_of(title: str, course: str, date: str) -> str:
    return f"{HOME}/sheet/{uuid5(_SPACE, json.dumps([title, course, date]))}"


@lru_cache(maxsize=16)
def _registration(place: str, number: int) -> str:
    """What all statements about one sheet have in common."""
    return str(uuid5(_SPACE, f"{place}\n{number}"))


def _sheet_activity(marks: ClassMarks) -> dict[str, Any]:
    key = "activity.sheet" if plain(marks.title) else "activity.sheet-plain"
    return activity(_place(marks), ASSESSMENT, fill("interchange", key, [("title", marks.title)]))


@lru_cache(maxsize=4096)
def _title(number: str, rung: str) -> str:
    from ..report.in_words import rung_name

    values = [("number", number), ("kind", rung_name(rung))]
    return fill("interchange", "activity.question", values)
