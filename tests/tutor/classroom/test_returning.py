"""Solutions given back: what stands on a student's page, where it goes, and when it is replaced."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from shutil import copytree, rmtree

import pytest
from click.testing import CliRunner
from lxml import html
from pypdf import PdfReader
from rungwise.problems.questions.model import Form
from rungwise.tutor.classroom.interchange.class_folder import given, open_folder
from rungwise.tutor.classroom.making.enrolment import enrolled
from rungwise.tutor.classroom.making.ledger import MadeFrom
from rungwise.tutor.classroom.marking.marks import HandInState, QuestionOutcome
from rungwise.tutor.classroom.returning.page import returned_page
from rungwise.tutor.classroom.returning.release import chosen
from rungwise.tutor.cli.sheet import sheet
from rungwise.tutor.documents.rendered import rendered
from rungwise.tutor.files.names import folder_name, sheet_name

from .handed_in import (
    ALL_RIGHT,
    FIGURE,
    NAMES,
    PLAN,
    Class,
    as_csv,
    folder_of,
    hand_in_all,
    key_for,
    student,
)

RETURNED = "returned.html"


def give(room: Class, *options: str, status: int = 0) -> str:
    words = ["return", str(room.marks), "--formats", "html", *options]
    found = CliRunner().invoke(sheet, words)
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    assert found.exit_code == status, found.output
    return found.output


def texts(room: Class, to: Path | None = None) -> dict[str, str]:
    """Every student's page, as a reader sees it, by folder."""
    root = to or room.out / "returned"
    return {
        path.parent.name: " ".join(html.fromstring(path.read_bytes()).text_content().split())
        for path in sorted(root.glob(f"*/{RETURNED}"))
    }


@pytest.fixture
def marked(room: Class) -> Class:
    """A class of which all but the last two have handed in, and one of those a photograph."""
    hand_in_all(room.back, len(NAMES) - 2)
    photo = room.back / folder_of(len(NAMES))
    photo.mkdir(exist_ok=True)
    (photo / "page <b>1<b>.jpg").write_bytes(b"\xff\xd8")
    room.mark()
    return room


def test_everybody_gets_a_page_of_their_own(marked: Class) -> None:
    give(marked)
    found = texts(marked)
    assert sorted(found) == sorted(folder_of(number) for number in range(1, len(NAMES) + 1))
    for marks in marked.found().students:
        page = found[folder_of(marks.number)]
        assert marks.name in page
        others = [one.name for one in marked.found().students if one.number != marks.number]
        assert not any(name in page for name in others)


def test_each_question_is_there_with_what_it_came_to(marked: Class) -> None:
    give(marked)
    found = texts(marked)
    checked = set()
    for marks in marked.found().students:
        page = found[folder_of(marks.number)]
        for question in marks.questions:
            checked.add(question.verdict)
            if question.verdict is QuestionOutcome.BLANK:
                continue
            typed = (
                f"{question.typed})" if re.fullmatch("[a-z]", question.typed) else question.typed
            )
            assert " ".join(typed.split()) in page, question
            for hit in question.slips:
                bare = re.sub(r"\W", "", hit.sentence)
                assert bare in re.sub(r"\W", "", page)
    assert {QuestionOutcome.RIGHT, QuestionOutcome.WRONG} <= checked


def test_what_was_right_takes_a_line_and_all_else_is_worked(room: Class) -> None:
    wrong = dict(ALL_RIGHT) | {FIGURE: "123.4 MHz", "1.1": ""}
    (room.back / "x.csv").write_bytes(as_csv(1, wrong))
    room.mark()
    give(room)
    root = html.fromstring((room.out / "returned" / folder_of(1) / RETURNED).read_bytes())
    for place in root.xpath("//section[@class='q']"):
        number = place.xpath("./div[@class='number']")[0].text_content()
        worked = place.xpath(".//dl[@class='judged']")
        marks = {q.number: q for q in room.found().students[0].questions}[number]
        assert bool(worked) is not marks.verdict.passed, number
        if worked:
            key = key_for(1).items[int(number.split(".")[0]) - 1].problem
            question = key.questions[int(number.split(".")[1]) - 1]
            assert place.xpath(".//dd[@class='strong']"), question.form
    assert len(root.xpath("//dl[@class='judged']")) >= 2


def test_answers_that_wait_are_said_to_be_open(room: Class) -> None:
    (room.back / "x.csv").write_bytes(as_csv(1, {"1.1": "zzz", "1.2": "see photo"}))
    room.mark()
    said = give(room)
    page = texts(room)[folder_of(1)]
    assert "Open: you answered zzz" in page
    assert "Open: you wrote see photo" in page
    assert "still wait for your teacher: 2" in page
    assert "wait for you" in said


def test_pages_without_marks_say_why_and_tell_no_answer(marked: Class) -> None:
    give(marked)
    found = texts(marked)
    missing, unread = folder_of(len(NAMES) - 1), folder_of(len(NAMES))
    states = {one.folder: one.state for one in marked.found().students}
    assert states[missing] is HandInState.MISSING
    assert states[unread] is HandInState.UNREAD
    assert "No hand-in of yours" in found[missing]
    assert "page <b>1<b>.jpg" in found[unread]
    for folder in (missing, unread):
        raw = (marked.out / "returned" / folder / RETURNED).read_text()
        assert "<b>1<b>" not in raw
        assert "<section" not in raw


def test_nothing_is_released_but_by_the_command(marked: Class) -> None:
    assert not (marked.out / "returned").exists()
    students = marked.out / "students"
    students.mkdir(exist_ok=True)
    before = sorted(students.rglob("*"))
    give(marked)
    assert sorted(students.rglob("*")) == before
    said = give(marked, "--to", str(students / "01-x"), status=1)
    assert "never put there" in said
    assert sorted(students.rglob("*")) == before


def test_given_back_again_it_replaces_what_changed_and_says_whose(marked: Class) -> None:
    give(marked)
    root = marked.out / "returned"
    stamps = {path: path.stat().st_mtime_ns for path in root.rglob("*.html")}
    assert "as before: 8" in give(marked)
    (marked.back / "from student 2.csv").write_bytes(as_csv(2, {"1.1": "b"}))
    marked.mark()
    said = give(marked)
    assert "replaced, as marks have changed: 1" in said
    assert f"{sheet_name(2)} {NAMES[1][0]}" in said
    changed = {path for path in stamps if path.stat().st_mtime_ns != stamps[path]}
    assert changed == {root / folder_of(2) / RETURNED}


def test_what_somebody_else_changed_is_put_aside(marked: Class) -> None:
    give(marked)
    page = marked.out / "returned" / folder_of(1) / RETURNED
    page.write_text("mine")
    said = give(marked)
    assert "was changed by somebody" in said
    assert (page.parent / f"{RETURNED}.kept-1").read_text() == "mine"
    assert "mine" not in page.read_text()
    page.unlink()
    give(marked)
    assert page.exists()
    assert not (page.parent / f"{RETURNED}.kept-2").exists()


def test_after_a_kill_nothing_is_taken_for_somebody_elses(
    marked: Class, monkeypatch: pytest.MonkeyPatch
) -> None:
    from rungwise.tutor.files.tree import FolderTree

    real, count = FolderTree.write, 0

    class KilledError(BaseException):
        pass

    def write(self: FolderTree, path: str, data: bytes) -> None:
        nonlocal count
        count += 1
        if count == 4:
            raise KilledError
        real(self, path, data)

    monkeypatch.setattr(FolderTree, "write", write)
    with pytest.raises(KilledError):
        give(marked)
    monkeypatch.undo()
    said = give(marked)
    assert "was changed" not in said
    assert len(texts(marked)) == len(NAMES)


def test_only_some_students(marked: Class) -> None:
    give(marked, "--students", f"2-3, {NAMES[3][1]}, {NAMES[6][0]}")
    assert sorted(texts(marked)) == sorted(map(folder_of, (2, 3, 4, 7)))
    assert "nobody here is called" in give(marked, "--students", "Nobody", status=2)


def test_two_of_one_name_are_asked_about(marked: Class) -> None:
    members = open_folder(marked.out).students
    with pytest.raises(ValueError, match="several"):
        chosen([members[0], members[0]], NAMES[0][0])
    assert chosen(members, NAMES[0][0]) == [1]  # a name may have a comma in it
    assert chosen(members, f"{NAMES[0][0]}; 3-4") == [1, 3, 4]


def test_marks_of_other_sheets_are_refused(marked: Class) -> None:
    text = (marked.marks / "marks.json").read_text()
    (marked.marks / "marks.json").write_text(text.replace('"rung":"type"', '"rung":"poles"'))
    assert "not of the sheets" in give(marked, status=2)
    assert not list((marked.out / "returned").rglob("*.html"))


def test_marks_elsewhere_need_the_folder_of_the_sheets(marked: Class, tmp_path: Path) -> None:
    other = tmp_path / "other" / "marks"
    other.parent.mkdir()
    marked.marks.rename(other)
    words = ["return", str(other), "--formats", "html"]
    found = CliRunner().invoke(sheet, words)
    assert found.exit_code == 2 and "--sheets" in found.output
    to = tmp_path / "to"
    found = CliRunner().invoke(sheet, [*words, "--sheets", str(marked.out), "--to", str(to)])
    assert found.exit_code == 0, found.output
    assert len(texts(marked, to)) == len(NAMES)


def test_hostile_marks_stay_text(marked: Class) -> None:
    """A teacher's own hand in marks.json, or a student's in an answer, is never markup."""
    path = marked.marks / "marks.json"
    text = path.read_text()
    bad = json.dumps("</p><script>alert(1)</script>\u202e\x1b[31m R1 #panic()")[1:-1]
    path.write_text(re.sub(r'"typed":"[^"]*"', lambda _: f'"typed":"{bad}"', text))
    give(marked)
    for page in (marked.out / "returned").rglob("*.html"):
        raw = page.read_text()
        assert "<script" not in raw
        assert "\u202e" not in raw and "\x1b" not in raw


def test_the_pdf_says_the_same_and_is_tagged(marked: Class) -> None:
    (one,) = given(open_folder(marked.out), [1])
    marks = marked.found().students[0]
    page = returned_page(one, marks, "out")
    assert page.whose is not None and page.whose.reached
    reader = PdfReader(BytesIO(rendered(page, "pdf", one.sheet.heading.paper)))
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    text = " ".join("".join(page.extract_text() for page in reader.pages).split())
    plain = rendered(page, "text").decode()
    for question in marks.questions:
        assert question.number in text
        assert question.number in plain
    assert f"{page.whose.reached} of {page.whose.points}" in plain


def test_every_form_of_question_can_be_given_back(marked: Class) -> None:
    """Also sketches and H(s), with the right sketch drawn where it was not."""
    (one,) = given(open_folder(marked.out), [2])
    forms = {q.form for item in one.key.items for q in item.problem.questions}
    assert Form.SKETCH in forms
    rmtree(marked.back)
    marked.back.mkdir()
    (marked.back / "x.csv").write_bytes(as_csv(2, {"1.1": "a"}))
    marked.mark()
    raw = rendered(returned_page(one, marked.found().students[1], "out"), "html").decode()
    root = html.fromstring(raw)
    sketches = sum(q.form is Form.SKETCH for item in one.key.items for q in item.problem.questions)
    assert len(root.xpath("//section[@class='q']//figure")) == sketches
    assert all(svg.get("role") == "img" for svg in root.xpath("//*[local-name()='svg']"))


def test_marks_of_whom_a_number_meant_before_are_not_given_to_another(
    marked: Class,
) -> None:
    """A roster edited after marking: pages would have one student's name and another's marks."""
    rows = [replace(student(n), number=place) for place, n in enumerate((2, 1), 1)]
    members = MadeFrom.of(PLAN, enrolled(PLAN, rows).members)
    for entry in open_folder(marked.out).students[:2]:
        other = folder_name(3 - entry.number, entry.name, entry.id)
        (marked.out / "keys" / entry.folder).rename(marked.out / "keys" / other)
    (marked.out / "keys/class.json").write_bytes(members.class_bytes())
    assert "not of the sheets" in give(marked, status=2)
    assert not list((marked.out / "returned").rglob("*.html"))


@pytest.mark.parametrize("changed", ["answer", "variant", "family"])
def test_marks_of_another_circuit_are_refused(marked: Class, changed: str) -> None:
    """Sheets made again since, of another plan or variant: asked alike, about other circuits."""
    path = marked.marks / "marks.json"
    found = json.loads(path.read_bytes())
    if changed == "variant":
        found["students"][0]["variant"] = "B"
    elif changed == "family":
        found["students"][0]["problems"][0]["family"] = "series-lc"
    else:
        found["students"][0]["problems"][0]["questions"][-1]["answer"] = "1.234 Hz"
    path.write_text(json.dumps(found))
    assert "not of the sheets" in give(marked, status=2)
    assert not list((marked.out / "returned").rglob("*.html"))


def test_marks_of_an_earlier_release_are_given_back(tmp_path: Path) -> None:
    """Whose right answers may be worded otherwise."""
    first = Path(__file__).parent / "old/first"
    copy = tmp_path / "first"
    copytree(first, copy)
    words = ["return", str(copy), "--sheets", str(copy / "out"), "--formats", "text"]
    found = CliRunner().invoke(sheet, [*words, "--to", str(tmp_path / "to")])
    assert found.exit_code == 0, found.output
    assert len(list((tmp_path / "to").rglob("returned.txt"))) == 4


def test_who_handed_in_a_blank_file_is_told_so(room: Class) -> None:
    (room.back / "a.csv").write_bytes(as_csv(1, {}))
    room.mark()
    give(room)
    found = texts(room)
    assert "no answer in what you handed in (a.csv)" in found[folder_of(1)]
    assert "No hand-in of yours" in found[folder_of(2)]
