"""`rungwise sheet export`: packages and statements as files, and what it refuses."""

from __future__ import annotations

import json
import os
import random
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from rungwise.tutor.classroom.interchange.class_folder import open_folder
from rungwise.tutor.classroom.making.enrolment import enrolled
from rungwise.tutor.classroom.making.ledger import MadeFrom
from rungwise.tutor.classroom.marking.marks import StudentMarks
from rungwise.tutor.cli.sheet import sheet

from .handed_in import PLAN, folder_of, make_class, student
from .marked_class import marked
from .test_report_command import marks_json


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("made")
    make_class(out, 3)
    for number in (1, 2, 3):
        (out / "students" / folder_of(number)).mkdir(parents=True)
    (out / "marks").mkdir()
    (out / "marks" / "marks.json").write_bytes(marks_json(marked(6)))
    return out


def run(*words: str | Path) -> Result:
    result = CliRunner().invoke(sheet, ["export", *map(str, words)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.output
    return result


def below(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_package_as_a_file_and_as_a_folder(made: Path, tmp_path: Path) -> None:
    told = run(made, "--to", tmp_path / "q.zip")
    assert told.exit_code == 0, told.output
    assert "3 sheets" in told.output
    assert "contains the key" in told.output
    assert run(made, "--to", tmp_path / "deep" / "er", "--qti").exit_code == 0
    with zipfile.ZipFile(tmp_path / "q.zip") as found:
        assert below(tmp_path / "deep" / "er") == {n: found.read(n) for n in found.namelist()}
    first = (tmp_path / "q.zip").read_bytes()
    assert run(made, "--to", tmp_path / "q.zip").exit_code == 2
    assert run(made, "--to", tmp_path / "q.zip", "--force").exit_code == 0
    assert (tmp_path / "q.zip").read_bytes() == first
    assert run(made, "--to", tmp_path / "deep" / "er").exit_code == 2
    (tmp_path / "deep" / "er" / "old.xml").write_text("of another time")
    assert run(made, "--to", tmp_path / "deep" / "er", "--force").exit_code == 0
    assert "old.xml" not in below(tmp_path / "deep" / "er")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["deep", "q.zip"]


def test_only_some_sheets(made: Path, tmp_path: Path) -> None:
    assert run(made, "--to", tmp_path / "one", "--each", "--only", "2").exit_code == 0
    assert {name.partition("/")[0] for name in below(tmp_path / "one")} == {
        "imsmanifest.xml",
        "sheet-02",
    }
    told = run(made, "--to", tmp_path / "pool", "--only", "2")
    assert told.exit_code == 0, told.output
    assert (tmp_path / "pool" / "test.xml").exists()
    told = run(made, "--to", tmp_path / "none", "--only", "9")
    assert told.exit_code == 2
    assert "no sheet 9" in told.output


def test_nothing_is_ever_put_among_the_students_files(
    made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = below(made)
    mine = made / "students" / folder_of(1)
    monkeypatch.chdir(made)
    places = [mine / "q.zip", "students/new", made / "keys" / ".." / "students" / "q.zip"]
    if sys.platform != "win32":
        os.symlink(made / "students", tmp_path / "link")
        places.append(tmp_path / "link" / "q.zip")
    for place in (*places, made / "students"):
        for more in ((), ("--xapi",)):
            told = run(made, "--to", place, "--force", *more)
            assert told.exit_code == 2
            assert "students' files" in told.output
    assert below(made) == before


def test_statements_as_a_file(made: Path, tmp_path: Path) -> None:
    told = run(made, "--to", tmp_path / "a.jsonl", "--xapi")
    assert told.exit_code == 0, told.output
    assert "6 students" in told.output
    lines = (tmp_path / "a.jsonl").read_text("utf-8").splitlines()
    assert {json.loads(line)["version"] for line in lines} == {"2.0.0"}
    assert f"{len(lines)} statements" in told.output
    assert run(made, "--to", tmp_path, "--xapi", made / "marks").exit_code == 0
    assert (tmp_path / "statements.jsonl").read_bytes() == (tmp_path / "a.jsonl").read_bytes()
    assert run(made, "--to", tmp_path, "--xapi", made / "marks").exit_code == 2
    assert run(made, "--to", tmp_path / "b", "--xapi", made / "marks", "--only", "1").exit_code == 0
    assert len((tmp_path / "b").read_text("utf-8").splitlines()) < len(lines)
    assert run(made, "--to", tmp_path / "c", "--xapi", tmp_path / "nowhere").exit_code == 2
    assert run(made, "--to", tmp_path / "c", "--qti", "--xapi").exit_code == 2


def test_a_folder_without_sheets_is_told_in_a_sentence(tmp_path: Path) -> None:
    told = run(tmp_path, "--to", tmp_path / "q.zip")
    assert told.exit_code == 2
    assert "class.json" in told.output
    assert list(tmp_path.iterdir()) == []


def test_damaged_folders(made: Path, tmp_path: Path) -> None:
    whole = tmp_path / "class"
    make_class(whole, 1)
    chance = random.Random(5)
    files = [whole / "keys" / "class.json", whole / "keys" / folder_of(1) / "key.json"]
    good = [file.read_bytes() for file in files]
    refused = 0
    for turn in range(200):
        file, data = files[turn % 2], bytearray(good[turn % 2])
        match chance.randrange(3):
            case 0:
                data = data[: chance.randrange(len(data))]
            case 1:
                data[chance.randrange(len(data))] = chance.randrange(256)
            case _:
                document = json.loads(data)
                here = document
                while isinstance(here, dict | list) and here:
                    key = (
                        chance.choice(list(here))
                        if isinstance(here, dict)
                        else chance.randrange(len(here))
                    )
                    if not isinstance(here[key], dict | list) or chance.random() < 0.1:
                        here[key] = chance.choice([None, -1, "", "../../x", [], {}, 10**30, True])
                        break
                    here = here[key]
                data = bytearray(json.dumps(document).encode())
        file.write_bytes(bytes(data))
        told = run(whole, "--to", tmp_path / "q.zip", "--force")
        assert told.exit_code in (0, 2), told.output
        refused += told.exit_code == 2
        file.write_bytes(good[turn % 2])
        if told.exit_code == 2:
            assert "Traceback" not in told.output
    assert refused > 100
    assert {path.name for path in tmp_path.iterdir()} <= {"class", "q.zip"}


def test_a_key_of_another_plan_is_refused(tmp_path: Path) -> None:
    make_class(tmp_path / "a", 1)
    key = tmp_path / "a" / "keys" / folder_of(1) / "key.json"
    document = json.loads(key.read_bytes())
    document["items"].pop()
    key.write_bytes(json.dumps(document).encode())
    told = run(tmp_path / "a", "--to", tmp_path / "q")
    assert told.exit_code == 2
    assert "problems" in told.output
    assert not (tmp_path / "q").exists()
    assert open_folder(tmp_path / "a").plan.title


def test_results_are_not_said_to_be_of_another_s_address(made: Path, tmp_path: Path) -> None:
    """Marks made before a roster was edited: their numbers may be other students by now."""
    out = tmp_path / "out"
    rows = [replace(student(number), email=f"{number}@x.edu") for number in (1, 2)]
    keys = out / "keys"
    keys.mkdir(parents=True)
    plan = PLAN
    members = enrolled(plan, rows).members
    (keys / "class.json").write_bytes(MadeFrom.of(plan, members).class_bytes())
    found = marked(2)
    theirs = [
        replace(marks, folder=member.folder, id=member.student.id)
        for marks, member in zip(found.students, members, strict=False)
    ]
    (out / "marks").mkdir()

    def export(students: list[StudentMarks]) -> Result:
        text = marks_json(replace(found, students=tuple(students)))
        (out / "marks/marks.json").write_bytes(text)
        return run(out, "--xapi", "--emails", "--to", tmp_path / "x.jsonl", "--force")

    assert export(theirs).exit_code == 0
    swapped = [replace(marks, number=3 - marks.number) for marks in reversed(theirs)]
    told = export(swapped)
    assert told.exit_code == 2 and "not of the sheets" in told.output
