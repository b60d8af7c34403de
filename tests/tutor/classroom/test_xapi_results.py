"""Results as statements of xAPI 2.0, against the rules of the standard."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from typing import Any
from uuid import UUID

import pytest
from jsonschema import Draft202012Validator
from rungwise.tutor.classroom.interchange.xapi_results import statements
from rungwise.tutor.classroom.marking.marks import ClassMarks, HandInState, QuestionOutcome
from rungwise.tutor.language.texts import plain

from .marked_class import marked

IRI = {"type": "string", "pattern": r"^https?://[^\s<>\"{}|\\^`]+$"}
LANGUAGES = {
    "type": "object",
    "propertyNames": {"pattern": r"^[a-z]{2}(-[A-Z]{2})?$"},
    "additionalProperties": {"type": "string", "minLength": 1},
}
UUID_TEXT = {
    "type": "string",
    "pattern": "^[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$",
}
ACTIVITY = {
    "type": "object",
    "required": ["id"],
    "additionalProperties": False,
    "properties": {
        "objectType": {"const": "Activity"},
        "id": IRI,
        "definition": {
            "type": "object",
            "additionalProperties": False,
            "properties": {
                "type": IRI,
                "name": LANGUAGES,
                "interactionType": {
                    "enum": [
                        *("true-false", "choice", "fill-in", "long-fill-in", "matching"),
                        *("performance", "sequencing", "likert", "numeric", "other"),
                    ]
                },
            },
        },
    },
}
STATEMENT = {
    "type": "object",
    "required": ["id", "actor", "verb", "object", "result", "version"],
    "additionalProperties": False,
    "properties": {
        "id": UUID_TEXT,
        "actor": {
            "type": "object",
            "required": ["account"],
            "additionalProperties": False,
            "properties": {
                "objectType": {"const": "Agent"},
                "name": {"type": "string", "minLength": 1},
                "account": {
                    "type": "object",
                    "required": ["homePage", "name"],
                    "additionalProperties": False,
                    "properties": {"homePage": IRI, "name": {"type": "string", "minLength": 1}},
                },
            },
        },
        "verb": {
            "type": "object",
            "required": ["id", "display"],
            "additionalProperties": False,
            "properties": {"id": IRI, "display": LANGUAGES},
        },
        "object": ACTIVITY,
        "result": {
            "type": "object",
            "additionalProperties": False,
            "properties": {
                "score": {
                    "type": "object",
                    "additionalProperties": False,
                    "properties": {
                        "scaled": {"type": "number", "minimum": -1, "maximum": 1},
                        "raw": {"type": "number"},
                        "min": {"type": "number"},
                        "max": {"type": "number"},
                    },
                },
                "success": {"type": "boolean"},
                "completion": {"type": "boolean"},
                "response": {"type": "string"},
                "extensions": {"type": "object", "propertyNames": IRI},
            },
        },
        "context": {
            "type": "object",
            "required": ["registration"],
            "additionalProperties": False,
            "properties": {
                "registration": UUID_TEXT,
                "platform": {"type": "string"},
                "language": {"type": "string", "pattern": "^[a-z]{2}$"},
                "contextActivities": {
                    "type": "object",
                    "additionalProperties": False,
                    "properties": {"parent": {"type": "array", "items": ACTIVITY}},
                },
            },
        },
        "timestamp": {"type": "string"},
        "version": {"const": "2.0.0"},
    },
}
"""Rules of statements in IEEE 9274.1.1-2023 (and in ADL's version before, 1.0.3, part two,
section 2.4), as a JSON Schema."""

MARKS = marked(14, problems=2)


def told(marks: ClassMarks) -> list[dict[str, Any]]:
    return [json.loads(line) for line in statements(marks)]


def test_every_statement_keeps_the_rules() -> None:
    check = Draft202012Validator(STATEMENT)
    found = told(MARKS)
    assert len(found) > 150
    for one in found:
        assert not list(check.iter_errors(one)), one
        UUID(one["id"])
        datetime.fromisoformat(one["timestamp"])
        score = one["result"]["score"]
        assert score["min"] <= score["raw"] <= score["max"]
        assert score["scaled"] == pytest.approx(score["raw"] / score["max"])
        assert "mbox" not in json.dumps(one)
    ids = [one["id"] for one in found]
    assert len(set(ids)) == len(ids)


def test_one_line_each_and_the_same_again() -> None:
    lines = list(statements(MARKS))
    assert lines == list(statements(marked(14, problems=2)))
    assert all("\n" not in line and "\x1b" not in line for line in lines)
    json.loads(f"[{','.join(lines)}]")


def test_there_is_one_for_each_sheet_and_each_answer() -> None:
    found = told(MARKS)
    verbs = [one["verb"]["id"].rpartition("/")[2] for one in found]
    students = [s for s in MARKS.students if s.state is HandInState.MARKED]
    questions = [q for s in students for p in s.problems for q in p.questions]
    given = [q for q in questions if q.verdict is not QuestionOutcome.BLANK]
    assert verbs.count("scored") == len(students)
    assert verbs.count("answered") == len(given)
    answered = [one["result"] for one in found if one["verb"]["id"].endswith("answered")]
    for one, question in zip(answered, given, strict=True):
        assert one["score"]["raw"] == float(question.points)
        expected = None if question.verdict is QuestionOutcome.UNCLEAR else question.verdict.passed
        assert one.get("success") is expected
    whole = [one["result"]["score"] for one in found if one["verb"]["id"].endswith("scored")]
    assert [s["raw"] for s in whole] == [float(s.points) for s in students]
    # Whose sheet still waits for the teacher is not complete.
    assert sum("completion" in one["result"] for one in found) == sum(not s.open for s in students)


def test_no_statement_says_what_is_right() -> None:
    right = "THE RIGHT ANSWER"
    students = tuple(
        replace(
            s,
            problems=tuple(
                replace(p, questions=tuple(replace(q, answer=right) for q in p.questions))
                for p in s.problems
            ),
        )
        for s in MARKS.students
    )
    text = "".join(statements(replace(MARKS, students=students)))
    assert right not in text
    assert "correctResponsesPattern" not in text
    assert text == "".join(statements(MARKS))


def test_an_actor_is_an_account_and_nobodys_address() -> None:
    first = next(s for s in MARKS.students if s.state is HandInState.MARKED)
    by_id, by_name, by_number = (
        told(replace(MARKS, students=(replace(first, **change),)))[0]["actor"]
        for change in ({}, {"id": ""}, {"id": "", "name": ""})
    )
    assert by_id["account"] == {"homePage": "https://rungwise.invalid", "name": "s0"}
    assert by_name["account"]["name"] == by_id["name"] == plain(first.name)
    assert by_number["account"]["name"] == "sheet-01"
    assert "name" not in by_number


def test_other_marks_have_other_ids_and_the_same_person_the_same_registration() -> None:
    first = next(s for s in MARKS.students if s.state is HandInState.MARKED)
    before = told(replace(MARKS, students=(first,)))
    question = replace(first.problems[0].questions[0], points=Fraction(1, 3))
    problem = replace(first.problems[0], questions=(question, *first.problems[0].questions[1:]))
    after = told(replace(MARKS, students=(replace(first, problems=(problem,)),)))
    assert before[0]["id"] != after[0]["id"]
    assert before[0]["context"]["registration"] == after[0]["context"]["registration"]
    assert before[0]["object"] == after[0]["object"]


@pytest.mark.parametrize("date", ["", "next week", "2026-11-30"])
def test_time_is_the_plans_day_or_not_told(date: str) -> None:
    stamps = {one.get("timestamp") for one in told(replace(MARKS, date=date))}
    assert stamps == {f"{date}T00:00:00Z" if re.match(r"\d{4}-", date) else None}


def test_a_question_without_points_has_a_score_that_is_allowed() -> None:
    first = next(s for s in MARKS.students if s.state is HandInState.MARKED)
    questions = tuple(
        replace(q, of=Fraction(0), points=Fraction(0)) for q in first.problems[0].questions
    )
    student = replace(first, problems=(replace(first.problems[0], questions=questions),))
    for one in told(replace(MARKS, students=(student,))):
        assert one["result"]["score"] == {"raw": 0.0}


def test_two_of_one_name_without_ids_are_never_one_account() -> None:
    first, second, third = MARKS.students[:3]
    class_of = (
        replace(first, name="Ann", id=""),
        replace(second, name="Ann", id=""),
        replace(third, name="Bo", id=""),
    )
    found = told(replace(MARKS, students=class_of))
    names = {(one["actor"]["name"], one["actor"]["account"]["name"]) for one in found}
    assert names == {("Ann", "sheet-01"), ("Ann", "sheet-02"), ("Bo", "Bo")}
