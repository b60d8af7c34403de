"""What a teacher decided once stays decided, round after round."""

from __future__ import annotations

import csv
import io
import json
import os
from fractions import Fraction
from pathlib import Path

import pytest
from rungwise.tutor.classroom.marking.decided import KEPT, Decisions, keep
from rungwise.tutor.classroom.marking.settled import SettledRow

from .handed_in import ALL_RIGHT, FIGURE, Class, as_csv

LINE = b'{"sheet": 1, "question": "1.1", "tag": "T1", "points": "1/2", "corrected": ""}\n'


def settle(room: Class, **decisions: str) -> None:
    """Do what the command advises: fill unclear.csv in, and save it as settled.csv."""
    listed = room.table("unclear.csv")
    for row in listed:
        row.update(decisions)
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(listed[0]))
    writer.writeheader()
    writer.writerows(listed)
    (room.marks / "settled.csv").write_text(out.getvalue(), encoding="utf-8")


def points(room: Class, student: int) -> Fraction:
    return room.found().students[student - 1].points


def test_a_second_round_keeps_the_first(room: Class) -> None:
    """The advice followed twice: in between other answers have come that are unclear."""
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: "see over"}))
    room.mark()
    settle(room, points="1")
    room.mark()
    full = points(room, 1)
    assert full == room.found().students[0].of and not room.table("unclear.csv")
    (room.back / "b.csv").write_bytes(as_csv(2, {"1.3": "see there"}))
    said = room.mark()
    assert points(room, 1) == full and "1 answer could not be read" in said and KEPT in said
    settle(room, points="0.5")
    assert "see over" not in (room.marks / "settled.csv").read_text(encoding="utf-8")
    room.mark()
    assert (points(room, 1), points(room, 2)) == (full, Fraction(1, 2))
    (room.marks / "settled.csv").unlink()
    room.mark()
    assert (points(room, 1), points(room, 2)) == (full, Fraction(1, 2))
    assert not room.table("apart.csv")
    assert len((room.marks / KEPT).read_bytes().splitlines()) == 2


def test_the_newer_of_two_decisions_counts_and_it_is_told(room: Class) -> None:
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: "see over"}))
    room.mark()
    settle(room, points="1")
    first = (room.marks / "settled.csv").read_text(encoding="utf-8")
    room.mark()
    full = points(room, 1)
    rows = list(csv.DictReader(io.StringIO(first)))
    rows[0]["points"] = "0"
    with (room.marks / "settled.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    for _ in range(2):  # it is told until one of the two is taken out
        room.mark()
        assert points(room, 1) == full - 1
        (listed,) = room.table("apart.csv")
        assert listed["file"] == KEPT and listed["remedy"]
        assert "points 1 (line 1), then points 0 (line 2)" in listed["what"]
    kept = (room.marks / KEPT).read_bytes().splitlines(keepends=True)
    assert len(kept) == 2
    (room.marks / KEPT).write_bytes(kept[1])
    room.mark()
    assert points(room, 1) == full - 1 and not room.table("apart.csv")


def test_within_one_table_the_lower_row_counts(room: Class) -> None:
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT))
    (room.marks).mkdir(parents=True)
    (room.marks / "settled.csv").write_text(f"sheet,question,points\n1,{FIGURE},1\n1,{FIGURE},0\n")
    for _ in range(2):
        room.mark()
        assert "row 3 decides" in room.table("apart.csv")[0]["what"]
        student = room.found().students[0]
        assert student.points == student.of - 1
    assert len((room.marks / KEPT).read_bytes().splitlines()) == 1


@pytest.mark.parametrize("moment", ["before", "after"])
def test_nothing_is_lost_where_the_process_dies(
    room: Class, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    """It dies just before, or just after, the second round is put in place."""
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: "see over"}))
    room.mark()
    settle(room, points="1")
    room.mark()
    before = (room.marks / KEPT).read_bytes()
    (room.back / "b.csv").write_bytes(as_csv(2, {"1.3": "see there"}))
    room.mark()
    settle(room, points="0.5")
    real = os.replace

    def dies(old: str | Path, new: str | Path) -> None:
        if Path(new).name == KEPT:
            if moment == "after":
                real(old, new)
            raise KeyboardInterrupt
        real(old, new)

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", dies)
        room.mark(status=130)
    now = (room.marks / KEPT).read_bytes()
    assert now.startswith(before) and (now == before) == (moment == "before")
    room.mark()
    assert points(room, 1) == room.found().students[0].of and points(room, 2) == Fraction(1, 2)


def test_what_cannot_be_read_is_kept_and_told(room: Class) -> None:
    (room.back / "a.csv").write_bytes(as_csv(1, ALL_RIGHT | {FIGURE: "see over"}))
    room.mark()
    (room.marks / KEPT).write_bytes(b"{spoilt\n" + LINE + b"[]")
    settle(room, corrected=ALL_RIGHT[FIGURE])
    room.mark()
    assert points(room, 1) == room.found().students[0].of
    told = [row["what"] for row in room.table("apart.csv")]
    assert sum("is not a decision" in what for what in told) == 2
    kept = (room.marks / KEPT).read_bytes()
    assert kept.startswith(b"{spoilt\n" + LINE + b"[]\n") and kept.count(b"\n") == 4


def test_decisions_about_different_answers_stand_side_by_side() -> None:
    one, two = SettledRow(1, "1.1", 1, "T1", "1", ""), SettledRow(1, "1.1", 2, "T2", "0", "")
    any_ = SettledRow(1, "1.1", 3, "", "2", "")
    found = Decisions()
    assert found.add(one) is None and found.add(two) is None and set(found) == {one, two}
    assert found.has(one._replace(line=9)) and not found.has(any_)
    assert found.add(any_) == one and set(found) == {any_}


@pytest.mark.parametrize("text", ["0 to 1 kHz, -20; -40", "=1+1; =2", "Ω\u2028x\x00", "𝟚" * 1024])
def test_a_correction_comes_back_as_it_was_typed(text: str) -> None:
    first = keep(b"", [SettledRow(7, "12.10", 4, "Tabc", "3/7", text)])
    again = keep(first.data, [])
    assert not again.troubles and again.data == first.data
    assert tuple(again.decisions) == (SettledRow(7, "12.10", 1, "Tabc", "3/7", text),)


@pytest.mark.parametrize(
    "change",
    [
        {"sheet": True}, {"sheet": 0}, {"sheet": "1"}, {"question": "Q1"}, {"question": None},
        {"points": "x"}, {"points": "1/0"}, {"points": ""}, {"corrected": 5}, {"tag": "a b"},
        {"corrected": "x" * 1025},
    ],
)  # fmt: skip
def test_a_line_that_is_none_is_told(change: dict[str, object]) -> None:
    line = json.dumps(json.loads(LINE) | change).encode()
    found = keep(line, [])
    assert not tuple(found.decisions) and len(found.troubles) == 1
    assert found.data == line + b"\n"
