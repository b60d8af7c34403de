"""What a formula measures: ohms, seconds and their powers, as far as its letters say.

It only decides between two ways to read a typed text: nothing is refused for its dimension.
"""

from __future__ import annotations

from fractions import Fraction
from functools import reduce

from .tree import (
    Formula,
    Letter,
    Minus,
    Number,
    Parallel,
    Power,
    Product,
    Quotient,
    SquareRoot,
    Sum,
)

Dimension = tuple[Fraction, Fraction]
"""The powers of the ohm and of the second."""

_PURE_UP_TO = 16  # a larger number may be a value put in for a letter


def _of(ohm: int, second: int) -> Dimension:
    return Fraction(ohm), Fraction(second)


_PURE = _of(0, 0)
_KINDS = {"R": _of(1, 0), "L": _of(1, 1), "C": _of(-1, 1)}
_NAMED = {
    "pi": _PURE, "j": _PURE, "Q": _PURE,
    "s": _of(0, -1), "ω": _of(0, -1), "B": _of(0, -1),
}  # fmt: skip


def agree(a: Formula, b: Formula) -> bool:
    """Whether two formulas may be added: not where both are known to measure other things."""
    first, second = dimension(a), dimension(b)
    return first is None or second is None or first == second


def dimension(formula: Formula) -> Dimension | None:
    """What a formula measures; ``None`` where it can't be told, or makes no sense."""
    match formula:
        case Number(value):
            return _PURE if value.denominator == 1 and value <= _PURE_UP_TO else None
        case Letter(name):
            return _NAMED.get(name) or (_of(0, -1) if name[0] in "fωw" else _KINDS.get(name[0]))
        case Minus(x):
            return dimension(x)
        case SquareRoot(x):
            return _raised(dimension(x), Fraction(1, 2))
        case Power(base, n):
            return _raised(dimension(base), Fraction(n))
        case Quotient(top, bottom):
            return _times(dimension(top), _raised(dimension(bottom), Fraction(-1)))
        case Product(factors):
            return reduce(_times, map(dimension, factors))
        case Sum(parts) | Parallel(parts):
            found = set(map(dimension, parts))
            return found.pop() if len(found) == 1 else None


def _raised(a: Dimension | None, power: Fraction) -> Dimension | None:
    return None if a is None else (a[0] * power, a[1] * power)


def _times(a: Dimension | None, b: Dimension | None) -> Dimension | None:
    return None if a is None or b is None else (a[0] + b[0], a[1] + b[1])
