"""Settling what could not be read: one group of alike answers after another, and what is decided.

It knows no screen.  Every decision is in ``decided.jsonl``, and forced to the disk, before the next
group is shown; others may decide at the same time.  Marks follow when the class is marked again.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

from ....problems.quantities.spelling import uniform
from ....problems.questions.model import Question
from ....problems.sheets.documents import key_of
from ....problems.sheets.model import Key, KeyItem, SheetError
from ...language.texts import filled, plain
from ..handins.table import BadTable
from .alike import alike_of
from .changes import STUDENTS, UNREADABLE, students
from .decided import Decisions
from .folder import read_plain
from .graded import Leniency
from .keeping import DecidedFile, SettlingError, take_decisions
from .made_class import MOST_KEY
from .mark import mark_of_text, tag
from .marks import QuestionMark, QuestionOutcome, SettledAnswer
from .out import MARKS_JSON, MarksFolder
from .settled import SCREEN, SettledRow
from .waiting import AlikeAnswers, alike_answers

_AS_PLANNED = Leniency()
_MOST_HEAD = 100
"""Lines of ``marks.json`` before the students."""


@dataclass(frozen=True, slots=True)
class AskedAlike:
    """The question that a group of alike answers is about, of the first who answered so."""

    key: Key
    item: KeyItem
    question: Question


@dataclass(frozen=True, slots=True)
class _Undone:
    """What brings back what was before a decision: the group, and the lines to be added."""

    at: int
    rows: tuple[SettledRow, ...]


class Settling:
    """A class of which some answers could not be read.

    Args:
        groups: alike answers, unclear or settled, in order.
        file: where decisions are kept.
        key: the bytes of the key in a student's folder; ``None`` without one.
        title: of the sheet.
        leniency: what the teacher allows beyond the plan, or short of it.
    """

    def __init__(
        self,
        groups: Iterable[AlikeAnswers],
        file: DecidedFile,
        key: Callable[[str], bytes | None],
        title: str = "",
        leniency: Leniency = _AS_PLANNED,
    ) -> None:
        self.groups, self.title = tuple(groups), title
        self._file, self._leniency = file, leniency
        self._undo: list[_Undone] = []
        self._key = lru_cache(maxsize=32)(_keys(key))
        self.marked = file.lines
        self.at = self._next(-1)

    @property
    def decisions(self) -> Decisions:
        """What is decided so far."""
        return self._file.decisions

    @property
    def group(self) -> AlikeAnswers | None:
        """The group being asked about; ``None`` where there is none at all."""
        return self.groups[self.at] if self.at < len(self.groups) else None

    def decided(self, group: AlikeAnswers) -> SettledRow | None:
        """What was decided about a group."""
        return self.decisions.about(group.tag)

    def is_open(self, group: AlikeAnswers) -> bool:
        """Whether a group waits: nothing is decided, or what it was to read can't be read."""
        decided, unclear = self.decided(group), QuestionOutcome.UNCLEAR
        waiting = any(member.mark.verdict is unclear for member in group.members)
        if decided is None or not waiting:
            return waiting
        unread = any(
            member.mark.settled is SettledAnswer.TEXT and member.mark.verdict is unclear
            for member in group.members
        )
        return unread and decided.line <= self.marked

    @property
    def open(self) -> int:
        """How many groups wait."""
        return sum(map(self.is_open, self.groups))

    @property
    def done(self) -> int:
        """How many decisions were made in this sitting."""
        return len(self._undo)

    def asked(self, group: AlikeAnswers) -> AskedAlike | None:
        """The question that a group is about; ``None`` where its key can't be read."""
        member = group.members[0]
        key = self._key(member.folder)
        problem, _, place = member.mark.number.partition(".")
        if key is None:
            return None
        for item in key.items:
            if item.number == int(problem) and 0 < int(place) <= len(item.problem.questions):
                return AskedAlike(key, item, item.problem.questions[int(place) - 1])
        return None

    def judge(self, group: AlikeAnswers, text: str) -> QuestionMark | None:
        """What a ``text`` would come to as the answer of a ``group``; ``None`` without a key.

        Of several students it is the question of the first.
        """
        asked = self.asked(group)
        if asked is None:
            return None
        return mark_of_text(asked.key, group.first.number, text, self._leniency)

    def alike(self, group: AlikeAnswers) -> int:
        """How many other groups have the same text to the same kind of question."""
        return sum(
            alike_of(other.tag) == alike_of(group.tag) and other.tag != group.tag
            for other in self.groups
        )

    def read_as(self, text: str) -> bool:
        """Have the answer read so; False where somebody else has decided about it meanwhile.

        Raises:
            OSError: it can't be kept.
            BadTable: ``decided.jsonl`` can't be read any more.
        """
        return self._decide("", text, every=False)

    def give(self, points: Fraction, *, every: bool = False) -> bool:
        """Give ``points``, with ``every`` whatever the right answer is; False as :meth:`read_as`.

        Raises:
            OSError, BadTable: as :meth:`read_as`.
        """
        return self._decide(str(points), "", every=every)

    def reopen(self) -> bool:
        """Take back what was decided about the group; False as :meth:`read_as`.

        Raises:
            OSError, BadTable: as :meth:`read_as`.
        """
        return self._decide("", "", every=False)

    def _decide(self, points: str, text: str, *, every: bool) -> bool:
        group = self.groups[self.at]
        own, of_all = self.decisions.own(group.tag), self.decisions.every(group.tag)
        seen = self.decided(group)
        row = SettledRow(0, "", 0, group.tag, points, text, every, SCREEN)
        row = row._replace(asked=group.first.rung, typed=group.typed, right=group.first.answer)
        row = self.decisions.wanted(row)
        singles = [] if seen is not None or self.is_open(group) else self._singles(group)
        rows = [one._replace(points="", text="", by=SCREEN) for one in singles]
        if row.is_open and seen is not None:
            row = row._replace(tag=seen.tag, every=seen.every)
        if seen is not None or not row.is_open:
            rows.append(row)
        if not self._file.add(rows, unless=lambda now: now.about(group.tag) != seen):
            return False
        back = () if row not in rows else self._way_back(row, own, of_all)
        kept = (*back, *(one._replace(by=SCREEN) for one in singles))
        self._undo.append(_Undone(self.at, kept))
        return True

    def _singles(self, group: AlikeAnswers) -> list[SettledRow]:
        """What was decided about each answer of a group alone.

        It goes before what is decided about all of them, so that it gives way where a group of
        which nothing waits is decided anew.
        """
        of_sheets = self.decisions.of_sheets()
        return [
            one
            for member in group.members
            for one in of_sheets.get(member.number, ())
            if one.question == member.mark.number
            and one.tag in ("", tag(member.number, member.mark.number, member.mark.typed))
        ]

    def _way_back(
        self, row: SettledRow, own: SettledRow | None, of_all: SettledRow | None
    ) -> Iterator[SettledRow]:
        """The lines that bring back what was before a decision."""
        if not row.is_open:
            yield row._replace(points="", text="")
        if row.every and of_all is not None:
            yield of_all._replace(by=SCREEN)
            theirs = self.decisions.own(of_all.tag)
            if theirs is not None and theirs is not of_all and of_all.tag != row.tag:
                yield theirs._replace(by=SCREEN)
        if own is not None and own is not of_all:
            yield own._replace(by=SCREEN)

    def undo(self) -> bool:
        """Take back the last decision of this sitting, and return to its group.

        Raises:
            OSError, BadTable: as :meth:`read_as`.
        """
        if not self._undo:
            return False
        last = self._undo[-1]
        self._file.add(list(last.rows))
        self._undo.pop()
        self.at = last.at
        return True

    def go(self, at: int) -> None:
        """Turn to another group; beyond either end is the end."""
        self.at = min(max(at, 0), max(0, len(self.groups) - 1))

    def onward(self) -> bool:
        """Turn to the next group that waits, round and round; False where none does."""
        at = self._next(self.at)
        found = bool(self.groups) and self.is_open(self.groups[at])
        if found:
            self.at = at
        return found

    def _next(self, at: int) -> int:
        count = len(self.groups)
        places = [(at + step) % count for step in range(1, count + 1)]
        return next((place for place in places if self.is_open(self.groups[place])), max(0, at))

    def found(self, words: str) -> list[int]:
        """The places of the groups in which all ``words`` occur; all without words."""
        wanted = uniform(words).text.casefold().split()
        return [
            place
            for place, group in enumerate(self.groups)
            if all(word in self._searched(group) for word in wanted)
        ]

    def _searched(self, group: AlikeAnswers) -> str:
        names = " ".join(member.student for member in group.members)
        known = f"{group.title} {group.typed} {group.first.answer} {group.questions(1000)} {names}"
        state = filled("settling", "list.open" if self.is_open(group) else "list.decided")
        return uniform(f"{known} {state}").text.casefold()


def _keys(key: Callable[[str], bytes | None]) -> Callable[[str], Key | None]:
    """The key in a student's folder; ``None`` where it can't be read."""

    def read(folder: str) -> Key | None:
        try:
            return key_of(json.loads(key(folder) or b""))
        except (SheetError, ValueError, RecursionError):
            return None

    return read


def open_settling(made: Path, marks: Path) -> Settling:
    """What waits in the folder ``marks`` of a class ``made``; tables that lie there are read first.

    Raises:
        SettlingError: there are no marks, or they can't be read.
        OSError: something can't be read or written.
    """
    path = marks / MARKS_JSON
    if not path.is_file():
        raise SettlingError(filled("settling", "trouble.no-marks", [("place", plain(marks))]))
    place = MarksFolder(marks)
    file = DecidedFile(place)
    take_decisions(place)

    def key(folder: str) -> bytes | None:
        try:
            return read_plain(made / "keys" / folder / "key.json", MOST_KEY)
        except (OSError, BadTable):
            return None

    try:
        file.look()
        head = _head(path)
        tolerance = head.get("tolerance")
        return Settling(
            alike_answers(students(path)),
            file,
            key,
            str(head.get("title", "")),
            Leniency(Fraction(tolerance) if isinstance(tolerance, str) else None),
        )
    except (*UNREADABLE, BadTable) as error:
        values = [("place", plain(path)), ("why", plain(error)[:200])]
        raise SettlingError(filled("settling", "before.unread", values)) from None


def _head(path: Path) -> dict[str, Any]:
    """What ``marks.json`` says before its students."""
    lines: list[bytes] = []
    with open(path, "rb") as file:
        while (line := file.readline(1 << 16)) and line != STUDENTS and len(lines) < _MOST_HEAD:
            lines.append(line)
    found = json.loads(b"".join(lines).rstrip().rstrip(b",") + b"}")
    return found if isinstance(found, dict) else {}
