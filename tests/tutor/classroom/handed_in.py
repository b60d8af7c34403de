"""A class with sheets and keys on disk, and hand-ins as students would send them."""

from __future__ import annotations

import csv
import io
import json
import random
import re
import zipfile
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from xml.sax.saxutils import escape

import openpyxl
from click.testing import CliRunner
from rungwise.problems.analysis.response import facts
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Rung, Task
from rungwise.problems.sheets.documents import answers_template, key_document
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import (
    Key,
    Plan,
    PlanSection,
    PointsRule,
    Student,
    Variant,
)
from rungwise.tutor.classroom.handins.files import answers_csv
from rungwise.tutor.classroom.making.enrolment import enrolled
from rungwise.tutor.classroom.making.jobs import json_bytes
from rungwise.tutor.classroom.making.ledger import MadeFrom
from rungwise.tutor.classroom.marking.marks import ClassMarks, marks_of
from rungwise.tutor.cli.sheet import sheet
from rungwise.tutor.files.names import folder_name, sheet_name

from tests.support.right_answers import right

NAMES = (
    ('O\'Neil, "Ann"', "001"),
    ("=cmd|' /C calc'!A0", "002"),
    ("../../x", "003"),
    ("<b>Bob</b>", "e004"),
    ("王小明", ""),
    ("שלום", "006"),
    ("Øyvind Ünal", "007"),
    ("＝SUM(A1)", "008"),
)
"""Names and ids as a roster may hold them."""

PLAN = Plan(
    "Filters, week 3",
    4711,
    (
        PlanSection(
            "By eye", levels=(2, 3), count=1, ask=(Rung.TYPE, Rung.TYPE_REASON, Rung.CORNER)
        ),
        PlanSection(
            "By hand", task=Task.SKETCH, levels=(2,), count=1, points=PointsRule(Fraction(2))
        ),
        PlanSection("Back", task=Task.REVERSE, levels=(3,), count=1),
    ),
    course="EE 201",
    date="2026-11-30",
)

WRONG = {
    "choice": "b", "count": "3", "quantity": "17.3 kHz", "ratio": "7.7", "gain": "0.123",
    "slope": "-60", "angle": "45", "formula": "1/(1 + s)", "sketch": "0 to 1 kHz, -20; level 9 dB",
}  # fmt: skip
"""An answer of each form that is hardly ever right."""


@lru_cache(maxsize=64)
def variant_for(number: int, plan: Plan) -> Variant:
    """What a student is given, and its key."""
    return draft(plan, student(number)).variant


def key_for(number: int, plan: Plan = PLAN) -> Key:
    """The key of a student of :data:`NAMES`, or of one without a name."""
    return variant_for(number, plan).key


def student(number: int) -> Student:
    return Student(number, *(NAMES[number - 1] if number <= len(NAMES) else ("", "")))


def folder_of(number: int) -> str:
    one = student(number)
    return folder_name(one.number, one.name, one.id)


def make_class(out: Path, count: int, plan: Plan = PLAN) -> None:
    """Write the keys as `rungwise sheet make` would."""
    students = [student(number) for number in range(1, count + 1)]
    for one in students:
        folder = out / "keys" / folder_of(one.number)
        folder.mkdir(parents=True)
        (folder / "key.json").write_bytes(json_bytes(key_document(key_for(one.number, plan))))
    (out / "keys" / "class.json").write_bytes(
        MadeFrom.of(plan, enrolled(plan, students).members).class_bytes()
    )


def template(number: int, plan: Plan = PLAN) -> dict[str, object]:
    """The empty answers of a sheet."""
    made = variant_for(number, plan).sheet
    return answers_template(made, sheet_name(number))


def typed(number: int, seed: int, right_share: float = 0.6, plan: Plan = PLAN) -> dict[str, str]:
    """What a student answers: right in many spellings, wrong, unreadable or nothing."""
    chance = random.Random(f"{number} {seed}")
    found = {}
    for item in key_for(number, plan).items:
        for place, question in enumerate(item.problem.questions, 1):
            luck = chance.random()
            if luck < right_share:
                text = right(item.problem, facts(item.problem.ladder), question, chance)
            elif luck < right_share + 0.05:
                text = "no idea"
            elif luck < right_share + 0.1:
                text = ""
            else:
                text = WRONG[question.form.value]
            found[f"{item.number}.{place}"] = text
    return found


def document(number: int, answers: Mapping[str, str], plan: Plan = PLAN) -> dict[str, object]:
    """The hand-in as values."""
    return {**template(number, plan), "answers": dict(answers)}


def as_csv(number: int, answers: Mapping[str, str], plan: Plan = PLAN) -> bytes:
    return answers_csv(document(number, answers, plan)).encode("utf-8-sig")


def as_json(number: int, answers: Mapping[str, str], plan: Plan = PLAN) -> bytes:
    return json.dumps(document(number, answers, plan)).encode()


def as_xlsx(number: int, answers: Mapping[str, str], plan: Plan = PLAN) -> bytes:
    """As a spreadsheet saves it: what looks like a number is one."""
    return xlsx_of(cells_of(document(number, answers, plan)))


def xlsx_of(rows: list[list[str]]) -> bytes:
    """A workbook of one sheet with these rows."""
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append([float(c) if PLAIN_NUMBER.fullmatch(c) else c for c in row])
    for row in book.active:
        for cell in row:
            if cell.data_type == "f":  # an answer or a name that begins with "=" is a text here
                cell.data_type = "s"
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def as_ods(number: int, answers: Mapping[str, str], plan: Plan = PLAN) -> bytes:
    """As another spreadsheet saves it."""
    return ods_of(cells_of(document(number, answers, plan)))


def ods_of(rows: list[list[str]]) -> bytes:
    """A workbook of OpenDocument of one sheet with these rows."""
    told = "".join(
        f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>" for row in rows
    )
    return ods(f'<table:table table:name="answers">{told}</table:table>')


def _ods_cell(text: str) -> str:
    inner = f"<text:p>{escape(text)}</text:p>" if text else ""
    kind = f'office:value-type="float" office:value="{text}"'
    kind = kind if PLAIN_NUMBER.fullmatch(text) else 'office:value-type="string"'
    return f"<table:table-cell {kind}>{inner}</table:table-cell>"


def ods(tables: str) -> bytes:
    """A workbook of OpenDocument with these tables."""
    names = "".join(
        f' xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for name in ("office", "table", "text")
    )
    content = (
        f"<office:document-content{names}><office:body><office:spreadsheet>{tables}"
        "</office:spreadsheet></office:body></office:document-content>"
    )
    mimetype = "application/vnd.oasis.opendocument.spreadsheet"
    return zipped({"mimetype": mimetype.encode(), "content.xml": content.encode()})


def zipped(files: Mapping[str, bytes]) -> bytes:
    """An archive of these files."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            info = zipfile.ZipInfo(name, (2026, 11, 30, 12, 0, 0))
            archive.writestr(info, data, zipfile.ZIP_DEFLATED)
    return made.getvalue()


PLAIN_NUMBER = re.compile(r"[1-9]\d{0,6}(\.\d{1,6})?")


def cells_of(filled: Mapping[str, object]) -> list[list[str]]:
    """The rows of a hand-in's table."""
    return list(csv.reader(io.StringIO(answers_csv(filled), newline="")))


WRITERS = {".csv": as_csv, ".json": as_json, ".xlsx": as_xlsx, ".ods": as_ods}


def hand_in_all(back: Path, count: int, seed: int = 1, plan: Plan = PLAN) -> None:
    """Everybody hands in: every third as JSON, the others as CSV, in a folder or not."""
    for number in range(1, count + 1):
        ending, write = (".json", as_json) if number % 3 == 0 else (".csv", as_csv)
        folder = back / folder_of(number) if number % 2 else back
        folder.mkdir(parents=True, exist_ok=True)
        name = f"answers{ending}" if number % 2 else f"from student {number}{ending}"
        (folder / name).write_bytes(write(number, typed(number, seed, plan=plan), plan))


def written(folder: Path) -> dict[str, bytes]:
    """What marking wrote, by path; without its cache."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".work" not in path.parts
    }


class Class:
    """A class on disk."""

    def __init__(self, folder: Path, count: int = len(NAMES), plan: Plan = PLAN) -> None:
        self.out, self.back, self.marks = folder / "out", folder / "back", folder / "out" / "marks"
        self.count = count
        make_class(self.out, count, plan)
        self.back.mkdir()

    def mark(self, *options: str, status: int = 0) -> str:
        """Run the command; what it says."""
        found = CliRunner().invoke(sheet, ["mark", str(self.out), str(self.back), *options])
        if found.exception is not None and not isinstance(found.exception, SystemExit):
            raise found.exception
        assert found.exit_code == status, found.output
        return found.output

    def found(self) -> ClassMarks:
        return marks_of(json.loads((self.marks / "marks.json").read_bytes()))

    def table(self, name: str) -> list[dict[str, str]]:
        text = (self.marks / name).read_bytes().decode("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


COUNT = len(NAMES)
ALL_RIGHT = {
    f"{item.number}.{place}": right_text(q)
    for item in key_for(1).items
    for place, q in enumerate(item.problem.questions, 1)
}
"""The first student's right answers."""
FIGURE = next(
    f"{item.number}.{place}"
    for item in key_for(1).items
    for place, q in enumerate(item.problem.questions, 1)
    if q.form is Form.QUANTITY
)
"""A question of the first student's that asks for a figure."""
