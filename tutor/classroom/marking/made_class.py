"""Whose hand-in it is: by what it says, then by the folder it lies in, and never by a guess."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from ....problems.quantities.spelling import shown
from ....problems.sheets.marking_rules import USUAL, MarkingRules
from ....problems.sheets.records import read, strict
from ...files.records import in_file, json_file
from ...language.texts import speaker
from ..handins.cells import one_line
from ..handins.files import Answers
from ..handins.table import BadTable, refused

if TYPE_CHECKING:
    from cattrs import Converter

_say = speaker("handins")
CLASS_FORMAT = "rungwise.class/1"
MOST_CLASS = 32 * 1024 * 1024
"""Longest ``class.json`` that is read: ten thousand students have a tenth of it."""
MOST_KEY = 16 * 1024 * 1024
"""Longest ``key.json`` that is read; one of fifty problems has a hundredth of it."""
_FOLDER = re.compile(r"[a-z0-9][a-z0-9-]{0,99}")
_SHEET = re.compile(r"(?:sheet)?[ #]*0*(\d{1,6})(?:[.,]0+)?", re.ASCII)
_LEAST_DIGITS = 4
_REMEDY = "take the file as `rungwise sheet make` made it"


@dataclass(frozen=True, slots=True)
class ClassMember:
    """A student as the class has them; ``folder`` is the name of their folder of keys."""

    number: int
    folder: str
    name: str = ""
    id: str = ""
    group: str = ""
    variant: str = ""
    email: str = ""


@dataclass(frozen=True, slots=True)
class ClassSettings:
    """What all sheets of a class have in common."""

    title: str = ""
    course: str = ""
    date: str = ""
    language: str = "en"
    symbols: str = ""
    paper: str = ""
    marking: MarkingRules = USUAL
    home_page: str = ""


class ClassRoll:
    """The students of a class by number, by :func:`folder_of` and by :func:`person`.

    Args:
        members: the class.
        left: who is no longer in it, and had a number of their own.
    """

    def __init__(self, members: Iterable[ClassMember], left: Iterable[ClassMember] = ()) -> None:
        by_number = {member.number: member for member in members}
        self.members = {number: by_number[number] for number in sorted(by_number)}
        self.folders: dict[str, ClassMember] = {}
        self.people: dict[str, list[ClassMember]] = {}
        for member in self.members.values():
            self.folders.setdefault(folder_of(member.folder), member)
            for called in _called(member):
                self.people.setdefault(called, []).append(member)
        self.left = {member.number: member for member in left if member.number not in by_number}
        self.left_folders = {folder_of(member.folder): member for member in self.left.values()}
        self.left_people = {
            called: member
            for member in self.left.values()
            for called in _called(member)
            if called not in self.people
        }


def _called(member: ClassMember) -> set[str]:
    """What a student is called, also with the last name first."""
    found = {person(text) for text in (member.name, member.id, member.email)}
    return (found | {_sorted(member.name)}) - {""}


def _sorted(name: str) -> str:
    """The words of a name in an order of their own: "Tenna, Ann" and "Ann Tenna" are one."""
    return " ".join(sorted(person(name.replace(",", " ")).split()))


@dataclass(frozen=True, slots=True)
class HandInOwner:
    """Whose a hand-in is; ``number`` is 0 where it is nobody's.  ``notes`` say what is odd."""

    number: int
    notes: tuple[str, ...] = ()


class NobodysError(BadTable):
    """A hand-in that is nobody's, for a reason; it may be that of one of those it ``concerns``."""

    def __init__(self, why: BadTable, *concerns: int) -> None:
        super().__init__(why.what, why.remedy)
        self.concerns = concerns


@dataclass(frozen=True, slots=True)
class ClassFile:
    """``class.json``."""

    plan: ClassSettings
    students: tuple[ClassMember, ...]
    left: tuple[ClassMember, ...] = ()


def read_class(path: Path) -> tuple[ClassSettings, tuple[ClassMember, ...]]:
    """Read ``class.json``: what its sheets have in common, and who is in it.

    Raises:
        SheetError: it can't be read, or isn't one.
    """
    found = read_class_file(path)
    return found.plan, found.students


def read_class_file(path: Path) -> ClassFile:
    """Read the whole of ``class.json``.

    Raises:
        SheetError: it can't be read, or isn't one.
    """
    document = json_file(path, MOST_CLASS, "give the folder that `rungwise sheet make` wrote")
    with in_file(path):
        return read(document, CLASS_FORMAT, ClassFile, _converter(), _REMEDY, _REMEDY)


@cache
def _converter() -> Converter:
    """What reads a class; of the plan, what all sheets have in common."""
    from cattrs.gen import make_dict_structure_fn, override

    made = strict(forbid_extra_keys=False)
    number, folder = override(struct_hook=_number), override(struct_hook=_folder)
    member = make_dict_structure_fn(ClassMember, made, number=number, folder=folder)
    made.register_structure_hook(ClassMember, member)
    return made


def _number(value: object, _: object) -> int:
    if type(value) is not int or not 0 < value < 10**6:
        raise ValueError("no number of a sheet")
    return value


def _folder(value: object, _: object) -> str:
    # The name becomes part of a path: it must be one that we make.
    if not isinstance(value, str) or not _FOLDER.fullmatch(value):
        raise ValueError("no folder of a student")
    return value


def person(text: str) -> str:
    """A name or id as it is compared: what spreadsheets change about one does not count.

    Those are leading zeros of a number, and an apostrophe put in front; capitals, spaces and
    invisible characters don't count either.
    """
    folded = unicodedata.normalize("NFKC", one_line(text)).casefold()
    folded = " ".join(folded.replace("'", "").replace("’", "").split())
    return folded.lstrip("0") if folded.isdecimal() else folded


def folder_of(name: str) -> str:
    """A folder's name as it is compared."""
    return name.strip().casefold()


def whose(
    roll: ClassRoll, course: ClassSettings, answers: Answers | None, names: Iterable[str]
) -> HandInOwner:
    """Whose a hand-in is.

    Args:
        roll: the class.
        course: what its sheets have in common.
        answers: the hand-in; ``None`` where it could not be read.
        names: of the file and of the folders it lies in, innermost first.

    Raises:
        NobodysError: nobody's, for a reason; says whom it concerns.
        BadTable: nobody's, and it can't be said whose it might be.
    """
    names = tuple(names)
    lies = next((e for e in map(roll.folders.get, map(folder_of, names)) if e is not None), None)
    lies = lies or _named(roll, names)
    if answers is None:
        return HandInOwner(lies.number if lies else 0)
    if answers.title and not _is_titled(answers.title, course.title):
        raise refused("whose.title", title=shown(one_line(answers.title), 60))
    says = _said(roll, answers)
    if says.number and lies and lies.number != says.number:
        why = refused("whose.folder", sheet=says.number, folder=one_line(lies.folder))
        raise NobodysError(why, says.number, lies.number)
    number = says.number or (lies.number if lies else 0)
    if not number:
        gone = next((m for m in map(roll.left_folders.get, map(folder_of, names)) if m), None)
        raise _has_left(gone) if gone else refused("whose.nobody")
    variant = roll.members[number].variant
    if answers.variant and variant and person(answers.variant) != person(variant):
        said = shown(one_line(answers.variant), 20)
        raise NobodysError(refused("whose.variant", said=said, sheet=number, has=variant), number)
    return says if says.number else HandInOwner(number, (_say("whose.by_folder"),))


def _has_left(member: ClassMember) -> BadTable:
    name = one_line(member.name or member.id or member.folder)
    return refused("whose.left", sheet=member.number, name=name)


def _named(roll: ClassRoll, names: Iterable[str]) -> ClassMember | None:
    """The student whose name or id a file or folder has, alone or before a ``_``.

    Course systems put names there (``Ann Tenna_4711_assignsubmission_file``); numbers of few
    digits are rather those of pictures.
    """
    for name in names:
        for piece in (name, name.partition("_")[0]):
            called = person(piece)
            if not called or (called.isdecimal() and len(called) < _LEAST_DIGITS):
                continue
            found = roll.people.get(called, [])
            if len(found) == 1:
                return found[0]
    return None


def _is_titled(said: str, title: str) -> bool:
    """Whether a title is that of the sheet; letters that an old encoding has not are "?" there."""
    said, title = person(said), person(title)
    return len(said) == len(title) and all(
        a == b or a in "?\ufffd" for a, b in zip(said, title, strict=True)
    )


def _said(roll: ClassRoll, answers: Answers) -> HandInOwner:
    """Whose a hand-in says that it is; nobody's without a reason where it says nothing."""
    keys = [key for key in (person(answers.student), _sorted(answers.student)) if key]
    named = next((roll.people[key] for key in keys if key in roll.people), [])
    gone = next((roll.left_people[key] for key in keys if key in roll.left_people), None)
    called = shown(one_line(answers.student), 60)
    if gone is not None and not named and not answers.sheet:
        raise _has_left(gone)
    if not answers.sheet:
        if len(named) > 1:
            raise NobodysError(
                refused("whose.several", called=called), *(member.number for member in named)
            )
        if named:
            return HandInOwner(named[0].number)
        if answers.student:
            raise refused("whose.unknown", called=called)
        return HandInOwner(0)
    folded = unicodedata.normalize("NFKC", answers.sheet).strip().casefold()
    match = _SHEET.fullmatch(folded)
    number = int(match[1]) if match else 0
    entry = roll.members.get(number)
    if entry is None and number in roll.left:
        raise _has_left(roll.left[number])
    if entry is None:
        raise refused("whose.no_sheet", sheet=shown(one_line(answers.sheet), 40))
    if not answers.student or entry in named:
        return HandInOwner(entry.number)
    if named or gone is not None:
        others = [member.number for member in (*named, gone) if member is not None]
        why = refused("whose.contradiction", sheet=entry.number, called=called, other=others[0])
        raise NobodysError(why, entry.number, *others)
    # Somebody wrote a name of their own choice, or got a sheet without one.
    note = _say("whose.other_name", called=called) if entry.name or entry.id else ""
    return HandInOwner(entry.number, (note,) if note else ())
