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
from ..handins.cells import one_line
from ..handins.files import Answers
from ..handins.table import BadTable

if TYPE_CHECKING:
    from cattrs import Converter

CLASS_FORMAT = "rungwise.class/1"
MOST_CLASS = 32 * 1024 * 1024
"""Longest ``class.json`` that is read: ten thousand students have a tenth of it."""
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


class ClassRoll:
    """The students of a class by number, by :func:`folder_of` and by :func:`person`."""

    def __init__(self, members: Iterable[ClassMember]) -> None:
        by_number = {member.number: member for member in members}
        self.members = {number: by_number[number] for number in sorted(by_number)}
        self.folders: dict[str, ClassMember] = {}
        self.people: dict[str, list[ClassMember]] = {}
        for member in self.members.values():
            self.folders.setdefault(folder_of(member.folder), member)
            for called in {person(member.name), person(member.id)}:
                self.people.setdefault(called, []).append(member)


@dataclass(frozen=True, slots=True)
class HandInOwner:
    """Whose a hand-in is; ``number`` is 0 where it is nobody's.  ``notes`` say what is odd."""

    number: int
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ClassFile:
    """``class.json``."""

    plan: ClassSettings
    students: tuple[ClassMember, ...]


def read_class(path: Path) -> tuple[ClassSettings, tuple[ClassMember, ...]]:
    """Read ``class.json``.

    Raises:
        SheetError: it can't be read, or isn't one.
    """
    document = json_file(path, MOST_CLASS, "give the folder that `rungwise sheet make` wrote")
    with in_file(path):
        found = read(document, CLASS_FORMAT, ClassFile, _converter(), _REMEDY, _REMEDY)
    return found.plan, found.students


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
        BadTable: nobody's, for a reason.
    """
    names = tuple(names)
    lies = next((e for e in map(roll.folders.get, map(folder_of, names)) if e is not None), None)
    if answers is None:
        lies = lies or _named(roll, names)
        return HandInOwner(lies.number if lies else 0)
    if answers.title and not _is_titled(answers.title, course.title):
        raise BadTable(
            f"it belongs to the sheet {shown(one_line(answers.title), 60)}",
            'mark it with that sheet; if it is of this one, take its "title" row out',
        )
    says = _said(roll, answers)
    if says.number and lies and lies.number != says.number:
        raise BadTable(
            f"it says that it is sheet {says.number}, and lies in the folder {lies.folder}",
            'move it to the right folder, or correct its "sheet" row',
        )
    if says.number:
        return says
    if lies:
        return HandInOwner(lies.number, ("it does not say whose it is; its folder does",))
    raise BadTable(
        "neither it nor its folder says whose it is",
        'fill in its "sheet" row, or put it into a folder named after the student',
    )


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
    named = roll.people.get(person(answers.student), []) if person(answers.student) else []
    called = shown(one_line(answers.student), 60)
    if not answers.sheet:
        if len(named) > 1:
            raise BadTable(
                f"several students are called {called}",
                'fill in its "sheet" row',
            )
        if named:
            return HandInOwner(named[0].number)
        if answers.student:
            raise BadTable(f"nobody here is called {called}", 'fill in its "sheet" row')
        return HandInOwner(0)
    folded = unicodedata.normalize("NFKC", answers.sheet).strip().casefold()
    match = _SHEET.fullmatch(folded)
    entry = roll.members.get(int(match[1])) if match else None
    if entry is None:
        raise BadTable(
            f"there is no sheet {shown(one_line(answers.sheet), 40)} here",
            'correct its "sheet" row, or mark it with the sheet that it belongs to',
        )
    if not answers.student or person(answers.student) in (person(entry.name), person(entry.id)):
        return HandInOwner(entry.number)
    if named:
        raise BadTable(
            f"it says that it is sheet {entry.number}, and that it is of {called}, "
            f"who has sheet {named[0].number}",
            'correct its "sheet" row or its "student" row',
        )
    # Somebody wrote a name of their own choice, or got a sheet without one.
    note = f"it says that it is of {called}" if entry.name or entry.id else ""
    return HandInOwner(entry.number, (note,) if note else ())
