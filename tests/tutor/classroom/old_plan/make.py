"""Digests of what a plan of the first form makes; written once, by the code of that form.

python -m tests.tutor.classroom.old_plan.make prints them as this code makes them now.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from pathlib import Path

from rungwise.problems.sheets.documents import (
    answers_template,
    key_document,
    plan_document,
    sheet_document,
)
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Plan, Student
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.classroom.making.jobs import json_bytes

HERE = Path(__file__).parent
DIGESTS = HERE / "digests.json"
STUDENTS = (Student(1, "Ann Tenna", "e001"), Student(2), Student(17, "Øyvind", "7"))


def plan() -> Plan:
    """The example that was shipped with the first form, seed and all."""
    return plan_of(tomllib.loads((HERE / "plan.toml").read_text(encoding="utf-8")))


def digests() -> dict[str, str]:
    """The digest of each document, by its name."""
    made = plan()
    found = {"plan": json_bytes(plan_document(made))}
    for student in STUDENTS:
        drawn = draft(made, student).variant
        found |= {
            f"{student.number}/sheet.json": json_bytes(sheet_document(drawn.sheet)),
            f"{student.number}/key.json": json_bytes(key_document(drawn.key)),
            f"{student.number}/answers.json": json_bytes(answers_template(drawn.sheet, "x")),
        }
    return {name: hashlib.sha256(data).hexdigest() for name, data in found.items()}


if __name__ == "__main__":
    print(json.dumps(digests(), indent=1))
