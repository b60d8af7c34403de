"""Whole classes marked: whose is what, what counts, and what changed."""

from __future__ import annotations

import csv
import io
import random
import shutil
import stat
import sys
from concurrent.futures import Executor, Future
from concurrent.futures.process import BrokenProcessPool
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from rungwise.tutor.classroom.making.workers import Processes, Workers
from rungwise.tutor.classroom.marking import run as marking_run
from rungwise.tutor.classroom.marking.changes import changes
from rungwise.tutor.classroom.marking.folder import hand_ins
from rungwise.tutor.classroom.marking.mark import tag
from rungwise.tutor.classroom.marking.marks import (
    ClassMarks,
    HandInState,
    ProblemMark,
    QuestionMark,
    QuestionOutcome,
    StudentMarks,
)
from rungwise.tutor.files.names import folder_name

from .handed_in import (
    ALL_RIGHT,
    COUNT,
    FIGURE,
    NAMES,
    Class,
    as_csv,
    as_json,
    folder_of,
    hand_in_all,
    key_for,
    typed,
    written,
)


def outcome(found: ClassMarks, student: int, question: str) -> QuestionOutcome:
    for problem in found.students[student - 1].problems:
        for mark in problem.questions:
            if mark.number == question:
                return mark.verdict
    raise KeyError(question)


# ------------------------------------------------------------------------------- a whole class


def test_a_class_is_marked(room: Class) -> None:
    hand_in_all(room.back, COUNT)
    said = room.mark()
    assert f"{COUNT} students marked, 0 without a hand-in, 0 to be looked at" in said
    found = room.found()
    assert [(s.number, s.name, s.id) for s in found.students] == [
        (n, *one) for n, one in enumerate(NAMES, 1)
    ]
    assert {s.state for s in found.students} == {HandInState.MARKED}
    rows = room.table("marks.csv")
    for row, student in zip(rows, found.students, strict=True):
        each = [Fraction(row[f"problem {n}"]) for n in (1, 2, 3)]
        assert abs(sum(each) - Fraction(row["total"])) <= Fraction(2, 100)
        assert abs(student.points - Fraction(row["total"])) <= Fraction(1, 200)
        share = float(student.points / student.of)
        assert row["percent"] == f"{100 * share:.1f}".removesuffix(".0")
        assert row["open"] == str(student.open)
    assert not (room.marks / "changes.csv").exists()
    for student in found.students:
        told = (room.marks / "feedback" / f"{student.folder}.txt").read_text("utf-8")
        assert "Filters, week 3" in told


def test_every_cell_is_guarded_and_every_folder_its_own(room: Class) -> None:
    hand_in_all(room.back, COUNT)
    (room.back / "=x.csv").write_bytes(b"@nothing")
    room.mark()
    for path in room.marks.glob("*.csv"):
        text = path.read_bytes().decode("utf-8-sig")
        assert text.count("\n") == text.count("\r\n")
        for cells in csv.reader(io.StringIO(text, newline=""), strict=True):
            assert not any(cell.startswith(tuple("=+-@＝\t\r")) for cell in cells)
    names = [row["name"] for row in room.table("marks.csv")]
    assert names[1] == "'=cmd|' /C calc'!A0"
    assert names[7] == "'＝SUM(A1)"
    assert names[4:6] == ["王小明", "שלום"]
    files = {path.name for path in (room.marks / "feedback").iterdir()}
    assert files == {f"{folder_of(n)}.txt" for n in range(1, COUNT + 1)}
    assert not (room.out.parent / "x").exists()
    if sys.platform != "win32":
        assert stat.S_IMODE(room.marks.stat().st_mode) == 0o700
        assert stat.S_IMODE((room.marks / "marks.json").stat().st_mode) == 0o600


def test_feedback_speaks_of_one_student_and_keeps_the_key(room: Class) -> None:
    answers = dict.fromkeys(ALL_RIGHT, "17 kHz") | {FIGURE: "1 Hz"}
    (room.back / "a.csv").write_bytes(as_csv(1, answers))
    hand_in_all(room.back / "others", COUNT)
    for name in (folder_of(1), "answers.csv"):
        path = room.back / "others" / name
        if path.is_dir():
            shutil.rmtree(path)
    room.mark()
    told = (room.marks / "feedback" / f"{folder_of(1)}.txt").read_text("utf-8")
    assert NAMES[0][0] in told
    assert not any(name in told for name, _ in NAMES[1:])
    assert "not understood yet" in told and "not right, 0 of 1" in told
    for text in ALL_RIGHT.values():
        if len(text) > 8:
            assert text not in told


def test_what_is_unclear_is_listed_and_settled(room: Class) -> None:
    answers = ALL_RIGHT | {FIGURE: "see over"}
    data = as_csv(1, answers) + b'Q9.9,,"left over"\r\n'
    (room.back / "a.csv").write_bytes(data)
    said = room.mark()
    assert "2 answers could not be read" in said
    listed = room.table("unclear.csv")
    assert [(row["sheet"], row["question"], row["typed"]) for row in listed] == [
        ("01", f"Q{FIGURE}", "see over"),
        ("01", "9.9", "left over"),
    ]
    before = room.found().students[0]
    # The teacher fills in a column and saves the table, as a spreadsheet would.
    listed[0]["corrected"] = ALL_RIGHT[FIGURE]
    out = io.StringIO()
    writer = csv.DictWriter(out, list(listed[0]), delimiter=";")
    writer.writeheader()
    writer.writerows(listed)
    (room.marks / "settled.csv").write_bytes(out.getvalue().encode("utf-16"))
    said = room.mark()
    after = room.found().students[0]
    assert after.points == before.points + 1
    assert outcome(room.found(), 1, FIGURE) is QuestionOutcome.RIGHT
    assert f"{NAMES[0][0]}: {before.points} → {after.points}" in said
    changed = {row["question"]: (row["before"], row["after"]) for row in room.table("changes.csv")}
    assert changed == {
        "total": (str(before.points), str(after.points)),
        f"Q{FIGURE}": ("0", "1"),
    }


def test_a_decision_is_about_the_answer_that_was_there(room: Class) -> None:
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: "see over"}))
    room.mark()
    known = tag(1, FIGURE, "see over")  # as tables of earlier releases had it
    (room.marks / "settled.csv").write_text(
        "tag,sheet,question,points,corrected\n"
        f",1,{FIGURE},1,\n"
        f'{known},1,Q{FIGURE},"0,5",\n'  # the same answer twice
        ",1,Q9.9,1,\n"  # no such question
        ",1,Q1.1,7,\n"  # too many points
        ",1,Q1.2,-1,\n"
        ",77,Q1.1,1,\n"  # no such sheet
        "x,,,1,\n"
        ",1,Q1.3,,\n"  # nothing decided
    )
    room.mark()
    assert room.table("marks.csv")[0]["open"] == "0"
    listed = [row["what"] for row in room.table("apart.csv")]
    for piece in ("row 3 decides", "Q9.9", "1 points at most", "row 6", "sheet 77", "row 8"):
        assert sum(piece in what for what in listed) == 1, (piece, listed)
    # A new hand-in: what was decided about the old answer is not taken for this one.
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: "see there"}))
    room.mark()
    assert outcome(room.found(), 1, FIGURE) is QuestionOutcome.UNCLEAR
    assert any("another answer" in row["what"] for row in room.table("apart.csv"))


@pytest.mark.parametrize(
    "typed", ["9" * 3000, "a\u200bb  c\u2028d", ' "quoted", ', "=1+1; =3", "Ω\ufeff", "ﷺ" * 400]
)
def test_any_answer_can_be_decided_about_by_its_tag(room: Class, typed: str) -> None:
    (room.back / "a.json").write_bytes(as_json(1, ALL_RIGHT | {FIGURE: typed}))
    room.mark()
    (listed,) = room.table("unclear.csv")
    (room.marks / "settled.csv").write_text(
        f"question;points;sheet;tag\n{listed['question']};1;{listed['sheet']};{listed['tag']}\n"
    )
    room.mark()
    assert not room.table("apart.csv")
    assert room.table("marks.csv")[0]["open"] == "0"


def test_a_settled_file_that_is_no_table_is_told(room: Class) -> None:
    hand_in_all(room.back, 2)
    room.mark()
    plain = (room.marks / "marks.csv").read_bytes()
    for data in (b"\xff\xfe\0", b"nothing", b'sheet,question\n"', b""):
        (room.marks / "settled.csv").write_bytes(data)
        room.mark()
        assert [row["file"] for row in room.table("apart.csv")] == ["settled.csv"]
        assert (room.marks / "marks.csv").read_bytes() == plain


# ------------------------------------------------------------------------------- regrading


def test_another_tolerance_gives_new_marks_and_keeps_the_old(room: Class) -> None:
    truth = next(
        float(q.truth)
        for item in key_for(1).items
        for place, q in enumerate(item.problem.questions, 1)
        if f"{item.number}.{place}" == FIGURE
    )
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: f"{truth * 1.04:.6g} Hz"}))
    room.mark()
    first = (room.marks / "marks.json").read_bytes()
    said = room.mark("--tolerance", "5 %")
    assert "2 changes since the marks before" in said
    assert [(r["question"], r["was"], r["is"]) for r in room.table("changes.csv")] == [
        ("total", "marked", "marked"),
        (f"Q{FIGURE}", "wrong", "rough"),
    ]
    assert room.found().tolerance == Fraction(1, 20)
    assert (room.marks / "earlier" / "001" / "marks.json").read_bytes() == first
    second = written(room.marks)
    room.mark("--tolerance", "5 %")
    assert written(room.marks) == second
    room.mark()
    assert (room.marks / "marks.json").read_bytes() == first
    assert (room.marks / "earlier" / "002" / "marks.json").read_bytes() == second["marks.json"]


@pytest.mark.parametrize("share", ["0", "60 %", "x", ""])
def test_a_tolerance_that_is_none_is_refused(room: Class, share: str) -> None:
    assert "5 %" in room.mark("--tolerance", share, status=2)


def test_earlier_marks_that_were_damaged_make_all_new(room: Class) -> None:
    hand_in_all(room.back, 3)
    room.mark()
    room.mark("--tolerance", "5 %")
    (room.marks / "earlier" / "001" / "marks.json").write_bytes(b'"students": [\n{"number": 1}\n]')
    room.mark("--tolerance", "5 %")
    assert {row["was"] for row in room.table("changes.csv")} == {""}


def test_a_late_hand_in_changes_one_student_and_no_other(room: Class) -> None:
    hand_in_all(room.back, 5)
    room.mark()
    before = room.found().students
    room.mark()
    assert room.found().students == before
    (room.back / "late.json").write_bytes(as_json(6, typed(6, 1)))
    room.mark()
    after = room.found().students
    assert [n for n in range(COUNT) if before[n] != after[n]] == [5]
    assert {row["number"] for row in room.table("changes.csv")} == {"06"}


def test_whoever_is_gone_or_has_another_s_number_is_among_the_changes() -> None:
    def marks(number: int, name: str, id_: str, *, of: int = 1) -> StudentMarks:
        asked = QuestionMark("1.1", "q", "ratio", Fraction(of), Fraction(of), QuestionOutcome.RIGHT)
        problem = ProblemMark(number=1, level=2, task="analyse", questions=(asked,))
        folder = folder_name(number, name)
        return StudentMarks(
            number=number, folder=folder, name=name, id=id_,
            state=HandInState.MARKED, problems=(problem,),
        )  # fmt: skip

    before = [marks(1, "Ann", "a"), marks(2, "Bo", "b"), marks(3, "Cy", "c"), marks(5, "Di", "d")]
    after = [marks(1, "Anne", "a"), marks(2, "Cy", "c"), marks(4, "Eve", "e")]
    totals = [row[:7] for row in changes(before, after) if row[3] == "total"]
    assert totals == [
        ("02", "b", "Bo", "total", "1", "", "marked"),
        ("02", "c", "Cy", "total", "", "1", ""),
        ("03", "c", "Cy", "total", "1", "", "marked"),
        ("04", "e", "Eve", "total", "", "1", ""),
        ("05", "d", "Di", "total", "1", "", "marked"),
    ]
    assert not list(changes(before, before))


# ------------------------------------------------------------------------------- workers


def test_order_workers_and_what_was_known_leave_the_same_bytes(tmp_path: Path) -> None:
    room = Class(tmp_path, 12)
    hand_in_all(room.back, 12)
    (room.back / "twice.csv").write_bytes(as_csv(3, ALL_RIGHT))
    (room.back / "whose.csv").write_bytes(b"question,answer\nQ1.1,a\n")
    room.mark("--workers", "1")
    here = written(room.marks)
    shutil.rmtree(room.marks)
    room.mark("--workers", "2")
    assert written(room.marks) == here
    shutil.rmtree(room.marks / ".work")
    other = room.back.with_name("moved")
    other.mkdir()
    paths = [path for path in room.back.rglob("*") if path.is_file()]
    random.Random(1).shuffle(paths)
    for path in paths:  # another order in the folder
        target = other / path.relative_to(room.back)
        target.parent.mkdir(exist_ok=True)
        shutil.copyfile(path, target)
    room.back = other
    room.mark()
    assert written(room.marks) == here


class Dying(Workers):
    """Workers of which some die over their work, and take others' work with them."""

    count = 2

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance

    def start(self) -> Executor:
        return _Dying(self.chance)


class _Dying(Executor):
    def __init__(self, chance: random.Random) -> None:
        self.chance, self.broken = chance, False

    def submit(self, function: Any, /, *words: Any, **named: Any) -> Any:
        if self.broken:
            raise BrokenProcessPool("gone")
        future: Future[Any] = Future()
        if self.chance.random() < 0.3:
            self.broken = True
            future.set_exception(BrokenProcessPool("died"))
        else:
            future.set_result(function(*words, **named))
        return future


def test_a_worker_that_dies_is_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from rungwise.tutor.cli import sheet_mark as marking_command

    room = Class(tmp_path, 12)
    hand_in_all(room.back, 12)
    room.mark()
    good = written(room.marks)
    monkeypatch.setattr(marking_run, "BATCH", 2)
    for seed in range(3):
        shutil.rmtree(room.marks)
        dying = Dying(random.Random(seed))
        monkeypatch.setattr(marking_command, "crew", lambda *_, dying=dying: dying)
        said = room.mark()
        assert "12 students marked" in said
        assert "Workers died" in said
        assert written(room.marks) == good


def test_only_one_marks_at_a_time(room: Class) -> None:
    if sys.platform == "win32":
        pytest.skip("a process is not locked out by itself there")
    from rungwise.tutor.files.tree import only_one

    hand_in_all(room.back, 1)
    room.mark()
    with only_one(room.marks / ".work" / "marking") as alone:
        assert alone
        assert "another" in room.mark(status=1)


def test_marks_that_an_earlier_release_kept_in_the_work_folder_go(room: Class) -> None:
    hand_in_all(room.back, 3)
    (room.marks / ".work").mkdir(parents=True)
    for name in ("marking.sqlite", "marking.sqlite-wal"):
        (room.marks / ".work" / name).write_bytes(b"SQLite format 3\0")
    room.mark()
    left = {path.name for path in (room.marks / ".work").iterdir()}
    assert left == {"marking-lock", "decided-lock", "command.json"}


def test_processes_mark_as_one_does(room: Class) -> None:
    # Through the library, with an executor that a caller brings.
    hand_in_all(room.back, COUNT)
    room.mark()
    good = written(room.marks)
    from rungwise.tutor.classroom.marking.made_class import read_class
    from rungwise.tutor.cli.sheet_mark import _key

    shutil.rmtree(room.marks)
    course, entries = read_class(room.out / "keys" / "class.json")
    marking = marking_run.Marking(
        course, entries, hand_ins(room.back), lambda entry: _key(room.out, entry), room.marks
    )
    found = marking_run.mark(marking, Processes(2))
    assert (found.students[HandInState.MARKED], found.deaths) == (COUNT, 0)
    assert written(room.marks) == good
