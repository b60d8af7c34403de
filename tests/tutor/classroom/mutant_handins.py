"""Hand-ins damaged in every way that comes to mind: each is marked, or refused with a remedy.

Each mutant is a hand-in of a student of its own, read and marked on its own with a look at the
processor time, and then all of them are marked as one class by the command.
"""

from __future__ import annotations

import csv
import io
import json
import random
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path

from click.testing import CliRunner
from rungwise.problems.sheets.documents import key_document
from rungwise.tutor.classroom.handins.table import BadTable
from rungwise.tutor.classroom.marking.jobs import MarkingJob, mark_one
from rungwise.tutor.classroom.marking.made_class import (
    ClassMember,
    ClassRoll,
    ClassSettings,
    read_class,
    whose,
)
from rungwise.tutor.classroom.marking.marks import HandInState, marks_of
from rungwise.tutor.classroom.marking.opened import read_hand_in
from rungwise.tutor.cli.sheet import sheet

from tests.support import hostile

from .handed_in import PLAN, as_csv, as_json, document, key_for, typed

SLOWEST = 1.0
"""Seconds of processor time for one hand-in."""
DRAWN = 8
_TEXTS = (*hostile.FRAGMENTS, *hostile.HEAVY, "=cmd|' /C calc'!A0", "a;=1+1", "Q1.1", "sheet", "03",
          "1" * 1024, "(" * 1024, "s^99999999", "1e999999999 Hz", "R1^R1^R1^R1", "0 to " * 200,
          "{" * 500, "\\u0000", "＝1", "rungwise.answers/1")  # fmt: skip
_ENCODINGS = ("utf-16", "utf-16-be", "utf-32", "utf-7", "cp1252", "cp500", "cp037", "shift_jis")
Rows = list[list[str]]
Chance = random.Random


def number_of(place: int) -> int:
    return 1 + place % DRAWN


# ------------------------------------------------------------------------------- ways to damage


def _flip(data: bytes, chance: Chance) -> bytes:
    out = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 5, 30))):
        out[chance.randrange(len(out))] ^= 1 << chance.randrange(8)
    return bytes(out)


def _cut(data: bytes, chance: Chance) -> bytes:
    return data[: chance.randrange(len(data))]


def _lose(data: bytes, chance: Chance) -> bytes:
    start = chance.randrange(len(data))
    return data[:start] + data[start + chance.choice((1, 3, 20)) :]


def _insert(data: bytes, chance: Chance) -> bytes:
    piece = chance.choice(
        (b"\0", b"\0" * 100, b"\xff\xfe", b"\xef\xbb\xbf", b'"', b"'", b"\r", b"\n\n", b",,,", b";",
         b"\x1a", bytes(range(256)), "\u202e".encode(), b"\xed\xa0\x80", b"[" * 5000, b'{"a":' * 99)
    )  # fmt: skip
    at = chance.randrange(len(data) + 1)
    return data[:at] + piece + data[at:]


def _encode(data: bytes, chance: Chance) -> bytes:
    text = data.decode("utf-8-sig", "replace")
    return text.encode(chance.choice(_ENCODINGS), "replace")


def _double(data: bytes, chance: Chance) -> bytes:
    return data * chance.choice((2, 3, 50))


def _nothing(data: bytes, chance: Chance) -> bytes:
    return chance.choice((b"", b"\n", b"\0", bytes(chance.randbytes(500)), b"[]", b"null", b"7"))


ON_BYTES: tuple[Callable[[bytes, Chance], bytes], ...] = (
    _flip, _flip, _cut, _lose, _insert, _insert, _encode, _double, _nothing,
)  # fmt: skip


def _on_rows(data: bytes, chance: Chance) -> bytes:
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    for _ in range(chance.choice((1, 1, 3))):
        at = chance.randrange(len(rows))
        match chance.randrange(9):
            case 0:
                del rows[at]
            case 1:
                rows.insert(chance.randrange(len(rows)), list(rows[at]))
            case 2:
                other = chance.randrange(len(rows))
                rows[at], rows[other] = rows[other], rows[at]
            case 3:
                rows[at] = rows[at][: chance.randrange(3)]
            case 4:
                rows[at] = [*rows[at], chance.choice(_TEXTS)]
            case 5:
                rows[at] = rows[at][::-1]
            case 6:
                rows[at][0] = chance.choice(("Q9999.9999", "1.1.1", "q1", "-1.1", "title", ""))
            case _:
                rows[at][chance.randrange(len(rows[at]) or 1) :] = [chance.choice(_TEXTS)]
        if not rows:
            break
    out = io.StringIO()
    style = chance.choice((csv.QUOTE_MINIMAL, csv.QUOTE_ALL, csv.QUOTE_NONE))
    writer = csv.writer(
        out, delimiter=chance.choice(",;\t|"), quoting=style, escapechar="\\",
        lineterminator=chance.choice(("\n", "\r\n", "\r")),
    )  # fmt: skip
    writer.writerows(rows)
    return out.getvalue().encode("utf-8", "surrogatepass")


def _on_members(data: bytes, chance: Chance) -> bytes:
    found = json.loads(data)
    odd: tuple[object, ...] = (
        None, True, 7, 1.5, -0.0, float("nan"), float("inf"), [], {}, [[]], {"a": {"b": {}}},
        10**400, [1] * 1000, "", *(chance.choice(_TEXTS) for _ in range(12)),
    )  # fmt: skip
    for _ in range(chance.choice((1, 1, 3))):
        inner = found["answers"] if isinstance(found.get("answers"), dict) else found
        where = chance.choice((found, inner, inner))
        if not where:
            continue
        name = chance.choice(list(where))
        match chance.randrange(4):
            case 0:
                del where[name]
            case 1:
                where[str(chance.choice(_TEXTS))[:2000]] = where[name]
            case _:
                where[name] = chance.choice(odd)
    return json.dumps(found, ensure_ascii=chance.random() < 0.5).encode("utf-8", "surrogatepass")


def mutant(place: int, seed: int) -> tuple[str, bytes]:
    """(ending, bytes) of a damaged hand-in; the same each time."""
    chance = Chance(f"{seed} {place}")
    number = number_of(place)
    answers = typed(number, seed % 7)
    ending = chance.choice((".csv", ".csv", ".json"))
    data = (as_csv if ending == ".csv" else as_json)(number, answers)
    data = data.replace(b"sheet,leave this row as it is:,%02d" % number,
                        b"sheet,leave this row as it is:,%d" % (place + 1))  # fmt: skip
    if ending == ".json":
        data = json.dumps({**document(number, answers), "sheet": str(place + 1)}).encode()
    if chance.random() < 0.5:
        data = (_on_rows if ending == ".csv" else _on_members)(data, chance)
    else:
        data = chance.choice(ON_BYTES)(data, chance)
    return chance.choice((ending, ending, ending, ".csv", ".json")), data


# ------------------------------------------------------------------------------- what comes of it


@cache
def _key(number: int) -> dict[str, object]:
    return key_document(key_for(number))


def key_bytes(place: int) -> bytes:
    found = json.loads(json.dumps(_key(number_of(place))))
    found["student"]["number"] = place + 1
    return json.dumps(found).encode()


def survey(count: int, seed: int = 1) -> Counter[str]:
    """Mark so many mutants; how many were marked, and how many set apart.

    Raises:
        AssertionError: one of them does what none should.
    """
    outcomes: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="rungwise-") as name:
        out, back = Path(name) / "out", Path(name) / "back"
        _make(out, count)
        course, entries = read_class(out / "keys" / "class.json")
        roll = ClassRoll(entries)
        for place in range(count):
            ending, data = mutant(place, seed)
            folder = back / f"{place + 1:02d}-student"
            folder.mkdir(parents=True)
            (folder / f"answers{ending}").write_bytes(data)
            outcomes[_timed(roll, course, place, ending, data)] += 1
        _as_a_class(out, back, count, outcomes["marked"])
    return outcomes


def _make(out: Path, count: int) -> None:
    from rungwise.problems.sheets.model import Student
    from rungwise.tutor.classroom.making.enrolment import enrolled
    from rungwise.tutor.classroom.making.ledger import MadeFrom

    students = [Student(n, id=key_for(number_of(n - 1)).student.id) for n in range(1, count + 1)]
    bare = [Student(student.number) for student in students]
    for place in range(count):
        folder = out / "keys" / f"{place + 1:02d}-student"
        folder.mkdir(parents=True)
        (folder / "key.json").write_bytes(key_bytes(place))
    (out / "keys" / "class.json").write_bytes(
        MadeFrom.of(PLAN, enrolled(PLAN, bare).members).class_bytes()
    )


def _timed(roll: ClassRoll, course: ClassSettings, place: int, ending: str, data: bytes) -> str:
    for _ in range(3):  # real slowness repeats itself
        start = time.thread_time()
        outcome = _alone(roll, course, place, ending, data)
        if (seconds := time.thread_time() - start) <= SLOWEST:
            return outcome
    raise AssertionError(f"{seconds:.1f} s for mutant {place}")


def _alone(roll: ClassRoll, course: ClassSettings, place: int, ending: str, data: bytes) -> str:
    file = f"{place + 1:02d}-student/answers{ending}"
    found = read_hand_in(file, data, ending)
    try:
        said = whose(roll, course, found.answers, found.names)
    except BadTable as error:
        return _is_apart(place, error.what, error.remedy)
    if found.answers is None:
        return _is_apart(place, found.what, found.remedy)
    entry = roll.members.get(said.number)
    assert isinstance(entry, ClassMember), f"mutant {place} is of {said}"
    _check_marks(place, MarkingJob(said.number, key_bytes(said.number - 1), found.answers))
    return "blank" if found.answers.blank else "marked"


def _is_apart(place: int, what: str, remedy: str) -> str:
    assert what and remedy, f"mutant {place}: no reason"
    assert what.isprintable() and remedy.isprintable(), f"mutant {place}: {what!r}"
    return "apart"


def _check_marks(place: int, job: MarkingJob) -> None:
    result = mark_one(job)
    assert not result.trouble
    for problem in result.problems:
        for mark in problem.questions:
            assert 0 <= mark.points <= mark.of, f"mutant {place}: {mark}"
            assert "failed" not in mark.trouble, f"mutant {place}: {mark}"
            told = (mark.typed, mark.understood, mark.trouble, *mark.told)
            assert all(one.isprintable() for one in told), f"mutant {place}: {mark}"


def _as_a_class(out: Path, back: Path, count: int, marked: int) -> None:
    found = CliRunner().invoke(sheet, ["mark", str(out), str(back), "--workers", "1"])
    assert found.exit_code == 0 and found.exception is None, found.output
    marks = marks_of(json.loads((out / "marks" / "marks.json").read_bytes()))
    states = Counter(student.state for student in marks.students)
    assert sum(states.values()) == count
    # One whose number was damaged into another's is the other's second hand-in.
    assert states[HandInState.MARKED] <= marked
    assert states[HandInState.MARKED] >= marked * 0.9
    for name in ("marks.csv", "apart.csv", "unclear.csv"):
        text = (out / "marks" / name).read_bytes().decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        assert len({len(row) for row in rows}) == 1
        assert all(cell.isprintable() for row in rows for cell in row)
        assert not any(cell.startswith(tuple("=+-@＝")) for row in rows for cell in row)
