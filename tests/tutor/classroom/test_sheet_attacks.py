"""What a review of sheets tried against them: places, full disks, and what is told of them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from rungwise.tutor.cli.sheet import sheet
from rungwise.tutor.files.tree import among_students

from .handed_in import folder_of, hand_in_all, make_class

PLAN = """format = "rungwise.plan/1"
title = "Filters"
seed = 5
[[sections]]
levels = [1]
ask = ["type"]
problems = 1
"""


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(sheet, [str(word) for word in words])


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """A class with sheets and keys, and hand-ins in ``back``."""
    out, back = tmp_path / "out", tmp_path / "back"
    make_class(out, 2)
    hand_in_all(back, 2)
    (out / "students" / folder_of(1)).mkdir(parents=True)
    return out


@pytest.mark.parametrize("below", ["", "more/below"])
def test_no_key_is_made_among_the_students_files(out: Path, tmp_path: Path, below: str) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN)
    place = out / "students" / folder_of(1) / below
    before = sorted(out.rglob("*"))
    made = run("make", plan, "--count", "1", "--formats", "json", "--workers", "1", "--out", place)
    assert made.exit_code == 1
    assert "students' files" in made.output
    assert sorted(out.rglob("*")) == before


def test_no_marks_are_written_among_the_students_files(out: Path, tmp_path: Path) -> None:
    place = out / "students" / folder_of(1) / "marks"
    marked = run("mark", out, tmp_path / "back", "--out", place, "--workers", "1")
    assert marked.exit_code == 1
    assert "students' files" in marked.output
    assert not place.exists()
    # Nor where a link leads there.
    link = tmp_path / "link"
    link.symlink_to(out / "students", target_is_directory=True)
    assert run("mark", out, tmp_path / "back", "--out", link / "marks").exit_code == 1
    assert among_students(link)
    assert not among_students(out / "marks")
    assert not among_students(tmp_path / "students")


def test_a_link_in_place_of_the_marks_is_not_followed(out: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (out / "marks").symlink_to(elsewhere, target_is_directory=True)
    marked = run("mark", out, tmp_path / "back", "--workers", "1")
    assert marked.exit_code == 1
    assert "is a link" in marked.output
    assert not list(elsewhere.iterdir())


@pytest.mark.skipif(sys.platform == "win32", reason="limits as POSIX has them")
def test_marking_on_a_full_disk_says_so_and_goes_on_later(out: Path, tmp_path: Path) -> None:
    """Files are limited to ever more bytes, so that another write fails each time."""
    failed = 0
    for limit in (0, 16, 64, 256, 1 << 10, 1 << 12, 1 << 14, 1 << 16, 1 << 18):
        script = (
            "import resource, sys\n"
            f"resource.setrlimit(resource.RLIMIT_FSIZE, ({limit}, {limit}))\n"
            "from rungwise.tutor.cli.sheet import sheet\n"
            "sheet(sys.argv[1:])\n"
        )
        words = ["mark", str(out), str(tmp_path / "back"), "--workers", "1"]
        done = subprocess.run(
            [sys.executable, "-c", script, *words],
            capture_output=True,
            text=True,
            check=False,
            timeout=300,
        )
        assert "Traceback" not in done.stderr
        if done.returncode:
            failed += 1
            assert "run the same command to go on" in done.stderr
    assert failed > 3
    assert run(*words).exit_code == 0
    assert (out / "marks" / "marks.json").is_file()


def test_texts_for_students_are_announced_where_there_are_any(out: Path, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "feedback" not in run("mark", out, empty, "--workers", "1").output
    assert "feedback" in run("mark", out, tmp_path / "back", "--workers", "1").output


def test_it_is_told_that_pdfs_have_no_letters_for_a_name(tmp_path: Path) -> None:
    plan, roster = tmp_path / "plan.toml", tmp_path / "roster.csv"
    plan.write_text(PLAN)
    words = ("make", plan, "--students", roster, "--workers", "1", "--formats")
    roster.write_text("name\nAnn\n王小明\n李雷\nสมชาย\n", encoding="utf-8")
    told = run(*words, "pdf", "--out", tmp_path / "a").output
    # Once for each script, with a font that has it.
    assert told.count("RUNGWISE_FONTS") == 2
    assert (
        "To print 王小明, add a font that has Han letters: for example, put Noto Serif SC into"
        in told
    )
    assert "To print สมชาย, add a font that has Thai letters" in told
    assert "RUNGWISE" not in run(*words, "text", "--out", tmp_path / "b").output
    roster.write_text("name\nAnn\nØyvind\n", encoding="utf-8")
    assert "RUNGWISE" not in run(*words, "pdf", "--out", tmp_path / "c").output


@pytest.mark.parametrize("command", ["make", "mark"])
def test_a_file_in_place_of_a_folder_wants_another_name(
    out: Path, tmp_path: Path, command: str
) -> None:
    plan, taken = tmp_path / "plan.toml", tmp_path / "taken"
    plan.write_text(PLAN)
    taken.write_text("mine")
    words = {
        "make": ("make", plan, "--count", "1", "--formats", "json"),
        "mark": ("mark", out, tmp_path / "back"),
    }
    for place in (taken, taken / "below"):
        said = run(*words[command], "--workers", "1", "--out", place)
        assert said.exit_code == 1
        assert "give another --out" in said.output
        assert "go on" not in said.output
    assert taken.read_text() == "mine"


@pytest.mark.parametrize("command", ["make", "mark"])
def test_no_name_at_all_is_not_this_folder(
    out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    """What ``--out "$UNSET"`` gives: neither keys nor marks are put wherever one stands."""
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN)
    words = {
        "make": ("make", plan, "--count", "1", "--formats", "json"),
        "mark": ("mark", out, tmp_path / "back"),
    }
    said = run(*words[command], "--out", "")
    assert said.exit_code == 2
    assert "--out" in said.output
    assert not list(here.iterdir())


def test_no_database_is_written_where_a_link_leads(out: Path, tmp_path: Path) -> None:
    work, other = out / "marks" / ".work", tmp_path / "other.sqlite3"
    work.mkdir(parents=True)
    (work / "marking.sqlite").symlink_to(other)
    assert run("mark", out, tmp_path / "back", "--workers", "1").exit_code == 0
    assert not other.exists()
