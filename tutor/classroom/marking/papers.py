"""What was entered of papers, as marking takes it: beside the hand-in of the same student.

``rungwise sheet enter`` writes it into the folder of keys, where it is found without being told.
How it goes together with what was handed in as a file stands in ``handins/entered.py``.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from ....problems.grading.grade import grade
from ....problems.quantities.spelling import shown
from ....problems.questions.model import Verdict
from ....problems.sheets.documents import key_of
from ....problems.sheets.model import KeyItem, SheetError
from ...files.names import sheet_name
from ...language.texts import Words, speaker
from ..handins.cells import one_line
from ..handins.entered import (
    MOST_BYTES,
    NAME,
    EnteredAnswer,
    FilledIn,
    filled_in,
    newest,
    read_entered,
)
from ..handins.files import Answers
from ..handins.table import BadTable
from .folder import read_plain
from .made_class import ClassMember, person
from .marks import SetApart
from .settled import set_apart

FILE = f"keys/{NAME}"
"""The file as it is named to the teacher."""
MOST_BROKEN = 20
"""Lines that can't be read, as they are listed."""

_say = speaker("entering", "marking.")


@dataclass(frozen=True, slots=True)
class Papers:
    """What was entered, by student, and what is wrong with it.

    ``former`` are students of whose papers something was entered about a variant that they no
    longer have: they are not without a hand-in.
    """

    of: dict[int, tuple[EnteredAnswer, ...]]
    troubles: tuple[SetApart, ...] = ()
    former: frozenset[int] = frozenset()


NO_PAPERS = Papers({})


def papers_in(keys: Path, members: Iterable[ClassMember]) -> Papers:
    """What was entered for the ``members`` of the class whose keys lie in the folder ``keys``."""
    try:
        return papers_of(read_plain(keys / NAME, MOST_BYTES), members)
    except FileNotFoundError:
        return NO_PAPERS
    except OSError as error:
        reason = one_line((error.strerror or str(error)).lower())
        return Papers({}, (_trouble(0, "unread", reason=reason),))
    except BadTable as error:
        return Papers({}, (set_apart(FILE, 0, error),))


def _trouble(sheet: int, key: str, /, **values: object) -> SetApart:
    """Something odd about what was entered, of a sheet or (0) of none, in the words of a key."""
    what, remedy = _say(key, **values), _say(f"{key}-remedy")
    return SetApart(file=FILE, sheet=sheet, what=what, remedy=remedy)


def papers_of(data: bytes, members: Iterable[ClassMember]) -> Papers:
    """What the ``data`` of the file says of the ``members`` of the class."""
    by_number = {member.number: member for member in members}
    lines, broken = read_entered(data)
    troubles = [_trouble(0, "broken", line=line) for line in broken[:MOST_BROKEN]]
    if len(broken) > MOST_BROKEN:
        troubles.append(_trouble(0, "broken-more", count=len(broken) - MOST_BROKEN))
    found: dict[int, list[EnteredAnswer]] = {}
    for entered in newest(lines).values():
        found.setdefault(entered.sheet, []).append(entered)
    kept, formers = {}, set[int]()
    for number in sorted(found):
        member, sheet = by_number.get(number), sheet_name(number)
        theirs, others = _parted(found[number], _is_theirs(member))
        theirs, former = _parted(theirs, _is_of_variant(member))
        if former and member:
            formers.add(number)
            values = {"said": shown(one_line(former[0].variant), 20), "has": member.variant}
            troubles.append(_trouble(number, "variant", sheet=sheet, count=len(former), **values))
        if theirs:
            kept[number] = tuple(theirs)
        if others:
            called = shown(one_line(others[0].student), 60)
            values = {"sheet": sheet, "student": called}
            whose = number if member else 0
            troubles.append(_trouble(whose, "whose", count=len(others), **values))
    return Papers(kept, tuple(troubles), frozenset(formers))


def _parted(
    lines: Iterable[EnteredAnswer], is_so: Callable[[EnteredAnswer], bool]
) -> tuple[list[EnteredAnswer], list[EnteredAnswer]]:
    """The lines of which something is so, and the others."""
    so, others = list[EnteredAnswer](), list[EnteredAnswer]()
    for line in lines:
        (so if is_so(line) else others).append(line)
    return so, others


def _is_theirs(member: ClassMember | None) -> Callable[[EnteredAnswer], bool]:
    """Whether a line is this student's, and not of somebody who had the number before."""
    known = {"", person(member.id), person(member.name)} if member else set[str]()
    return lambda line: person(line.student) in known


def _is_of_variant(member: ClassMember | None) -> Callable[[EnteredAnswer], bool]:
    """Whether a line is about the circuits that the student has, and not a former variant's."""
    has = person(member.variant) if member else ""
    return lambda line: not (member and line.variant) or person(line.variant) == has


@dataclass(frozen=True, slots=True)
class PaperHandIn:
    """A student's answers ``filled`` in from paper, what is said of it, and contradictions."""

    filled: FilledIn
    note: str
    troubles: tuple[SetApart, ...] = ()


class SameAnswers:
    """Whether two answers to a question come to the same: read alike, or both right.

    Args:
        key: gives the bytes of the student's key; asked once, and only where answers differ.
    """

    def __init__(self, key: Callable[[], bytes | None]) -> None:
        self._key = key
        self._items: dict[int, KeyItem] | None = None

    def __call__(self, question: str, one: str, other: str) -> bool:
        """Whether ``one`` answer to the ``question`` of a number is the ``other``."""
        if self._items is None:
            self._items = _items(self._key())
        problem, _, place = question.partition(".")
        item = self._items.get(int(problem))
        if item is None or not 0 < int(place) <= len(item.problem.questions):
            return False
        asked = item.problem.questions[int(place) - 1]
        setting = Words.load().setting(asked)
        found = [grade(item.problem, asked, text, None, setting) for text in (one, other)]
        if any(mark.verdict is Verdict.UNCLEAR for mark in found):
            return False
        return all(mark.passed for mark in found) or found[0].value == found[1].value


def _items(key: bytes | None) -> dict[int, KeyItem]:
    """The problems of a key by number; none where it can't be read, which marking tells."""
    try:
        return {item.number: item for item in key_of(json.loads(key or b"")).items}
    except (SheetError, ValueError, RecursionError):
        return {}


def with_paper(
    sheet: int,
    answers: Answers | None,
    entered: Iterable[EnteredAnswer],
    key: Callable[[], bytes | None] = lambda: None,
) -> PaperHandIn | None:
    """A hand-in with what was entered for the same student; ``None`` where that adds nothing.

    A paper on which nothing at all stands is no hand-in, as with files.

    Args:
        sheet: the student's number.
        answers: the hand-in that counts; ``None`` where there is none.
        entered: the newest of each cell.
        key: gives the bytes of the student's key, where answers have to be compared.
    """
    filled = filled_in(answers, entered, SameAnswers(key))
    if not filled.filled and not filled.differs:
        return None
    note = _say("note-alone" if answers is None else "note", count=filled.filled)
    return PaperHandIn(filled, note, tuple(_contradictions(sheet, filled)))


def blank_note() -> str:
    """What is said of a student on whose paper nothing stands."""
    return _say("note-blank")


def waiting(sheet: int) -> SetApart:
    """That a paper waits until one of the files of a ``sheet`` counts."""
    return _trouble(sheet, "waiting")


def _contradictions(sheet: int, filled: FilledIn) -> Iterator[SetApart]:
    for question, given, entered in filled.differs:
        values = {"given": shown(given, 60), "entered": shown(entered, 60)}
        yield _trouble(sheet, "differs", question=question, **values)
