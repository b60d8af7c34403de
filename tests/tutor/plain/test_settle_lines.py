"""Answers settled in plain lines: what is said, what is kept, and how one moves about."""

from __future__ import annotations

import io
import json
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from rungwise.tutor.classroom.marking.decided import KEPT
from rungwise.tutor.classroom.marking.settling import open_settling
from rungwise.tutor.cli.sheet import sheet
from rungwise.tutor.plain.settle import PlainSettling

from tests.tutor.classroom.alike_class import AlikeClass, right_of

ALL = Fraction(6)


@pytest.fixture
def room(tmp_path: Path) -> AlikeClass:
    return AlikeClass.waiting(tmp_path)


def settled(room: AlikeClass, *typed: str) -> tuple[str, bool]:
    out = io.StringIO()
    source = io.StringIO("".join(f"{line}\n" for line in typed))
    again = PlainSettling(source, out, width=100).settle(open_settling(room.out, room.marks))
    return out.getvalue(), again


def kept(room: AlikeClass) -> list[dict[str, object]]:
    return [json.loads(line) for line in (room.marks / KEPT).read_text().splitlines()]


def test_every_group_is_shown_with_all_about_it(room: AlikeClass) -> None:
    said, again = settled(room)
    for piece in ("3 of 3 groups", "Q1.2", "Circuit: series", "Right: 1", "Typed: one or two",
                  "sheet 01, 02", "Why:", "Suggestion 1: read one: 1, right: 1 of 1"):  # fmt: skip
        assert piece in said, piece
    assert not again


def test_decisions_are_kept_and_followed(room: AlikeClass) -> None:
    said, again = settled(room, "take", f"read {right_of(1)['1.3']}", "mark")
    assert said.count("Kept: ") == 2 and "Nothing is open any more" in said and again
    assert [line["corrected"] for line in kept(room)] == ["one", right_of(1)["1.3"]]
    assert all(line["every"] for line in kept(room))
    room.mark()
    assert (room.total(1), room.total(2)) == (ALL, ALL - 1) and not room.rows()


def test_points_for_one_right_answer_and_for_all(room: AlikeClass) -> None:
    said, _ = settled(room, "half", "points 0,25", "all full", "leave")
    assert said.count("Kept: ") == 3
    room.mark()
    assert room.total(1) == ALL - Fraction(1, 2) - Fraction(3, 4)
    assert room.total(2) == ALL - Fraction(1, 2)


def test_undo_reopen_back_go_list(room: AlikeClass) -> None:
    said, _ = settled(room, "0", "undo", "list open", "list zzz", "go 2", "full", "back", "back",
                      "go 2", "reopen", "skip", "undo", "go 9", "leave")  # fmt: skip
    assert "Undone." in said and "No group has these words." in said
    assert said.count("Kept: ") == 3 and "open again" in said
    lines = kept(room)
    assert [line.get("open", False) for line in lines] == [False, True, False, True, False]
    room.mark()
    assert room.total(1) == ALL - 1 and len(room.rows()) == 2


@pytest.mark.parametrize(
    "typed", ["", "read", "read over there", "points 2", "points -1", "all", "take 9", "hm", "1e99"]
)
def test_what_is_not_understood_decides_nothing(room: AlikeClass, typed: str) -> None:
    said, _ = settled(room, typed)
    assert "Kept: " not in said and not (room.marks / KEPT).exists()


def test_somebody_else_has_decided_meanwhile(room: AlikeClass) -> None:
    one, two = (open_settling(room.out, room.marks) for _ in range(2))
    assert one.give(Fraction(1)) and not two.give(Fraction(0))
    assert two.give(Fraction(0))  # it is in sight now
    assert [line["points"] for line in kept(room)] == ["1", "0"]
    room.mark()
    assert room.total(1) == ALL - 2 and not room.table("apart.csv")


def test_what_was_decided_for_each_sheet_gives_way_to_what_is_decided_for_all(
    room: AlikeClass,
) -> None:
    """As tables of earlier releases had it: a row an answer."""
    lines = ["sheet,question,points", "1,Q1.2,1", "2,Q1.2,1"]
    (room.marks / "settled.csv").write_text("\n".join(lines))
    room.mark()
    assert (room.total(1), room.total(2)) == (ALL - 1, ALL - 1)
    (room.marks / "settled.csv").unlink()
    said, _ = settled(room, "go 1", "half", "leave")
    assert "Decided: for each sheet" in said
    room.mark()
    assert (room.total(1), room.total(2)) == (ALL - Fraction(3, 2), ALL - Fraction(3, 2))
    settled(room, "go 1", "full", "undo", "undo", "leave")
    room.mark()
    assert (room.total(1), room.total(2)) == (ALL - Fraction(3, 2), ALL - Fraction(3, 2))


def test_the_command_marks_again(room: AlikeClass) -> None:
    for place in (room.out, room.marks):
        found = CliRunner().invoke(sheet, ["settle", str(place), "--plain"], input="full\nmark\n")
        assert found.exit_code == 0, found.output
        assert "2 students marked" in found.output
    assert room.total(1) == ALL


def test_the_folder_of_marks_is_enough_wherever_it_lies(room: AlikeClass, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere" / "marks"
    said = room.mark("--out", str(elsewhere))
    assert f"rungwise sheet settle {elsewhere}" in said
    found = CliRunner().invoke(sheet, ["settle", str(elsewhere)], input="take\nmark\n")
    assert "Circuit: series" in found.output and "2 students marked" in found.output
    assert "one or two" not in (elsewhere / "unclear.csv").read_text()


def test_where_there_are_no_marks_it_says_so(tmp_path: Path) -> None:
    found = CliRunner().invoke(sheet, ["settle", str(tmp_path)])
    assert found.exit_code == 1 and "there are no marks" in found.output
