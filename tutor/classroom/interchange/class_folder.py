"""The folder that ``rungwise sheet make`` wrote, read back: the plan, and every student's key."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ....problems.sheets.addressed import sections_for
from ....problems.sheets.documents import key_of, plan_from
from ....problems.sheets.inspection import as_seen
from ....problems.sheets.model import (
    Key,
    Plan,
    PlanTrouble,
    Sheet,
    SheetError,
    SheetProblem,
    SheetSection,
    Student,
)
from ....problems.sheets.variant import shown
from ...files.records import in_file, json_file
from ...language.errors import worded
from ...language.texts import plain
from ..marking.made_class import MOST_CLASS, MOST_KEY, ClassMember, read_class

KEYS, CLASS, KEY = "keys", "class.json", "key.json"
_REMEDY = "run `rungwise sheet make` again, or take the file as it was made"


@dataclass(frozen=True, slots=True)
class ClassFolder:
    """What a class was given."""

    root: Path
    plan: Plan
    students: tuple[ClassMember, ...]


@dataclass(frozen=True, slots=True)
class StudentSheet:
    """One student's sheet and key."""

    entry: ClassMember
    sheet: Sheet
    key: Key


def open_folder(root: Path) -> ClassFolder:
    """Read the plan and the roster.

    Raises:
        SheetError: the folder holds no sheets, or its files can't be read.
    """
    path = root / KEYS / CLASS
    _, students = read_class(path)
    document = json_file(path, MOST_CLASS, _REMEDY)
    assert isinstance(document, dict)  # as it has just been read as a class
    with in_file(path):
        plan = plan_from(document.get("plan"))
    return ClassFolder(root, plan, students)


def given(folder: ClassFolder, numbers: Collection[int] = ()) -> Iterator[StudentSheet]:
    """The sheets and keys of a ``folder`` by number; with ``numbers``, only of these students.

    Raises:
        SheetError: a key can't be read, or isn't of this plan.
    """
    for entry in sorted(folder.students, key=lambda one: one.number):
        if not numbers or entry.number in numbers:
            yield _given(folder, entry)


def _given(folder: ClassFolder, entry: ClassMember) -> StudentSheet:
    path = key_path(folder, entry)
    return sheet_of_key(folder.plan, entry, json_file(path, MOST_KEY, _REMEDY), path)


def key_path(folder: ClassFolder, entry: ClassMember) -> Path:
    """Where the key of the student of an ``entry`` lies in a ``folder``."""
    return folder.root / KEYS / entry.folder / KEY


def sheet_of_key(plan: Plan, entry: ClassMember, document: object, path: Path) -> StudentSheet:
    """A student's sheet and key, of what their ``key.json`` holds.

    Args:
        plan: of the class.
        entry: the student.
        document: what the file holds, as ``json`` gives it.
        path: where it lies, for what is said of it.

    Raises:
        SheetError: it is no key, or isn't of this plan.
    """
    with in_file(path):
        key = key_of(document)
    with in_use(plain(path)):
        items = [shown(one.number, one.problem, one.points, one.title) for one in key.items]
    student = Student(entry.number, entry.name, entry.id, entry.group, entry.variant)
    parts = _parts(path, plan, student, items)
    return StudentSheet(entry, Sheet(key.heading, student, parts), key)


@contextmanager
def in_use(place: str) -> Iterator[None]:
    """A key is checked field by field; whether its values fit together shows in their use.

    Raises:
        SheetError: the key at ``place`` was changed into something nothing can be made of.
    """
    try:
        yield
    except (LookupError, ValueError, TypeError, ArithmeticError, AssertionError) as error:
        what = f"its problems can't be shown: {type(error).__name__}: {plain(worded(error))[:200]}"
        raise SheetError(PlanTrouble(place, "", what, _REMEDY)) from None


def _parts(
    path: Path, plan: Plan, student: Student, items: list[SheetProblem]
) -> tuple[SheetSection, ...]:
    parts, first = [], 0
    for _, section in sections_for(plan, student):
        last = first + len(section.circuits) + section.count
        theirs = items[first:last]
        if section.by_inspection:
            theirs = [as_seen(item, section.values) for item in theirs]
        parts.append(
            SheetSection(section.title, section.instructions, tuple(theirs), section.by_inspection)
        )
        first = last
    if first != len(items):
        what = f"it has {len(items)} problems, and the plan {first}"
        raise SheetError(PlanTrouble(plain(path), "", what, _REMEDY))
    return tuple(parts)
