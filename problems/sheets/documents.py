"""Sheets and keys as JSON documents, and back.

A document is made of plain values: what ``json`` can write.  Its fields are those of the frozen
values in ``model.py``, circuits are circuit text, fractions ``"3/2"``, roots ``[re, im]``.
Reading checks every field against its type and says where one does not fit.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from ..circuits.gaps import BOX, UNKNOWN
from ..circuits.model import CircuitError, Ladder, mapped
from ..circuits.text import NotationError, read_circuit
from ..circuits.write import write_circuit
from .model import (
    ANSWERS_FORMAT,
    KEY_FORMAT,
    PLAN_FORMAT,
    SHEET_FORMAT,
    Key,
    Plan,
    Sheet,
)
from .records import number, read, strict

if TYPE_CHECKING:
    from cattrs import Converter

Document = dict[str, Any]
T = TypeVar("T")

_BOXED = "R999999"
"""The name under which an arm left out, a question mark in circuit text, is read back."""


def sheet_document(sheet: Sheet) -> Document:
    """A student's sheet as plain values."""
    return _document(SHEET_FORMAT, sheet)


def sheet_of(document: object) -> Sheet:
    """The sheet of a document.

    Raises:
        SheetError: it is none; where, and what mends it.
    """
    return _value(document, SHEET_FORMAT, Sheet)


def key_document(key: Key) -> Document:
    """A key as plain values."""
    return _document(KEY_FORMAT, key)


def key_of(document: object) -> Key:
    """The key of a document.

    Raises:
        SheetError: it is none; where, and what mends it.
    """
    return _value(document, KEY_FORMAT, Key)


def plan_document(plan: Plan) -> Document:
    """A plan as plain values, its seed included: for the teacher's folder only."""
    return _document(PLAN_FORMAT, plan)


def plan_from(document: object) -> Plan:
    """The plan of a document that :func:`plan_document` made (a plan file is another form).

    Raises:
        SheetError: it is none; where, and what mends it.
    """
    return _value(document, PLAN_FORMAT, Plan)


def answers_template(sheet: Sheet, name: str) -> Document:
    """An empty answer document for a sheet.

    Args:
        sheet: the sheet.
        name: the sheet's name, which marking knows it by ("03").
    """
    return {
        "format": ANSWERS_FORMAT,
        "title": sheet.heading.title,  # so that last week's hand-in isn't marked as this week's
        "sheet": name,
        "student": sheet.student.id or sheet.student.name,
        "answers": {asked.number: "" for item in sheet.items for asked in item.questions},
    }


def _document(form: str, value: object) -> Document:
    made = _converter().unstructure(value)
    assert isinstance(made, dict)
    return {"format": form, **made}


def _value(document: object, form: str, kind: type[T]) -> T:
    return read(document, form, kind, _converter())


@cache
def _converter() -> Converter:
    """What knows how each type is written; nothing is turned into another type by guessing."""
    made = strict()
    made.register_unstructure_hook(complex, lambda root: [root.real, root.imag])
    made.register_unstructure_hook(Ladder, _text)
    made.register_structure_hook(complex, _root)
    made.register_structure_hook(Ladder, _ladder)
    made.register_structure_hook_func(lambda kind: kind == str | int | float, _truth)
    return made


def _truth(value: object, _: object) -> str | int | float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("expected a text or a number")
    return value


def _root(value: object, _: object) -> complex:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError("expected a root [re, im]")
    return complex(number(value[0], None), number(value[1], None))


def _text(ladder: Ladder) -> str:
    return write_circuit(ladder, "; ", named=True).replace(BOX.name, UNKNOWN)


def _ladder(value: object, _: object) -> Ladder:
    if not isinstance(value, str):
        raise ValueError("expected circuit text")
    try:
        ladder = read_circuit(value.replace(UNKNOWN, _BOXED))
    except (CircuitError, NotationError) as error:
        raise ValueError(f"no circuit text: {error}") from None
    if UNKNOWN not in value:
        return ladder
    return mapped(ladder, lambda e: replace(e, name=BOX.name) if e.name == _BOXED else e)
