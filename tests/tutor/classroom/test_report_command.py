"""`rungwise sheet report`, from a folder of marks to its files."""

import json
import random
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.classroom.marking.marks import (
    MARKS_FORMAT,
    ClassMarks,
    apart_document,
    student_document,
)
from rungwise.tutor.cli.sheet import sheet

from .marked_class import marked


def marks_json(marks: ClassMarks) -> bytes:
    whole = {
        "format": MARKS_FORMAT,
        "title": marks.title,
        "course": marks.course,
        "date": marks.date,
        "made_of": marks.made_of,
        "students": [student_document(student) for student in marks.students],
        "apart": [apart_document(apart) for apart in marks.apart],
    }
    return json.dumps(whole, ensure_ascii=False).encode()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "marks").mkdir()
    (tmp_path / "marks" / "marks.json").write_bytes(marks_json(marked(12)))
    return tmp_path / "marks"


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(sheet, ["report", *map(str, words)])


def test_all_files_are_there_and_the_same_again(folder: Path) -> None:
    told = run(folder)
    assert told.exit_code == 0, told.output
    names = {"marks.json", "report.html", "report.pdf", "report.json", "follow-up.toml"}
    assert {path.name for path in folder.iterdir()} == names
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert run(folder).exit_code == 0
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    plan_of(tomllib.loads(before["follow-up.toml"].decode()))
    assert json.loads(before["report.json"])["handed_in"] == 12
    for name in names - {"marks.json"}:
        assert name in told.output


def test_the_report_can_be_text(folder: Path) -> None:
    told = run(folder, "--formats", "text")
    assert told.exit_code == 0, told.output
    text = (folder / "report.txt").read_text("utf-8")
    assert text.startswith("Class report\n============\n") and "Skills by points lost" in text
    assert "O'Neil" in text and "\x1b" not in text
    assert not (folder / "report.html").exists()


def test_a_plan_that_was_changed_is_left_alone(folder: Path) -> None:
    run(folder)
    plan = folder / "follow-up.toml"
    plan.write_text(plan.read_text("utf-8") + "# mine\n", "utf-8")
    told = run(folder)
    assert told.exit_code == 0
    assert plan.read_text("utf-8").endswith("# mine\n")
    assert "left as it is" in told.output


def test_an_anonymous_report_goes_elsewhere_and_brings_no_plan(folder: Path) -> None:
    out = folder.parent / "shown" / "to all"
    told = run(folder, "--anonymous", "--out", out, "--formats", "html,text,json")
    assert told.exit_code == 0, told.output
    assert {path.name for path in out.iterdir()} == {
        "report-anonymous.html",
        "report-anonymous.txt",
        "report-anonymous.json",
    }
    for path in out.iterdir():
        assert "O'Neil" not in path.read_text("utf-8")
        assert "O&#39;Neil" not in path.read_text("utf-8")


def test_a_folder_without_marks_is_told_in_a_sentence(tmp_path: Path) -> None:
    told = run(tmp_path / "nowhere")
    assert told.exit_code == 2
    assert "marks.json" in told.output
    assert "rungwise sheet mark" in told.output


def test_a_format_that_is_not_there(folder: Path) -> None:
    told = run(folder, "--formats", "docx")
    assert told.exit_code == 2
    assert "'docx'" in told.output


def test_a_folder_that_cannot_be_written_to(folder: Path) -> None:
    (folder.parent / "file").write_text("x")
    told = run(folder, "--out", folder.parent / "file" / "x")
    assert told.exit_code == 1
    assert "Traceback" not in told.output


def test_damaged_marks_files(folder: Path) -> None:
    whole = (folder / "marks.json").read_bytes()
    chance = random.Random(9)
    refused = 0
    for _ in range(120):
        data = bytearray(whole)
        match chance.randrange(4):
            case 0:
                data = data[: chance.randrange(len(data))]
            case 1:
                for _ in range(chance.randrange(1, 5)):
                    data[chance.randrange(len(data))] = chance.randrange(256)
            case 2:
                data = bytearray(mutated(chance, json.loads(whole)))
            case _:
                data[chance.randrange(len(data)) :][:0] = b"[" * chance.choice((1, 100_000))
                data = data[:]
        (folder / "marks.json").write_bytes(bytes(data))
        told = run(folder, "--formats", "html,json")
        assert told.exit_code in (0, 2), told.output
        assert told.exception is None or isinstance(told.exception, SystemExit)
        refused += told.exit_code == 2
    assert refused > 40


def mutated(chance: random.Random, document: object) -> bytes:
    """One value somewhere in a document is another one."""
    here = document
    while True:
        assert isinstance(here, dict | list)
        key = chance.choice(list(here)) if isinstance(here, dict) else chance.randrange(len(here))
        inner = here[key]  # type: ignore[call-overload]
        if isinstance(inner, dict | list) and inner and chance.random() < 0.9:
            here = inner
            continue
        strange = [None, -1, 1e999, "", "x\x1b[31m", [], {}, "9" * 5000, "1/0", True, 10**30]
        here[key] = chance.choice(strange)  # type: ignore[call-overload]
        return json.dumps(document).encode()
