"""What a formula is: a small frozen tree, and the one error its readers raise."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias


class FormulaError(ValueError):
    """A formula that cannot be read, or whose value does not exist.

    Attributes:
        position: 0-based column in the typed text; ``None`` when no single place is at fault.
        found: what stands there, made safe to print.
        expected: what would have been understood.
    """

    def __init__(
        self, message: str, position: int | None = None, found: str = "", expected: str = ""
    ) -> None:
        super().__init__(message)
        self.position = position
        self.found = found
        self.expected = expected


@dataclass(frozen=True, slots=True)
class Number:
    """A finite decimal, not negative (a minus sign is a ``Minus``)."""

    value: Fraction


@dataclass(frozen=True, slots=True)
class Letter:
    """An element's name, or one of ``s``, ``j``, ``pi``, ``ω`` and what the caller allows."""

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


def renamed(formula: Formula, name_of: Callable[[str], str]) -> Formula:
    """The formula with its letters called otherwise.

    Args:
        formula: a formula.
        name_of: a letter's name → its new name.
    """

    def each(parts: tuple[Formula, ...]) -> tuple[Formula, ...]:
        return tuple(renamed(part, name_of) for part in parts)

    match formula:
        case Letter(name):
            return Letter(name_of(name))
        case Minus(x):
            return Minus(renamed(x, name_of))
        case SquareRoot(x):
            return SquareRoot(renamed(x, name_of))
        case Power(base, exponent):
            return Power(renamed(base, name_of), exponent)
        case Quotient(top, bottom):
            return Quotient(renamed(top, name_of), renamed(bottom, name_of))
        case Sum(parts):
            return Sum(each(parts))
        case Product(parts):
            return Product(each(parts))
        case Parallel(parts):
            return Parallel(each(parts))
    return formula


def letters_of(formula: Formula) -> frozenset[str]:
    """The names of every letter used."""
    match formula:
        case Number():
            return frozenset()
        case Letter(name):
            return frozenset((name,))
        case Minus(x) | SquareRoot(x) | Power(x, _):
            return letters_of(x)
        case Quotient(top, bottom):
            return letters_of(top) | letters_of(bottom)
        case Sum(parts) | Product(parts) | Parallel(parts):
            return frozenset[str]().union(*map(letters_of, parts))
