"""Papers entered in the grid, without a screen; and what marking makes of them."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from rungwise.problems.questions.model import Form
from rungwise.tutor.classroom.entering.grid import CellState, EntryGrid, Way
from rungwise.tutor.classroom.entering.open_class import open_class
from rungwise.tutor.classroom.handins.entered import EnteredHow
from rungwise.tutor.classroom.marking.marks import HandInState, QuestionOutcome
from rungwise.tutor.cli.sheet import sheet

from .handed_in import NAMES, Class, as_csv, folder_of, key_for
from .papers import FIGURES, cells, grid_of, keys_for, on_paper


@pytest.fixture
def grid(room: Class) -> EntryGrid:
    return grid_of(room.out)


def at(grid: EntryGrid, *forms: Form) -> None:
    """Go to the first cell whose question has one of these forms."""
    for place, number in enumerate(grid.columns):
        if grid.rows[0].questions[number].question.form in forms:
            grid.go(0, place)
            return
    raise AssertionError(forms)


def test_one_question_across_all_students_then_one_student_down_the_sheet(grid: EntryGrid) -> None:
    assert grid.way is Way.QUESTION
    assert (grid.row, grid.column) == (0, 0)
    assert grid.step(1)
    assert (grid.row, grid.column) == (1, 0)
    grid.go(len(grid.rows), 0)
    assert grid.step(1)
    assert (grid.row, grid.column) == (0, 1)
    grid.turn()
    assert grid.step(1)
    assert (grid.row, grid.column) == (0, 2)
    assert grid.step(-1)
    grid.go(99, 99)
    assert not grid.step(1)


def test_what_is_typed_is_judged_as_marking_judges_it(grid: EntryGrid) -> None:
    at(grid, *FIGURES)
    asked = grid.asked
    assert asked is not None
    for text, state in (
        (asked.right, CellState.RIGHT),
        (" ", CellState.RIGHT),
        ("+", CellState.RIGHT),
        (";1", CellState.WRONG),
        ("", CellState.BLANK),
        ("idk", CellState.BLANK),
        ("=0.5", CellState.POINTS),
        ("'17.3 kHz", CellState.WRONG),
    ):
        assert grid.give(text) == ""
        read = grid.told(grid.row, grid.column)
        assert read is not None and read.state is state, text
        assert grid.undo() == ""
        assert grid.entered() is None
        assert grid.done == 0


def test_a_slip_that_is_picked_is_named(grid: EntryGrid) -> None:
    """What is written down for a slip is marked as that slip."""
    named = 0
    for row, paper in enumerate(grid.rows[:3]):
        for number in paper.questions:
            column = grid.columns.index(number)
            grid.go(row, column)
            for place, slip in enumerate(paper.questions[number].slips, 1):
                assert grid.give(f";{place}") == ""
                read = grid.told(row, column)
                assert read is not None and read.state is CellState.WRONG
                assert set(slip.names) & set(read.slips), (number, slip)
                named += 1
    assert named > 20


def test_the_right_answer_ticked_is_right_in_every_cell(grid: EntryGrid) -> None:
    for _ in range(grid.count):
        assert grid.give(" ") == ""
        grid.step(1)
    states = {
        read.state
        for row in range(len(grid.rows))
        for column in range(len(grid.columns))
        if (read := grid.told(row, column)) is not None
    }
    assert states == {CellState.RIGHT}
    assert grid.done == grid.count


def test_what_can_not_be_read_is_kept_only_when_given_again(grid: EntryGrid) -> None:
    at(grid, *FIGURES)
    assert "zzz" in grid.give("zzz")
    assert grid.entered() is None
    grid.step(1)
    assert grid.give("zzz")  # another cell: it is asked about anew
    assert grid.give("zzz") == ""
    found = grid.entered()
    assert found is not None and found.typed == "zzz"


@pytest.mark.parametrize("text", [";0", ";99", ";", ";x", "=", "=-1", "=1001", "=1/0", "=x"])
def test_what_will_not_do_is_told_and_changes_nothing(grid: EntryGrid, text: str) -> None:
    assert grid.give(text)
    assert grid.entered() is None
    assert not grid.file.path.exists()


def test_enter_alone_on_what_was_entered_goes_on(grid: EntryGrid) -> None:
    grid.give(" ")
    before = grid.entered()
    assert grid.give("") == ""
    assert grid.entered() == before


def test_undo_goes_back_through_what_was_there(grid: EntryGrid) -> None:
    grid.give("a")
    grid.give("b")
    grid.step(1)
    grid.give("a")
    for expected in (None, "a", None):
        assert grid.undo() == ""
        found = grid.entered()
        assert (found and found.typed) == expected
    assert grid.undo()


def test_a_student_is_found_by_number_id_and_name(grid: EntryGrid) -> None:
    assert grid.find("3")
    assert grid.row == 2
    assert grid.find("e004")
    assert grid.row == 3
    assert grid.find("ünal")
    assert grid.row == 6
    assert grid.find("小明")
    assert grid.row == 4
    assert not grid.find("nobody at all")
    assert not grid.find("  ")


def test_two_at_once_see_each_other(room: Class) -> None:
    one, two = grid_of(room.out), grid_of(room.out)
    one.give("a")
    assert two.give("b")  # it is told that there is something by now
    assert two.give("b") == ""  # which was seen
    assert one.look()
    found = one.entered()
    assert found is not None and found.typed == "b"
    assert one.undo()  # what somebody else put there stays
    assert two.done == 1


def test_marks_of_papers_are_those_of_the_same_hand_ins(tmp_path: Path) -> None:
    """A class entered from paper, and the same answers handed in as files: the same marks."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    paper, files = Class(tmp_path / "a", 6), Class(tmp_path / "b", 6)
    grid = grid_of(paper.out)
    texts: dict[int, dict[str, str]] = {}
    while True:
        asked = grid.asked
        assert asked is not None
        text, typed = on_paper(grid.sheet, asked)
        texts.setdefault(grid.sheet.number, {})[asked.number] = text
        extra = len(keys_for(grid, typed)) - (len(typed) if typed == text else 0)
        assert extra <= 3
        assert grid.give(typed) == "" or grid.give(typed) == ""
        if not grid.step(1):
            break
    for number, answers in texts.items():
        (files.back / f"{number}.csv").write_bytes(as_csv(number, answers))
    paper.mark()
    files.mark()
    for ours, theirs in zip(paper.found().students, files.found().students, strict=True):
        assert ours.state is theirs.state is HandInState.MARKED
        assert ours.problems == theirs.problems
        assert ours.file == "keys/entered.jsonl"
    assert paper.found().apart == ()


def test_a_paper_fills_in_what_the_file_leaves_open(room: Class) -> None:
    grid = grid_of(room.out)
    key = key_for(1)
    number = f"{key.items[0].number}.1"
    grid.find("1")
    right = grid.rows[0].questions["1.2"].right
    (room.back / "x.csv").write_bytes(as_csv(1, {number: "see photo", "1.2": right}))
    assert grid.give(" ") == ""
    room.mark()
    ann = room.found().students[0]
    by_number = {q.number: q for q in ann.questions}
    assert by_number[number].verdict is QuestionOutcome.RIGHT
    assert by_number["1.2"].verdict is QuestionOutcome.RIGHT
    assert ann.file == "x.csv"
    assert any("entered from paper" in note for note in ann.notes)


def test_the_same_answer_written_otherwise_is_no_contradiction(room: Class) -> None:
    grid = grid_of(room.out)
    at(grid, Form.CHOICE)
    choice, asked = grid.columns[grid.column], grid.asked
    assert asked is not None
    assert grid.give(asked.choices[-1].letter) == ""
    at(grid, *FIGURES)
    figure = grid.columns[grid.column]
    assert grid.give(" ") == ""
    (room.back / "x.csv").write_bytes(
        as_csv(1, {choice: asked.choices[-1].words, figure: grid.rows[0].questions[figure].right})
    )
    room.mark()
    assert room.found().apart == ()
    verdicts = {q.number: q.verdict for q in room.found().students[0].questions}
    assert verdicts[figure] is QuestionOutcome.RIGHT
    assert verdicts[choice] in (QuestionOutcome.RIGHT, QuestionOutcome.WRONG)


def test_a_contradiction_waits_and_is_told(room: Class) -> None:
    grid = grid_of(room.out)
    (room.back / "x.csv").write_bytes(as_csv(1, {"1.1": "a"}))
    assert grid.give("b") == ""
    room.mark()
    found = room.found()
    asked = next(q for q in found.students[0].questions if q.number == "1.1")
    assert asked.verdict is QuestionOutcome.UNCLEAR
    (told,) = found.apart
    assert told.sheet == 1 and told.file == "keys/entered.jsonl"
    assert "1.1" in told.what and "a" in told.what and "b" in told.what


def test_points_by_hand_count_whatever_stands_there(room: Class) -> None:
    grid = grid_of(room.out)
    assert grid.give("=0.5") == ""
    room.mark()
    asked = next(iter(room.found().students[0].questions))
    assert asked.points == Fraction(1, 2)
    assert asked.settled is not None


def test_a_paper_counts_beside_a_photograph_and_beside_a_broken_file(room: Class) -> None:
    grid = grid_of(room.out)
    for number, name, data in ((1, "page.jpg", b"\xff\xd8"), (2, "answers.csv", b"\0\0\0")):
        folder = room.back / folder_of(number)
        folder.mkdir()
        (folder / name).write_bytes(data)
        grid.find(str(number))
        assert grid.give(" ") == ""
    room.mark()
    for marks in room.found().students[:2]:
        assert marks.state is HandInState.MARKED
        assert marks.points > 0
    assert "page.jpg" in "; ".join(room.found().students[0].notes)
    assert len(room.found().apart) == 2  # each file has its row all the same


def test_a_paper_waits_while_two_files_contradict_each_other(room: Class) -> None:
    grid = grid_of(room.out)
    grid.give(" ")
    (room.back / "x.csv").write_bytes(as_csv(1, {"1.2": "a"}))
    (room.back / "y.csv").write_bytes(as_csv(1, {"1.2": "b"}))
    room.mark()
    found = room.found()
    assert found.students[0].state is HandInState.APART
    assert any(one.file == "keys/entered.jsonl" for one in found.apart)


def test_a_blank_paper_is_no_hand_in(room: Class) -> None:
    grid = grid_of(room.out)
    assert grid.give("") == ""
    room.mark()
    ann = room.found().students[0]
    assert ann.state is HandInState.MISSING
    assert "blank" in "; ".join(ann.notes)


def test_lines_of_somebody_else_and_broken_ones_are_told(room: Class) -> None:
    grid = grid_of(room.out)
    grid.give(" ")
    text = grid.file.path.read_text()
    grid.file.path.write_text(text.replace('"001"', '"somebody <b>else</b>"') + "{broken\n")
    assert grid_of(room.out).done == 0
    room.mark()
    found = room.found()
    assert found.students[0].state is HandInState.MISSING
    assert len([one for one in found.apart if one.file == "keys/entered.jsonl"]) == 2
    assert any("line 2" in one.what for one in found.apart)


def test_what_was_done_is_written_down(grid: EntryGrid) -> None:
    at(grid, *FIGURES)
    hows = []
    for text in (" ", ";1", "", "=0.5", "17.3 kHz"):
        grid.give(text) and grid.give(text)
        found = grid.entered()
        assert found is not None
        hows.append(found.how)
        grid.step(1)
    assert hows == [
        EnteredHow.RIGHT, EnteredHow.SLIP, EnteredHow.BLANK, EnteredHow.POINTS, EnteredHow.TYPED,
    ]  # fmt: skip
    assert len(list(cells(grid))) == grid.count
    assert len(grid.rows) == len(NAMES)


def typed_in(room: Class, lines: str, *options: str, status: int = 0) -> str:
    """Enter some lines with the command; what it says."""
    words = ["enter", str(room.out), "--plain", *options]
    found = CliRunner().invoke(sheet, words, input=lines)
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    assert found.exit_code == status, found.output
    return found.output


def test_in_plain_lines(room: Class) -> None:
    first = grid_of(room.out).rows[0]
    number, asked = next(iter(first.questions.items()))
    said = typed_in(room, "+\n\nzzz\nzzz\n<\n@e004\nb\n#\n>\n=0.5\n!\n")
    assert f"Q{number}" in said
    assert "(right)" in said or asked.right in said
    cells_now = grid_of(room.out).file.cells
    first_column = grid_of(room.out).columns[0]
    assert cells_now[1, first_column].how is EnteredHow.RIGHT
    assert cells_now[2, first_column].how is EnteredHow.BLANK
    assert (3, first_column) not in cells_now  # it was taken back
    assert cells_now[4, first_column].typed == "b"
    assert [one.points for one in cells_now.values() if one.points] == ["1/2"]
    assert "keys/entered.jsonl" in said


def test_lines_that_end_early_lose_nothing(room: Class) -> None:
    typed_in(room, "a\nb\n")
    assert grid_of(room.out).done == 2


def test_hostile_lines_are_never_more_than_text(room: Class) -> None:
    said = typed_in(room, "\x1b[31m\u202e<b>\n" * 2 + "@\x1b]0;x\x07\n" + "a" * 5000 + "\n" * 2)
    assert "\x1b" not in said and "\u202e" not in said


def test_only_one_group(tmp_path: Path) -> None:
    room = Class(tmp_path, 3)
    path = room.out / "keys" / "class.json"
    document = json.loads(path.read_bytes())
    for student, group in zip(document["students"], ("Tue", "Thu", "Tue"), strict=True):
        student["group"] = group
    path.write_text(json.dumps(document))
    assert [sheet.number for sheet in open_class(room.out, "tue ")[1].rows] == [1, 3]
    assert "Thu, Tue" in typed_in(room, "", "--group", "Fri", status=2)


def test_a_folder_that_is_none_is_told(tmp_path: Path) -> None:
    found = CliRunner().invoke(sheet, ["enter", str(tmp_path), "--plain"])
    assert found.exit_code == 2
    assert "sheet make" in found.output
