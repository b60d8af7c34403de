"""Digests of what plans of the first two forms make; each written once, by the code of that time.

python -m tests.tutor.classroom.old_plan.make prints them as this code makes them now.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
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
from rungwise.tutor.classroom.making.make import MakingJob, make
from rungwise.tutor.classroom.making.workers import Here
from rungwise.tutor.classroom.roster import read_roster

HERE = Path(__file__).parent
FORMS = ("first", "second")
STUDENTS = (Student(1, "Ann Tenna", "e001"), Student(2), Student(17, "Øyvind", "7"))


def plan(form: str) -> Plan:
    """The example that was shipped with a form, seed and all."""
    return plan_of(tomllib.loads((HERE / form / "plan.toml").read_text(encoding="utf-8")))


def given(form: str) -> dict[str, str]:
    """The digest of each document, by its name, as it was written."""
    found: dict[str, str] = json.loads((HERE / form / "digests.json").read_bytes())
    return found


def digests(form: str) -> dict[str, str]:
    """The digests as they are made now: of single documents, and of a class of a roster."""
    made = plan(form)
    found = {"plan": json_bytes(plan_document(made))}
    for student in STUDENTS:
        drawn = draft(made, student).variant
        found |= {
            f"{student.number}/sheet.json": json_bytes(sheet_document(drawn.sheet)),
            f"{student.number}/key.json": json_bytes(key_document(drawn.key)),
            f"{student.number}/answers.json": json_bytes(answers_template(drawn.sheet, "x")),
        }
    students = read_roster((HERE / "roster.csv").read_bytes(), numbered=True).students
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out"
        make(MakingJob(made, students, out, ("json",)), Here())
        files = (path for path in sorted(out.rglob("*")) if path.is_file())
        found |= {
            f"out/{path.relative_to(out)}": path.read_bytes()
            for path in files
            if not path.name.startswith(".")
        }
    return {name: hashlib.sha256(data).hexdigest() for name, data in found.items()}


if __name__ == "__main__":
    print(json.dumps({form: digests(form) for form in FORMS}, indent=1))
