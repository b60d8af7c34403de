"""What is made of a whole class: files to print, short keys, everybody's right answers."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets.documents import key_of
from rungwise.problems.sheets.model import Plan, PlanSection, Student
from rungwise.problems.sheets.printing import PrintOptions
from rungwise.tutor.classroom.making.make import MakingJob, MakingOutcome, make
from rungwise.tutor.classroom.making.together import LIST
from rungwise.tutor.classroom.making.workers import Here
from rungwise.tutor.cli.sheet import sheet

LONG = PlanSection(levels=(2,), count=3, ask=(Rung.TYPE, Rung.CORNER))
PLAN = Plan("Filters", 2**60 + 9, (LONG, PlanSection("Sight", count=9, by_inspection=9)))
PRINTED = replace(PLAN, printing=PrintOptions(together=True, answer_files=False))
NAMES = ("Zoe", "Ann", "Bo", "王芳", "Cy")
CLASS = tuple(
    Student(n, name, f"s{n}", group=("Thu 10", "Thu 14")[n % 2], seat=f"B{9 - n}" if n < 4 else "")
    for n, name in enumerate(NAMES, 1)
)


def run(out: Path, plan: Plan = PRINTED, formats: tuple[str, ...] = ("pdf",)) -> MakingOutcome:
    return make(MakingJob(plan, CLASS, out, formats), Here())


def pages(path: Path) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(path.read_bytes())).pages]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("together") / "out"
    run(out)
    return out


def test_a_group_s_sheets_lie_in_order_each_on_leaves_of_its_own(made: Path) -> None:
    found = pages(made / "print/thu-14.pdf")
    assert len(found) % 2 == 0
    cover = found[0]
    # By seat first, then by name.
    places = [cover.index(name) for name in ("Bo", "Zoe", "Cy")]
    assert places == sorted(places) and "Thu 14" in cover and "Ann" not in cover
    first = [n for n, text in enumerate(found) if "1 of" in text and n]
    assert len(first) == 3 and all(n % 2 == 0 for n in first)
    for n, name in zip(first, ("Bo", "Zoe", "Cy"), strict=True):
        assert name in found[n]
    sheet = pages(made / "students/03-bo/sheet.pdf")
    assert found[first[0] : first[0] + len(sheet)] == sheet
    assert (made / "print/thu-10.pdf").exists()


def test_nothing_of_a_key_is_in_what_is_printed_and_no_word_of_answer_files(made: Path) -> None:
    assert not list((made / "students").rglob("answers.*"))
    for path in (made / "print").iterdir():
        for text in pages(path):
            assert "answer file" not in text and "For the teacher" not in text


def test_everybody_s_right_answers_stand_in_one_table(made: Path) -> None:
    text = "\n".join(pages(made / "keys/answer-table.pdf")).replace("\n", " ")
    for entry in json.loads((made / "keys/class.json").read_bytes())["students"]:
        key = key_of(json.loads((made / f"keys/{entry['folder']}/key.json").read_bytes()))
        for item in key.items:
            for question in item.problem.questions:
                if question.rung is Rung.CORNER:
                    assert right_text(question).removesuffix("Hz").strip() in text
    assert "For the teacher only" in text


def test_what_is_there_is_not_made_again_and_what_is_another_s_is_kept(
    made: Path, tmp_path: Path
) -> None:
    import shutil

    out = tmp_path / "out"
    shutil.copytree(made, out)
    before = {path: path.stat().st_mtime_ns for path in out.rglob("*.pdf")}
    assert run(out).made == 0
    assert before == {path: path.stat().st_mtime_ns for path in out.rglob("*.pdf")}
    table = out / "keys/answer-table.pdf"
    table.write_bytes(b"mine")
    (out / LIST).unlink()
    outcome = run(out)
    assert ("keys/answer-table.pdf", "keys/answer-table.pdf.kept-1") in outcome.aside
    assert (out / "keys/answer-table.pdf.kept-1").read_bytes() == b"mine"
    assert table.read_bytes().startswith(b"%PDF-")


def test_a_group_that_is_no_more_leaves_no_file_to_print(made: Path, tmp_path: Path) -> None:
    import shutil

    out = tmp_path / "out"
    shutil.copytree(made, out)
    moved = tuple(replace(one, group="Thu 14") for one in CLASS)
    make(MakingJob(PRINTED, moved, out, ("pdf",)), Here())
    assert [path.name for path in (out / "print").iterdir()] == ["thu-14.pdf"]


def test_one_student_s_copy_in_large_print(tmp_path: Path) -> None:
    job = MakingJob(PLAN, CLASS[:2], tmp_path, ("pdf",), large=CLASS[1:2])
    make(job, Here())
    assert [path.parent.name for path in tmp_path.rglob("sheet-large.pdf")] == ["02-ann"]
    plain, large = (
        pages(tmp_path / f"students/02-ann/{name}.pdf") for name in ("sheet", "sheet-large")
    )
    assert len(large) > len(plain)
    assert not (tmp_path / "print").exists()


def typed(tmp_path: Path, *words: object) -> Result:
    here = [str(word) for word in words]
    return CliRunner().invoke(sheet, ["make", str(tmp_path / "plan.toml"), *here])


def test_printing_as_it_is_typed(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(
        f'format = "rungwise.plan/3"\ntitle = "A quiz"\nseed = {2**60 + 9}\n'
        "[[sections]]\nby_inspection = 2\n",
        encoding="utf-8",
    )
    (tmp_path / "roster.csv").write_text(
        "name,student id\nAnn,s1\nBo,s2\nBo,s3\n", encoding="utf-8"
    )
    out = tmp_path / "out"
    words = ("--students", tmp_path / "roster.csv", "--out", out, "--workers", "1")
    for who, told in (("Zoe", "nobody in the roster is called Zoe"), ("bo", "2 students")):
        done = typed(tmp_path, *words, "--large", who)
        assert done.exit_code == 2 and told in done.output
    assert not out.exists()
    done = typed(tmp_path, *words, "--print", "--large", "S3", "--formats", "pdf")
    assert done.exit_code == 0 and f"Files to print, one a group: {out}" in done.output
    assert [path.parent.name for path in out.rglob("sheet-large.pdf")] == ["03-bo"]
    assert len(pages(out / "print/all.pdf")) == 2 + 3 * 2
    assert not list(out.rglob("key.pdf")) and len(list(out.rglob("short-key.pdf"))) == 3
    done = typed(tmp_path, *words, "--formats", "text", "--long-keys")
    assert len(list(out.rglob("key.txt"))) == 3
    # What was asked for once is kept up.
    assert (out / "print/all.pdf").exists() and (out / "keys/answer-table.pdf").exists()


def test_sheets_without_a_pdf_are_told_where_they_cannot_be_printed(tmp_path: Path) -> None:
    outcome = run(tmp_path, formats=("text",))
    assert len(outcome.missing) == len(CLASS) and not (tmp_path / "print").exists()
