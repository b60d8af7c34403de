"""What a formula measures: ohms, seconds and their powers, as far as its letters say.

It only decides between two ways to read a typed text: nothing is refused for its dimension alone.
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
    in_parallel,
    nodes,
)
from .work import Work

Dimension = tuple[Fraction, Fraction]
"""The powers of the ohm and of the second."""

_PURE_UP_TO = 16  # a larger number may be a value put in for a letter


def measure(ohm: int, second: int) -> Dimension:
    """What measures a power of the ``ohm`` times one of the ``second``."""
    return Fraction(ohm), Fraction(second)


_PURE = measure(0, 0)
_KINDS = {
    "R": measure(1, 0), "L": measure(1, 1), "C": measure(-1, 1),
    "X": measure(1, 0), "Z": measure(1, 0), "τ": measure(0, 1),
}  # fmt: skip
_NAMED = {
    "pi": _PURE, "j": _PURE, "Q": _PURE,
    "s": measure(0, -1), "ω": measure(0, -1), "B": measure(0, -1),
}  # fmt: skip


class Dimensions:
    """What the formulas of one text measure; each is looked at once, for they are built up."""

    def __init__(self, work: Work) -> None:
        self._work = work
        # Kept with the formula, so that its id stays its own.
        self._known: dict[int, tuple[Formula, Dimension | None]] = {}

    def agree(self, a: Formula, b: Formula) -> bool:
        """Whether ``a`` and ``b`` may be added: not where both are known to be of other kinds."""
        first, second = self.of(a), self.of(b)
        return first is None or second is None or first == second

    def in_parallel(self, left: Formula, right: Formula) -> Formula:
        """``left`` ∥ ``right``; a long row of bars is not looked through again at each bar."""
        made = in_parallel(left, right)
        first, second = self.of(left), self.of(right)
        self._known[id(made)] = made, first if first == second else None
        return made

    def makes_sense(self, formula: Formula, wanted: Dimension | None = None) -> bool:
        """Whether nothing in a formula is added to what is known to be of another kind.

        Args:
            formula: what was read.
            wanted: what all of it has to measure, where that can be told.
        """
        found = self.of(formula)
        if wanted is not None and found is not None and found != wanted:
            return False
        for node in nodes(formula):
            match node:
                case Sum(parts) | Parallel(parts):
                    if len({kind for part in parts if (kind := self.of(part)) is not None}) > 1:
                        return False
        return True

    def of(self, formula: Formula) -> Dimension | None:
        """What a formula measures; ``None`` where it can't be told, or makes no sense."""
        if id(formula) not in self._known:
            self._known[id(formula)] = formula, self._found(formula)
        return self._known[id(formula)][1]

    def _found(self, formula: Formula) -> Dimension | None:
        self._work.spend(3)
        match formula:
            case Number(value):
                return _PURE if value.denominator == 1 and value <= _PURE_UP_TO else None
            case Letter(name):
                hertz = measure(0, -1) if name[0] in "fωw" else None
                return _NAMED.get(name) or hertz or _KINDS.get(name[0])
            case Minus(x):
                return self.of(x)
            case SquareRoot(x):
                return _raised(self.of(x), Fraction(1, 2))
            case Power(base, n):
                return _raised(self.of(base), Fraction(n))
            case Quotient(top, bottom):
                return _times(self.of(top), _raised(self.of(bottom), Fraction(-1)))
            case Product(factors):
                self._work.spend(4 * len(factors))
                return reduce(_times, map(self.of, factors))
            case Sum(parts) | Parallel(parts):
                self._work.spend(len(parts))
                first = self.of(parts[0])
                return first if all(self.of(part) == first for part in parts) else None


def _raised(a: Dimension | None, power: Fraction) -> Dimension | None:
    return None if a is None else (a[0] * power, a[1] * power)


def _times(a: Dimension | None, b: Dimension | None) -> Dimension | None:
    return None if a is None or b is None else (a[0] + b[0], a[1] + b[1])
