"""Which of several hand-ins counts: the newest where the rules say so, and what came late."""

from __future__ import annotations

import io
import os
import re
import time
import zipfile
from datetime import UTC, datetime

import pytest
from rungwise.tutor.classroom.handins.files import Answers
from rungwise.tutor.classroom.marking.hand_in import FileFate, TimeSource
from rungwise.tutor.classroom.marking.marks import HandInState
from rungwise.tutor.classroom.marking.which_counts import CountingRules, KnownHandIn, chosen

from .handed_in import ALL_RIGHT, FIGURE, Class, as_csv, as_xlsx

NOON = datetime(2026, 12, 3, 12)
OTHER = ALL_RIGHT | {FIGURE: "1 Hz"}


def came(
    name: str, text: str, hour: int | None, by: TimeSource = TimeSource.ARCHIVE
) -> KnownHandIn:
    when = None if hour is None else NOON.replace(hour=hour)
    answers = Answers(answers=(("1.1", (text,)),) if text else ())
    return KnownHandIn(name.encode(), name, answers, "", when, by)


def fates(rules: CountingRules, *all_: KnownHandIn) -> dict[str, FileFate]:
    return {one.file: fate for one, fate in chosen(1, all_, rules).fates}


def test_without_a_rule_none_of_those_that_differ_counts() -> None:
    two = came("a", "1", 9), came("b", "2", 10)
    assert set(fates(CountingRules(), *two).values()) == {FileFate.APART}
    assert fates(CountingRules("newest"), *two) == {"a": FileFate.OLDER, "b": FileFate.COUNTS}


def test_the_newest_counts_and_the_others_are_told() -> None:
    all_ = came("a", "1", 11), came("b", "2", 10), came("c", "1.0", 9), came("d", "", 12)
    found = chosen(1, all_, CountingRules("newest"))
    assert found.counts is all_[0]
    assert fates(CountingRules("newest"), *all_) == {
        "a": FileFate.COUNTS, "b": FileFate.OLDER, "c": FileFate.ALIKE, "d": FileFate.BLANK
    }  # fmt: skip
    ((older, why),) = found.reasons
    assert older is all_[1] and why.what.startswith("an older hand-in (2026-12-03 10:00")
    assert found.notes == ("the newest of 3 counts (2026-12-03 11:00:00 by the archive)",)


@pytest.mark.parametrize(
    "all_",
    [
        (came("a", "1", 9), came("b", "2", 9)),
        (came("a", "1", 9), came("b", "2", None)),
        (came("a", "1", 9), came("b", "2", 10), came("c", "3", 10)),
    ],
)
def test_where_times_do_not_tell_none_counts(all_: tuple[KnownHandIn, ...]) -> None:
    found = chosen(1, all_, CountingRules("newest"))
    assert found.counts is None
    assert all("their times do not say" in why.what for _, why in found.reasons)
    assert len(found.reasons) == len(all_)


def test_the_time_of_a_file_is_told_to_be_doubtful() -> None:
    two = came("a", "1", 9, TimeSource.SAYS), came("b", "2", 10, TimeSource.FILE)
    assert "copied" in chosen(1, two, CountingRules("newest")).notes[-1]


def test_what_is_late_counts_is_noted_or_is_apart() -> None:
    late, early = came("a", "1", 13), came("b", "2", 11)
    for rule, notes in (("count", 0), ("note", 1)):
        found = chosen(1, [late], CountingRules(due=NOON, late=rule))
        assert found.counts is late and len(found.notes) == notes
    found = chosen(1, [late], CountingRules(due=NOON, late="apart"))
    assert found.counts is None and "too late" in found.reasons[0][1].what
    # Of an early and a late one the early one counts, by any rule, where late ones are apart.
    for counts in "ask", "newest":
        assert fates(CountingRules(counts, NOON, "apart"), late, early) == {
            "a": FileFate.LATE, "b": FileFate.COUNTS
        }  # fmt: skip
    # Who sends the same again, too late, had sent it in time; to the minute is in time.
    again = chosen(1, [late, came("b", "1", 12)], CountingRules("newest", NOON))
    assert again.counts is not None and again.counts.file == "b" and not again.notes


def test_a_due_time_with_an_offset_is_local_time() -> None:
    due = datetime(2026, 12, 3, 12, tzinfo=UTC)
    local = due.astimezone().replace(tzinfo=None)
    rules = CountingRules(due=due)
    assert not rules.is_late(local)
    assert rules.is_late(local.replace(minute=local.minute + 1))


def dated(data: bytes, saved: str) -> bytes:
    """A workbook that says that it was saved then."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w") as new:
        for name in old.namelist():
            piece = old.read(name)
            if name == "docProps/core.xml":
                piece = re.sub(
                    rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + saved.encode(), piece
                )
            new.writestr(name, piece)
    return made.getvalue()


def test_the_command_takes_the_newest_by_what_a_hand_in_says(room: Class) -> None:
    (room.back / "a.xlsx").write_bytes(dated(as_xlsx(1, ALL_RIGHT), "2026-12-03T10:00:00Z"))
    (room.back / "b.csv").write_bytes(as_csv(1, OTHER))
    before = datetime(2026, 12, 3, 9, tzinfo=UTC).timestamp()
    os.utime(room.back / "b.csv", (before, before))
    assert "1 to be looked at" in room.mark()
    said = room.mark("--counts", "newest", "--due", "2020-01-01T12:00")
    first = room.found().students[0]
    assert (first.file, first.state, first.points) == ("a.xlsx", HandInState.MARKED, first.of)
    (note,) = first.notes
    assert "newest of 2" in note and "as it says itself" in note and "copied" in note
    assert "handed in late" in note
    assert "1 older" in said
    (older,) = room.table("apart.csv")
    assert older["file"] == "b.csv" and older["what"].startswith("an older hand-in")
    # The other one is newer once its file is: a workbook's own word stays.
    later = time.time() + 10 * 365 * 86400
    os.utime(room.back / "b.csv", (later, later))
    room.mark("--counts", "newest", "--due", "2020-01-01T12:00", "--late", "count")
    first = room.found().students[0]
    assert first.file == "b.csv" and "late" not in first.notes[0]
    room.mark("--counts", "newest", "--due", "2020-01-01T12:00", "--late", "apart")
    assert room.found().students[0].state is HandInState.APART
    assert {row["what"].split(" (")[0] for row in room.table("apart.csv")} == {"it came too late"}
