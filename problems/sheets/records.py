"""Frozen values read from plain ones, such as ``json`` gives: strictly, and saying what is wrong.

Nothing is turned into another type by guessing: a text that holds a number is no number.  What
does not fit is told with its path in the document, one trouble for each.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from enum import StrEnum
from fractions import Fraction
from functools import partial
from math import isfinite
from typing import TYPE_CHECKING, TypeVar, get_args, get_origin

from ..quantities.errors import Wording
from .model import PlanTrouble, SheetError

if TYPE_CHECKING:
    from cattrs import Converter

T = TypeVar("T")

_FRACTION = re.compile(r"-?[0-9]{1,18}(/[1-9][0-9]{0,17})?")
_MOST_TROUBLES = 20


def strict(*, forbid_extra_keys: bool = True) -> Converter:
    """What reads texts, whole numbers, truth values, kinds (``StrEnum``), floats, fractions, lists.

    Args:
        forbid_extra_keys: whether a member that the value has no field for is a trouble.
    """
    from cattrs import Converter

    made = Converter(
        omit_if_default=True,
        forbid_extra_keys=forbid_extra_keys,
        unstruct_collection_overrides={tuple: list},
    )
    made.register_unstructure_hook(Fraction, str)
    for kind in (str, int, bool):
        made.register_structure_hook(kind, partial(_exactly, kind))
    made.register_structure_hook(StrEnum, _member)  # else it would be read as the text it also is
    made.register_structure_hook(float, number)
    made.register_structure_hook(Fraction, _fraction)
    made.register_structure_hook_factory(_is_many, _many)
    return made


def read(
    document: object,
    form: str,
    kind: type[T],
    converter: Converter,
    remedy: str = "take the file as it was made",
    unlike: str = "",
) -> T:
    """The value of a document.

    Args:
        document: as ``json.loads`` gave it.
        form: what its member "format" should say.
        kind: the value's type.
        converter: what reads it, of :func:`strict`.
        remedy: what mends a member that does not fit.
        unlike: what mends a document of no form at all.

    Raises:
        SheetError: it is none; where, and what mends it.
    """
    if not isinstance(document, Mapping):
        raise SheetError(PlanTrouble("", "", f"this is no {form} document", unlike))
    found = document.get("format")
    if found != form:
        if isinstance(found, str):
            unlike = "it may have been made by another version"
        raise SheetError(PlanTrouble("format", repr(found)[:80], f"{form!r} was expected", unlike))
    fields = {key: value for key, value in document.items() if key != "format"}
    return structured(fields, kind, converter, remedy)


def structured(value: object, kind: type[T], converter: Converter, remedy: str) -> T:
    """A ``value`` of plain ones as a ``kind``; ``converter`` and ``remedy`` as for :func:`read`.

    Raises:
        SheetError: it is none; where, and what mends it.
    """
    from cattrs import BaseValidationError

    try:
        return converter.structure(value, kind)
    except (BaseValidationError, ValueError) as error:
        raise SheetError(*list(_troubles(error, remedy))[:_MOST_TROUBLES]) from None


def _troubles(error: BaseException, remedy: str, path: str = "") -> Iterator[PlanTrouble]:
    """What is wrong, and where, of the groups of exceptions in which it is told."""
    from cattrs import BaseValidationError
    from cattrs.errors import ForbiddenExtraKeysError

    if isinstance(error, BaseValidationError):
        for one in error.exceptions:
            note = next((n for n in getattr(one, "__notes__", ()) if hasattr(n, "type")), None)
            step = getattr(note, "name", getattr(note, "index", ""))
            there = path + (f"[{step}]" if isinstance(step, int) else f".{step}" if step else "")
            yield from _troubles(one, remedy, there)
        return
    if isinstance(error, ForbiddenExtraKeysError):
        for key in sorted(map(str, error.extra_fields)):
            key = " ".join(key[:80].split())
            yield PlanTrouble(path.lstrip("."), key, "there is no such field", remedy)
    elif isinstance(error, KeyError):
        yield PlanTrouble(path.lstrip("."), "", "a field is missing", remedy)
    elif isinstance(error, TypeError | AttributeError):  # what Python says of it is no help
        yield PlanTrouble(path.lstrip("."), "", "another kind of value was expected", remedy)
    else:
        what = next(iter(error.args), "")
        told = what if isinstance(what, Wording) else str(error)[:300]
        yield PlanTrouble(path.lstrip("."), "", told, remedy)


def whole(value: object, _: object) -> int:
    """A whole number from 0 on.

    Raises:
        ValueError: it is none.
    """
    if type(value) is not int or not 0 <= value < 2**63:
        raise ValueError("expected a whole number from 0 on")
    return value


def _exactly(kind: type, value: object, _: object) -> object:
    if type(value) is not kind:
        raise ValueError(f"expected {kind.__name__}, found {type(value).__name__}")
    return value


def _is_many(kind: object) -> bool:
    return get_origin(kind) is tuple and get_args(kind)[-1:] == (Ellipsis,)


def _many(kind: type, converter: Converter) -> Callable[[object, type], object]:
    """What reads a list; without it, a text would be one of letters, and an object of names."""
    from cattrs.cols import homogenous_tuple_structure_factory

    each = homogenous_tuple_structure_factory(kind, converter)

    def reading(value: object, kind: type) -> object:
        if not isinstance(value, list):
            raise ValueError(f"expected a list, found {type(value).__name__}")
        return each(value, kind)

    return reading


def _member(value: object, kind: type[StrEnum]) -> StrEnum:
    if not isinstance(value, str) or value not in kind.__members__.values():
        raise ValueError(f"expected one of {', '.join(kind)}")
    return kind(value)


def number(value: object, _: object) -> float:
    """A finite number.

    Raises:
        ValueError: it is none.
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise ValueError("expected a number")
    return float(value)


def _fraction(value: object, _: object) -> Fraction:
    if not isinstance(value, str) or not _FRACTION.fullmatch(value):
        raise ValueError('expected a fraction such as "3/2"')
    return Fraction(value)
