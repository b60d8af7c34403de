"""The events of a record, as rows, and what the events of one climb add up to.

A climb's events are numbered from 0: the beginning, then its moves, then perhaps that it
was left for another.  Bodies are JSON objects; nothing read back is trusted: what does not
fit raises :class:`BadEvent`.
"""

from __future__ import annotations

import json
import math
import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Any, TypeVar

from ...problems.questions.model import FORMAT, Problem, Rung, Task, Verdict
from ..learning.course import Course, Move, MoveKind
from ..learning.course import Other as Other
from ..learning.evidence import Evidence
from ..learning.request import ProblemRequest

LONGEST = 4096
"""Most characters of a text that an event keeps; answers are read up to 1024."""
MOST_RUNGS = 200
MOST_SLIPS = 50
MOST_PARTS = 100
MOST_BODY = 65_536
MOST_STEPS = 100_000
LONGEST_WAIT = 1e7
"""Most seconds that a move can have taken: four months."""
_LATEST = 253_402_300_799_000_000
"""The last microsecond but some of the year 9999, counted from 1970 as all times are."""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

_Member = TypeVar("_Member", bound=StrEnum)


class BadEvent(ValueError):  # noqa: N818 - the name says what is wrong
    """A row that is no event; the message says why."""


@dataclass(frozen=True, slots=True)
class RehearsalPart:
    """Of which rehearsal a climb is part.

    ``uid`` names the rehearsal as a climb is named, ``number`` counts its ``count`` climbs
    from 0, and ``seconds`` is how long it may take.
    """

    uid: str
    number: int
    count: int
    seconds: int


@dataclass(frozen=True, slots=True)
class Start:
    """How a climb began: the problem that was wished for and the one that was made.

    ``uid`` names the climb in every copy of the record: 32 hexadecimal digits of a random
    UUID.  ``rungs`` are (kind of question, number of choices); 0 choices: typed.
    ``circuit`` is the circuit as text.  ``worked`` rungs were to be shown worked, ``spare`` ones
    not asked where the type was right at once.  ``part`` is set where the problem belongs to a
    rehearsal, which is marked when it is handed in.
    """

    uid: str
    wish: ProblemRequest
    format: int
    family: str
    level: int
    seed: int
    task: Task
    rungs: tuple[tuple[Rung, int], ...]
    circuit: str = ""
    worked: frozenset[Rung] = frozenset()
    part: RehearsalPart | None = None
    spare: frozenset[Rung] = frozenset()

    def fits(self, problem: Problem) -> bool:
        """Whether this is the problem that was begun, question by question."""
        asked = tuple((q.rung, len(q.choices)) for q in problem.questions)
        return (self.format, self.family, self.rungs) == (problem.format, problem.family, asked)


@dataclass(frozen=True, slots=True)
class EventRow:
    """One event as it lies in the record.

    ``step`` counts from 0 within the climb; ``at`` is UTC in microseconds since 1970.
    """

    step: int
    at: int
    kind: str
    body: str


def now() -> int:
    """The present moment, UTC, in microseconds since 1970."""
    return to_micros(datetime.now(UTC))


def to_micros(when: datetime) -> int:
    """An aware moment in microseconds since 1970, exactly."""
    return (when - _EPOCH) // timedelta(microseconds=1)


def to_moment(at: int) -> datetime:
    """A moment from microseconds since 1970, aware, UTC."""
    return _EPOCH + timedelta(microseconds=at)


def new_uid() -> str:
    """A random UUID (RFC 9562, version 4) as 32 hexadecimal digits."""
    data = bytearray(os.urandom(16))
    data[6] = data[6] & 0x0F | 0x40
    data[8] = data[8] & 0x3F | 0x80
    return data.hex()


def start_of(
    uid: str,
    wish: ProblemRequest,
    problem: Problem,
    worked: frozenset[Rung] = frozenset(),
    part: RehearsalPart | None = None,
    spare: frozenset[Rung] = frozenset(),
) -> Start:
    """How a climb begins.

    Args:
        uid: its name.
        wish: what was wished for.
        problem: what was made.
        worked: rungs that are shown worked.
        part: of which rehearsal it is part, if of one.
        spare: rungs that are not asked where the type was right at once.
    """
    from ...problems.circuits.write import write_circuit

    return Start(
        uid,
        wish,
        problem.format,
        problem.family,
        problem.level,
        problem.seed,
        problem.task,
        tuple((q.rung, len(q.choices)) for q in problem.questions),
        write_circuit(problem.ladder),
        worked,
        part,
        spare,
    )


# Writing


def _text(value: str) -> str:
    """A text that can be kept: bytes that were none become marks, and not too many."""
    return value[:LONGEST].encode("utf-8", "replace").decode("utf-8")


def _json(body: dict[str, Any]) -> str:
    return json.dumps(body, ensure_ascii=False, separators=(",", ":"))


def _lasted(seconds: float) -> dict[str, float]:
    return {"seconds": round(min(max(0.0, seconds), LONGEST_WAIT), 3)}


def write_start(start: Start) -> str:
    """The body of a beginning."""
    wish = start.wish
    body = {
        "uid": start.uid,
        "wish": [wish.level, wish.family, wish.seed, wish.task],
        "format": start.format,
        "family": start.family,
        "level": start.level,
        "seed": start.seed,
        "task": start.task,
        "rungs": [[rung, choices] for rung, choices in start.rungs],
        "circuit": _text(start.circuit),
    }
    if start.worked:
        body["worked"] = [rung for rung, _ in start.rungs if rung in start.worked]
    if start.spare:
        body["spare"] = [rung for rung, _ in start.rungs if rung in start.spare]
    if wish.kinds:
        body["kinds"] = list(wish.kinds)
    if start.part is not None:
        part = start.part
        body["rehearsal"] = [part.uid, part.number, part.count, part.seconds]
    return _json(body)


def write_move(move: Move) -> str:
    """The body of a move; what is empty is left out."""
    body: dict[str, Any] = {"rung": move.rung}
    if move.kind is MoveKind.ANSWERED:
        body["text"] = _text(move.text)
        body["verdict"] = move.verdict
        for key, value in (("understood", move.understood), ("trouble", move.trouble)):
            if value:
                body[key] = _text(value)
        if move.slips:
            body["slips"] = move.slips[:MOST_SLIPS]
    elif move.kind is MoveKind.GIVEN:
        body["text"] = _text(move.text)
        if move.understood:
            body["understood"] = _text(move.understood)
    elif move.kind is MoveKind.HINTED:
        body["level"] = move.level
    return _json(body | _lasted(move.seconds))


# Reading


def _object(body: object) -> dict[str, Any]:
    if not isinstance(body, str):  # a damaged file may hold anything
        raise BadEvent("the event is no text")
    if len(body) > MOST_BODY:
        raise BadEvent("the event is too long")
    try:
        found = json.loads(body)
    except (ValueError, RecursionError):
        raise BadEvent("the event is no JSON") from None
    if not isinstance(found, dict):
        raise BadEvent("the event is no JSON object")
    return found


def _string(body: dict[str, Any], key: str, default: str | None = None) -> str:
    value = body.get(key, default)
    if not isinstance(value, str) or len(value) > LONGEST:
        raise BadEvent(f"{key!r} is no text of at most {LONGEST} characters")
    try:
        value.encode()
    except UnicodeEncodeError:
        raise BadEvent(f"{key!r} is no Unicode text") from None
    return value


def _whole(value: object, key: str, least: int, most: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise BadEvent(f"{key!r} is no whole number from {least} to {most}")
    return value


def _member(kind: type[_Member], value: object, key: str) -> _Member:
    try:
        return kind(value)  # type: ignore[arg-type]
    except ValueError:
        few = len(kind) <= 6
        known = f"of {', '.join(kind)}" if few else "that this release knows"
        raise BadEvent(f"{key!r} is none {known}") from None


def _seconds(body: dict[str, Any]) -> float:
    seconds = body.get("seconds", 0.0)
    if isinstance(seconds, bool) or not isinstance(seconds, int | float):
        raise BadEvent("'seconds' is no number")
    if not (math.isfinite(seconds) and 0 <= seconds <= LONGEST_WAIT):
        raise BadEvent(f"'seconds' is no number from 0 to {LONGEST_WAIT:.0f}")
    return float(seconds)


def read_at(value: object) -> int:
    """A moment; see :class:`Row`.

    Raises:
        BadEvent: it is none between 1970 and 9999.
    """
    return _whole(value, "at", 0, _LATEST)


def read_uid(value: object) -> str:
    """The name of a climb.

    Raises:
        BadEvent: it is not 32 hexadecimal digits.
    """
    if not isinstance(value, str) or len(value) != 32 or not set(value) <= set("0123456789abcdef"):
        raise BadEvent("'uid' is not 32 hexadecimal digits")
    return value


def read_start(body: str) -> Start:
    """How a climb began.

    Raises:
        BadEvent: the body is not that of a beginning.
    """
    found = _object(body)
    wish = found.get("wish")
    if not isinstance(wish, list) or len(wish) != 4:
        raise BadEvent("'wish' is no list of level, family, seed and task")
    worked, spare, chosen = (_rungs(found, key) for key in ("worked", "spare", "kinds"))
    level, family, seed, task = wish
    if family is not None:
        family = _string({"family": family}, "family")
    rungs = found.get("rungs")
    if not isinstance(rungs, list) or not 0 < len(rungs) <= MOST_RUNGS:
        raise BadEvent(f"'rungs' is no list of 1 to {MOST_RUNGS} kinds of question")
    pairs = []
    for pair in rungs:
        if not isinstance(pair, list) or len(pair) != 2:
            raise BadEvent("'rungs' holds something else than kinds and numbers of choices")
        pairs.append((_member(Rung, pair[0], "rungs"), _whole(pair[1], "rungs", 0, 100)))
    format_ = _whole(found.get("format"), "format", 0, 10**6)
    return Start(
        read_uid(found.get("uid")),
        ProblemRequest(
            None if level is None else _whole(level, "wish", 0, 99),
            family,
            _whole(seed, "wish", 0, 2**63 - 1),
            None if task is None else _member(Task, task, "wish"),
            min(max(format_, 1), FORMAT),  # of a later release: what is made then does not fit
            chosen,
            tuple(rung for rung, _ in pairs),
        ),
        format_,
        _string(found, "family"),
        _whole(found.get("level"), "level", 0, 99),
        _whole(found.get("seed"), "seed", 0, 2**63 - 1),
        _member(Task, found.get("task"), "task"),
        tuple(pairs),
        _string(found, "circuit", ""),
        frozenset(worked),
        _read_part(found.get("rehearsal")),
        frozenset(spare),
    )


def _rungs(found: dict[str, Any], key: str) -> tuple[Rung, ...]:
    value = found.get(key, [])
    if not isinstance(value, list) or len(value) > MOST_RUNGS:
        raise BadEvent(f"{key!r} is no list of at most {MOST_RUNGS} kinds of question")
    return tuple(_member(Rung, rung, key) for rung in value)


def _read_part(value: object) -> RehearsalPart | None:
    if value is None:
        return None
    if not isinstance(value, list) or len(value) != 4:
        raise BadEvent("'rehearsal' is no list of uid, number, count and seconds")
    uid, number, count, seconds = value
    count = _whole(count, "rehearsal", 1, MOST_PARTS)
    return RehearsalPart(
        read_uid(uid),
        _whole(number, "rehearsal", 0, count - 1),
        count,
        _whole(seconds, "rehearsal", 1, 10**6),
    )


def read_move(kind: str, body: str) -> Move:
    """A move, of its ``kind`` and ``body`` in the record.

    Raises:
        BadEvent: the kind is none of a move, or the body does not belong to it.
    """
    known = _member(MoveKind, kind, "kind")
    found = _object(body)
    seconds = _seconds(found)
    rung = _member(Rung, found.get("rung"), "rung")
    if known is MoveKind.HINTED:
        level = _whole(found.get("level"), "level", 1, 3)
        return Move(known, rung, level=level, seconds=seconds)
    if known is MoveKind.GIVEN:
        text, understood = _string(found, "text"), _string(found, "understood", "")
        return Move(known, rung, text, understood=understood, seconds=seconds)
    if known is not MoveKind.ANSWERED:
        return Move(known, rung, seconds=seconds)
    slips = found.get("slips", [])
    if not isinstance(slips, list) or len(slips) > MOST_SLIPS:
        raise BadEvent(f"'slips' is no list of at most {MOST_SLIPS} names")
    return Move(
        known,
        rung,
        _string(found, "text"),
        _member(Verdict, found.get("verdict"), "verdict"),
        _string(found, "understood", ""),
        _string(found, "trouble", ""),
        tuple(_string({"slips": slip}, "slips") for slip in slips),
        seconds=seconds,
    )


# What the events of a climb add up to


class ClimbEvents:
    """One climb of a record, as far as its events tell it."""

    def __init__(self, start: Start) -> None:
        self.start = start
        self._course = Course(rung for rung, _ in start.rungs)

    @property
    def position(self) -> int:
        """How many rungs have been left."""
        return self._course.position

    @property
    def done(self) -> bool:
        """Whether every rung has been left."""
        return self._course.done

    def take(self, move: Move, at: int) -> Evidence | None:
        """Add the next ``move``; what its rung has shown, if the move has left it.

        It was made ``at`` so many microseconds since 1970.
        """
        left = self._course.take(move)
        if left is None:
            return None
        start = self.start
        _, choices = start.rungs[self._course.position - 1]
        return Evidence(
            to_moment(at),
            start.family,
            start.level,
            start.seed,
            start.task,
            left.rung,
            choices,
            left.outcome,
            left.tries,
            left.hints,
            tuple(left.slips),
            left.seconds,
        )


@dataclass(frozen=True)
class LeftOff:
    """Where a learner left off: a climb that was begun and neither finished nor left.

    ``moves`` lead from its beginning to the rung that was being asked (see ``Climb.replay``).
    ``draft`` is what was typed and not submitted on the rung at ``position``; −1: nothing.
    """

    start: Start
    moves: tuple[Move, ...] = ()
    draft: str = ""
    position: int = -1
    took_over: bool = False

    @property
    def wish(self) -> ProblemRequest:
        """What was wished for."""
        return self.start.wish

    @property
    def worked(self) -> frozenset[Rung]:
        """The rungs that are still to be shown worked instead of asked."""
        return frozenset() if self.took_over else self.start.worked

    @property
    def reached(self) -> int:
        """How many rungs have been left: the place, from 0, of the one being asked."""
        course = ClimbEvents(self.start)
        for move in self.moves:
            course.take(move, 0)
        return course.position

    def fits(self, problem: Problem) -> bool:
        """Whether this is the problem that was being climbed, question by question."""
        return self.start.fits(problem)
