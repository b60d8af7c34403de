"""Making sheets: the same bytes however they are made, and nothing lost that isn't ours."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import pytest
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets import lots as sheets_lots
from rungwise.problems.sheets.documents import key_of, plan_from, sheet_of
from rungwise.problems.sheets.keyed_chance import whose_chance
from rungwise.problems.sheets.lots import DrawnLots, drawn, families_of, redrawn
from rungwise.problems.sheets.model import (
    NUMBERED_PLAN_FORMAT,
    PLAN_FORMATS,
    Key,
    Plan,
    PlanSection,
    PlanTrouble,
    Series,
    Sheet,
    SheetError,
    Student,
)
from rungwise.tutor.classroom.handins.files import read_csv, read_json
from rungwise.tutor.classroom.making import jobs as making_jobs
from rungwise.tutor.classroom.making.ledger import StaleError
from rungwise.tutor.classroom.making.make import MakingJob, MakingOutcome, make
from rungwise.tutor.classroom.making.workers import Here, Processes, Workers
from rungwise.tutor.classroom.roster import anonymous
from rungwise.tutor.documents.pages_form import Page
from rungwise.tutor.files.tree import BusyError, OutsideError

PLAN = Plan("Filters <b>", 7, (PlanSection(levels=(1,), count=2, ask=(Rung.TYPE, Rung.CORNER)),))
# A family of which there are few circuits in E6, so that drafts meet.
FEW = PlanSection(families=("rl-low-pass",), count=2, ask=(Rung.TYPE,), series=Series.E6)
NAMES = ['O\'Neil, "Ann"', "=cmd|x", "../../x", "<b>", "王小明", "שרה כהן", "a" * 300, "Bo"]
CLASS = tuple(Student(n, name, f"S{n}") for n, name in enumerate(NAMES, 1))


def run(
    out: Path,
    plan: Plan = PLAN,
    students: Sequence[Student] = CLASS,
    formats: Sequence[str] = ("json",),
    workers: Workers | None = None,
    **more: bool,
) -> MakingOutcome:
    return make(MakingJob(plan, students, out, formats, **more), workers or Here())


def content(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class made by this very process."""
    out = tmp_path_factory.mktemp("made") / "out"
    outcome = run(out)
    assert (outcome.made, outcome.there) == (len(CLASS), 0)
    return out


# --- what is made -----------------------------------------------------------------------------


def test_files_are_where_they_belong(made: Path) -> None:
    folders = ["01-oneil-ann", "02-cmd-x", "03-x", "04-b", "05-student", "06-student"]
    folders += [f"07-{'a' * 40}", "08-bo"]
    for top, files in (
        ("students", ["answers.csv", "answers.json", "sheet.json"]),
        ("keys", ["key.json"]),
    ):
        names = [p.name for p in sorted((made / top).iterdir()) if p.is_dir()]
        assert names == folders
        for folder in folders:
            assert sorted(p.name for p in (made / top / folder).iterdir()) == files
    rest = [p.name for p in sorted((made / "keys").iterdir()) if p.is_file()]
    assert rest == [".making-lock", ".making.json", "class.json"]


def test_pages_of_a_variant_are_worked_out_once_and_differ_in_their_heads_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked_out: list[str] = []
    key_page = making_jobs.key_page

    def noting(sheet: Sheet, key: Key) -> Page:
        worked_out.append(sheet.student.name)
        return key_page(sheet, key)

    monkeypatch.setattr(making_jobs, "key_page", noting)
    plan = replace(PLAN, variants=("A", "B"))
    students = [replace(s, variant="AB"[s.number % 2]) for s in CLASS]
    run(tmp_path / "all", plan, students, ("html", "text"), long_keys=True)
    assert len(worked_out) == 2
    whole = content(tmp_path / "all")
    worked_out.clear()
    for student in students:  # one by one nothing is shared
        some = students[: student.number]
        run(tmp_path / "one by one", plan, some, ("html", "text"), long_keys=True)
    assert len(worked_out) == len(CLASS)
    alone = content(tmp_path / "one by one")
    pages = {path for path in whole if not path.startswith("keys/.making")}
    assert {p: whole[p] for p in pages} == {p: alone[p] for p in pages}
    names = [path for path in pages if path.endswith(("/key.html", "sheet.txt"))]
    assert len({whole[path] for path in names}) == len(names) == 2 * len(CLASS)


def test_each_format_has_its_files(tmp_path: Path) -> None:
    run(tmp_path, students=CLASS[:1], formats=("text", "html", "json"))
    there = {p.name for p in tmp_path.rglob("*.*") if not p.name.startswith(".")}
    assert there == {
        *("sheet.txt", "sheet.html", "sheet.json", "answers.csv", "answers.json"),
        *("short-key.txt", "short-key.html", "key.json", "class.json", "answer-table.html"),
    }
    run(tmp_path, students=CLASS[:1], formats=("text",), long_keys=True)
    assert (tmp_path / "keys/01-oneil-ann/key.txt").exists()
    pytest.importorskip("typst")
    outcome = run(tmp_path, students=CLASS[:1], formats=("pdf",))
    assert outcome.made == 1  # what was there has stayed, and pages are added
    for path in ("students/01-oneil-ann/sheet.pdf", "keys/01-oneil-ann/short-key.pdf"):
        assert (tmp_path / path).read_bytes().startswith(b"%PDF-")
    assert (tmp_path / "students/01-oneil-ann/sheet.txt").exists()


def test_documents_are_read_back_and_belong_together(made: Path) -> None:
    course = json.loads((made / "keys/class.json").read_bytes())
    assert course["format"] == "rungwise.class/1"
    assert plan_from(course["plan"]) == replace(PLAN, seed=0)  # it holds a seal in its place
    for student, entry in zip(CLASS, course["students"], strict=True):
        assert (entry["number"], entry["name"], entry["id"]) == (
            student.number,
            student.name,
            student.id,
        )
        folder = entry["folder"]
        sheet = sheet_of(json.loads((made / "students" / folder / "sheet.json").read_bytes()))
        key = key_of(json.loads((made / "keys" / folder / "key.json").read_bytes()))
        assert sheet.student == key.student == student
        asked = [q.number for item in sheet.items for q in item.questions]
        for file, read in (("answers.csv", read_csv), ("answers.json", read_json)):
            data = (made / "students" / folder / file).read_bytes()
            back = read(data)
            assert back.blank and (back.sheet, back.student) == (entry["sheet"], student.id)
            assert all(number in data.decode("utf-8-sig") for number in asked)


def test_nothing_of_a_key_is_in_a_student_s_folder(tmp_path: Path) -> None:
    plan = replace(PLAN, seed=8314159265358979323)
    formats = ("text", "html", "json")
    run(tmp_path, plan, CLASS[:2], formats)
    families = "|".join(re.escape(family.name) for family in FAMILIES)
    words = re.compile(rf"8314159265358979323|\b({families})\b|truth|\bseed\b".encode())
    for path, data in content(tmp_path / "students").items():
        assert "key" not in path and not words.search(data), path
    keys = content(tmp_path / "keys")
    assert any(words.search(data) for data in keys.values())  # the pattern finds what is there


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_keys_are_for_the_teacher_only(made: Path) -> None:
    for path in (made / "keys").rglob("*"):
        assert path.stat().st_mode & 0o077 == 0, path
    assert (made / "keys").stat().st_mode & 0o077 == 0


def test_no_two_students_share_a_circuit_though_circuits_are_few(tmp_path: Path) -> None:
    section = replace(FEW, count=4)
    plan = replace(PLAN, sections=(section,))
    students = anonymous(20)
    run(tmp_path / "a", plan, students, workers=Processes(2))
    circuits = [
        tuple(sorted(f"{e.kind}{e.value}" for e in item.problem.ladder.elements()))
        for path in sorted((tmp_path / "a/keys").glob("*/key.json"))
        for item in key_of(json.loads(path.read_bytes())).items
    ]
    assert len(circuits) == len(set(circuits)) == 80
    # And drafts did meet: without the rule some circuits are shared.
    run(tmp_path / "b", replace(plan, unshared=False), students)
    drafted, kept = content(tmp_path / "b/keys"), content(tmp_path / "a/keys")
    assert any(drafted[p] != kept[p] for p in kept if p.endswith("key.json"))
    # The first students' sheets don't depend on those behind them.
    run(tmp_path / "c", plan, students[:15])
    first = content(tmp_path / "c/students")
    assert first == {p: content(tmp_path / "a/students")[p] for p in first}


@pytest.mark.parametrize("again", [False, True])
def test_a_plan_that_asks_too_much_for_so_many_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, again: bool
) -> None:
    def used_up(plan: Plan, student: Student) -> DrawnLots:
        if student.number == 3 and not again:
            raise SheetError(PlanTrouble("sections[0]", "", "there are not enough circuits"))
        made = drawn(plan, student)
        return replace(made, prints=("one for all",) * len(made.prints)) if again else made

    def none_left(plan: Plan, student: Student, *others: Any) -> object:
        if student.number == 3:
            raise SheetError(PlanTrouble("sections[0]", "", "there are not enough circuits"))
        return redrawn(plan, student, *others)

    monkeypatch.setattr(making_jobs, "drawn", used_up)
    monkeypatch.setattr(making_jobs, "redrawn", none_left)
    plan = replace(PLAN, format=NUMBERED_PLAN_FORMAT) if again else PLAN
    with pytest.raises(SheetError, match="not enough circuits"):
        run(tmp_path, plan)
    assert not [path for path in tmp_path.rglob("*") if path.name[0] != "." and path.is_file()]
    monkeypatch.undo()
    assert run(tmp_path, plan).made == len(CLASS)


@pytest.mark.parametrize("form", PLAN_FORMATS[:2])
def test_how_many_circuits_there_are_and_are_needed_is_told_before_anything_is_written(
    tmp_path: Path, form: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the family there are about 700; with fewer draws than 300 they are used up earlier."""
    monkeypatch.setattr(sheets_lots, "_TRIES", 4)
    plan = replace(PLAN, sections=(PLAN.sections[0], replace(FEW, count=3)), format=form)
    students = anonymous(80)
    with pytest.raises(SheetError) as caught:
        run(tmp_path, plan, students)
    [trouble] = caught.value.troubles
    assert (trouble.path, trouble.value) == ("sections[1]", "rl-low-pass")
    told = dict(trouble.what.values)  # type: ignore[union-attr]
    families = families_of(plan, 0, whose_chance(plan, students[0]))
    assert told["needed"] == 80 * (3 + families.count("rl-low-pass"))
    assert told["tries"] == 4 and 50 < told["found"] < told["needed"]
    assert not [path for path in tmp_path.rglob("*") if path.name[0] != "." and path.is_file()]


# --- however it is made ---------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 3])
def test_the_same_bytes_from_any_number_of_processes(
    made: Path, tmp_path: Path, count: int
) -> None:
    run(tmp_path, workers=Processes(count))
    assert content(tmp_path) == content(made)


class StopError(Exception):
    """Something that happens in the midst of it."""


@pytest.mark.parametrize("after", [0, 1, 3, 7])
def test_a_run_that_was_stopped_is_continued(made: Path, tmp_path: Path, after: int) -> None:
    def tell(done: int, of: int) -> None:
        if done == after:
            raise StopError

    with pytest.raises(StopError):
        make(MakingJob(PLAN, CLASS, tmp_path, ("json",)), Here(), tell)
    assert not (tmp_path / "keys/class.json").exists()
    outcome = run(tmp_path)
    assert (outcome.made, outcome.there) == (len(CLASS) - after, after)
    assert content(tmp_path) == content(made)


def test_a_finished_run_makes_nothing_again(tmp_path: Path) -> None:
    run(tmp_path)
    before = {p: p.stat().st_mtime_ns for p in (tmp_path / "students").rglob("*")}
    outcome = run(tmp_path)
    assert (outcome.made, outcome.there) == (0, len(CLASS))
    assert before == {p: p.stat().st_mtime_ns for p in (tmp_path / "students").rglob("*")}


def test_what_was_deleted_is_made_again(made: Path, tmp_path: Path) -> None:
    run(tmp_path)
    (tmp_path / "keys/03-x/key.json").unlink()
    (tmp_path / "students/05-student/answers.csv").unlink()
    assert run(tmp_path).made == 2
    assert content(tmp_path) == content(made)


def test_students_may_join_at_the_end(made: Path, tmp_path: Path) -> None:
    run(tmp_path, students=CLASS[:5])
    outcome = run(tmp_path)
    assert (outcome.made, outcome.there) == (3, 5)
    assert content(tmp_path) == content(made)


def test_half_a_line_in_the_list_of_what_was_made_does_no_harm(made: Path, tmp_path: Path) -> None:
    def tell(done: int, of: int) -> None:
        if done == 3:
            raise StopError

    with pytest.raises(StopError):
        make(MakingJob(PLAN, CLASS, tmp_path, ("json",)), Here(), tell)
    lines = tmp_path / "keys/.making.lines"
    lines.write_bytes(lines.read_bytes()[:-20])
    assert run(tmp_path).made == 6
    assert content(tmp_path) == content(made)


# --- what is there already ------------------------------------------------------------------------


def test_another_plan_or_class_is_told_and_changes_nothing(tmp_path: Path) -> None:
    run(tmp_path)
    before = content(tmp_path)
    section = replace(PLAN.sections[0], tolerance=Fraction(1, 20))
    other = replace(PLAN, title="Other", sections=(section,))
    with pytest.raises(StaleError) as caught:
        run(tmp_path, other)
    assert caught.value.differences == (
        "the plan has another sections[0].tolerance",
        "the plan has another title",
    )
    assert content(tmp_path) == before


def test_where_rows_count_another_class_is_told_and_changes_nothing(tmp_path: Path) -> None:
    numbered = replace(PLAN, format=NUMBERED_PLAN_FORMAT)
    run(tmp_path, numbered)
    before = content(tmp_path)
    with pytest.raises(StaleError) as caught:
        run(tmp_path, numbered, students=(replace(CLASS[0], name="Anna"), *CLASS[1:7]))
    assert caught.value.differences == (
        "there were 8 students, and there are 7",
        'student 1 was O\'Neil, "Ann" (S1), and is Anna (S1)',
    )
    assert content(tmp_path) == before


def test_again_makes_all_anew_and_removes_what_it_made_before(tmp_path: Path) -> None:
    other = replace(PLAN, seed=8, format=NUMBERED_PLAN_FORMAT)
    students = (replace(CLASS[0], name="Anna"), *CLASS[1:6])
    run(tmp_path / "a", formats=("json", "text"))
    filled = tmp_path / "a/students/08-bo/answers.csv"
    filled.write_text("question,answer\nQ1.1,a\n")
    outcome = run(tmp_path / "a", other, students, again=True)
    assert outcome.made == 6
    assert outcome.left == ["students/08-bo/answers.csv"]  # an answer is nothing to be lost
    filled.unlink()
    filled.parent.rmdir()
    run(tmp_path / "b", other, students)
    assert content(tmp_path / "a") == content(tmp_path / "b")


@pytest.mark.parametrize("after", [0, 2, 5])
def test_making_anew_is_continued_too(tmp_path: Path, after: int) -> None:
    other = replace(PLAN, seed=8)

    def tell(done: int, of: int) -> None:
        if done == after:
            raise StopError

    run(tmp_path / "a")
    with pytest.raises(StopError):
        make(MakingJob(other, CLASS, tmp_path / "a", ("json",), again=True), Here(), tell)
    assert not (tmp_path / "a/keys/class.json").exists()  # nobody marks by half of it
    assert run(tmp_path / "a", other).aside == []
    run(tmp_path / "b", other)
    assert content(tmp_path / "a") == content(tmp_path / "b")


def test_what_somebody_changed_is_left_and_told(tmp_path: Path) -> None:
    run(tmp_path)
    filled = tmp_path / "students/02-cmd-x/answers.csv"
    filled.write_text("question,answer\nQ1.1,b\n")
    outcome = run(tmp_path)
    assert outcome.made == 0 and outcome.left == ["students/02-cmd-x/answers.csv"]
    outcome = run(tmp_path, again=True)
    assert outcome.made == 1
    assert outcome.aside == [
        ("students/02-cmd-x/answers.csv", "students/02-cmd-x/answers.csv.kept-1")
    ]
    kept = filled.with_name("answers.csv.kept-1")
    assert kept.read_text() == "question,answer\nQ1.1,b\n"


def test_a_folder_of_somebody_else_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "students/01-oneil-ann").mkdir(parents=True)
    mine = tmp_path / "students/01-oneil-ann/sheet.json"
    mine.write_text("mine")
    (tmp_path / "notes.txt").write_text("mine too")
    with pytest.raises(StaleError, match="did not make"):
        run(tmp_path)
    outcome = run(tmp_path, again=True)
    assert outcome.aside[0][0] == "students/01-oneil-ann/sheet.json"
    assert mine.with_name("sheet.json.kept-1").read_text() == "mine"
    assert (tmp_path / "notes.txt").read_text() == "mine too"


@pytest.mark.parametrize("damage", [b"", b"{}", b"[]", b"null", b'{"format": "rungwise.making/1"}'])
def test_a_damaged_list_of_what_was_made_is_told(tmp_path: Path, damage: bytes) -> None:
    run(tmp_path)
    head = tmp_path / "keys/.making.json"
    whole = head.read_bytes()
    head.write_bytes(damage)
    with pytest.raises(StaleError, match="can't be read"):
        run(tmp_path)
    assert run(tmp_path, again=True).made == len(CLASS)
    assert head.read_bytes() == whole


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Where anything stands in a document."""
    inner = value.items() if isinstance(value, dict) else ()
    inner = enumerate(value) if isinstance(value, list) else inner
    for key, deeper in inner:
        yield (*path, key)
        yield from _places(deeper, (*path, key))


def test_whatever_is_changed_in_the_list_is_told_or_does_no_harm(tmp_path: Path) -> None:
    run(tmp_path, students=CLASS[:2])
    head, chance = tmp_path / "keys/.making.json", Random(5)
    whole = head.read_bytes()
    spoilt = (None, -1, 10**30, "x", "../../x", [], {}, True, 1.5, "\ud800")
    places = [place for place in _places(json.loads(whole)) if place[0] != "plan"]
    told = 0
    for place in chance.sample(places, 30):
        document = json.loads(whole)
        inner = document
        for key in place[:-1]:
            inner = inner[key]
        inner[place[-1]] = chance.choice(spoilt)
        head.write_text(json.dumps(document))
        try:
            run(tmp_path, students=CLASS[:2])
        except (StaleError, OutsideError):
            told += 1
    assert 0 < told < 30
    assert run(tmp_path, students=CLASS[:2], again=True).left == []


def test_a_list_of_what_was_made_leads_nowhere_else(tmp_path: Path) -> None:
    run(tmp_path / "out")
    victim = tmp_path / "victim"
    victim.write_text("mine")
    head = tmp_path / "out/keys/.making.json"
    document = json.loads(head.read_bytes())
    from hashlib import sha256

    document["stale"] = {"../victim": [sha256(b"mine").hexdigest()]}
    head.write_text(json.dumps(document))
    with pytest.raises((StaleError, OutsideError)):
        run(tmp_path / "out")
    assert victim.read_text() == "mine"


@pytest.mark.skipif(os.name == "nt", reason="links need rights on Windows")
def test_a_student_s_folder_that_is_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "out/students").mkdir(parents=True)
    (tmp_path / "out/students/01-oneil-ann").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OutsideError, match="link"):
        run(tmp_path / "out", again=True)
    assert not list((tmp_path / "elsewhere").iterdir())


def test_two_runs_do_not_meet_in_one_folder(tmp_path: Path) -> None:
    def tell(done: int, of: int) -> None:
        if done == 1:
            with pytest.raises(BusyError):
                run(tmp_path)

    make(MakingJob(PLAN, CLASS[:2], tmp_path, ("json",)), Here(), tell)
