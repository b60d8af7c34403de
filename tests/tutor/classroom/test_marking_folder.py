"""What came back: whose it is, which of several counts, and what is not opened at all."""

from __future__ import annotations

import json
import os
import socket
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from rungwise.tutor.classroom.handins.files import answers_csv
from rungwise.tutor.classroom.marking.folder import hand_ins
from rungwise.tutor.classroom.marking.marks import HandInState, marks_of
from rungwise.tutor.classroom.report.blocks import report_page
from rungwise.tutor.classroom.report.figures_of_class import report
from rungwise.tutor.cli.sheet import sheet

from .handed_in import (
    ALL_RIGHT,
    FIGURE,
    Class,
    as_csv,
    as_json,
    document,
    folder_of,
    hand_in_all,
    make_class,
    template,
    typed,
    written,
)


def test_equal_hand_ins_count_once_and_a_blank_one_gives_way(room: Class) -> None:
    answers = typed(1, 1)
    for name, data in {
        "b.csv": as_csv(1, answers),
        "a.json": as_json(1, answers),
        "again/b.csv": as_csv(1, answers),
        "answers.csv": as_csv(1, {}),
    }.items():
        path = room.back / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
    (room.back / "two.csv").write_bytes(as_csv(2, {}))
    room.mark()
    first, second, third, *_ = room.found().students
    assert (first.state, first.file) == (HandInState.MARKED, "a.json")
    # A hand-in without any answer is none, and says so.
    assert (second.state, second.notes) == (HandInState.MISSING, ("handed in blank",))
    assert (third.state, third.notes) == (HandInState.MISSING, ())
    assert not room.table("apart.csv")


def test_of_two_that_differ_none_counts(room: Class) -> None:
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT))
    (room.back / "b.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: "1 Hz"}))
    said = room.mark()
    assert "0 students marked" in said and "1 to be looked at" in said
    listed = room.table("apart.csv")
    assert [(row["file"], row["sheet"]) for row in listed] == [("a.csv", "01"), ("b.csv", "01")]
    assert room.table("marks.csv")[0]["state"] == "apart"
    assert room.table("marks.csv")[0]["total"] == ""
    (room.back / "b.csv").unlink()
    room.mark()
    assert room.found().students[0].state is HandInState.MARKED


def changed(number: int, **members: object) -> bytes:
    return json.dumps({**document(number, typed(number, 1)), **members}).encode()


@pytest.mark.parametrize(
    ("data", "folder", "student"),
    [
        (changed(1), "", 1),
        (changed(1, sheet="1"), "", 1),
        (changed(1, sheet="Sheet #001"), "", 1),
        (changed(1, sheet="1.0"), "", 1),
        (changed(1, sheet=""), "", 1),
        (changed(1, sheet="", student="1"), "", 1),  # a spreadsheet made a number of the id
        (changed(1, sheet="", student='o’neil,  "ann"'), "", 1),
        (changed(2, sheet="", student="'=CMD|' /C calc'!A0"), "", 2),
        (changed(5, sheet="", student="王小明"), "", 5),
        (changed(5, student="???"), "", 5),
        (changed(1, sheet="", student=""), folder_of(1), 1),
        (changed(1, sheet="", student=""), f"{folder_of(1).upper()}/deeper", 1),
        (changed(1, student="Somebody"), "", 1),
        (changed(1, student=""), "downloads (3)", 1),
        (changed(1, title=""), "", 1),
        (changed(1, title="filters,  WEEK 3"), "", 1),
        (changed(1, title="Filters? week 3"), "", 1),
        (changed(1, title="Filters, week 2"), "", 0),
        (changed(1, sheet="77"), "", 0),
        (changed(1, sheet="x"), folder_of(1), 0),
        (changed(1, sheet="1 or 2"), "", 0),
        (changed(1, student="002"), "", 0),  # a neighbour's id on one's own sheet
        (changed(1), folder_of(2), 0),
        (changed(1, sheet="", student="Somebody"), "", 0),
        (changed(1, sheet="", student=""), "", 0),
        (b"{}", "", 0),
    ],
)
def test_whose_it_is(room: Class, data: bytes, folder: str, student: int) -> None:
    (room.back / folder).mkdir(parents=True, exist_ok=True)
    (room.back / folder / "x.json").write_bytes(data)
    room.mark()
    states = {s.number: s.state for s in room.found().students if s.state is HandInState.MARKED}
    assert states == ({student: HandInState.MARKED} if student else {})
    assert bool(room.table("apart.csv")) == (not student)
    for row in room.table("apart.csv"):
        assert row["what"] and row["remedy"]


def test_two_of_one_name_are_told_apart_by_number_only(tmp_path: Path) -> None:
    make_class(tmp_path / "out", 2)
    path = tmp_path / "out" / "keys" / "class.json"
    found = json.loads(path.read_bytes())
    for one in found["students"]:
        one["name"] = "Ann"
    path.write_text(json.dumps(found))
    back = tmp_path / "back"
    back.mkdir()
    (back / "a.json").write_bytes(changed(1, student="Ann"))
    (back / "b.json").write_bytes(changed(2, student="Ann", sheet=""))
    result = CliRunner().invoke(sheet, ["mark", str(tmp_path / "out"), str(back)])
    assert result.exit_code == 0
    marks = marks_of(json.loads((tmp_path / "out" / "marks" / "marks.json").read_bytes()))
    # It may be of either: who has none that counts is not just without one.
    assert [s.state for s in marks.students] == [HandInState.MARKED, HandInState.APART]
    assert "several students" in marks.apart[0].what


def test_an_unreadable_file_in_a_students_folder_is_no_missing_hand_in(room: Class) -> None:
    folder = room.back / folder_of(1)
    folder.mkdir()
    (folder / "answers.csv").write_bytes(b"\x89PNG")
    room.mark()
    assert room.found().students[0].state is HandInState.APART
    (folder / "answers.json").write_bytes(as_json(1, typed(1, 1)))
    room.mark()
    assert room.found().students[0].state is HandInState.MARKED
    assert len(room.table("apart.csv")) == 1


def edited(room: Class, change: Callable[[dict[str, Any]], None]) -> None:
    """The class with its document changed."""
    path = room.out / "keys" / "class.json"
    found = json.loads(path.read_bytes())
    change(found)
    path.write_text(json.dumps(found), encoding="utf-8")


def let_go(number: int) -> Callable[[dict[str, Any]], None]:
    """A student leaves the class, as `rungwise sheet make` writes it."""

    def change(document: dict[str, Any]) -> None:
        (gone,) = (one for one in document["students"] if one["number"] == number)
        document["students"].remove(gone)
        document["left"] = [gone]

    return change


@pytest.mark.parametrize(
    ("data", "folder", "says"),
    [
        (changed(7), "", "no longer in the class"),
        (changed(7, sheet="", student="007"), "", "no longer in the class"),
        (changed(7, sheet=""), "", "no longer in the class"),
        (changed(1, sheet="", student=""), folder_of(7), "no longer in the class"),
        (changed(1, student="Ünal, Øyvind"), "", "is of “Ünal, Øyvind”, who has sheet 7"),
    ],
)
def test_who_has_left_is_nobody_elses(room: Class, data: bytes, folder: str, says: str) -> None:
    edited(room, let_go(7))
    (room.back / folder).mkdir(exist_ok=True)
    (room.back / folder / "x.json").write_bytes(data)
    room.mark()
    assert not [s for s in room.found().students if s.state is HandInState.MARKED]
    (listed,) = room.table("apart.csv")
    assert says in listed["what"] and listed["remedy"]
    # Of whom it may be, nobody is said to have handed in nothing.
    apart = [s.number for s in room.found().students if s.state is HandInState.APART]
    assert apart == ([1] if "who has sheet 7" in says else [])


def test_a_name_with_the_last_one_first_and_an_address_are_the_students(room: Class) -> None:
    edited(room, lambda found: found["students"][6].update(email="o.unal@example.org"))
    for name in "Ünal, Øyvind", "O.UNAL@example.org":
        (room.back / "x.json").write_bytes(changed(7, sheet="", student=name))
        room.mark()
        assert room.found().students[6].state is HandInState.MARKED
    (room.back / "x.json").write_bytes(changed(7, student="Ünal, Øyvind"))
    room.mark()
    assert room.found().students[6].notes == ()


def test_a_hand_in_in_the_folder_that_a_course_system_gave_another_is_apart(room: Class) -> None:
    folder = room.back / "Øyvind Ünal_4711_assignsubmission_file"
    folder.mkdir()
    (folder / "answers.json").write_bytes(changed(1))
    room.mark()
    (listed,) = room.table("apart.csv")
    assert "lies in the folder of" in listed["what"]
    states = [student.state for student in room.found().students]
    assert [n for n, state in enumerate(states, 1) if state is HandInState.APART] == [1, 7]
    (folder / "answers.json").write_bytes(changed(1, sheet="", student=""))
    room.mark()
    assert room.found().students[6].notes == ("it does not say whose it is; its folder does",)


@pytest.mark.parametrize(
    ("said", "state"),
    [("b", HandInState.MARKED), ("", HandInState.MARKED), ("A", HandInState.APART)],
)
def test_answers_to_another_variant_are_apart(room: Class, said: str, state: HandInState) -> None:
    edited(room, lambda found: found["students"][0].update(variant="B"))
    for name, data in (
        ("x.json", changed(1, variant=said)),
        ("x.csv", answers_csv({**document(1, typed(1, 1)), "variant": said}).encode()),
    ):
        (room.back / name).write_bytes(data)
        room.mark()
        assert room.found().students[0].state is state
        for listed in room.table("apart.csv"):
            assert "variant “A”, and sheet 1 is of variant B" in listed["what"]
        (room.back / name).unlink()


@pytest.mark.parametrize(
    "spoil",
    [
        lambda path: path.unlink(),
        lambda path: path.write_bytes(b"{"),
        lambda path: path.write_bytes(b"[" * 100_000),
        lambda path: path.write_bytes(b"{}"),
        lambda path: path.write_bytes(path.read_bytes().replace(b'"number":1', b'"number":2')
                                      .replace(b'"number": 1', b'"number": 2')),
        lambda path: path.write_bytes(path.read_bytes().replace(b'"truth"', b'"Truth"')),
    ],
)  # fmt: skip
def test_a_key_that_is_of_no_use_is_told_and_the_others_are_marked(room: Class, spoil: Any) -> None:
    hand_in_all(room.back, 2)
    spoil(room.out / "keys" / folder_of(1) / "key.json")
    room.mark()
    first, second, *_ = room.found().students
    assert (first.state, second.state) == (HandInState.APART, HandInState.MARKED)
    (listed,) = room.table("apart.csv")
    assert listed["file"] == f"keys/{folder_of(1)}/key.json"
    assert room.table("marks.csv")[0]["total"] == ""


@pytest.mark.parametrize(
    "spoil",
    [
        None, b"", b"{}", b"[]", b"[" * 10_000, b'{"format": "rungwise.class/1"}',
        b'{"format": "rungwise.class/1", "plan": {}, "students": [7]}',
        b'{"format": "rungwise.class/1", "plan": {}, "students": [{"number": 1, "folder": ".."}]}',
        b'{"format": "rungwise.class/1", "plan": {}, "students": [{"number": 1, "folder": "CON"}]}',
        b'{"format": "rungwise.class/1", "plan": {}, "students": [{"number": 0, "folder": "a"}]}',
    ],
)  # fmt: skip
def test_a_class_that_is_of_no_use_is_told(room: Class, spoil: bytes | None) -> None:
    path = room.out / "keys" / "class.json"
    path.unlink() if spoil is None else path.write_bytes(spoil)
    said = room.mark(status=2)
    assert "class.json" in said and ";" in said
    assert not room.marks.exists()


def test_what_is_in_the_way_is_told(room: Class, tmp_path: Path) -> None:
    assert "no folder" in CliRunner().invoke(
        sheet, ["mark", str(room.out), str(tmp_path / "nowhere")]
    ).output  # fmt: skip
    assert "not both" in room.mark("--workers", "2", "--cluster", "x", status=2)
    blocked = tmp_path / "file"
    blocked.write_bytes(b"")
    assert room.mark("--out", str(blocked), status=1)
    if sys.platform != "win32":
        room.marks.mkdir()
        (room.marks / "feedback").symlink_to(tmp_path)
        assert "no folder" in room.mark(status=1)


# ------------------------------------------------------------------------------- the folder


@pytest.mark.skipif(sys.platform == "win32", reason="no such files there")
def test_links_pipes_and_devices_are_not_opened(room: Class, tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.mkdir()
    (secret / "answers.csv").write_bytes(as_csv(1, ALL_RIGHT))
    (room.back / "link.csv").symlink_to(secret / "answers.csv")
    (room.back / "folder").symlink_to(secret, target_is_directory=True)
    (room.back / "loop").symlink_to(room.back, target_is_directory=True)
    (room.back / "null.csv").symlink_to("/dev/zero")
    (room.back / "nowhere.json").symlink_to("/nowhere")
    os.mkfifo(room.back / "pipe.csv")
    os.link(secret / "answers.csv", room.back / "hard.csv.txt")
    with socket.socket(socket.AF_UNIX) as end:
        here = os.getcwd()
        os.chdir(room.back)
        end.bind("socket.json")
        os.chdir(here)
        (room.back / "closed.csv").write_bytes(as_csv(1, ALL_RIGHT))
        room.mark()
    listed = {row["file"]: row["what"] for row in room.table("apart.csv")}
    links = {"link.csv", "null.csv", "nowhere.json", "folder", "loop"}
    assert set(listed) == links | {"pipe.csv", "socket.json"}
    assert "link" in listed["folder"]
    assert "link" in listed["link.csv"] and "plain" in listed["pipe.csv"]
    assert room.found().students[0].file == "closed.csv"
    # A plain file is read, whatever it is called and however many names it has.
    became = {row["file"]: row["became"] for row in room.table("files.csv")}
    assert "same" in became["hard.csv.txt"]


def test_names_are_shown_and_never_paths(room: Class) -> None:
    names = ["a\u202eb.csv", "=x.csv", "ü.csv", "x" * 200 + ".CSV"]
    if sys.platform not in ("win32", "darwin"):
        names += ["a\nb.csv", "\x1b[31m.csv", '".csv', "\udcff.csv"]
    for name in names:
        (room.back / name).write_bytes(b"nothing")
    room.mark()
    listed = [row["file"] for row in room.table("apart.csv")]
    assert len(listed) == len(names)
    assert all(file.isprintable() and not file.startswith("=") for file in listed)


def test_litter_and_documents_of_ours_are_passed_over(room: Class) -> None:
    for name in ("._answers.csv", ".hidden.csv", "~$answers.csv", "Thumbs.db", "desktop.ini"):
        (room.back / name).write_bytes(b"?")
    (room.back / "__MACOSX").mkdir()
    (room.back / "__MACOSX" / "answers.csv").write_bytes(b"?")
    (room.back / "sheet.json").write_bytes(b'{"format": "rungwise.sheet/1", "heading": {}}')
    deep = room.back.joinpath(*"abcdefghijk")
    deep.mkdir(parents=True)
    said = room.mark()
    assert [row["what"] for row in room.table("apart.csv")] == ["it is too many folders deep"]
    # They are accounted for all the same.
    assert "6 left behind by operating systems" in said and "1 made by Rungwise" in said
    (ours, _) = sorted(room.table("files.csv"), key=lambda row: -len(row["became"]))
    assert (ours["file"], ours["why"]) == ("sheet.json", "sheet")


@pytest.mark.parametrize(
    ("path", "student", "says"),
    [
        (f"{folder_of(1)}/photo.jpg", 1, "a picture"),
        (f"{folder_of(1)}/deeper/IMG_0001.HEIC", 1, "a picture"),
        (f"{folder_of(2)}.pdf", 2, "a PDF"),
        ("e004.docx", 4, "a text"),
        ("Øyvind Ünal_4711_assignsubmission_file/x.xls", 7, "a workbook"),
        ("王小明.7z", 5, "an archive"),
        (f"{folder_of(3)}/answers", 3, "of a kind"),
        (f"{folder_of(3)}/sheet.pdf", 3, "a PDF"),  # written on, and not what was given
        ("003.jpg", 0, "a picture"),  # rather the number of a picture
        ("holiday.jpg", 0, "a picture"),
    ],
)
def test_what_is_not_read_is_listed_and_its_student_is_unread(
    room: Class, path: str, student: int, says: str
) -> None:
    given = room.out / "students" / folder_of(3)
    given.mkdir(parents=True)
    (given / "sheet.pdf").write_bytes(b"as it was made")
    file = room.back / path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(b"?")
    said = room.mark()
    (listed,) = room.table("apart.csv")
    assert listed["file"] == path and says in listed["what"] and listed["remedy"]
    marks = room.found()
    states = {s.number: s.state for s in marks.students if s.state is not HandInState.MISSING}
    assert states == ({student: HandInState.UNREAD} if student else {})
    if student:
        assert marks.students[student - 1].notes == (f"not read: {path}",)
        row = room.table("marks.csv")[student - 1]
        assert (row["state"], row["total"], row["notes"]) == ("unread", "", f"not read: {path}")
        counts = json.loads((room.marks / "marks.json").read_bytes())["counts"]
        assert counts["unread"] == 1 and counts["missing"] == len(marks.students) - 1
        assert ", 1 unread" in said and path in said
        assert [one.called for one in report(marks).waiting.of(HandInState.UNREAD)] == [
            marks.students[student - 1].name or marks.students[student - 1].id
        ]
        told = [b for division in report_page(report(marks)).divisions for b in division.blocks]
        assert any(path in repr(block) for block in told)
        assert report(marks, anonymous=True).waiting.nothing


def test_the_sheet_itself_beside_a_hand_in_is_nothing_to_be_read(room: Class) -> None:
    given = room.out / "students" / folder_of(1)
    given.mkdir(parents=True)
    (room.back / folder_of(1)).mkdir()
    for folder in (given, room.back / folder_of(1)):
        (folder / "sheet.pdf").write_bytes(b"as it was made")
    room.mark()
    assert room.found().students[0].state is HandInState.MISSING and not room.table("apart.csv")


def test_a_photo_beside_answers_is_listed_and_the_answers_count(room: Class) -> None:
    folder = room.back / folder_of(1)
    folder.mkdir()
    (folder / "answers.csv").write_bytes(as_csv(1, ALL_RIGHT))
    (folder / "sketch.jpg").write_bytes(b"?")
    room.mark()
    student = room.found().students[0]
    assert student.state is HandInState.MARKED and student.points == student.of
    assert student.notes == (f"not read: {folder_of(1)}/sketch.jpg",)
    (folder / "answers.csv").write_bytes(as_csv(1, {}))
    room.mark()
    student = room.found().students[0]
    assert student.state is HandInState.UNREAD
    assert student.notes == (f"handed in blank; not read: {folder_of(1)}/sketch.jpg",)


def test_marks_and_keys_are_no_hand_ins(room: Class) -> None:
    # The students' own folder, or everything there is, may be given.
    hand_in_all(room.out / "students", 3)
    room.back = room.out
    room.mark()
    first = written(room.marks)
    room.mark()
    assert written(room.marks) == first
    assert not room.table("apart.csv")


def test_a_file_that_may_not_be_opened_is_told(
    room: Class, monkeypatch: pytest.MonkeyPatch
) -> None:
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT))
    real = os.open

    def refuse(path: Any, *rest: Any, **named: Any) -> int:
        if str(path).endswith("a.csv"):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, *rest, **named)

    monkeypatch.setattr(os, "open", refuse)
    (found,) = hand_ins(room.back)
    assert "permission denied" in found.what


def test_a_file_is_read_by_its_content_whatever_it_is_called(room: Class) -> None:
    (room.back / "a.csv").write_bytes(as_json(1, ALL_RIGHT))
    (room.back / "b.json").write_bytes(as_csv(2, typed(2, 1)))
    (room.back / "c.json").write_bytes(as_json(3, typed(3, 1)).decode().encode("utf-16"))
    (room.back / "d.json").write_bytes(b"neither")
    room.mark()
    assert [s.number for s in room.found().students if s.state is HandInState.MARKED] == [1, 2, 3]
    assert ["JSON" in row["what"] for row in room.table("apart.csv")] == [True]


def test_a_template_alone_is_no_hand_in(room: Class) -> None:
    (room.back / "answers.json").write_text(json.dumps(template(1)))
    room.mark()
    assert room.found().students[0].state is HandInState.MISSING
