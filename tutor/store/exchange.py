"""A record as a file for other programs, and back: JSON lines, CSV and xAPI statements.

All three hold every event, so that any of them, read back, gives the same record.  What is
read is checked event by event and climb by climb; nothing of it is trusted, and every
complaint names the line.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Protocol

from ..language.told import ToldError
from ..learning.course import MoveKind, Other
from .events import (
    MOST_BODY,
    MOST_STEPS,
    BadEvent,
    EventRow,
    read_at,
    read_uid,
    to_micros,
    to_moment,
)
from .looks import (
    BARE,
    LOOKED,
    ROUND,
    Begin,
    begin_kind,
    begins,
    normal_body,
    read_begin,
    write_begin,
)
from .record import ForeignClimb

FORMAT = "rungwise.record/1"
MOST_LINE = 4 * MOST_BODY
"""Longest line read, in characters."""
MOST_COMPLAINTS = 5


class Out(Protocol):
    """Where a record can be written to."""

    def write(self, text: str, /) -> object:
        """Write a text."""


@dataclass(frozen=True, slots=True)
class ExchangeItem:
    """One event outside a record: of which climb, its row, and the row's body as an object."""

    climb: str
    row: EventRow
    body: dict[str, Any]


@dataclass
class ReadRecord:
    """What was read of a file: climbs and settings, and what could not be read and why."""

    climbs: list[ForeignClimb] = field(default_factory=list)
    settings: dict[str, str] = field(default_factory=dict)
    complaints: list[str] = field(default_factory=list)
    passed_over: int = 0

    def complain(self, what: str) -> None:
        """Count something that could not be read; the first few are told."""
        self.passed_over += 1
        if len(self.complaints) < MOST_COMPLAINTS:
            self.complaints.append(what)


class BadFile(ToldError):  # noqa: N818 - the name says what is wrong
    """A file that is none of the forms; the message says why."""


def items(
    climbs: Iterable[tuple[int, Begin, list[tuple[int, EventRow]]]], at: At
) -> Iterator[ExchangeItem]:
    """The events of a record's ``climbs``, in their order; ``at`` says when each began."""
    for number, start, rows in climbs:
        body = json.loads(write_begin(start))
        del body["uid"]
        yield ExchangeItem(start.uid, EventRow(0, at(number), begin_kind(start), ""), body)
        for _, row in rows:
            try:
                read_at(row.at)
                bare = row.kind in BARE
                body = {} if bare else json.loads(normal_body(start, row.kind, row.body))
            except BadEvent:
                continue  # what cannot be read says nothing to others either
            yield ExchangeItem(start.uid, row, body)


At = Callable[[int], int]
"""When the climb of a number began, in microseconds since 1970."""


def timestamp(at: int) -> str:
    """A moment as RFC 3339 has it, to the microsecond: 2026-11-25T12:00:00.000001Z."""
    return to_moment(at).isoformat(timespec="microseconds").replace("+00:00", "Z")


def read_timestamp(value: object) -> int:
    """Back from :func:`timestamp`, or from any other moment with its offset from UTC.

    Raises:
        BadEvent: it is no such moment.
    """
    if not isinstance(value, str) or len(value) > 40:
        raise BadEvent("'at' is no moment")
    try:
        when = datetime.fromisoformat(value)
        if when.tzinfo is None:
            raise BadEvent("'at' has no offset from UTC")
        return read_at(to_micros(when.astimezone(UTC)))
    except (ValueError, OverflowError) as error:
        if isinstance(error, BadEvent):
            raise
        raise BadEvent(f"'at' is no moment: {value[:40]}") from None


# JSON lines


def write_jsonl(found: Iterable[ExchangeItem], settings: dict[str, str], out: Out) -> None:
    """One JSON object a line to ``out``: a head with ``settings``, then the events ``found``."""
    head = {"format": FORMAT, "settings": settings}
    out.write(json.dumps(head, ensure_ascii=False) + "\n")
    for item in found:
        row = item.row
        line = {"climb": item.climb, "step": row.step, "at": timestamp(row.at), "kind": row.kind}
        text = json.dumps(line | item.body, ensure_ascii=False, separators=(",", ":"))
        out.write(text + "\n")


def read_jsonl(source: Iterable[str]) -> ReadRecord:
    """Back from :func:`write_jsonl`.

    Raises:
        BadFile: the first line is not that of a record.
    """
    found, collected = ReadRecord(), CollectedEvents()
    for number, line in enumerate(source, 1):
        if not line.strip():
            continue
        try:
            entry = _object(line)
            if not collected.headed:
                collected.headed = True
                _check_head(entry)
                found.settings = _settings(entry.get("settings"))
                continue
            body = {k: v for k, v in entry.items() if k not in ("climb", "step", "at", "kind")}
            collected.add(number, entry, entry.get("at"), body)
        except BadEvent as error:
            if not collected.headed:
                raise BadFile(f"line {number}: {error}") from None
            found.complain(f"line {number}: {error}")
    if not collected.headed:
        raise BadFile("the file is empty")
    collected.deliver(found)
    return found


def _object(line: str) -> dict[str, Any]:
    if len(line) > MOST_LINE:
        raise BadEvent("the line is too long")
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        raise BadEvent("no JSON") from None
    if not isinstance(entry, dict):
        raise BadEvent("no JSON object")
    return entry


def _check_head(entry: dict[str, Any]) -> None:
    told = entry.get("format")
    if not isinstance(told, str) or not told.startswith("rungwise.record/"):
        raise BadFile("the first line does not say that this is a record of Rungwise")
    if told != FORMAT:
        raise BadFile(f"a later release of Rungwise wrote this file ({told[:40]})")


def _settings(value: object) -> dict[str, str]:
    if not isinstance(value, dict):
        return {}
    return {
        key: text
        for key, text in value.items()
        if isinstance(text, str) and len(key) <= 40 and len(text) <= 1000 and key.isprintable()
    }


# Put together


class CollectedEvents:
    """Events of a file, gathered by climb; ``unit`` is what the file counts."""

    def __init__(self, unit: str = "line") -> None:
        self.headed = False
        self._unit = unit
        self._begun: dict[str, ForeignClimb] = {}
        self._rows: dict[str, dict[int, tuple[int, EventRow]]] = {}

    def add(self, line: int, entry: dict[str, Any], at: object, body: dict[str, Any]) -> None:
        """One event.

        Args:
            line: where it stands, counted from 1.
            entry: its climb, step and kind.
            at: when it was, as RFC 3339 has it.
            body: the rest of it.

        Raises:
            BadEvent: it is none, or the second one of its number.
        """
        uid, step, kind = read_uid(entry.get("climb")), entry.get("step"), entry.get("kind")
        if isinstance(step, bool) or not isinstance(step, int) or not 0 <= step <= MOST_STEPS:
            raise BadEvent(f"'step' is no whole number from 0 to {MOST_STEPS}")
        when = read_timestamp(at)
        rows = self._rows.setdefault(uid, {})
        if step in rows or (step == 0 and uid in self._begun):
            raise BadEvent(f"event {step} of this climb is there twice")
        text = json.dumps(body, ensure_ascii=False, default=str)
        if step == 0:
            if not begins(kind):
                raise BadEvent("the first event of a climb is that it began")
            start = read_begin(kind, json.dumps(body | {"uid": uid}, default=str))
            self._begun[uid] = ForeignClimb(start, when, [])
        elif not isinstance(kind, str):
            raise BadEvent("'kind' is no text")
        elif kind in BARE:
            rows[step] = line, EventRow(step, when, kind, "{}")
        else:
            rows[step] = line, EventRow(step, when, kind, normal_body(None, kind, text))

    def deliver(self, found: ReadRecord) -> None:
        """The climbs that are whole: begun, and no event missing up to the last one taken."""
        for uid, rows in self._rows.items():
            climb = self._begun.get(uid)
            if climb is None:
                if rows:
                    line = min(line for line, _ in rows.values())
                    found.complain(
                        f"{self._unit} {line}: the climb of this event does not begin anywhere"
                    )
                continue
            for expected, step in enumerate(sorted(rows), 1):
                line, row = rows[step]
                if step != expected:
                    found.complain(
                        f"{self._unit} {line}: event {expected} of this climb is missing"
                    )
                    break
                climb.rows.append(row)
            found.climbs.append(climb)


# CSV

_MOVE = ("rung", "text", "verdict", "understood", "trouble", "slips", "level", "seconds")
_BEGAN = ("format", "family", "circuit_level", "seed", "task", "wished_level", "wished_family",
          "wished_seed", "wished_task", "rungs", "circuit", "worked", "rehearsal")  # fmt: skip
_LOOK = ("asks", "number", "group", "structure", "truth", "answered", "cold", "scaffold", "hints")
_CHOSEN = ("spare", "kinds")
COLUMNS = ("climb", "step", "at", "kind", *_MOVE, *_BEGAN, *_LOOK, *_CHOSEN)
_OF_KIND = {
    Other.BEGAN.value: (*_BEGAN, *_CHOSEN),
    ROUND: ("format",),
    LOOKED: (*_LOOK, "seed", "circuit", "seconds"),
}
"""The columns of a kind of event; a kind that is not here is a move."""
_WISHED = ("wished_level", "wished_family", "wished_seed", "wished_task")
_LISTS = ("slips", "rungs", "worked", "rehearsal", *_CHOSEN)
_FLAGS = ("cold", "scaffold")
_WHOLE = ("level", "format", "circuit_level", "seed", "wished_level", "wished_seed", "number",
          "hints")  # fmt: skip

_FORMULA = ("=", "+", "-", "−", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")
"""What a spreadsheet may take for the beginning of a formula."""
_GUARD = "'"


def guarded(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return _GUARD + cell if cell.startswith((*_FORMULA, _GUARD)) else cell


def unguarded(cell: str) -> str:
    """Back from :func:`guarded`."""
    return cell.removeprefix(_GUARD)


def write_csv(found: Iterable[ExchangeItem], out: Out) -> None:
    """RFC 4180: a head, then one of the events ``found`` a line, to ``out``."""
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for item in found:
        row, body = item.row, item.body
        if row.kind == Other.BEGAN:
            body = body | dict(zip(_WISHED, body["wish"], strict=True))
            body["circuit_level"] = body.pop("level")
            body["rungs"] = [f"{rung}:{choices}" for rung, choices in body["rungs"]]
        cells = {"climb": item.climb, "step": row.step, "at": timestamp(row.at), "kind": row.kind}
        cells |= body
        writer.writerow(guarded(_cell(cells.get(name))) for name in COLUMNS)


def _cell(value: object) -> str:
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, Iterable):
        return " ".join(map(str, value))
    return "yes" if value is True else str(value)


def read_csv(source: Iterable[str]) -> ReadRecord:
    """Back from :func:`write_csv`; columns may stand in any order.

    Raises:
        BadFile: the first line does not name the columns.
    """
    found, collected = ReadRecord(), CollectedEvents()
    reader = csv.reader(source, strict=True)
    try:
        head = [unguarded(cell) for cell in next(reader, [])]
        if not {"climb", "step", "at", "kind", "rung"} <= set(head):
            raise BadFile("the first line does not name the columns of a record of Rungwise")
        while True:
            try:
                line = next(reader)
            except StopIteration:
                break
            number = reader.line_num
            if not line:
                continue
            try:
                if len(line) != len(head):
                    raise BadEvent(f"{len(line)} cells instead of {len(head)}")
                cells = dict(zip(head, map(unguarded, line), strict=True))
                entry = {"climb": cells["climb"], "kind": cells["kind"]}
                collected.add(
                    number,
                    entry | {"step": _number(cells["step"])},
                    cells["at"],
                    _body(cells),
                )
            except BadEvent as error:
                found.complain(f"line {number}: {error}")
    except csv.Error as error:
        # A quotation mark that is never closed swallows the rest: there is nothing to go on with.
        found.complain(f"line {reader.line_num}: {error}")
    collected.deliver(found)
    return found


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 20):
        raise BadEvent(f"{text[:20]!r} is no whole number")
    return int(text)


def _body(cells: dict[str, str]) -> dict[str, Any]:
    kind = cells["kind"]
    names = _OF_KIND.get(kind, _MOVE)
    body: dict[str, Any] = {
        name: _value(name, text) for name in names if (text := cells.get(name, ""))
    }
    if kind == Other.BEGAN:
        body["wish"] = [body.pop(name, None) for name in _WISHED]
        body["level"] = body.pop("circuit_level", None)
        pairs = [pair.partition(":") for pair in body.get("rungs", ())]
        body["rungs"] = [[rung, _number(choices)] for rung, _, choices in pairs]
        body.setdefault("family", "")
        if "rehearsal" in body:
            uid, *numbers = body["rehearsal"]
            body["rehearsal"] = [uid, *map(_number, numbers)]
    elif kind in (MoveKind.ANSWERED, MoveKind.GIVEN):
        body.setdefault("text", "")
    return body


def _value(name: str, text: str) -> Any:
    if name in _LISTS:
        return text.split()
    if name in _WHOLE:
        return _number(text)
    if name == "seconds":
        try:
            return float(text)
        except ValueError:
            raise BadEvent("'seconds' is no number") from None
    return text == "yes" if name in _FLAGS else text
