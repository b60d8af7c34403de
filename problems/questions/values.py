"""The values that fill a question's sentences: one asked for by its type, and their text.

Questions and choices carry circuits, formulas, figures and counts as they are; their text is
made here, for sentences, documents and books of problems alike.  ``written.py`` reads it back
where a document is read, and nothing else does.
"""

from __future__ import annotations

from typing import TypeVar

from ..circuits.model import Ladder
from ..circuits.write import write_circuit
from ..formulas.layout import echo
from ..quantities.units import Quantity
from ..quantities.write import write_quantity
from .model import Value, Values

_Kind = TypeVar("_Kind", str, int, Quantity, Ladder)

_DIGITS = 6
"""Significant digits of a figure that is wanted: band limits have five."""


def value_of(values: Values, key: str, kind: type[_Kind]) -> _Kind:
    """The value of a name.

    Args:
        values: named values.
        key: the name.
        kind: the type that it must have.

    Raises:
        LookupError: there is none of that name and type.
    """
    found = dict(values)[key]
    if not isinstance(found, kind):
        raise LookupError(f"{key} is {type(found).__name__}, not {kind.__name__}")
    return found


def text_of(value: Value) -> str:
    """A value as it stands in a sentence."""
    match value:
        case str() | int():
            return str(value)
        case Quantity():
            return write_quantity(value.value, value.unit, _DIGITS)
        case Ladder():
            return write_circuit(value, "; ", named=True)
    return echo(value)


def texts(values: Values) -> tuple[tuple[str, str], ...]:
    """All values as they stand in sentences."""
    return tuple((key, text_of(value)) for key, value in values)
