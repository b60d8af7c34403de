"""Ladder → H(s) and its figures as formulas in the circuit's own element names.

The walk of ``transfer.divide`` is run over polynomials in s and one letter for each element;
common factors are cancelled, so the letters are *generic*: a pole that cancels only for
special values is still there.  All letters are positive, so squares leave a root as they are.

Conventions are those of ``response``: ω0 = √(a0/a2) and Q = √(a0·a2)/a1 of the denominator
a2·s² + a1·s + a0, one pole a1·s + a0 at a0/a1; band-pass and notch of two poles a1/a2 wide.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from flint import Ordering, fmpz, fmpz_mpoly, fmpz_mpoly_ctx

from .circuit import CircuitError, Element, Kind, Ladder
from .formula_layout import echo
from .formula_read import MAX_CHARACTERS, MAX_TOKENS
from .formula_tree import (
    Formula,
    Letter,
    Number,
    Power,
    Product,
    Quotient,
    Root,
    add,
    multiply,
)
from .transfer import divide, transfer_function

MAX_TERMS = 1_500
_ONE = Number(Fraction(1))
_TWO_PI = Product((Number(Fraction(2)), Letter("pi")))
_TOKEN = re.compile(r"\w+|[^\w\s]")
_KIND_ORDER = {Kind.L: 0, Kind.C: 1, Kind.R: 2}


class SymbolicTooLargeError(CircuitError):
    """The formula would have too many terms to be worked out, let alone read."""


class _Term:
    """A polynomial that refuses to grow without bound."""

    __slots__ = ("p",)

    def __init__(self, p: fmpz_mpoly) -> None:
        self.p = p

    def __add__(self, other: _Term) -> _Term:
        return _Term(self.p + other.p)

    def __mul__(self, other: _Term) -> _Term:
        if len(self.p) * len(other.p) > 4 * MAX_TERMS:
            raise SymbolicTooLargeError(
                "the circuit is too large for a formula in letters: "
                f"it would have more than {MAX_TERMS} terms"
            )
        return _Term(self.p * other.p)


_Factors = list[tuple[fmpz_mpoly, int]]


class _Algebra:
    """Polynomials in s and the element names, and how they are written."""

    def __init__(self, elements: Sequence[Element]) -> None:
        self.elements = elements
        names = ("s", *(f"x{i}" for i in range(len(elements))))
        self.ctx = fmpz_mpoly_ctx.get(names, Ordering.degrevlex)
        self.s, *letters = self.ctx.gens()
        self.letter = dict(zip((e.name for e in elements), letters, strict=True))
        self.one = self.ctx.constant(1)
        self.zero = self.ctx.constant(0)

    def impedance(self, element: Element) -> tuple[_Term, _Term]:
        x = self.letter[element.name]
        match element.kind:
            case Kind.R:
                return _Term(x), _Term(self.one)
            case Kind.L:
                return _Term(x * self.s), _Term(self.one)
            case Kind.C:
                return _Term(self.one), _Term(x * self.s)

    def coefficients(self, p: fmpz_mpoly) -> tuple[fmpz_mpoly, ...]:
        """Coefficients of descending powers of s."""
        parts: list[dict[tuple[int, ...], fmpz]] = [{} for _ in range(p.degrees()[0] + 1)]
        for exponents, c in p.to_dict().items():
            parts[-1 - exponents[0]][(0, *exponents[1:])] = c
        return tuple(self.ctx.from_dict(part) for part in parts)

    def factors(self, p: fmpz_mpoly) -> _Factors:
        """Irreducible factors with positive terms; a whole factor comes as a constant."""
        if len(p) == 1:
            ((exponents, c),) = p.to_dict().items()
            found = [(g, int(e)) for g, e in zip(self.ctx.gens(), exponents, strict=True) if e]
            return found if c == 1 else [(self.ctx.constant(c), 1), *found]
        unit, factored = p.factor()
        found = [(-f if f.leading_coefficient() < 0 else f, int(e)) for f, e in factored]
        return found if abs(unit) == 1 else [(self.ctx.constant(abs(unit)), 1), *found]

    @staticmethod
    def merge(*groups: tuple[_Factors, int]) -> _Factors:
        """The product of factor lists, each raised to a power, cancelled."""
        out: _Factors = []
        for factors, power in groups:
            for f, e in factors:
                for i, (g, n) in enumerate(out):
                    if f == g:
                        out[i] = (g, n + e * power)
                        break
                else:
                    out.append((f, e * power))
        return [(f, e) for f, e in out if e]

    # --- writing ------------------------------------------------------------------

    def monomial(self, exponents: tuple[int, ...], c: fmpz) -> Formula:
        """Textbook order: L·C·R, but R·C where there is no inductance; s last."""
        used = [(e, n) for e, n in zip(self.elements, exponents[1:], strict=True) if n]
        has_l = any(e.kind is Kind.L for e, _ in used)
        used.sort(key=lambda x: _KIND_ORDER[x[0].kind] if has_l else x[0].kind is Kind.C)
        parts: list[Formula] = [] if c == 1 else [Number(Fraction(int(c)))]
        parts += [raised(Letter(e.name), n) for e, n in used]
        if exponents[0]:
            parts.append(raised(Letter("s"), exponents[0]))
        return product(parts)

    def polynomial(self, p: fmpz_mpoly) -> Formula:
        """Expanded, highest power of s first, then in the order of the circuit."""
        terms = sorted(
            p.to_dict().items(), key=lambda t: (-t[0][0], -sum(t[0]), tuple(-n for n in t[0]))
        )
        out = self.monomial(*terms[0])
        for exponents, c in terms[1:]:
            out = add(out, self.monomial(exponents, c))
        return out

    def product(self, factors: _Factors) -> Formula:
        """Single letters first, in textbook order, then the sums."""
        single = self.one
        sums: list[Formula] = []
        for f, e in factors:
            if len(f) == 1:
                single = single * f**e
            else:
                sums.append(raised(self.polynomial(f), e))
        front = [] if single.is_one() else [self.monomial(*next(iter(single.to_dict().items())))]
        return product([*front, *sums])

    def ratio(self, factors: _Factors, extra: Formula | None = None) -> Formula:
        """Product of powers as one fraction; ``extra`` is one more factor below."""
        top = self.product([(f, e) for f, e in factors if e > 0])
        below = [(f, -e) for f, e in factors if e < 0]
        return quotient(top, extra, self.product(below) if below else None)

    def root(self, squared: _Factors, extra: Formula | None = None) -> Formula:
        """√ of a product of powers, squares taken out, as one fraction."""
        outside = [(f, int(e / 2)) for f, e in squared if abs(e) > 1]
        inside = [(f, 1 if e > 0 else -1) for f, e in squared if e % 2]
        above = [(f, e) for f, e in outside if e > 0]
        below = [(f, -e) for f, e in outside if e < 0]
        bottom = self.product(below) if below else None
        top = self.product(above) if above else None
        if not inside:
            return quotient(top or _ONE, extra, bottom)
        if all(e < 0 for _, e in inside):  # 1/√x reads better than √(1/x)
            under = Root(self.product([(f, -e) for f, e in inside]))
            return quotient(top or _ONE, extra, bottom, under)
        rooted = Root(self.ratio(inside))
        return quotient(multiply(top, rooted) if top else rooted, extra, bottom)


def raised(base: Formula, n: int) -> Formula:
    """base^n, plain for n = 1."""
    return base if n == 1 else Power(base, n)


def product(parts: Sequence[Formula]) -> Formula:
    """The product of any number of parts; 1 for none."""
    if not parts:
        return _ONE
    out = parts[0]
    for part in parts[1:]:
        out = multiply(out, part)
    return out


def quotient(top: Formula, *below: Formula | None) -> Formula:
    """The fraction of top over the product of what is there below."""
    bottom = product([b for b in below if b is not None and b != _ONE])
    return top if bottom == _ONE else Quotient(top, bottom)


@dataclass(frozen=True)
class LetterTransfer:
    """H(s) in letters, cancelled.

    ``numerator`` and ``denominator`` are the coefficients of descending powers of s as
    formula texts ("0" for a missing power), ``text`` is the whole H(s), cleared of
    fractions within fractions.
    """

    numerator: tuple[str, ...]
    denominator: tuple[str, ...]
    text: str
    formula: Formula


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
class _Solved:
    """H(s) in letters as polynomials, before it is written."""

    algebra: _Algebra
    top: tuple[fmpz_mpoly, ...]
    bottom: tuple[fmpz_mpoly, ...]


@lru_cache(maxsize=512)
def _solve(ladder: Ladder) -> _Solved:
    algebra = _Algebra(tuple(ladder.elements()))
    bounded = divide(ladder, algebra.impedance, _Term(algebra.zero), _Term(algebra.one))
    top, bottom = bounded[0].p, bounded[1].p
    if top.is_zero() or bottom.is_zero():
        raise CircuitError("the circuit has no transfer function: it passes nothing at all")
    common = top.gcd(bottom)
    top, bottom = top // common, bottom // common
    if bottom.leading_coefficient() < 0:
        top, bottom = -top, -bottom
    return _Solved(algebra, algebra.coefficients(top), algebra.coefficients(bottom))


def _powers(algebra: _Algebra, coefficients: Sequence[fmpz_mpoly]) -> Formula:
    """A polynomial in s with factored coefficients."""
    out: Formula | None = None
    degree = len(coefficients) - 1
    for i, c in enumerate(coefficients):
        if c.is_zero():
            continue
        parts = [] if c.is_one() and i < degree else [algebra.product(algebra.factors(c))]
        if i < degree:
            parts.append(raised(Letter("s"), degree - i))
        term = product(parts)
        out = term if out is None else add(out, term)
    assert out is not None
    return out


@lru_cache(maxsize=512)
def letter_transfer(ladder: Ladder) -> LetterTransfer:
    """H(s) with letters.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    solved = _solve(ladder)
    algebra = solved.algebra
    common = solved.top[0]
    for c in solved.top[1:]:
        if not c.is_zero():
            common = common.gcd(c)
    factors = algebra.factors(common)
    rest = tuple(c // common for c in solved.top)
    powers = _powers(algebra, rest)
    top = powers if common.is_one() else product([algebra.product(factors), powers])
    if powers == _ONE:
        top = algebra.product(factors)
    formula = quotient(top, _powers(algebra, solved.bottom))
    return LetterTransfer(
        tuple(_coefficient(algebra, c) for c in solved.top),
        tuple(_coefficient(algebra, c) for c in solved.bottom),
        echo(formula, ascii=True),
        formula,
    )


def _coefficient(algebra: _Algebra, c: fmpz_mpoly) -> str:
    return "0" if c.is_zero() else echo(algebra.product(algebra.factors(c)), ascii=True)


def _readable(text: str) -> str | None:
    """The text unless our own reader would refuse its length."""
    short = len(text) <= MAX_CHARACTERS and len(_TOKEN.findall(text)) <= MAX_TOKENS
    return text if short else None


@lru_cache(maxsize=512)
def formulas(ladder: Ladder) -> Formulas:
    """Every figure of the circuit that has a formula, in the circuit's own names.

    An altered circuit (its load taken away, say) has its own: call this on the altered ladder.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    solved = _solve(ladder)
    order = len(solved.bottom) - 1
    transfer = _readable(letter_transfer(ladder).text)
    if ladder.valued and transfer_function(ladder).order != order:
        return Formulas(transfer, order=order, cancelled=True)
    texts = {k: _readable(echo(f, ascii=True)) for k, f in figures(ladder).items()}
    return replace(Formulas(transfer, order=order), **texts)


def figures(ladder: Ladder) -> dict[str, Formula]:
    """The figures of ``Formulas`` as trees, those that exist.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    solved = _solve(ladder)
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
        found["corner_hz"] = algebra.ratio(corner, _TWO_PI)
        if high.is_zero():
            found["bandwidth_hz"] = found["corner_hz"]
    elif order == 2:
        a2, a0 = algebra.factors(bottom[0]), algebra.factors(bottom[2])
        squared = merge((a0, 1), (a2, -1))
        found["corner_rad"] = algebra.root(squared)
        found["corner_hz"] = algebra.root(squared, _TWO_PI)
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
                found["bandwidth_hz"] = algebra.ratio(merge((a1, 1), (a2, -1)), _TWO_PI)
    return found


def _gain(algebra: _Algebra, top: fmpz_mpoly, bottom: fmpz_mpoly) -> Formula:
    if top.is_zero():
        return Number(Fraction(0))
    return algebra.ratio(algebra.merge((algebra.factors(top), 1), (algebra.factors(bottom), -1)))
