"""What was entered of papers: the file, line by line, and how it fills hand-ins in."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from pathlib import Path

import pytest
from rungwise.tutor.classroom.handins.entered import (
    BLANK,
    EnteredAnswer,
    EnteredHow,
    filled_in,
    newest,
    read_entered,
    says_nothing,
)
from rungwise.tutor.classroom.handins.entered_file import EnteredElsewhereError, EnteredFile
from rungwise.tutor.classroom.handins.files import Answers
from rungwise.tutor.classroom.marking.made_class import ClassMember
from rungwise.tutor.classroom.marking.papers import papers_of

ANN = EnteredAnswer(3, "1.2", "1.59 kHz", student="4711")


def test_a_line_is_read_back_as_it_was_written() -> None:
    lines = [
        ANN,
        EnteredAnswer(3, "1.2", "Ω “µ” \u2028 =1+1", EnteredHow.SLIP),
        EnteredAnswer(12, "10.1", "", EnteredHow.POINTS, "3/2", "Ann Other"),
        EnteredAnswer(12, "10.1", BLANK, EnteredHow.BLANK),
        EnteredAnswer(4, "1.1", "a", EnteredHow.RIGHT, student="4", variant="B"),
    ]
    assert read_entered(b"".join(one.line() for one in lines)) == (lines, [])


@pytest.mark.parametrize(
    "line",
    [
        b"{",
        b"[]",
        b'{"sheet": 0, "question": "1.1"}',
        b'{"sheet": true, "question": "1.1", "how": "typed"}',
        b'{"sheet": 1, "question": "1", "how": "typed"}',
        b'{"sheet": 1, "question": "1.1", "how": "guessed"}',
        b'{"sheet": 1, "question": "1.1", "how": "typed", "points": "1/0"}',
        b'{"sheet": 1, "question": "1.1", "how": "typed", "typed": 5}',
        b'{"sheet": 1, "question": "1.1", "how": "typed", "typed": "' + b"a" * 2000 + b'"}',
        b"[" * 5000,
        b"\xff\xfe",
    ],
)
def test_a_line_that_is_none_is_told_and_hides_no_other(line: bytes) -> None:
    assert read_entered(ANN.line() + line + b"\n" + ANN.line()) == ([ANN, ANN], [2])


def test_of_a_cell_the_last_line_counts_and_one_taken_back_is_none() -> None:
    other = EnteredAnswer(3, "1.2", "b")
    back = EnteredAnswer(3, "1.2", how=EnteredHow.BACK)
    assert newest([ANN, other]) == {(3, "1.2"): other}
    assert newest([ANN, back]) == {}
    assert newest([ANN, back, other]) == {(3, "1.2"): other}


def test_every_line_is_forced_to_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    forced: list[int] = []
    real = os.fsync

    def fsync(handle: int) -> None:
        real(handle)
        forced.append((tmp_path / "entered.jsonl").stat().st_size)

    monkeypatch.setattr(os, "fsync", fsync)
    file = EnteredFile(tmp_path)
    file.put(ANN, None)
    assert forced[0] == len(ANN.line())
    file.put(EnteredAnswer(3, "1.3", "a"), None)
    assert forced[-1] == (tmp_path / "entered.jsonl").stat().st_size
    assert EnteredFile(tmp_path).cells == file.cells


def test_two_at_once_never_go_over_each_other_unseen(tmp_path: Path) -> None:
    one, two = EnteredFile(tmp_path), EnteredFile(tmp_path)
    assert not one.put(ANN, None)
    other = EnteredAnswer(3, "1.2", "b", student="4711")
    with pytest.raises(EnteredElsewhereError) as found:
        two.put(other, None)
    assert found.value.newer == ANN
    assert two.cells[ANN.cell] == ANN
    assert not two.put(other, ANN)  # now it was seen
    assert one.put(EnteredAnswer(4, "1.2", "c"), None)  # which says that there was more
    assert one.cells == two.cells | {(4, "1.2"): EnteredAnswer(4, "1.2", "c")}


def test_a_line_that_was_cut_short_is_left_and_begun_below(tmp_path: Path) -> None:
    path = tmp_path / "entered.jsonl"
    last = EnteredAnswer(5, "1.1", "a").line()
    for cut in range(1, len(last), 3):
        path.write_bytes(ANN.line() + last[:cut])
        file = EnteredFile(tmp_path)
        assert file.cells == {ANN.cell: ANN}
        after = EnteredAnswer(6, "2.2", "1k6")
        file.put(after, None)
        found = EnteredFile(tmp_path).cells
        assert found[ANN.cell] == ANN
        assert found[after.cell] == after


def test_a_full_disk_leaves_no_half_of_a_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = EnteredFile(tmp_path)
    file.put(ANN, None)
    before = file.path.read_bytes()
    real = os.write

    def write(handle: int, data: bytes) -> int:
        real(handle, bytes(data)[:7])
        raise OSError(errno.ENOSPC, "no space left on device")

    monkeypatch.setattr(os, "write", write)
    with pytest.raises(OSError, match="no space"):
        file.put(EnteredAnswer(4, "1.1", "a"), None)
    monkeypatch.undo()
    assert file.path.read_bytes() == before
    file.put(EnteredAnswer(4, "1.1", "a"), None)
    assert len(EnteredFile(tmp_path).cells) == 2


def test_a_file_that_is_edited_meanwhile_is_read_anew(tmp_path: Path) -> None:
    file = EnteredFile(tmp_path)
    for question in ("1.1", "1.2", "1.3"):
        file.put(EnteredAnswer(1, question, "a"), None)
    first, _, last = file.path.read_bytes().splitlines(keepends=True)
    (tmp_path / "new").write_bytes(first + last + EnteredAnswer(2, "1.1", "b" * 200).line())
    os.replace(tmp_path / "new", file.path)  # as editors save
    assert file.look()
    assert set(file.cells) == {(1, "1.1"), (1, "1.3"), (2, "1.1")}
    file.path.write_bytes(first)
    assert file.look()
    assert set(file.cells) == {(1, "1.1")}
    assert file.put(EnteredAnswer(1, "1.2", "c"), None) is False
    assert len(EnteredFile(tmp_path).cells) == 2


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="no links that could lead elsewhere")
def test_a_link_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(b"")
    (tmp_path / "entered.jsonl").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OSError):
        EnteredFile(tmp_path)


def answers(**texts: str) -> Answers:
    found = {name.replace("q", "").replace("_", "."): (text,) for name, text in texts.items()}
    return Answers(sheet="03", answers=tuple(found.items()))


def entered(question: str, typed: str, points: str = "") -> EnteredAnswer:
    return EnteredAnswer(3, question, typed, points=points)


def test_without_a_hand_in_the_paper_alone_counts() -> None:
    found = filled_in(None, [entered("1.10", "b"), entered("1.2", "1k6"), entered("1.3", BLANK)])
    assert found.answers.answers == (("1.2", ("1k6",)), ("1.10", ("b",)))
    assert found.filled == 2


def test_blanks_and_what_is_on_paper_are_filled_in() -> None:
    given = answers(q1_1="?", q1_2="(see photo)", q1_3="a", q1_4="On paper.")
    lines = [entered("1.1", "b"), entered("1.2", "1k6"), entered("1.4", "c"), entered("1.5", "d")]
    found = filled_in(given, lines)
    assert dict(found.answers.answers) == {
        "1.1": ("b",), "1.2": ("1k6",), "1.3": ("a",), "1.4": ("c",), "1.5": ("d",),
    }  # fmt: skip
    assert (found.filled, found.differs) == (4, ())
    assert found.answers.sheet == "03"


def test_what_is_alike_changes_nothing_and_what_is_not_is_told() -> None:
    given = answers(q1_1="B)", q1_2="1.6 kHz", q1_3="-40", q1_4="7")
    lines = [
        entered("1.1", "b"),
        entered("1.2", "1.7 kHz"),
        entered("1.3", "−40"),
        entered("1.4", BLANK),
    ]
    found = filled_in(given, lines)
    assert dict(found.answers.answers) == {
        "1.1": ("B)",), "1.2": ("1.6 kHz", "1.7 kHz"), "1.3": ("-40",), "1.4": ("7",),
    }  # fmt: skip
    assert found.differs == (("1.2", "1.6 kHz", "1.7 kHz"),)


def test_points_by_hand_are_no_contradiction() -> None:
    found = filled_in(answers(q1_1="a"), [entered("1.1", "", "1/2"), entered("1.2", "", "2")])
    assert found.points == {"1.1": "1/2", "1.2": "2"}
    assert dict(found.answers.answers) == {"1.1": ("a",)}
    assert found.differs == ()


@pytest.mark.parametrize(
    "text",
    ["", "-", "?", "idk", "on paper", "see photo", "See attached scan", "photo attached",
     "see my paper", "it is on the paper", "[see picture]", "handwritten", "in the attachment"],
)  # fmt: skip
def test_what_says_nothing(text: str) -> None:
    assert says_nothing(text)


@pytest.mark.parametrize("text", ["a", "paper capacitor", "1.6 kHz", "see 1.2", "on", "by eye"])
def test_what_says_something(text: str) -> None:
    assert not says_nothing(text)


def test_what_was_entered_about_another_variant_is_told_and_does_not_count() -> None:
    """The roster gave the student other circuits since."""
    line = replace(ANN, variant="B")
    member = ClassMember(3, "03-ann", "Ann", "4711", variant="A")
    found = papers_of(replace(line, question="1.1").line() + line.line(), [member])
    assert not found.of and found.former == {3}
    assert [trouble.sheet for trouble in found.troubles] == [3]
    assert "variant “B”" in found.troubles[0].what
    assert found.troubles[0].what.endswith("2; none of them counts")
    for theirs in (replace(member, variant="B"), replace(member, variant="b")):
        assert len(papers_of(line.line(), [theirs]).of[3]) == 1
    assert len(papers_of(ANN.line(), [member]).of[3]) == 1  # of an earlier release
