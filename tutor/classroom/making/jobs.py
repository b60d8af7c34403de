"""What workers do to make sheets: draw students' problems and render their files as bytes.

Nothing here touches a disk.  Renderers are imported when they are first needed.
"""

from __future__ import annotations

import json
import pickle
import zlib
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby
from typing import Any, TypeVar

from ....problems.generate.analyse import GenerationError
from ....problems.questions.model import Problem
from ....problems.sheets.documents import answers_template, key_document, sheet_document
from ....problems.sheets.lots import UsedUpError, drawn, lots_at, redrawn
from ....problems.sheets.model import (
    Plan,
    PlanTrouble,
    ProblemLot,
    Sheet,
    SheetError,
    Student,
    Variant,
)
from ....problems.sheets.variant import assembled, variant
from ...documents.pages import sheet_page, whose
from ...documents.pages_form import Page
from ...documents.pages_key import key_page
from ...documents.pages_short_key import short_key_page
from ...files.names import sheet_name
from ...language.errors import worded

T = TypeVar("T")

FORMATS = ("pdf", "html", "text", "json")
"""What sheets and keys can be made as."""
STUDENTS, KEYS = "students", "keys"
"""The two folders; nothing of a key is ever below the first one."""

_ENDINGS = {"pdf": "pdf", "html": "html", "text": "txt", "json": "json"}
_FORM_OF = {ending: form for form, ending in _ENDINGS.items()}
ANSWERS_CSV, ANSWERS_JSON, KEY_JSON = "answers.csv", "answers.json", "key.json"
SHORT_KEY, LARGE = "short-key", "sheet-large"
"""Names, without their endings, of a key on a page and of a sheet in large print."""


@dataclass(frozen=True, slots=True)
class StudentLots:
    """What a student is given.

    Attributes:
        attempts: of each drawn problem, which draw it is of.
        prints: fingerprints of the circuits.
        packed: the problems themselves, so that they need not be drawn once more; or nothing.
        troubles: why there are none.
        used_up: the family of which there are too few circuits, if that is why.
    """

    attempts: tuple[int, ...] = ()
    prints: tuple[str, ...] = ()
    packed: bytes = b""
    troubles: tuple[PlanTrouble, ...] = ()
    used_up: UsedUpError | None = None


@dataclass(frozen=True, slots=True)
class FilesWanted:
    """A student, what they are given, and the files to make of it.

    ``names`` are (folder, name): ``("keys", "key.pdf")``.
    """

    student: Student
    lots: StudentLots
    names: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class StudentFiles:
    """What was made for the student of a ``number``: the files' bytes by (folder, name)."""

    number: int
    files: tuple[tuple[tuple[str, str], bytes], ...] = ()


def names_of(
    formats: Collection[str],
    *,
    long_keys: bool = False,
    large: bool = False,
    answer_files: bool = True,
) -> tuple[tuple[str, str], ...]:
    """The files that a student gets; the key that marking reads is always among them.

    Args:
        formats: what sheets and keys are made as.
        long_keys: whether there is a key with every circuit worked through, beside the short one.
        large: whether this student has a copy in large print as well.
        answer_files: whether there are templates for answers.
    """
    pages = [f for f in FORMATS if f in formats and f != "json"]
    sheets = [(STUDENTS, f"sheet.{_ENDINGS[f]}") for f in FORMATS if f in formats]
    sheets += [(STUDENTS, f"{LARGE}.{_ENDINGS[f]}") for f in pages if large and f != "text"]
    if answer_files:
        sheets += [(STUDENTS, ANSWERS_CSV), (STUDENTS, ANSWERS_JSON)]
    keys = [(KEYS, f"{SHORT_KEY}.{_ENDINGS[f]}") for f in pages]
    keys += [(KEYS, f"key.{_ENDINGS[f]}") for f in pages if long_keys]
    return (*sheets, *keys, (KEYS, KEY_JSON))


def draw_batch(plan: Plan, students: Iterable[Student]) -> list[StudentLots]:
    """Draw the problems of ``students`` of a ``plan``, as if they shared no values with others."""
    return [_draw_one(plan, student) for student in students]


def _draw_one(plan: Plan, student: Student) -> StudentLots:
    try:
        made = _drawing(lambda: drawn(plan, student))
    except UsedUpError as error:
        return StudentLots(used_up=error, troubles=error.troubles)
    except SheetError as error:
        return StudentLots(troubles=error.troubles)
    packed = zlib.compress(pickle.dumps(made.problems), 1)
    return StudentLots(_attempts(made.lots), made.prints, packed)


def _attempts(lots: Iterable[ProblemLot]) -> tuple[int, ...]:
    return tuple(lot.attempt for lot in lots if lot.circuit < 0)


def lots_avoiding(
    plan: Plan, student: Student, made: StudentLots, avoid: Collection[str]
) -> StudentLots:
    """A student's lots where some circuits are others' already.

    Args:
        plan: of the sheet.
        student: whose lots.
        made: what was drawn for them first.
        avoid: fingerprints of circuits that others have.

    Raises:
        SheetError: there are none to be had.
    """
    before = lots_at(plan, student, made.attempts)
    lots, prints = _drawing(lambda: redrawn(plan, student, (before, made.prints), avoid))
    return StudentLots(_attempts(lots), prints)


def make_batch(plan: Plan, wishes: Iterable[FilesWanted]) -> list[StudentFiles]:
    """Make the ``wishes`` of a ``plan``.

    The pages of those who stand one after the other and share a variant are worked out once.
    """

    def lots_of(wish: FilesWanted) -> tuple[ProblemLot, ...]:
        return lots_at(plan, wish.student, wish.lots.attempts)

    return [
        made
        for lots, alike in groupby(wishes, lots_of)
        for made in _made_alike(plan, lots, tuple(alike))
    ]


def _made_alike(
    plan: Plan, lots: tuple[ProblemLot, ...], wishes: Iterable[FilesWanted]
) -> Iterator[StudentFiles]:
    """Make the ``wishes`` of students who are given the same."""
    pages: _Pages | None = None
    for wish in wishes:
        given = _given(plan, wish, lots)
        pages = pages or _Pages(given)
        files = tuple((name, _file(given, name[1], pages)) for name in wish.names)
        yield StudentFiles(wish.student.number, files)


def _given(plan: Plan, wish: FilesWanted, lots: tuple[ProblemLot, ...]) -> Variant:
    """The sheet and key of what somebody is given."""
    if not wish.lots.packed:
        return _drawing(lambda: variant(plan, wish.student, lots))
    # Only what a worker of this very run has packed gets here.
    problems: tuple[Problem, ...] = pickle.loads(zlib.decompress(wish.lots.packed))  # noqa: S301
    return assembled(plan, wish.student, lots, problems)


def _drawing(drawing: Callable[[], T]) -> T:
    try:
        return drawing()
    except GenerationError as error:
        raise SheetError(
            PlanTrouble("sections", "", worded(error), "name other families or levels")
        ) from None


class _Pages:
    """The pages of a variant, worked out once for all formats and all who are given it."""

    def __init__(self, variant: Variant) -> None:
        self._sheet, self._key = variant.sheet, variant.key

    def of(self, stem: str, sheet: Sheet) -> Page:
        """The page of a file, by its name without the ending, with the head of a ``sheet``."""
        if stem == SHORT_KEY:
            page = self._short_page
        elif stem == LARGE:
            page = self._large_page
        else:
            page = self._key_page if stem == "key" else self._sheet_page
        return replace(page, whose=whose(sheet))

    @cached_property
    def _sheet_page(self) -> Page:
        return sheet_page(self._sheet)

    @cached_property
    def _key_page(self) -> Page:
        return key_page(self._sheet, self._key)

    @cached_property
    def _short_page(self) -> Page:
        return short_key_page(self._sheet, self._key)

    @cached_property
    def _large_page(self) -> Page:
        heading = self._sheet.heading
        printing = replace(heading.printing, large=True)
        return sheet_page(replace(self._sheet, heading=replace(heading, printing=printing)))


def _file(variant: Variant, name: str, pages: _Pages) -> bytes:
    sheet, key = variant.sheet, variant.key
    match name:
        case "sheet.json":
            return json_bytes(sheet_document(sheet))
        case "key.json":
            return json_bytes(key_document(key))
        case "answers.json":
            return json_bytes(_template(sheet), indent=1)
        case "answers.csv":
            from ..handins.files import answers_csv, asked_in_words

            # Spreadsheets take a file without the mark for one in the system's old encoding.
            return answers_csv(_template(sheet), asked_in_words(sheet)).encode("utf-8-sig")
    from ...documents.rendered import rendered

    stem, _, ending = name.partition(".")
    return rendered(pages.of(stem, sheet), _FORM_OF[ending], sheet.heading.paper)


def _template(sheet: Sheet) -> dict[str, Any]:
    return answers_template(sheet, sheet_name(sheet.student.number))


def json_bytes(document: Mapping[str, Any], *, indent: int | None = None) -> bytes:
    """``document`` as JSON, the same for the same content; with ``indent``, to be read by eye."""
    text = json.dumps(document, ensure_ascii=False, sort_keys=indent is None, indent=indent)
    return f"{text}\n".encode()
