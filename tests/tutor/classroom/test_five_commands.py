"""From an empty folder to a marked class by the README's commands, for names of all kinds."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from pypdf import PdfReader
from rungwise.tutor.language.texts import table

from tests.studies.fill_a_class import fill, others

README = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
BIN = Path(sys.executable).parent

NAMES = (
    *("Ann Tenna", 'O\'Neil, "Ann"', "=cmd|x", "../../x", "王小明", "محمد علي", "Žofie Dvořáková"),
    *("שרה כהן", "+49 Nummer", "@sum", "-1+1"),
    *("a" * 300, "CON", "Bo Wire", "Bo Wire", "#set page(fill: red)", "</script><script>", "$x$"),
)  # fmt: skip
"""More of them are tried on each sheet's pages and on the roster, in tests of their own."""


def commands() -> list[str]:
    """The five commands, without the one that a student types into."""
    found = re.search(r"<!-- commands: sheets -->\n```sh\n(.*?)\n```", README, re.DOTALL)
    assert found
    lines = found[1].splitlines()
    assert [line.split()[2] for line in lines] == ["start", "make", "fill", "mark", "report"]
    return lines


def run(command: str, folder: Path) -> str:
    """What a command says; it must not fail."""
    path = f"{BIN}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=folder,
        input="",
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, "PATH": path, "PYTHONUTF8": "1"},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder in which all of it was done, but for a plan made shorter: a class of 18."""
    folder = tmp_path_factory.mktemp("class")
    start, make, _, mark, report = commands()
    with (folder / "roster.csv").open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file)
        table.writerow(["name", "id"])
        table.writerows((name, f"s{n:02d}") for n, name in enumerate(NAMES, 1))
    run(start, folder)
    run(make, folder)
    assert fill(folder / "sheets", folder / "hand-ins") == len(NAMES) - 1
    last = max((folder / "sheets" / "students").iterdir()).name
    fates = others(folder / "sheets", folder / "hand-ins", last)
    (folder / "fates.json").write_text(json.dumps(fates))
    run(mark, folder)
    run(report, folder)
    return folder


def test_every_student_has_a_sheet_and_nobody_a_key(marked: Path) -> None:
    students = sorted((marked / "sheets" / "students").iterdir())
    assert len(students) == len(NAMES)
    for folder, name in zip(students, NAMES, strict=True):
        assert re.fullmatch(r"[0-9]{2}-[a-z0-9-]{1,60}", folder.name)
        found = sorted(file.name for file in folder.iterdir())
        assert found == [
            *("answers.csv", "answers.json", "sheet.html", "sheet.json", "sheet.pdf", "sheet.txt")
        ]
        sheet = json.loads((folder / "sheet.json").read_text(encoding="utf-8"))
        assert sheet["student"]["name"] == name
    outside = {path.name for path in marked.iterdir()}
    assert outside == {"plan.toml", "roster.csv", "sheets", "hand-ins", "fates.json"}


def test_every_file_that_came_back_is_accounted_for(marked: Path) -> None:
    text = (marked / "sheets" / "marks" / "files.csv").read_text(encoding="utf-8-sig")
    became = {row["file"]: row["became"] for row in csv.DictReader(io.StringIO(text, newline=""))}
    expected = json.loads((marked / "fates.json").read_text())
    words = table("handins")["fate"]
    assert {file: became.get(file) for file in expected} == {
        file: words[fate] for file, fate in expected.items()
    }
    came = {p.relative_to(marked / "hand-ins").as_posix() for p in (marked / "hand-ins").rglob("*")
            if p.is_file()}  # fmt: skip
    assert came <= became.keys()
    assert Counter(became.values())[words["counts"]] == len(NAMES) - 1
    marks = json.loads((marked / "sheets" / "marks" / "marks.json").read_bytes())
    assert [s["state"] for s in marks["students"]] == ["marked"] * (len(NAMES) - 1) + ["unread"]


def test_what_students_get_says_nothing_of_keys(marked: Path) -> None:
    secret = re.search(r"^seed = (\d+)", (marked / "plan.toml").read_text(encoding="utf-8"), re.M)
    assert secret
    for folder in (marked / "sheets" / "students").iterdir():
        key = marked / "sheets" / "keys" / folder.name / "key.json"
        assert '"seed"' not in key.read_text(encoding="utf-8")
        families = {i["problem"]["family"] for i in json.loads(key.read_bytes())["items"]} - {""}
        for file in folder.iterdir():
            data = file.read_bytes()
            if file.suffix == ".pdf":
                pages = PdfReader(io.BytesIO(data)).pages
                data = "\n".join(page.extract_text() for page in pages).encode()
            for word in (secret[1], *families, '"truth"', "key.json"):
                assert word.encode() not in data, (file, word)


def test_marks_are_for_a_grade_book(marked: Path) -> None:
    text = (marked / "sheets" / "marks" / "marks.csv").read_text(encoding="utf-8-sig")
    head, *rows = csv.reader(io.StringIO(text, newline=""))
    assert len(rows) == len(NAMES)
    for row in rows:
        for cell in row:
            assert not re.match(r"[=+\-@\t\r]", cell) or re.fullmatch(r"-?[0-9.]+", cell)
    percent = [float(row[head.index("percent")]) for row in rows[:-1]]
    assert 20 < sum(percent) / len(percent) < 95
    assert max(percent) - min(percent) > 20


def test_the_report_is_there_and_its_plan_can_be_made(marked: Path) -> None:
    marks = marked / "sheets" / "marks"
    html = (marks / "report.html").read_text(encoding="utf-8")
    assert "</script><script>" not in html
    assert (marks / "report.pdf").read_bytes().startswith(b"%PDF")
    run("rungwise sheet make follow-up.toml --count 1 --formats text --out again", marks)
    assert (marks / "again" / "students").is_dir()
