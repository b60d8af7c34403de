"""Polynomials in s and the element names: their arithmetic, and how they are written.

Textbook habits: highest power of s first; within a term L·C·R, but R·C where there is no
inductance; common letters in front of a bracket; no square left under a root.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from flint import Ordering, fmpz, fmpz_mpoly, fmpz_mpoly_ctx

from ..circuits.model import Arm, CircuitError, Element, Kind
from ..formulas.tree import Formula, Letter, Number, Power, Quotient, SquareRoot, add, multiply
from .transfer import arm_impedance

MAX_TERMS = 600
ONE = Number(Fraction(1))
_KIND_ORDER = {Kind.L: 0, Kind.C: 1, Kind.R: 2}


class SymbolicTooLargeError(CircuitError):
    """The formula would have too many terms to be worked out, let alone read."""


class Bounded:
    """A polynomial that refuses to grow without bound."""

    __slots__ = ("p",)

    def __init__(self, p: fmpz_mpoly) -> None:
        self.p = p

    def __add__(self, other: Bounded) -> Bounded:
        return Bounded(self.p + other.p)

    def __mul__(self, other: Bounded) -> Bounded:
        if len(self.p) * len(other.p) > MAX_TERMS:
            raise SymbolicTooLargeError("circuit.many-terms", most=MAX_TERMS)
        return Bounded(self.p * other.p)


Factors = list[tuple[fmpz_mpoly, int]]


class Algebra:
    """Polynomials in s and the element names, and how they are written."""

    def __init__(self, elements: Sequence[Element]) -> None:
        self.elements = elements
        names = ("s", *(f"x{i}" for i in range(len(elements))))
        self.ctx = fmpz_mpoly_ctx.get(names, Ordering.degrevlex)
        self.s, *letters = self.ctx.gens()
        self.letter = dict(zip((e.name for e in elements), letters, strict=True))
        self.one = self.ctx.constant(1)
        self.zero = self.ctx.constant(0)

    def impedance(self, element: Element) -> tuple[Bounded, Bounded]:
        """R, s·L or 1/(s·C), as (numerator, denominator)."""
        x = self.letter[element.name]
        match element.kind:
            case Kind.R:
                return Bounded(x), Bounded(self.one)
            case Kind.L:
                return Bounded(x * self.s), Bounded(self.one)
            case Kind.C:
                return Bounded(self.one), Bounded(x * self.s)

    def coefficients(self, p: fmpz_mpoly) -> tuple[fmpz_mpoly, ...]:
        """Coefficients of descending powers of s."""
        parts: list[dict[tuple[int, ...], fmpz]] = [{} for _ in range(p.degrees()[0] + 1)]
        for exponents, c in p.to_dict().items():
            parts[-1 - exponents[0]][(0, *exponents[1:])] = c
        return tuple(self.ctx.from_dict(part) for part in parts)

    def factors(self, p: fmpz_mpoly) -> Factors:
        """Irreducible factors with positive terms; a whole factor comes as a constant."""
        if len(p) == 1:
            ((exponents, c),) = p.to_dict().items()
            found = [(g, int(e)) for g, e in zip(self.ctx.gens(), exponents, strict=True) if e]
            return found if c == 1 else [(self.ctx.constant(c), 1), *found]
        unit, factored = p.factor()
        found = [(-f if f.leading_coefficient() < 0 else f, int(e)) for f, e in factored]
        return found if abs(unit) == 1 else [(self.ctx.constant(abs(unit)), 1), *found]

    @staticmethod
    def merge(*groups: tuple[Factors, int]) -> Factors:
        """The product of factor lists, each raised to a power, cancelled."""
        out: Factors = []
        for factors, power in groups:
            for f, e in factors:
                for i, (g, n) in enumerate(out):
                    if f == g:
                        out[i] = (g, n + e * power)
                        break
                else:
                    out.append((f, e * power))
        return [(f, e) for f, e in out if e]

    def powers(self, coefficients: Sequence[fmpz_mpoly]) -> Formula:
        """A polynomial in s with factored coefficients."""
        out: Formula | None = None
        degree = len(coefficients) - 1
        for i, c in enumerate(coefficients):
            if c.is_zero():
                continue
            parts = [] if c.is_one() and i < degree else [self.product(self.factors(c))]
            if i < degree:
                parts.append(raised(Letter("s"), degree - i))
            term = product(parts)
            out = term if out is None else add(out, term)
        assert out is not None
        return out

    def fraction(self, top: fmpz_mpoly, bottom: fmpz_mpoly) -> Formula:
        """``top``/``bottom`` by powers of s, the letters common to the whole top in front of it."""
        above = self.coefficients(top)
        common = above[0]
        for c in above[1:]:
            if not c.is_zero():
                common = common.gcd(c)
        rest = self.powers([c // common for c in above])
        front = self.product(self.factors(common))
        over = rest if common.is_one() else front if rest == ONE else product([front, rest])
        return quotient(over, self.powers(self.coefficients(bottom)))

    def cancelled(self, top: fmpz_mpoly, bottom: fmpz_mpoly) -> tuple[fmpz_mpoly, fmpz_mpoly]:
        """The fraction ``top``/``bottom`` without common factors.

        Impedances have positive terms only, and flint's gcd a positive leading one, so the
        signs need no care.
        """
        common = top.gcd(bottom)
        return top // common, bottom // common

    def arm(self, arm: Arm) -> tuple[fmpz_mpoly, fmpz_mpoly]:
        """The impedance of an arm, cancelled."""
        n, d = arm_impedance(arm, self.impedance)
        return self.cancelled(n.p, d.p)

    # --- writing ------------------------------------------------------------------

    def monomial(self, exponents: tuple[int, ...], c: fmpz) -> Formula:
        """``c`` times the letters to their ``exponents``, those of s first.

        Textbook order: L·C·R, but R·C where there is no inductance; s last.
        """
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

    def product(self, factors: Factors) -> Formula:
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

    def ratio(self, factors: Factors, extra: Formula | None = None) -> Formula:
        """Product of the powers ``factors`` as one fraction; ``extra`` is one more factor below."""
        top = self.product([(f, e) for f, e in factors if e > 0])
        below = [(f, -e) for f, e in factors if e < 0]
        return quotient(top, extra, self.product(below) if below else None)

    def root(self, squared: Factors, extra: Formula | None = None) -> Formula:
        """√ of the product of powers ``squared``, squares taken out, as one fraction.

        ``extra`` is one more factor below, outside the root.
        """
        outside = [(f, int(e / 2)) for f, e in squared if abs(e) > 1]
        inside = [(f, 1 if e > 0 else -1) for f, e in squared if e % 2]
        above = [(f, e) for f, e in outside if e > 0]
        below = [(f, -e) for f, e in outside if e < 0]
        bottom = self.product(below) if below else None
        top = self.product(above) if above else None
        if not inside:
            return quotient(top or ONE, extra, bottom)
        if all(e < 0 for _, e in inside):  # 1/√x reads better than √(1/x)
            under = SquareRoot(self.product([(f, -e) for f, e in inside]))
            return quotient(top or ONE, extra, bottom, under)
        rooted = SquareRoot(self.ratio(inside))
        return quotient(multiply(top, rooted) if top else rooted, extra, bottom)


def raised(base: Formula, n: int) -> Formula:
    """``base`` to the power ``n``, plain for n = 1."""
    return base if n == 1 else Power(base, n)


def product(parts: Sequence[Formula]) -> Formula:
    """The product of any number of parts; 1 for none."""
    if not parts:
        return ONE
    out = parts[0]
    for part in parts[1:]:
        out = multiply(out, part)
    return out


def quotient(top: Formula, *below: Formula | None) -> Formula:
    """The fraction of ``top`` over the product of what is there ``below``."""
    bottom = product([b for b in below if b is not None and b != ONE])
    return top if bottom == ONE else Quotient(top, bottom)
