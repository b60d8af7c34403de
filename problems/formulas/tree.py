"""What a formula is: a small frozen tree, its value in any arithmetic, its readers' one error."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from typing import Any, Generic, TypeAlias, TypeVar

from ..quantities.errors import WordedError
from .work import Work


class FormulaError(WordedError, ValueError):
    """A formula that cannot be read, or whose value does not exist.

    Attributes:
        position: 0-based column in the typed text; ``None`` when no single place is at fault.
    """

    def __init__(self, key: str, position: int | None = None, **values: object) -> None:
        super().__init__(key, **values)
        self.position = position


@dataclass(frozen=True, slots=True)
class Number:
    """A finite decimal, not negative (a minus sign is a ``Minus``)."""

    value: Fraction


@dataclass(frozen=True, slots=True)
class Letter:
    """An element's name, or one of ``s``, ``j``, ``pi``, ``ω`` and what the caller allows.

    In a worked line it is a quantity in the place of a name: ``1 kΩ``.
    """

    name: str


@dataclass(frozen=True, slots=True)
class Minus:
    """−x; inside a sum it is a term to subtract."""

    of: Formula


@dataclass(frozen=True, slots=True)
class Sum:
    """Two or more terms, never themselves sums."""

    terms: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class Product:
    """Two or more factors, never themselves products."""

    factors: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class Quotient:
    """top / bottom."""

    top: Formula
    bottom: Formula


@dataclass(frozen=True, slots=True)
class Power:
    """base to a whole exponent; a half is written with ``Root``."""

    base: Formula
    exponent: int


@dataclass(frozen=True, slots=True)
class SquareRoot:
    """The principal square root."""

    of: Formula


@dataclass(frozen=True, slots=True)
class Parallel:
    """a ∥ b = a·b/(a + b) of two or more parts, never themselves ``Parallel``."""

    parts: tuple[Formula, ...]


Formula: TypeAlias = (
    Number | Letter | Minus | Sum | Product | Quotient | Power | SquareRoot | Parallel
)


def add(left: Formula, right: Formula) -> Formula:
    """The sum ``left`` + ``right``, flat."""
    first = left.terms if isinstance(left, Sum) else (left,)
    second = right.terms if isinstance(right, Sum) else (right,)
    return Sum(first + second)


def multiply(left: Formula, right: Formula) -> Formula:
    """The product ``left`` · ``right``, flat."""
    first = left.factors if isinstance(left, Product) else (left,)
    second = right.factors if isinstance(right, Product) else (right,)
    return Product(first + second)


def in_parallel(left: Formula, right: Formula) -> Formula:
    """The parallel ``left`` ∥ ``right``, flat (the operation is associative)."""
    first = left.parts if isinstance(left, Parallel) else (left,)
    second = right.parts if isinstance(right, Parallel) else (right,)
    return Parallel(first + second)


def nodes(formula: Formula) -> Iterator[Formula]:
    """The formula and everything it is made of."""
    waiting = [formula]
    while waiting:
        node = waiting.pop()
        yield node
        match node:
            case Minus(x) | SquareRoot(x) | Power(x, _):
                waiting.append(x)
            case Quotient(top, bottom):
                waiting += (top, bottom)
            case Sum(parts) | Product(parts) | Parallel(parts):
                waiting += parts


def letters_of(formula: Formula) -> frozenset[str]:
    """The names of every letter used."""
    return frozenset(node.name for node in nodes(formula) if isinstance(node, Letter))


def substituted(formula: Formula, of_letter: Callable[[str], Formula]) -> Formula:
    """``formula`` with ``of_letter`` of its name in the place of each letter."""

    def each(parts: tuple[Formula, ...]) -> tuple[Formula, ...]:
        return tuple(substituted(part, of_letter) for part in parts)

    match formula:
        case Letter(name):
            return of_letter(name)
        case Minus(x):
            return Minus(substituted(x, of_letter))
        case SquareRoot(x):
            return SquareRoot(substituted(x, of_letter))
        case Power(base, exponent):
            return Power(substituted(base, of_letter), exponent)
        case Quotient(top, bottom):
            return Quotient(*each((top, bottom)))
        case Sum(parts):
            return Sum(each(parts))
        case Product(parts):
            return Product(each(parts))
        case Parallel(parts):
            return Parallel(each(parts))
    return formula


T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Arithmetic(Generic[T]):
    """What a formula is worked out with, in one sort of number; Python's own signs otherwise.

    ``power`` takes whole exponents of either sign.  Where there is ``work``, each step of the
    formula is counted on it.
    """

    number: Callable[[Fraction], T]
    letter: Callable[[str], T]
    root: Callable[[T], T]
    minus: Callable[[Any], T] = operator.neg
    plus: Callable[[T, T], T] = operator.add
    times: Callable[[T, T], T] = operator.mul
    over: Callable[[T, T], T] = operator.truediv
    power: Callable[[T, int], T] = operator.pow
    work: Work | None = None

    def value(self, formula: Formula) -> T:
        """The value of a formula.

        Raises:
            TooMuchWorkError: it asks for more work than is left; and what the arithmetic raises.
        """
        if self.work is not None:
            self.work.spend(3)
        match formula:
            case Number(x):
                return self.number(x)
            case Letter(name):
                return self.letter(name)
            case Minus(x):
                return self.minus(self.value(x))
            case SquareRoot(x):
                return self.root(self.value(x))
            case Power(base, exponent):
                return self.power(self.value(base), exponent)
            case Quotient(top, bottom):
                return self.over(self.value(top), self.value(bottom))
            case Sum(parts):
                return reduce(self.plus, map(self.value, parts))
            case Product(parts):
                return reduce(self.times, map(self.value, parts))
            case Parallel(parts):
                return reduce(self._parallel, map(self.value, parts))

    def _parallel(self, a: T, b: T) -> T:
        return self.over(self.times(a, b), self.plus(a, b))
