"""Rounds and looks in the record, and what may begin a row of events.

A round is kept as a climb is: its first event says that it began, each look that was left is
one event after it.  So what holds for climbs holds for rounds: events are numbered without
gaps, a round is known by its uid in every copy, and two tutors can each be at one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from ...problems.catalogue.groups import SkillGroup
from ...problems.questions.looks import LOOK_FORMAT, LookKind, look_row
from ..learning.course import Move, Other
from ..learning.looks import LookEvent
from .events import (
    MOST_STEPS,
    BadEvent,
    Start,
    _json,
    _lasted,
    _member,
    _object,
    _seconds,
    _string,
    _text,
    _whole,
    read_move,
    read_start,
    read_uid,
    write_move,
    write_start,
)

ROUND, LOOKED = "round", "looked"
"""The kinds of the event that begins a round, and of each look after it."""
BARE = (Other.LEFT.value, Other.TOOK_OVER.value)
"""Events that say nothing but that they happened."""


@dataclass(frozen=True, slots=True)
class RoundStart:
    """How a round began.

    ``uid`` names it in every copy of the record; ``length`` is how many looks it has, if it can be
    gone on with, else 0.
    """

    uid: str
    length: int = 0


@dataclass(frozen=True, slots=True)
class SeenLook:
    """A look as the record keeps it, and when it was left (UTC, aware)."""

    when: datetime
    look: LookEvent


@dataclass(frozen=True, slots=True)
class RoundLeft:
    """A round that was left half way: how it began, and its looks, one or more."""

    start: RoundStart
    looks: tuple[SeenLook, ...]


Begin = Start | RoundStart
"""What a row of events begins with."""


def begins(kind: object) -> bool:
    """Whether an event of this kind begins a climb or a round."""
    return kind in (Other.BEGAN.value, ROUND)


def begin_kind(start: Begin) -> str:
    """The kind of the event that begins a climb or a round."""
    return ROUND if isinstance(start, RoundStart) else Other.BEGAN.value


def write_begin(start: Begin) -> str:
    """The body of a beginning."""
    if isinstance(start, RoundStart):
        length = {"length": start.length} if start.length else {}
        return _json({"uid": start.uid, "format": LOOK_FORMAT, **length})
    return write_start(start)


def read_begin(kind: object, body: str) -> Begin:
    """How a climb or a round began: an event of a ``kind`` with a ``body``.

    Raises:
        BadEvent: it is the beginning of nothing.
    """
    if kind == ROUND:
        found = _object(body)
        _whole(found.get("format"), "format", 0, 10**6)
        length = _whole(found.get("length", 0), "length", 0, MOST_STEPS)
        return RoundStart(read_uid(found.get("uid")), length)
    if kind != Other.BEGAN.value:
        raise BadEvent("a beginning of nothing")
    return read_start(body)


def read_step(start: Begin | None, kind: str, body: str) -> Move | LookEvent:
    """What an event of a ``kind`` with a ``body`` says; ``start`` is how its climb or round began.

    ``None`` where that is not known.

    Raises:
        BadEvent: it is nothing that happens there.
    """
    if kind == LOOKED:
        if isinstance(start, Start):
            raise BadEvent("a look in a climb")
        return read_look(start.uid if start is not None else "", body)
    if isinstance(start, RoundStart):
        raise BadEvent("a round holds looks alone")
    return read_move(kind, body)


def normal_body(start: Begin | None, kind: str, body: str) -> str:
    """The ``body`` of an event of a ``kind``, none of :data:`BARE`, as this release would write it.

    ``start`` is as in :func:`read_step`.

    Raises:
        BadEvent: it is nothing that happens there.
    """
    found = read_step(start, kind, body)
    return write_look(found) if isinstance(found, LookEvent) else write_move(found)


def write_look(look: LookEvent) -> str:
    """The body of a look."""
    body: dict[str, Any] = {
        "asks": look.kind,
        "number": look.number,
        "seed": look.seed,
        "group": look.group,
        "structure": _text(look.structure),
        "circuit": _text(look.circuit),
        "truth": look.truth,
        "answered": look.answered,
    }
    said = {"cold": look.cold, "scaffold": look.scaffold, "hints": look.hints}
    body |= {key: value for key, value in said.items() if value}
    return _json(body | _lasted(look.seconds))


def read_look(uid: str, body: str) -> LookEvent:
    """The look with a ``body`` of the round that a ``uid`` names.

    Raises:
        BadEvent: it is no look.
    """
    found = _object(body)
    kind = _member(LookKind, found.get("asks"), "asks")
    answers = look_row(kind).answers
    truth, answered = found.get("truth"), found.get("answered", "")
    if truth not in answers or answered not in ("", *answers):
        raise BadEvent(f"'truth' or 'answered' is none of {', '.join(answers)}")
    return LookEvent(
        uid,
        _whole(found.get("number"), "number", 0, MOST_STEPS),
        kind,
        _whole(found.get("seed"), "seed", 0, 2**63 - 1),
        _member(SkillGroup, found.get("group"), "group"),
        _string(found, "structure"),
        _string(found, "circuit", ""),
        str(truth),
        str(answered),
        _flag(found, "cold"),
        _flag(found, "scaffold"),
        _whole(found.get("hints", 0), "hints", 0, 3),
        _seconds(found),
    )


def _flag(body: dict[str, Any], key: str) -> bool:
    value = body.get(key, False)
    if not isinstance(value, bool):
        raise BadEvent(f"{key!r} is neither true nor false")
    return value
