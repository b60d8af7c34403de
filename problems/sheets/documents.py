"""Sheets and keys as JSON documents, and back.

A document is made of plain values: what ``json`` can write.  Its fields are those of the frozen
values in ``sheets.py``, circuits are circuit text, fractions ``"3/2"``, roots ``[re, im]``.
Reading checks every field against its type and says where one does not fit.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from ..circuits.gaps import BOX, UNKNOWN
from ..circuits.model import CircuitError, Ladder, mapped
from ..circuits.statement import NotationError
from ..circuits.text import read_circuit
from ..circuits.write import write_circuit
from ..quantities.errors import wording
from ..questions.model import Answer, Question, Values
from ..questions.values import texts
from ..questions.written import plain_truth, read_truth, read_values
from .keyed_chance import seal
from .model import (
    ANSWERS_FORMAT,
    KEY_FORMAT,
    OLD_KEY_FORMAT,
    OLD_PLAN_FORMAT,
    PLAN_FORMATS,
    SHEET_FORMAT,
    Key,
    Plan,
    PlanTrouble,
    Sheet,
    SheetError,
    ValueRefused,
)
from .records import AS_MADE, number, read, strict

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
    """A key as plain values; there is a seed in it only where the key is of the old form."""
    made = _versioned(key)
    if key.format == KEY_FORMAT:
        for item in made["items"]:
            del item["problem"]["seed"]
    return made


def key_of(document: object) -> Key:
    """The key of a document, of the old form or the new one.

    Raises:
        SheetError: it is none; where, and what mends it.
    """
    form = _form(document, KEY_FORMAT, OLD_KEY_FORMAT)
    if form == KEY_FORMAT:
        document = _without_seeds(document)
    return replace(_value(document, form, Key), format=form)


def plan_document(plan: Plan) -> Document:
    """A plan as plain values, its seed included: for the teacher only."""
    return _versioned(plan)


def sealed_document(plan: Plan) -> Document:
    """A plan as plain values for files beside the keys: a seal stands in place of its seed.

    A plan of the old form keeps its seed there, as it always has.
    """
    made = plan_document(plan)
    return made if plan.format == OLD_PLAN_FORMAT else {**made, "seed": seal(plan)}


def plan_from(document: object) -> Plan:
    """The plan of a document made by one of the above (a plan file is another form).

    Where a seal stands in place of the seed, the seed is 0: nothing can be drawn of such a plan.

    Raises:
        SheetError: it is none; where, and what mends it.
    """
    form = _form(document, *PLAN_FORMATS)
    if form != OLD_PLAN_FORMAT and isinstance(document, Mapping):
        sealed = isinstance(document.get("seed"), str)
        document = {**document, "seed": 0} if sealed else document
    return replace(_value(document, form, Plan), format=form)


def answers_template(sheet: Sheet, name: str) -> Document:
    """An empty answer document for a ``sheet``, which marking knows by its ``name`` ("03")."""
    return {
        "format": ANSWERS_FORMAT,
        "title": sheet.heading.title,  # so that last week's hand-in isn't marked as this week's
        "sheet": name,
        "student": sheet.student.id or sheet.student.name,
        **({"variant": sheet.student.variant} if sheet.student.variant else {}),
        "answers": {asked.number: "" for item in sheet.items for asked in item.questions},
    }


def _document(form: str, value: object) -> Document:
    made = _converter().unstructure(value)
    assert isinstance(made, dict)
    return {"format": form, **made}


def _versioned(value: Key | Plan) -> Document:
    """The document of a value that knows its form."""
    return _document(value.format, value)


def _form(document: object, *forms: str) -> str:
    """Which of these forms a document says it has; the first where it has none of them."""
    found = document.get("format") if isinstance(document, Mapping) else None
    return next((form for form in forms if form == found), forms[0])


def _without_seeds(document: object) -> object:
    """A key of the new form as the old one has it: its problems' seeds are 0.

    Raises:
        SheetError: there is one in it.
    """
    items = document.get("items") if isinstance(document, Mapping) else None
    if not isinstance(document, Mapping) or not isinstance(items, list):
        return document
    made: list[object] = []
    for place, item in enumerate(items):
        problem = item.get("problem") if isinstance(item, Mapping) else None
        if not isinstance(problem, Mapping):
            made.append(item)
        elif "seed" in problem:
            path = f"items[{place}].problem.seed"
            raise SheetError(PlanTrouble(path, "", wording("document.no-field"), AS_MADE))
        else:
            made.append({**item, "problem": {**problem, "seed": 0}})
    return {**document, "items": made}


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
    made.register_structure_hook_func(lambda kind: kind == Answer, _truth)
    made.register_unstructure_hook_func(lambda kind: kind == Answer, plain_truth)
    made.register_unstructure_hook_func(lambda kind: kind == Values, _written)
    made.register_structure_hook_func(lambda kind: kind == Values, _values)
    made.register_structure_hook(Question, _question(made))
    return made


def _truth(value: object, _: object) -> str | int | float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueRefused("document.truth")
    return value


def _root(value: object, _: object) -> complex:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueRefused("document.root")
    return complex(number(value[0], None), number(value[1], None))


def _question(made: Converter) -> Callable[[Mapping[str, Any], object], Question]:
    """A question whose truth is read by what was asked, once its fields are known."""
    from cattrs.gen import make_dict_structure_fn

    plain = make_dict_structure_fn(Question, made, _cattrs_forbid_extra_keys=True)

    def read(value: Mapping[str, Any], kind: object) -> Question:
        found = plain(value, kind)
        assert isinstance(found.truth, str | int | float)  # as the document has it
        return replace(found, truth=read_truth(found.rung, found.form, found.truth))

    return read


def _written(values: Values) -> list[list[str]]:
    return [[key, text] for key, text in texts(values)]


def _values(value: object, _: object) -> Values:
    if not isinstance(value, list):
        raise ValueRefused("document.names")
    for pair in value:
        if not isinstance(pair, list) or [type(part) for part in pair] != [str, str]:
            raise ValueRefused("document.name")
    return read_values((key, text) for key, text in value)


def _text(ladder: Ladder) -> str:
    return write_circuit(ladder, "; ", named=True).replace(BOX.name, UNKNOWN)


def _ladder(value: object, _: object) -> Ladder:
    if not isinstance(value, str):
        raise ValueRefused("document.circuit")
    try:
        ladder = read_circuit(value.replace(UNKNOWN, _BOXED))
    except (CircuitError, NotationError) as error:
        raise ValueRefused("document.no-circuit", trouble=error.wording) from None
    if UNKNOWN not in value:
        return ladder
    return mapped(ladder, lambda e: replace(e, name=BOX.name) if e.name == _BOXED else e)
