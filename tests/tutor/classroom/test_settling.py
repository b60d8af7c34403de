"""Alike answers are one row and one decision, which nothing that happens to a table loses."""

from __future__ import annotations

import json
import os
import re
import time
from fractions import Fraction
from pathlib import Path

import pytest
from rungwise.tutor.classroom.marking.alike import TAG, alike_tag, text_of, text_part
from rungwise.tutor.classroom.marking.decided import KEPT, Decisions, keep
from rungwise.tutor.classroom.marking.keeping import DecidedFile
from rungwise.tutor.classroom.marking.marks import QuestionOutcome
from rungwise.tutor.classroom.marking.out import MarksFolder
from rungwise.tutor.classroom.marking.settled import (
    SCREEN,
    SettledRow,
    is_settled_name,
    settled_table,
    suggested_cell,
)
from rungwise.tutor.classroom.marking.suggested import parts_of_answer

from .alike_class import PLAN, AlikeClass, right_of
from .handed_in import key_for
from .saved_tables import KINDS

ALL = Fraction(6)
TAGGED = "G3fa92c10b71e22-7b22e1"


@pytest.fixture
def room(tmp_path: Path) -> AlikeClass:
    return AlikeClass(tmp_path)


def row(points: str = "", text: str = "", tag: str = TAGGED, **more: object) -> SettledRow:
    return SettledRow(0, "", 1, tag, points, text)._replace(**more)


# -- rows and tags


def test_alike_answers_are_one_row_that_says_all_about_them(room: AlikeClass) -> None:
    room.hand_in(1, q1_2="one or two", q2_2="one  or two")
    room.hand_in(2, q1_2="One or two")
    room.hand_in(3, q1_3="1k6 or 2k6")
    room.hand_in(4)
    room.mark()
    first, second = room.rows()
    assert (first["others"], first["sheet"], first["right"]) == ("2", "01, 02", "1")
    assert first["question"] == "Q1.2, Q2.2" and first["asked"] and first["trouble"]
    assert first["suggested"] == "read one" and first["comes to"] == "1, right: 1 of 1"
    assert second["suggested"] == "read 1k6" and second["right"] == right_of(3)["1.3"]
    assert all(TAG.fullmatch(found["tag"]) for found in (first, second))


def test_one_reading_goes_for_every_right_answer_and_each_is_judged_by_their_own(
    room: AlikeClass,
) -> None:
    text = right_of(1)["1.3"]
    for number in (1, 2, 3):
        room.hand_in(number, q1_3=f"{text} or so or 2 Hz")
    room.mark()
    assert len(room.rows()) == 3
    room.fill_in(lambda found: {"corrected": text} if found["sheet"] == "02" else {})
    room.mark()
    assert [room.total(number) for number in (1, 2, 3)] == [ALL, ALL - 1, ALL - 1]
    assert not room.told()
    (line,) = (room.marks / KEPT).read_text().splitlines()
    assert json.loads(line)["every"] is True


def test_points_go_for_one_right_answer_unless_all_is_said(room: AlikeClass) -> None:
    for number in (1, 2, 3):
        room.hand_in(number, q1_3="1k6 or 2k6")
    room.mark()
    room.fill_in(lambda found: {"points": "1/2"} if found["sheet"] == "01" else {})
    room.mark()
    assert [room.total(number) for number in (1, 2, 3)] == [ALL - Fraction(1, 2), ALL - 1, ALL - 1]
    assert len(room.rows()) == 2
    room.fill_in(lambda found: {"points": "all 1"} if found["sheet"] == "02" else {})
    room.mark()
    assert [room.total(number) for number in (1, 2, 3)] == [ALL - Fraction(1, 2), ALL, ALL]


def test_two_rows_of_one_text_may_be_read_differently(room: AlikeClass) -> None:
    for number in (1, 2):
        room.hand_in(number, q1_3="my working")
    room.mark()
    room.fill_in(lambda found: {"corrected": found["right"]})
    room.mark()
    assert room.total(1) == room.total(2) == ALL and not room.told()


def test_a_tag_knows_no_sheet_and_no_student() -> None:
    one, two = (key_for(number, PLAN).items[0].problem.questions for number in (1, 2))
    of = Fraction(1)
    assert alike_tag(one[1], "One  or TWO", of) == alike_tag(two[1], "one or two", of)
    assert alike_tag(one[1], "one or two", of) != alike_tag(two[1], "one or two", Fraction(2))
    assert alike_tag(one[2], "1 mHz", of) != alike_tag(one[2], "1 MHz", of)
    assert text_of(alike_tag(one[2], "1 MHz", of)) == text_part("1 mHz")
    assert (
        alike_tag(one[2], "1 MHz", of)[:15]
        == alike_tag(two[2], "１ ΜHz".replace("Μ", "M"), of)[:15]
    )


# -- what happens to tables


@pytest.mark.parametrize("kind", KINDS)
def test_a_decision_comes_back_in_every_kind_of_file(room: AlikeClass, kind: str) -> None:
    text = right_of(1)["1.3"]
    room.hand_in(1, q1_2="=one or two", q1_3=f"{text} or 2 Hz")
    room.hand_in(2, q1_2="=one or two")
    room.mark()
    ending = kind.partition(".")[2]
    decided = {"1.3": {"corrected": text}, "1.2": {"points": "0.5"}}
    room.fill_in(
        lambda found: decided[found["question"].lstrip("Q")], f"Settled (2).{ending}", kind
    )
    room.mark()
    assert room.total(1) == ALL - Fraction(1, 2) == room.total(2)
    assert not room.rows() and not room.told()


@pytest.mark.parametrize(
    ("name", "is_one"),
    [
        ("settled.csv", True), ("unclear (2).csv", True), ("UNCLEAR.CSV", True),
        ("settled - Copy.xlsx", True), ("unclear_ann.ods", True), ("widened.csv", True),
        ("unclearly.csv", False), ("marks.csv", False), ("settled.pdf", False),
        (".unclear.csv.part", False), ("~$settled.xlsx", False), ("decided.jsonl", False),
    ],
)  # fmt: skip
def test_by_its_name_a_table_is_known(name: str, is_one: bool) -> None:
    assert is_settled_name(name) is is_one


def test_a_table_filled_in_where_it_lies_is_read_and_a_copy_kept(room: AlikeClass) -> None:
    room.hand_in(1, q1_2="one or two", q1_3="1k6 or 2k6")
    room.mark()
    decided = {"1.2": {"points": "1"}, "1.3": {"points": "many"}}
    data = room.fill_in(lambda found: decided[found["question"].lstrip("Q")], "unclear.csv")
    room.mark()
    assert room.total(1) == ALL - 1 and [found["question"] for found in room.rows()] == ["Q1.3"]
    assert any("“many” is not a number of points" in told for told in room.told())
    (copy,) = (room.marks / "earlier").glob("unclear-*.csv")
    assert copy.read_bytes() == data


def test_rows_sorted_anew_and_another_roster_change_nothing(room: AlikeClass) -> None:
    room.hand_in(1, q1_2="one or two", q1_3="1k6 or 2k6")
    room.hand_in(2, q1_2="one or two")
    room.mark()
    listed = room.rows()
    lines = [f"{found['tag']},{number}" for number, found in enumerate(reversed(listed))]
    (room.marks / "settled.csv").write_text("\n".join(["Tag,POINTS", *lines]))
    (room.back / "1.csv").unlink()
    room.mark()
    assert room.total(2) == ALL and not room.rows()
    room.hand_in(1, q1_2="one or two", q1_3="1k6 or 2k6")
    room.mark()
    assert room.total(1) == ALL - 1 and not room.told()


def test_a_column_sorted_without_the_others_decides_nothing(room: AlikeClass) -> None:
    room.hand_in(1, q1_2="one or two", q1_3="1k6 or 2k6")
    room.mark()
    first, second = (found["tag"] for found in room.rows())
    others = {first: second, second: first}
    room.fill_in(lambda found: {"points": "1", "tag": others[found["tag"]]})
    room.mark()
    assert len(room.rows()) == 2 and not (room.marks / KEPT).exists()
    assert sum("sorted without the others" in told for told in room.told()) == 2


def test_rounds_in_any_order_lose_nothing_and_turn_nothing_back(room: AlikeClass) -> None:
    room.hand_in(1, q1_2="one or two", q1_3="1k6 or 2k6")
    room.mark()
    first = room.fill_in(lambda found: {"points": "1"} if found["question"] == "Q1.2" else {})
    room.mark()
    room.fill_in(lambda found: {"points": "1"})  # another table over it: the second round
    room.mark()
    assert room.total(1) == ALL
    place = MarksFolder(room.marks)
    tags = {found.typed: found.tag for found in _kept(room)}
    file = DecidedFile(place)
    file.look()
    assert file.add([row("0", tag=tags["one or two"], by=SCREEN)])
    (room.marks / "unclear (1).csv").write_bytes(first)  # the first round comes back
    for _ in range(2):
        room.mark()
        assert room.total(1) == ALL - 1
        assert [told for told in room.told() if "changed since: points 0 counts" in told]


def test_what_is_decided_anew_counts_for_these_and_the_reading_for_the_others(
    room: AlikeClass,
) -> None:
    for number in (1, 2):
        room.hand_in(number, q1_3="my working")
    room.mark()
    text = right_of(2)["1.3"]
    room.fill_in(lambda found: {"corrected": text} if found["sheet"] == "01" else {})
    room.mark()
    assert (room.total(1), room.total(2)) == (ALL - 1, ALL)
    (decided,) = _kept(room)
    file = DecidedFile(MarksFolder(room.marks))
    file.add([row("1/2", tag=decided.tag, by=SCREEN)])
    room.mark()
    assert (room.total(1), room.total(2)) == (ALL - Fraction(1, 2), ALL)
    assert [found for found in room.told() if "changed since" in found]  # the table lies there


def _kept(room: AlikeClass) -> Decisions:
    return keep((room.marks / KEPT).read_bytes(), ()).decisions


# -- what is suggested


def test_a_suggestion_is_accepted_in_the_table(room: AlikeClass) -> None:
    text = right_of(1)["1.3"]
    room.hand_in(1, q1_3=f"T = {text}", q1_2="one or two")
    room.mark()
    room.fill_in(lambda found: {"accept": "X"})
    room.mark()
    assert room.total(1) == ALL and not room.rows()


def test_what_cannot_be_accepted_is_told() -> None:
    data = f"tag,suggested,accept\n{TAGGED},,x\n{TAGGED},read 1 Hz,perhaps\n{TAGGED},read 1 Hz,no\n"
    told = list(settled_table(data.encode()))
    assert len(told) == 2 and not any(isinstance(found, SettledRow) for found in told)


@pytest.mark.parametrize("before", [False, True])
@pytest.mark.parametrize(("points", "text"), [("0.5", ""), ("0", "1,5 kHz"), ("0", "=1; 2")])
def test_what_is_suggested_is_read_back(points: str, text: str, before: bool) -> None:
    cell = suggested_cell(points, text, before).replace('"', '""')
    (found,) = settled_table(f'tag,suggested,accept\n{TAGGED},"{cell}",x\n'.encode())
    assert isinstance(found, SettledRow)
    assert found.content == (("", text) if text else (str(Fraction(points)), ""))


def test_another_class_suggests_and_never_decides(tmp_path: Path) -> None:
    (tmp_path / "old").mkdir()
    (tmp_path / "new").mkdir()
    last, room = AlikeClass(tmp_path / "old", 2), AlikeClass(tmp_path / "new", 2)
    last.hand_in(1, q1_2="the obvious", q1_3="1k6 or 2k6")
    last.mark()
    last.fill_in(lambda found: {"points": "0.5"} if found["question"] == "Q1.2" else {})
    last.mark()
    room.hand_in(2, q1_2="the obvious")
    for place in (last.out, last.marks, last.marks / KEPT, last.marks / "settled.csv"):
        room.mark("--decided-before", str(place))
        (found,) = room.rows()
        assert found["suggested"] == "decided last time: 0.5 points"
        assert room.total(2) == ALL - 1 and not (room.marks / KEPT).exists()
    room.fill_in(lambda found: {"accept": "yes"})
    room.mark()
    assert room.total(2) == ALL - Fraction(1, 2)
    said = room.mark("--decided-before", str(tmp_path), status=1)
    assert "no decisions are kept there" in said


def test_the_teachers_point_is_no_grouping_sign_of_the_student(room: AlikeClass) -> None:
    room.hand_in(1, q1_3="see below", q2_3="0,7 kHz")  # a writer of decimal commas
    room.mark()
    text = "1.591 kHz"
    room.fill_in(lambda found: {"corrected": text} if found["question"] == "Q1.3" else {})
    room.mark()
    mark = next(q for q in room.found().students[0].questions if q.number == "1.3")
    assert mark.understood == "1.591 kHz"


def test_little_is_tried_and_nothing_of_what_is_long() -> None:
    question = key_for(1, PLAN).items[0].problem.questions[2]
    assert parts_of_answer(question, ["about 1k6 = 2k6"])[:2] == ["about 1k6 = 2k6", "2k6"]
    assert len(parts_of_answer(question, ["1 2 3 4 5 6 7 8 9 or " * 9])) <= 12
    assert not parts_of_answer(question, ["1" * 1025])


def test_blank_and_on_paper_never_wait(room: AlikeClass) -> None:
    room.hand_in(1, q1_1="?", q1_2="-", q1_3="see photo", q2_3="idk")
    room.mark()
    marks = {q.number: q.verdict for q in room.found().students[0].questions}
    assert not room.rows() and marks["1.3"] is QuestionOutcome.PAPER


# -- the file


def test_two_at_once_lose_nothing_and_see_each_other(tmp_path: Path) -> None:
    place = MarksFolder(tmp_path)
    one, two = DecidedFile(place), DecidedFile(place)
    assert one.add([row("1")])
    seen = two.decisions.about(TAGGED)
    assert not two.add([row("0")], unless=lambda now: now.about(TAGGED) != seen)
    assert two.decisions.about(TAGGED).points == "1"  # type: ignore[union-attr]
    assert two.add([row("0", tag="G00000000000000-000000")])
    one.look()
    assert len(list(one.decisions)) == 2
    assert (tmp_path / KEPT).read_bytes().count(b"\n") == 2


def test_a_line_without_an_end_is_kept_and_the_next_begins_anew(tmp_path: Path) -> None:
    (tmp_path / KEPT).write_bytes(b'{"alike": "G3f')
    file = DecidedFile(MarksFolder(tmp_path))
    file.look()
    assert file.add([row("1")])
    kept = keep((tmp_path / KEPT).read_bytes(), ())
    assert [found.points for found in kept.decisions] == ["1"] and len(kept.troubles) == 1


def test_a_decision_costs_the_same_however_many_there_are(tmp_path: Path) -> None:
    def spent(count: int) -> float:
        folder = tmp_path / str(count)
        folder.mkdir()
        file = DecidedFile(MarksFolder(folder))
        start = time.thread_time()
        for number in range(count):
            file.add([row("1", tag=f"G{number:014x}-000000")])
        return time.thread_time() - start

    spent(20)
    few, many = spent(150), spent(1200)
    assert many < 8 * few * 3


def test_a_decision_taken_back_brings_back_what_was_there() -> None:
    other = "G3fa92c10b71e22-000000"
    found = Decisions()
    found.add(row("", "low", every=True))
    assert found.about(other) is not None
    found.add(row("1", tag=other))
    found.add(row(tag=other))
    assert found.about(other) == found.about(TAGGED)
    found.add(row(every=True))
    assert found.about(other) is None and found.about(TAGGED) is None


def test_a_file_named_like_a_table_that_is_none_is_told(room: AlikeClass) -> None:
    room.hand_in(1)
    room.marks.mkdir(parents=True)
    (room.marks / "settled.xlsx").write_bytes(b"PK\x03\x04 and no more")
    (room.marks / "unclear (1).csv").write_bytes(b"a,b\n1,2\n")
    os.symlink("/etc/passwd", room.marks / "settled.ods")
    room.mark()
    files = [found["file"] for found in room.table("apart.csv")]
    assert files.count("settled.xlsx") == files.count("unclear (1).csv") == 1
    assert files.count("settled.ods") == 1


def test_every_word_about_settling_is_in_the_content(room: AlikeClass) -> None:
    """No text of a trouble holds a placeholder that was not filled."""
    room.hand_in(1, q1_2="one or two")
    room.mark()
    room.fill_in(lambda found: {"points": "2"})  # more than there are
    room.mark()
    told = room.told()
    assert any("1 points at most" in text for text in told)
    assert not any(re.search(r"[{}]", text) for text in told)
