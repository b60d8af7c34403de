"""Rehearsals in the record: durable answer by answer, marked as a whole, taken up again."""

from __future__ import annotations

import io
import sqlite3
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form
from rungwise.tutor.coach.rehearsal_run import RehearsalRun, begin, take_up
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.skill_map import skill_of
from rungwise.tutor.store import exchange, xapi
from rungwise.tutor.store.events import to_moment
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Record
from rungwise.tutor.store.rehearsals import latest, unfinished

from tests.support.children import limited
from tests.tutor.screens.learners import NOW

from .climbing import wrong_text

ROOT = Path(__file__).parents[3]


def begun(keeper: Keeper, count: int = 2, seed: int = 3) -> RehearsalRun:
    return begin(keeper, NOW, count, 10, seed)


def answer(going: RehearsalRun, *, rightly: bool, seconds: float = 20) -> None:
    exam = going.rehearsal
    now = exam.looked + timedelta(seconds=seconds)
    question = exam.question
    given = going.give(right_text(question) if rightly else wrong_text(question), now)
    assert given is not None and not given.trouble


def rows(home: Path) -> list[tuple[str, str]]:
    db = sqlite3.connect(home / "record.sqlite3")
    try:
        return db.execute("SELECT kind, body FROM events ORDER BY id").fetchall()
    finally:
        db.close()


def test_an_answer_is_in_the_file_before_it_is_acknowledged(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path)
    going = begun(keeper)
    assert [kind for kind, _ in rows(tmp_path)] == ["began", "began"]
    for count in range(1, 4):
        answer(going, rightly=count != 2)
        kept = rows(tmp_path)
        assert [kind for kind, _ in kept].count("given") == count
        # Whether it was right stands nowhere: not in the event, and there is no evidence.
        assert "verdict" not in kept[-1][1] and not keeper.evidence() and not keeper.states()
    going.leave_open(going.rehearsal.looked)
    assert rows(tmp_path)[-1][0] == "given" and '"text":""' in rows(tmp_path)[-1][1]


def test_it_goes_on_in_another_process_with_the_time_that_was_left(tmp_path: Path) -> None:
    first = Keeper("", tmp_path)
    going = begun(first)
    answer(going, rightly=True, seconds=40)
    answer(going, rightly=False, seconds=50)
    exam = going.rehearsal
    given, at = dict(exam.answers), exam.at
    going.draft("12 k", exam.looked + timedelta(seconds=7))
    assert unfinished(Keeper("", tmp_path)) is None  # one tutor at a time
    first.close()
    going.let_go()

    keeper = Keeper("", tmp_path)
    kept = unfinished(keeper)
    assert kept is not None
    later = NOW + timedelta(days=2)
    again = take_up(keeper, kept, later)
    assert again is not None
    other = again.rehearsal
    assert {p: g.text for p, g in other.answers.items()} == {p: g.text for p, g in given.items()}
    assert (other.at, other.reached, again.typed) == (at, exam.reached, "12 k")
    assert other.problems == exam.problems
    assert other.left(later) == timedelta(minutes=10) - timedelta(seconds=97)
    # Without the draft at least the time of the questions left is known.
    with sqlite3.connect(tmp_path / "record.sqlite3") as db:
        db.execute("DELETE FROM drafts")
    kept = unfinished(keeper) or kept
    assert kept.used >= 90


def test_an_unfinished_rehearsal_is_no_climb_to_go_on_with(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path)
    going = begun(keeper)
    answer(going, rightly=True)
    assert keeper.place() is None
    wish = ProblemRequest(1, None, 5)
    Climb(wish.problem(), keeper.begin(wish)).hint()
    place = keeper.place()
    keeper.close()
    other = Keeper("", tmp_path)
    place = other.place()
    assert place is not None and place.wish == wish
    going.let_go()
    assert unfinished(other) is not None


def test_marks_come_all_at_once_and_count_as_evidence(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path)
    going = begun(keeper, 3)
    exam = going.rehearsal
    while not exam.complete:
        turn = exam.at % 3
        if turn == 2 or exam.question.form is Form.SKETCH:
            going.leave_open(exam.looked)
        else:
            answer(going, rightly=not turn)
    result = going.hand_in(exam.looked)
    evidence = keeper.evidence()
    assert len(evidence) == len(exam.places) == len(result.items)
    for piece, item in zip(evidence, result.items, strict=True):
        assert piece.rung is item.state.question.rung and piece.outcome is item.state.outcome
        assert item.skill == skill_of(piece.family, piece.rung)
        place = (item.number, item.at)
        assert (piece.outcome is Outcome.SKIPPED) == (place not in exam.answers)
        assert piece.tries == (place in exam.answers) and piece.hints == 0
        assert piece.seconds == pytest.approx(item.seconds, abs=0.01)
    states = keeper.states()
    assert sum(state.right for state in states.values()) == result.right
    answered = len(result.items) - result.left_open
    assert sum(state.asked for state in states.values()) == answered
    assert not any(state.aided for state in states.values())  # what was left open shows nothing
    assert unfinished(keeper) is None and keeper.place() is None
    # What is derived is derived again from the events alone.
    assert keeper._record is not None
    keeper._record.derive()
    assert keeper.states() == states and keeper.evidence() == evidence


def test_the_last_review_can_be_seen_again(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path)
    assert latest(keeper) is None
    going = begun(keeper)
    for _ in range(4):
        answer(going, rightly=going.rehearsal.at % 2 == 0, seconds=31)
    assert latest(keeper) is None  # not before it is handed in
    exam = going.rehearsal
    result = going.hand_in(exam.looked)
    keeper.close()
    seen = latest(Keeper("", tmp_path))
    assert seen is not None
    assert [(i.state.outcome, i.skill, round(i.seconds)) for i in seen.items] == [
        (i.state.outcome, i.skill, round(i.seconds)) for i in result.items
    ]
    assert [i.state.last and i.state.last.typed for i in seen.items] == [
        i.state.last and i.state.last.typed for i in result.items
    ]
    assert (seen.right, seen.allowed) == (result.right, result.allowed)
    assert abs((seen.when - to_moment(0)).days) > 10_000


def test_a_failed_transaction_marks_nothing(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path)
    going = begun(keeper)
    answer(going, rightly=True)
    assert keeper._record is not None
    real, calls = keeper._record._append, []

    def failing(entry: object) -> None:
        calls.append(entry)
        if len(calls) == 5:
            raise sqlite3.OperationalError("disk I/O error")
        real(entry)  # type: ignore[arg-type]

    keeper._record._append = failing  # type: ignore[method-assign,assignment]
    result = going.hand_in(going.rehearsal.looked)
    assert len(result.items) == len(going.rehearsal.places)  # the review is there all the same
    assert not keeper.evidence() and keeper.trouble
    keeper._record._append = real  # type: ignore[method-assign]
    keeper.settle()  # what could not be written is tried again
    assert len(keeper.evidence()) == len(result.items) and not keeper.trouble


def test_exported_and_imported_it_is_the_same(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path / "one")
    going = begun(keeper)
    answer(going, rightly=True)
    going.leave_open(going.rehearsal.looked)
    answer(going, rightly=False)
    unfinished = begun(keeper, seed=9)
    answer(unfinished, rightly=True)
    going.hand_in(going.rehearsal.looked)
    keeper.close()
    record = Record.open(tmp_path / "one" / "record.sqlite3")
    forms = {
        "jsonl": (lambda out, i: exchange.write_jsonl(i, record.settings(), out)),
        "csv": (lambda out, i: exchange.write_csv(i, out)),
        "xapi": (lambda out, i: xapi.write_xapi(i, "", "", out)),
    }
    before = [(s, [(r.kind, r.body) for _, r in r]) for _, s, r in record.climbs()]
    assert any(kind == "given" for _, events in before for kind, _ in events)
    for name, write in forms.items():
        out = io.StringIO(newline="")
        write(out, exchange.items(record.climbs(), record.began_at))
        text = out.getvalue()
        match name:
            case "jsonl":
                found = exchange.read_jsonl(io.StringIO(text))
            case "csv":
                found = exchange.read_csv(io.StringIO(text, newline=""))
            case _:
                found = xapi.read_xapi(text)
        assert not found.complaints, (name, found.complaints)
        other = Record.open(tmp_path / name / "record.sqlite3")
        other.take_in(found.climbs)
        after = [(s, [(r.kind, r.body) for _, r in r]) for _, s, r in other.climbs()]
        assert sorted(after, key=lambda c: c[0].uid) == sorted(before, key=lambda c: c[0].uid)
        other.close()
    record.close()


def test_a_spoilt_rehearsal_is_left_alone(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path)
    going = begun(keeper)
    answer(going, rightly=True)
    going.let_go()
    keeper.close()
    with sqlite3.connect(tmp_path / "record.sqlite3") as db:
        db.execute("UPDATE events SET body = '{\"rung\":\"no such\"}' WHERE kind = 'given'")
    keeper = Keeper("", tmp_path)
    assert unfinished(keeper) is None and latest(keeper) is None and not keeper.trouble


_CHILD = """
import sys
from datetime import datetime, timedelta
from pathlib import Path
from rungwise.problems.grading.grade import right_text
from rungwise.tutor.coach.rehearsal_run import begin
from rungwise.tutor.store.keeper import Keeper
now = datetime.fromisoformat("2026-11-25T18:00:00+00:00")
going = begin(Keeper("", Path(sys.argv[1])), now, 2, 10, 3)
print("began", flush=True)
while not going.rehearsal.complete:
    sys.stdin.readline()
    going.give(right_text(going.rehearsal.question), now)
    print(len(going.rehearsal.answers), flush=True)
"""


def test_killed_in_the_middle_every_answer_acknowledged_is_there(tmp_path: Path) -> None:
    with (
        subprocess.Popen(
            [sys.executable, "-c", _CHILD, str(tmp_path)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        ) as child,
        limited(child),
    ):
        assert child.stdin is not None and child.stdout is not None
        assert child.stdout.readline() == "began\n"
        for count in range(1, 6):
            child.stdin.write("\n")
            child.stdin.flush()
            assert child.stdout.readline() == f"{count}\n"
        child.kill()
    keeper = Keeper("", tmp_path)
    kept = unfinished(keeper)  # its lock fell with the process
    assert kept is not None and len(kept.left) == 5
    going = take_up(keeper, kept, NOW)
    assert going is not None and len(going.rehearsal.answers) == 5
    assert going.hand_in(NOW).right == 5
