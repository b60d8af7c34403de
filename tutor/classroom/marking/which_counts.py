"""Which of a student's hand-ins counts: by the rules of the plan, and never by a guess.

Hand-ins alike count once, and one without any answer gives way to one with answers.  What came
late counts, is noted, or is set apart first.  Of those that are left and differ, none counts until
the teacher has taken away all but one; or the newest does, where that is the rule and their times
tell which it is: by what a hand-in says itself (workbooks say when they were saved), else by the
archive that it came in, else by its file, whose time a copy may have lost.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from ...language.texts import speaker
from ..handins.files import Answers
from ..handins.table import BadTable, refused
from .hand_in import FileFate, TimeSource

_say = speaker("handins")
_NUMBER = re.compile(r"-?\d{1,15}(?:\.\d{1,15})?(?:e-?\d{1,2})?", re.ASCII)
_TOLD = "%Y-%m-%d %H:%M:%S"


@dataclass(frozen=True, slots=True)
class CountingRules:
    """The rules by which one of several hand-ins counts.

    Attributes:
        counts: "ask" (none of those that differ) or "newest".
        due: when hand-ins are due, in local time unless it has an offset; ``None`` for never.
        late: "count" what came later, "note" it, or set it "apart".
    """

    counts: str = "ask"
    due: datetime | None = None
    late: str = "note"

    def is_late(self, when: datetime | None) -> bool:
        """Whether a hand-in of a time, in local time, came too late."""
        if self.due is None or when is None:
            return False
        due = self.due.astimezone().replace(tzinfo=None) if self.due.tzinfo else self.due
        return when > due


@dataclass(frozen=True, slots=True)
class KnownHandIn:
    """A hand-in whose student is known."""

    path: bytes
    file: str
    answers: Answers
    notes: str
    when: datetime | None = None
    known_by: TimeSource = TimeSource.FILE

    @property
    def says(self) -> tuple[object, ...]:
        """What is the same for hand-ins that are alike."""
        return (
            tuple((number, *map(_value, texts)) for number, texts in self.answers.answers),
            self.answers.strays,
        )

    @property
    def told_time(self) -> str:
        """When it was made, and by what that is known."""
        if self.when is None:
            return _say("time.unknown")
        return _say(f"time.{self.known_by.value}", when=self.when.strftime(_TOLD))


def _value(text: str) -> float | str:
    """A number as it is, however many zeros a spreadsheet has left of it."""
    return float(text) if _NUMBER.fullmatch(text) else text


@dataclass(frozen=True, slots=True)
class ChosenHandIn:
    """What became of a student's hand-ins.

    Attributes:
        counts: the one that is marked; ``None`` where none is.
        fates: what became of each.
        reasons: those listed apart, and why.
        notes: what the student's row says of it.
    """

    counts: KnownHandIn | None
    fates: tuple[tuple[KnownHandIn, FileFate], ...]
    reasons: tuple[tuple[KnownHandIn, BadTable], ...] = ()
    notes: tuple[str, ...] = ()


def chosen(sheet: int, came: Sequence[KnownHandIn], rules: CountingRules) -> ChosenHandIn:
    """The hand-in of a ``sheet`` that counts by the ``rules``, of those that ``came``, by path."""
    filled = [one for one in came if not one.answers.blank]
    fates = dict.fromkeys((one.path for one in came), FileFate.BLANK)
    reasons: list[tuple[KnownHandIn, BadTable]] = []
    notes: list[str] = []
    if rules.late == "apart":
        for one in filled:
            if rules.is_late(one.when):
                fates[one.path] = FileFate.LATE
                reasons.append((one, _late(one, rules)))
        filled = [one for one in filled if not rules.is_late(one.when)]
    counts = _newest(filled) if rules.counts == "newest" else None
    if counts is None and filled and not _differ(filled):
        counts = filled[0]
    if counts is not None:  # who sent the same again, too late, had sent it in time
        alike = [one for one in filled if one.says == counts.says]
        counts = next((one for one in alike if not rules.is_late(one.when)), counts)
    for one in filled:
        if counts is None:
            fates[one.path] = FileFate.APART
            reasons.append((one, _several(sheet, one, rules)))
        elif one is counts:
            fates[one.path] = FileFate.COUNTS
        elif one.says == counts.says:
            fates[one.path] = FileFate.ALIKE
        else:
            fates[one.path] = FileFate.OLDER
            times = {"time": one.told_time, "newer": counts.file, "then": counts.told_time}
            reasons.append((one, refused("counts.older", **times)))
    if counts is not None:
        notes += _notes(counts, filled, rules)
    return ChosenHandIn(
        counts, tuple((one, fates[one.path]) for one in came), tuple(reasons), tuple(notes)
    )


def _differ(filled: Sequence[KnownHandIn]) -> bool:
    return any(one.says != filled[0].says for one in filled)


def _newest(filled: Sequence[KnownHandIn]) -> KnownHandIn | None:
    """The newest of hand-ins that differ; ``None`` where their times don't tell."""
    times = [one.when for one in filled if one.when is not None]
    if not filled or len(times) < len(filled):
        return None
    newest = [one for one in filled if one.when == max(times)]
    return None if _differ(newest) else newest[0]


def _notes(
    counts: KnownHandIn, filled: Sequence[KnownHandIn], rules: CountingRules
) -> Iterator[str]:
    if _differ(filled):
        yield _say("counts.newest", count=len(filled), time=counts.told_time)
        if any(one.known_by is TimeSource.FILE for one in filled):
            yield _say("counts.copied")
    if rules.late == "note" and rules.is_late(counts.when):
        yield _say("counts.late", time=counts.told_time)


def _late(one: KnownHandIn, rules: CountingRules) -> BadTable:
    due = rules.due.strftime(_TOLD) if rules.due else ""
    return refused("counts.too_late", time=one.told_time, due=due)


def _several(sheet: int, one: KnownHandIn, rules: CountingRules) -> BadTable:
    key = "counts.untold" if rules.counts == "newest" else "counts.several"
    return refused(key, sheet=sheet, time=one.told_time)
