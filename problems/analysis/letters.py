"""Ladder → H(s) and its figures as formulas in the circuit's own element names.

The walk of ``transfer.divide`` is run over polynomials in s and one letter for each element;
common factors are cancelled, so the letters are *generic*: a pole that cancels only for
special values is still there.  All letters are positive, so squares leave a root as they are.

Conventions are those of ``response``: ω0 = √(a0/a2) and Q = √(a0·a2)/a1 of the denominator
a2·s² + a1·s + a0, one pole a1·s + a0 at a0/a1; band-pass and notch of two poles a1/a2 wide.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from flint import fmpz_mpoly

from ..circuits.model import Arm, CircuitError, Element, Joint, Kind, Ladder, valueless
from ..formulas.layout import echo
from ..formulas.tokens import MAX_CHARACTERS, MAX_TOKENS
from ..formulas.tree import (
    Formula,
    Letter,
    Number,
    Product,
    Quotient,
    add,
    in_parallel,
    multiply,
)
from .letters_algebra import ONE, Algebra, Bounded
from .response import facts
from .transfer import divide, transfer_function

TWO_PI = Product((Number(Fraction(2)), Letter("pi")))
_TOKEN = re.compile(r"\w+|[^\w\s]")


@dataclass(frozen=True)
class LetterTransfer:
    """H(s) in letters, cancelled.

    ``numerator`` and ``denominator`` are the coefficients of descending powers of s as
    formula texts ("0" for a missing power), ``top`` and ``bottom`` the same as formulas;
    ``text`` is the whole H(s), cleared of fractions within fractions.
    """

    numerator: tuple[str, ...]
    denominator: tuple[str, ...]
    text: str
    formula: Formula
    top: tuple[Formula, ...]
    bottom: tuple[Formula, ...]


@dataclass(frozen=True)
class Formulas:
    """Figures of a circuit as formula texts in its own letters.

    ``None`` where the figure does not exist for this circuit, or has no closed form worth
    reading.  ``gain`` is that of the pass band.  ``cancelled`` tells that the circuit's
    values make a pole cancel which the letters keep: every figure is then ``None``.
    """

    transfer: str | None
    corner_rad: str | None = None
    corner_hz: str | None = None
    q: str | None = None
    bandwidth_hz: str | None = None
    gain: str | None = None
    gain_low: str | None = None
    gain_high: str | None = None
    order: int = 0
    cancelled: bool = False


@dataclass(frozen=True)
class Solved:
    """H(s) in letters as cancelled polynomials, before it is written.

    ``top`` and ``bottom`` are the coefficients of descending powers of s.
    """

    algebra: Algebra
    fraction: tuple[fmpz_mpoly, fmpz_mpoly]
    top: tuple[fmpz_mpoly, ...]
    bottom: tuple[fmpz_mpoly, ...]


def solve(ladder: Ladder) -> Solved:
    """H(s) in letters.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    return _solved(valueless(ladder))


# The caches are keyed by the circuit without values: the generator asks for thousands of
# circuits of few shapes.
@lru_cache(maxsize=1024)
def _solved(ladder: Ladder) -> Solved:
    algebra = Algebra(tuple(ladder.elements()))
    above, below = divide(ladder, algebra.impedance, Bounded(algebra.zero), Bounded(algebra.one))
    if above.p.is_zero() or below.p.is_zero():
        raise CircuitError("circuit.passes-nothing")
    top, bottom = algebra.cancelled(above.p, below.p)
    return Solved(algebra, (top, bottom), algebra.coefficients(top), algebra.coefficients(bottom))


def impedance(arm: Arm) -> Formula:
    """An arm's impedance as it is first written: sums, ∥, s·L and 1/(s·C)."""
    if isinstance(arm, Element):
        name = Letter(arm.name)
        match arm.kind:
            case Kind.R:
                return name
            case Kind.L:
                return multiply(Letter("s"), name)
            case Kind.C:
                return Quotient(ONE, multiply(Letter("s"), name))
    combine = add if arm.joint is Joint.SERIES else in_parallel
    out = impedance(arm.parts[0])
    for part in arm.parts[1:]:
        out = combine(out, impedance(part))
    return out


def letter_transfer(ladder: Ladder) -> LetterTransfer:
    """H(s) with letters.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    return _transfer(valueless(ladder))


@lru_cache(maxsize=1024)
def _transfer(ladder: Ladder) -> LetterTransfer:
    solved = _solved(ladder)
    algebra = solved.algebra
    formula = algebra.fraction(*solved.fraction)
    top, bottom = (
        tuple(_coefficient(algebra, c) for c in part) for part in (solved.top, solved.bottom)
    )
    return LetterTransfer(
        tuple(echo(c, ascii=True) for c in top),
        tuple(echo(c, ascii=True) for c in bottom),
        echo(formula, ascii=True),
        formula,
        top,
        bottom,
    )


def _coefficient(algebra: Algebra, c: fmpz_mpoly) -> Formula:
    return Number(Fraction(0)) if c.is_zero() else algebra.product(algebra.factors(c))


def _readable(text: str) -> str | None:
    """The text unless our own reader would refuse its length."""
    short = len(text) <= MAX_CHARACTERS and len(_TOKEN.findall(text)) <= MAX_TOKENS
    return text if short else None


def formulas(ladder: Ladder) -> Formulas:
    """Every figure of the circuit that has a formula, in the circuit's own names.

    An altered circuit (its load taken away, say) has its own: call this on the altered ladder.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    found = _texts(valueless(ladder))
    if ladder.valued and transfer_function(ladder).order != found.order:
        return Formulas(found.transfer, order=found.order, cancelled=True)
    if ladder.valued and found.gain is not None:
        known = facts(ladder)
        if known.type is not known.type_exact:
            # These values put the pass band elsewhere than letters can tell.
            return replace(found, gain=None, bandwidth_hz=None)
    return found


@lru_cache(maxsize=1024)
def _texts(ladder: Ladder) -> Formulas:
    texts = {k: _readable(echo(f, ascii=True)) for k, f in _figures(ladder).items()}
    get = texts.get
    return Formulas(
        _readable(_transfer(ladder).text),
        corner_rad=get("corner_rad"),
        corner_hz=get("corner_hz"),
        q=get("q"),
        bandwidth_hz=get("bandwidth_hz"),
        gain=get("gain"),
        gain_low=get("gain_low"),
        gain_high=get("gain_high"),
        order=len(_solved(ladder).bottom) - 1,
    )


def figures(ladder: Ladder) -> dict[str, Formula]:
    """The figures of ``Formulas`` as trees, those that exist.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    return dict(_figures(valueless(ladder)))


@lru_cache(maxsize=1024)
def _figures(ladder: Ladder) -> dict[str, Formula]:
    solved = _solved(ladder)
    algebra, top, bottom = solved.algebra, solved.top, solved.bottom
    order, zeros = len(bottom) - 1, len(top) - 1
    found: dict[str, Formula] = {}
    merge = algebra.merge
    low, high = top[-1], top[0] if zeros == order else algebra.zero
    found["gain_low"] = _gain(algebra, low, bottom[-1])
    found["gain_high"] = _gain(algebra, high, bottom[0])
    if order == 0 or (high.is_zero() and not low.is_zero()):
        found["gain"] = found["gain_low"]
    elif low.is_zero() and not high.is_zero():
        found["gain"] = found["gain_high"]
    if order == 1:
        a1, a0 = (algebra.factors(c) for c in bottom)
        corner = merge((a0, 1), (a1, -1))
        found["corner_rad"] = algebra.ratio(corner)
        found["corner_hz"] = algebra.ratio(corner, TWO_PI)
        if high.is_zero():
            found["bandwidth_hz"] = found["corner_hz"]
    elif order == 2:
        a2, a0 = algebra.factors(bottom[0]), algebra.factors(bottom[2])
        squared = merge((a0, 1), (a2, -1))
        found["corner_rad"] = algebra.root(squared)
        found["corner_hz"] = algebra.root(squared, TWO_PI)
        if not bottom[1].is_zero():
            a1 = algebra.factors(bottom[1])
            found["q"] = algebra.root(merge((a0, 1), (a2, 1), (a1, -2)))
            band_pass = low.is_zero() and high.is_zero()
            notch = zeros == 2 and not low.is_zero() and top[1].is_zero()
            if notch and found["gain_low"] == found["gain_high"]:
                found["gain"] = found["gain_low"]
            if band_pass:
                found["gain"] = _gain(algebra, top[0], bottom[1])
            if band_pass or (notch and "gain" in found):
                found["bandwidth_hz"] = algebra.ratio(merge((a1, 1), (a2, -1)), TWO_PI)
    return found


def _gain(algebra: Algebra, top: fmpz_mpoly, bottom: fmpz_mpoly) -> Formula:
    if top.is_zero():
        return Number(Fraction(0))
    return algebra.ratio(algebra.merge((algebra.factors(top), 1), (algebra.factors(bottom), -1)))
