"""Marks as statements of the Experience API 1.0.3: a local file, one statement a line.

For each sheet that was marked there is one statement "scored", and for each of its questions one
"answered", with the answer as it was handed in, its points and whether it was right.  What waits
for the teacher has no success, as it has none yet; what is blank is left out.

Statements have the same ids whenever they are made again of the same marks.  They have no time:
a learning record store sets ``stored`` itself, and when an answer was written nobody knows.  An
actor is an account under a name that stands for nobody (RFC 2606); no address is made up.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Any
from uuid import UUID, uuid5

from ...language.texts import fill, plain
from ...store.xapi import HOME
from ..marking.marks import (
    ClassMarks,
    HandInState,
    ProblemMark,
    QuestionMark,
    QuestionOutcome,
    StudentMarks,
)

VERSION = "1.0.3"
_SPACE = UUID("5c0b7a0e-6a3f-5a0e-9f1d-1f0d4e8b2c77")
_ADL = "http://adlnet.gov/expapi"
_SCORED = f"{_ADL}/verbs/scored"
_ANSWERED = f"{_ADL}/verbs/answered"
_ASSESSMENT, _QUESTION = f"{_ADL}/activities/assessment", f"{_ADL}/activities/cmi.interaction"
VERDICT, SLIPS, SKILL = f"{HOME}/xapi/verdict", f"{HOME}/xapi/slips", f"{HOME}/xapi/kind"
"""Extensions: the verdict, the slips that were named, and the kind of question."""
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}\Z")
_INTERACTION = {"choice": "choice", "formula": "fill-in", "sketch": "long-fill-in"}


def statements(marks: ClassMarks) -> Iterator[str]:
    """A line for each statement, without its line break."""
    for student in marks.students:
        if student.state is HandInState.MARKED and student.problems:
            yield _line(_sheet(marks, student))
            for problem in student.problems:
                for question in problem.questions:
                    if question.verdict is not QuestionOutcome.BLANK:
                        yield _line(_answer(marks, student, problem, question))


def _line(statement: dict[str, Any]) -> str:
    return json.dumps(statement, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def _sheet(marks: ClassMarks, student: StudentMarks) -> dict[str, Any]:
    result: dict[str, Any] = {"score": _score(student.points, student.of)}
    if not student.open:
        result["completion"] = True
    return _statement(
        marks,
        student,
        "sheet",
        ("scored", _SCORED),
        _sheet_activity(marks),
        result,
    )


def _answer(
    marks: ClassMarks, student: StudentMarks, problem: ProblemMark, question: QuestionMark
) -> dict[str, Any]:
    result: dict[str, Any] = {
        "score": _score(question.points, question.of),
        "response": plain(question.typed),
    }
    if question.verdict is not QuestionOutcome.UNCLEAR:
        result["success"] = question.verdict.passed
    result["extensions"] = {
        VERDICT: question.verdict.value,
        SLIPS: [hit.slip for hit in question.slips],
        SKILL: question.rung,
    }
    activity = {
        "objectType": "Activity",
        "id": f"{_place(marks)}/sheet/{student.number}/{question.number}",
        "definition": {
            "type": _QUESTION,
            "name": {"en": _title(question.number, question.rung)},
            "interactionType": _INTERACTION.get(question.form, "numeric"),
        },
    }
    return _statement(
        marks, student, question.number, ("answered", _ANSWERED), activity, result, inner=True
    )


def _statement(
    marks: ClassMarks,
    student: StudentMarks,
    what: str,
    verb: tuple[str, str],
    activity: dict[str, Any],
    result: dict[str, Any],
    *,
    inner: bool = False,
) -> dict[str, Any]:
    context: dict[str, Any] = {
        "registration": _registration(_place(marks), student.number),
        "platform": "Rungwise",
        "language": "en",
    }
    if inner:
        context["contextActivities"] = {"parent": [_sheet_activity(marks)]}
    word, verb_id = verb
    statement: dict[str, Any] = {
        "actor": _actor(student),
        "verb": {"id": verb_id, "display": {"en": fill("interchange", f"verb.{word}")}},
        "object": activity,
        "result": result,
        "context": context,
    }
    if _DAY.match(marks.date):
        statement["timestamp"] = f"{marks.date}T00:00:00Z"
    # The same marks have the same id; a store refuses other marks under an id it knows.
    whole = json.dumps([_place(marks), what, statement], sort_keys=True)
    return {"id": str(uuid5(_SPACE, whole)), **statement, "version": VERSION}


def _score(points: Fraction, of: Fraction) -> dict[str, float]:
    score = {"raw": float(points), "min": 0.0, "max": float(of)}
    if of:
        score["scaled"] = float(points / of)
    else:  # min has to be less than max
        del score["min"], score["max"]
    return score


def _actor(student: StudentMarks) -> dict[str, Any]:
    name = plain(student.id) or plain(student.name) or f"sheet-{student.number:02d}"
    actor: dict[str, Any] = {
        "objectType": "Agent",
        "account": {"homePage": HOME, "name": name},
    }
    if plain(student.name):
        actor["name"] = plain(student.name)
    return actor


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
    return {
        "objectType": "Activity",
        "id": _place(marks),
        "definition": {
            "type": _ASSESSMENT,
            "name": {"en": fill("interchange", key, [("title", marks.title)])},
        },
    }


@lru_cache(maxsize=4096)
def _title(number: str, rung: str) -> str:
    from ..report.blocks import rung_name

    values = [("number", number), ("kind", rung_name(rung))]
    return fill("interchange", "activity.question", values)
