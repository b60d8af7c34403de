"""Decisions that stay: ``decided.jsonl``, a line each, only ever added to.

Of several decisions about the same answers the last one counts; but one about an answer goes before
one about all with the same right answer, and that before one about the same text whatever is right.

Tables come back from any round, in any order.  So a row that says what was decided once, and has
been changed since, changes nothing back: it is an old table, and is told.  A row that says
something new is a decision, and where it contradicts an earlier one that is told as well.  What is
decided on the screen is decided with the earlier in sight, and contradicts nothing.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from ...language.texts import filled
from ..handins.files import question_number
from .alike import TAG, alike_of, text_of
from .marks import SetApart
from .settled import EYE, MOST_TEXT, SCREEN, SettledRow, bad, set_apart, told

KEPT = "decided.jsonl"
MOST_KEPT = 256 * 1024 * 1024
MOST_LINE = 16_384
"""Longest line of ``decided.jsonl``, in bytes: of a letter JSON makes twelve."""
_MOST_EYE = 200
"""Characters kept of what stands in a line for the eye alone."""
_OLD_TAG = re.compile(r"[^\s\x00-\x1f]{0,40}")
_POINTS = re.compile(r"(\d{1,12}(/[1-9]\d{0,11})?)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Kept:
    """The decisions that count, and what has to be told of them.

    Attributes:
        decisions: those that count; ``line`` is that of ``decided.jsonl``.
        data: the bytes of ``decided.jsonl`` as it is to be from now on; none where there is none.
        troubles: what is wrong with some of them.
    """

    decisions: Decisions
    data: bytes
    troubles: tuple[SetApart, ...]


class Decisions:
    """Decisions as they come."""

    def __init__(self) -> None:
        self._one: dict[tuple[int, str], list[SettledRow]] = {}
        self._own: dict[str, SettledRow] = {}
        self._every: dict[str, SettledRow] = {}
        self._by_text: dict[str, set[str]] = {}
        self._past: set[tuple[str, str, str]] = set()

    def __iter__(self) -> Iterator[SettledRow]:
        """Those about one answer, then those about alike ones; each once."""
        for of_it in self._one.values():
            yield from of_it
        yield from self._own.values()
        for decided in self._every.values():
            if self._own.get(decided.tag) is not decided:
                yield decided

    def add(self, decided: SettledRow) -> SettledRow | None:
        """Take a decision; an earlier one about the same answers that is not the same gives way.

        A decision about one answer without a tag is about whatever answer there is.
        """
        self._past.update((key, *decided.content) for key in _keys(decided))
        if decided.sheet:
            return self._add_one(decided)
        tag, alike = decided.tag, alike_of(decided.tag)
        before = self._own.get(tag) or (self._every.get(alike) if decided.every else None)
        if decided.is_open:
            self._own.pop(tag, None)
            if decided.every:
                self._every.pop(alike, None)
            return None
        self._own[tag] = decided
        if decided.every:
            self._every[alike] = decided
        self._by_text.setdefault(text_of(tag), set()).update((tag, alike))
        return before if before and before.content != decided.content else None

    def _add_one(self, decided: SettledRow) -> SettledRow | None:
        place, same = (decided.sheet, decided.question), self._same(decided)
        others = [one for one in self._one.get(place, []) if one not in same]
        self._one[place] = others if decided.is_open else [*others, decided]
        if decided.is_open:
            return None
        return next((one for one in same if one.content != decided.content), None)

    def take_back(self, sheet: int, question: str) -> SettledRow | None:
        """Forget what was decided about the one answer to a ``question`` of a ``sheet``."""
        return next(iter(self._one.pop((sheet, question), [])), None)

    def has(self, decided: SettledRow) -> bool:
        """Whether this is decided already, and nothing else about the same answers."""
        if not decided.sheet:
            now = self.about(decided.tag)
            return decided.is_open if now is None else now.content == decided.content
        same = self._same(decided)
        if decided.is_open:
            return not same
        return bool(same) and all(one.content == decided.content for one in same)

    def had(self, decided: SettledRow) -> bool:
        """Whether this was decided once, and has been changed since."""
        return not self.has(decided) and any(
            (key, *decided.content) in self._past for key in _keys(decided._replace(every=True))
        )

    def about(self, tag: str) -> SettledRow | None:
        """What counts of the answers of a ``tag``."""
        return self._own.get(tag) or self._every.get(alike_of(tag))

    def own(self, tag: str) -> SettledRow | None:
        """What was decided about the answers of a ``tag`` themselves."""
        return self._own.get(tag)

    def every(self, tag: str) -> SettledRow | None:
        """What was decided about all answers alike to those of a ``tag``, whatever is right."""
        return self._every.get(alike_of(tag))

    def of_text(self, part: str) -> list[SettledRow]:
        """The decisions about answers whose tags begin with a ``part`` (``alike.text_part``)."""
        keys = sorted(self._by_text.get(part, ()))
        found = (self._own.get(key) or self._every.get(key) for key in keys)
        return list({one.line: one for one in found if one}.values())

    def of_sheets(self) -> dict[int, list[SettledRow]]:
        """The decisions about one answer each, by sheet."""
        found: dict[int, list[SettledRow]] = {}
        for (sheet, _), of_it in self._one.items():
            found.setdefault(sheet, []).extend(of_it)
        return found

    def wanted(self, decided: SettledRow) -> SettledRow:
        """A row of a table as the decision it makes.

        A text goes for all alike answers, unless another row has decided these already.
        """
        if decided.sheet or decided.every or decided.points or decided.is_open:
            return decided
        every = self.every(decided.tag)
        return decided._replace(every=every is None or every.tag == decided.tag)

    def _same(self, decided: SettledRow) -> list[SettledRow]:
        of_it = self._one.get((decided.sheet, decided.question), [])
        return [one for one in of_it if one.tag == decided.tag or not (one.tag and decided.tag)]


def _keys(decided: SettledRow) -> Iterator[str]:
    """By what a decision is known again: its answers, and what it says of all alike ones."""
    if decided.sheet:
        yield f"{decided.sheet}\n{decided.question}\n{decided.tag}"
        return
    yield decided.tag
    if decided.every:
        yield alike_of(decided.tag)


def keep(kept: bytes, new: Iterable[SettledRow]) -> Kept:
    """Put new decisions behind those that were made before.

    What is there is kept byte by byte, also what can't be read.

    Args:
        kept: the bytes of ``decided.jsonl``.
        new: decisions of tables, of each table one about the same answers.
    """
    found = Decisions()
    troubles: list[SetApart] = []
    data = kept if not kept or kept.endswith(b"\n") else kept + b"\n"
    lines = data.split(b"\n")[:-1]
    for number, line in enumerate(lines, start=1):
        decided = decision_of(number, line) if line.strip() else None
        if decided is not None:
            troubles += _conflict(found.add(decided), decided)
        elif line.strip():
            troubles.append(set_apart(KEPT, 0, bad("no-decision", line=number)))
    added: list[str] = []
    for row in new:
        if found.has(row):
            continue
        if found.had(row):
            troubles.append(_stale(row, found))
            continue
        now = found.wanted(row)._replace(line=len(lines) + len(added) + 1)
        troubles += _conflict(found.add(now), now)
        added.append(line_of(now))
    return Kept(found, data + "".join(added).encode(), tuple(troubles))


def _conflict(before: SettledRow | None, decided: SettledRow) -> Iterator[SetApart]:
    if before is None or decided.by == SCREEN:
        return
    error = bad(
        "twice",
        about=about(decided),
        before=told(before),
        first=before.line,
        now=told(decided),
        second=decided.line,
    )
    yield set_apart(KEPT, decided.sheet, error)


def _stale(row: SettledRow, found: Decisions) -> SetApart:
    now = found.about(row.tag) if not row.sheet else None
    counts = told(now) if now else filled("settling", "told.changed")
    error = bad("stale", line=row.line, file=row.by, about=about(row), was=told(row), now=counts)
    return set_apart(KEPT, row.sheet, error)


def about(decided: SettledRow) -> str:
    """What a decision is about, in a few words."""
    if decided.sheet:
        named = [("question", decided.question), ("sheet", decided.sheet)]
        return filled("settling", "about.one", named)
    if decided.typed:
        return filled("settling", "about.typed", [("typed", decided.typed[:60])])
    return filled("settling", "about.tag", [("tag", decided.tag)])


def line_of(decided: SettledRow) -> str:
    """A decision as a line of ``decided.jsonl``."""
    document: dict[str, Any] = (
        {"sheet": decided.sheet, "question": decided.question, "tag": decided.tag}
        if decided.sheet
        else {"alike": decided.tag}
    )
    if decided.is_open:
        document["open"] = True
    else:
        document |= {"points": decided.points, "corrected": decided.text}
    document |= {"every": True} if decided.every else {}
    document |= {name: text[:_MOST_EYE] for name in EYE if (text := getattr(decided, name))}
    document |= {"by": decided.by} if decided.by else {}
    return json.dumps(document) + "\n"


def decision_of(number: int, line: bytes) -> SettledRow | None:
    """A ``line`` of a ``number`` read back; ``None`` where it is none."""
    try:
        found = json.loads(line.decode()) if len(line) <= MOST_LINE else None
    except (ValueError, RecursionError):
        return None
    if not isinstance(found, dict):
        return None
    points, text = found.get("points", ""), found.get("corrected", "")
    if not isinstance(points, str) or not _POINTS.fullmatch(points):
        return None
    if not isinstance(text, str) or len(text) > MOST_TEXT:
        return None
    if (not points and not text) != (found.get("open") is True):
        return None
    every = found.get("every") is True
    alike = found.get("alike")
    if alike is not None:
        if not isinstance(alike, str) or not TAG.fullmatch(alike):
            return None
        return _seen(found, SettledRow(0, "", number, alike, points, text, every))
    sheet, question, tag = (found.get(name) for name in ("sheet", "question", "tag"))
    if type(sheet) is not int or not 0 < sheet < 10**6:
        return None
    if not isinstance(question, str) or question_number(question) != question:
        return None
    if not isinstance(tag, str) or not _OLD_TAG.fullmatch(tag):
        return None
    return _seen(found, SettledRow(sheet, question, number, tag, points, text))


def _seen(document: dict[str, Any], decided: SettledRow) -> SettledRow:
    """A decision with what its line holds for the eye."""
    by, asked, typed, right = (
        one if isinstance(one, str) else "" for one in map(document.get, ("by", *EYE))
    )
    return decided._replace(by=by, asked=asked, typed=typed, right=right)
