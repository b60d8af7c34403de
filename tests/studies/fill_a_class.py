"""A class fills its sheets in: right answers, slips, blanks and scrawl, by a seeded generator.

    python -m tests.studies.fill_a_class SHEETS HAND-INS [SEED]

``SHEETS`` is the folder that ``rungwise sheet make`` wrote.  Hand-ins lie in ``HAND-INS`` as they
come back: tables in several encodings, JSON, workbooks of two kinds, archives that a student or a
course system packed, in folders or not; the last student hands nothing in.
"""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from typing import Any

from rungwise.problems.analysis.response import facts
from rungwise.problems.chance import Chance
from rungwise.problems.grading.grade import right_text
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Form, Problem, Question
from rungwise.problems.sheets.documents import key_of
from rungwise.problems.sheets.model import Key
from rungwise.problems.slips.engine import predictions
from rungwise.tutor.classroom.handins.files import answers_csv
from rungwise.tutor.classroom.marking.hand_in import FileFate

from tests.tutor.classroom.handed_in import cells_of, ods_of, xlsx_of, zipped


def fill(sheets: Path, hand_ins: Path, seed: int = 1) -> int:
    """Fill every sheet but the last; how many hand-ins there are."""
    folders = sorted((sheets / "keys").glob("*/key.json"))
    hand_ins.mkdir(parents=True, exist_ok=True)
    packed: dict[str, bytes] = {}
    for number, file in enumerate(folders[:-1]):
        chance = Chance(seed, "class", number)
        key = key_of(json.loads(file.read_text(encoding="utf-8")))
        student = sheets / "students" / file.parent.name
        template = json.loads((student / "answers.json").read_text(encoding="utf-8"))
        template["answers"].update(answers(key, chance, skill=3 + number % 7))
        name, data = written(template, number)
        if number % len(KINDS) == len(KINDS) - 1:
            packed[f"{file.parent.name}_4711_assignsubmission_file/{name}"] = data
            continue
        target = hand_ins / file.parent.name if number % 3 == 0 else hand_ins
        target.mkdir(exist_ok=True)
        (target / (name if number % 3 == 0 else f"{number} {name}")).write_bytes(data)
    if packed:
        (hand_ins / "download.zip").write_bytes(zipped(packed))
    if folders:  # and something that is no hand-in at all
        shutil.copyfile(
            sheets / "students" / folders[0].parent.name / "sheet.txt", hand_ins / "notes.txt"
        )
    return len(folders) - 1


KINDS = ("csv", "json", "utf-16", "xlsx", "ods", "zip", "cp1252", "xlsx")
"""What students hand in, one after the other; the last one comes in a course system's archive."""


def written(filled: dict[str, Any], number: int) -> tuple[str, bytes]:
    """A hand-in as the student of a ``number`` saves it: its name and its bytes."""
    kind = KINDS[number % len(KINDS)]
    if kind == "json":
        return "answers.json", json.dumps(filled, ensure_ascii=False, indent=1).encode()
    if kind == "xlsx":
        return "answers.xlsx", xlsx_of(cells_of(filled))
    if kind == "ods":
        return "answers.ods", ods_of(cells_of(filled))
    if kind == "zip":
        return "mine.zip", zipped({"week 3/answers.xlsx": xlsx_of(cells_of(filled))})
    table = answers_csv(filled)
    if kind == "cp1252":  # a name that it has no letters for stays as it is
        return "answers.csv", table.replace("Ω", "ohm").encode("cp1252", "replace")
    return "answers.csv", table.encode("utf-16" if kind == "utf-16" else "utf-8-sig")


def others(sheets: Path, hand_ins: Path, folder: str) -> dict[str, FileFate]:
    """What else comes back: in a student's ``folder``, and from nobody; what each is to become.

    Args:
        sheets: the folder that was made.
        hand_ins: where it is put.
        folder: of a student who hands in nothing that can be read.
    """
    book = xlsx_of([["question", "answer"], ["Q1.1", "x"]])
    files = {
        f"{folder}/IMG_0001.HEIC": (b"\0\0\0\x18ftypheic" + bytes(90), FileFate.UNREAD),
        f"{folder}/scan.pdf": (b"%PDF-1.7\n", FileFate.UNREAD),
        f"{folder}/mail.docx": (
            zipped({"[Content_Types].xml": b"<x/>", "word/document.xml": b"<x/>"}),
            FileFate.UNREAD,
        ),
        f"{folder}/sheet.txt": (
            (sheets / "students" / folder / "sheet.txt").read_bytes(), FileFate.GIVEN,
        ),
        "answers (1).csv": (b"", FileFate.APART),
        "answers (2).xlsx": (book[:-99], FileFate.APART),
        "nobody.xlsx": (book, FileFate.APART),
        "bomb.zip/a.csv": (b"0" * 5_000_000, FileFate.APART),
        "sheet.json": (
            (sheets / "students" / folder / "sheet.json").read_bytes(), FileFate.OURS,
        ),
        "all.rar": (b"Rar!\x1a\x07\x01\0", FileFate.UNREAD),
        "film.mp4": (b"\0\0\0\x18ftypmp42", FileFate.UNREAD),
    }  # fmt: skip
    fates = {"bomb.zip": FileFate.OPENED}
    for name, (data, fate) in files.items():
        fates[name] = fate
        if name.startswith("bomb.zip/"):
            name, data = "bomb.zip", zipped({"a.csv": data})
        (hand_ins / name).parent.mkdir(exist_ok=True)
        (hand_ins / name).write_bytes(data)
    return fates


def answers(key: Key, chance: Chance, skill: int) -> dict[str, str]:
    """One student's answers; of ten, ``skill`` are right."""
    found = {}
    for item in key.items:
        for place, question in enumerate(item.problem.questions, 1):
            right = chance.below(10) < skill
            found[f"{item.number}.{place}"] = (
                right_text(question) if right else wrong(item.problem, question, chance)
            )
    return found


def wrong(problem: Problem, question: Question, chance: Chance) -> str:
    """A wrong answer: a slip's where there is one, else another choice, a blank or a scrawl."""
    luck = chance.below(10)
    if luck == 0:
        return ""
    if luck == 1 and question.form is not Form.CHOICE:
        return "see the other page"
    known = facts(problem.ladder)
    slips = [p for p in predictions(problem.ladder, known, question) if p.in_play]
    if slips:
        value = chance.pick(slips).value
        if question.form is Form.QUANTITY and isinstance(value, float):
            return write_quantity(value, question.unit)
        return str(value)
    others = [c.id for c in question.choices if c.id != question.truth]
    return chance.pick(others) if others else ""


if __name__ == "__main__":
    count = fill(Path(sys.argv[1]), Path(sys.argv[2]), *map(int, sys.argv[3:4]))
    print(f"{count} hand-ins in {sys.argv[2]}")
