"""The folder that ``rungwise sheet make`` wrote, read back: the plan, and every student's key."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ....problems.sheets.documents import key_of, plan_from
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
from ...language.texts import plain
from ..marking.made_class import ClassMember, read_class

KEYS, CLASS, KEY = "keys", "class.json", "key.json"
_MOST_KEY = 8 * 1024 * 1024
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
    _, entries = read_class(path)
    students = tuple(entries)
    document = _json(path, 64 * 1024 * 1024)
    try:
        plan = plan_from(document.get("plan"))
    except SheetError as error:
        raise _at(path, error) from None
    return ClassFolder(root, plan, students)


def given(folder: ClassFolder, numbers: Collection[int] = ()) -> Iterator[StudentSheet]:
    """Every student's sheet and key, by number; or only some students'.

    Raises:
        SheetError: a key can't be read, or isn't of this plan.
    """
    for entry in sorted(folder.students, key=lambda one: one.number):
        if not numbers or entry.number in numbers:
            yield _given(folder, entry)


def _given(folder: ClassFolder, entry: ClassMember) -> StudentSheet:
    path = folder.root / KEYS / entry.folder / KEY
    try:
        key = key_of(_json(path, _MOST_KEY))
    except SheetError as error:
        raise _at(path, error) from None
    try:
        items = [shown(one.number, one.problem, one.points, one.title) for one in key.items]
    except (LookupError, ValueError, TypeError, ArithmeticError, AssertionError) as error:
        # A key is checked field by field; whether its values fit together shows in their use.
        what = f"its problems can't be shown: {type(error).__name__}"
        raise SheetError(PlanTrouble(plain(path), "", what, _REMEDY)) from None
    student = Student(entry.number, entry.name, entry.id)
    return StudentSheet(entry, Sheet(key.heading, student, _parts(path, folder.plan, items)), key)


def _parts(path: Path, plan: Plan, items: list[SheetProblem]) -> tuple[SheetSection, ...]:
    """The items in the plan's sections."""
    parts, first = [], 0
    for section in plan.sections:
        last = first + len(section.circuits) + section.count
        parts.append(SheetSection(section.title, section.instructions, tuple(items[first:last])))
        first = last
    if first != len(items):
        what = f"it has {len(items)} problems, and the plan {first}"
        raise SheetError(PlanTrouble(plain(path), "", what, _REMEDY))
    return tuple(parts)


def _json(path: Path, most: int) -> dict[str, Any]:
    """A JSON object from a file.

    Raises:
        SheetError: there is none.
    """
    try:
        with open(path, "rb") as file:
            data = file.read(most + 1)
        if len(data) > most:
            raise ValueError("it is far too long")
        document = json.loads(data)
        if not isinstance(document, dict):
            raise ValueError("it is no object")
    except (OSError, ValueError, RecursionError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise SheetError(
            PlanTrouble(plain(path), "", f"it can't be read: {plain(reason)[:200]}", _REMEDY)
        ) from None
    return document


def _at(path: Path, error: SheetError) -> SheetError:
    return SheetError(
        *(
            PlanTrouble(f"{plain(path)}: {t.path}".rstrip(": "), t.value, t.what, t.remedy)
            for t in error.troubles
        )
    )
