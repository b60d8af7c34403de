"""Ladder → exact rational transfer function H(s) = Vout/Vsource.

The walk starts at the output with V = 1 and goes back to the source, Kirchhoff's laws
in polynomials only (no division, so no rational-function arithmetic is needed):

* load:          I ← 1/RL
* series n/d:    V ← V·d + n·I,  I ← I·d        (all scaled by d)
* shunt  n/d:    I ← I·n + d·V,  V ← V·n        (all scaled by n)

so that H = (product of the scalings)/V at the source, common factors cancelled at the
end.  This is the chain (ABCD) matrix method for cascaded two-ports; see e.g. Valkenburg,
"Network Analysis", 3rd ed., ch. 11 (citation from memory), common practice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol, TypeVar

from flint import fmpq, fmpq_poly

from ..circuits.model import Arm, CircuitError, Element, Joint, Kind, Ladder, Place, Stage


class PolynomialRing(Protocol):
    """What the walk needs of a polynomial: sums and products (int, flint or sympy)."""

    def __add__(self: P, other: P, /) -> P: ...

    def __mul__(self: P, other: P, /) -> P: ...


P = TypeVar("P", bound=PolynomialRing)
Impedance = Callable[[Element], tuple[P, P]]
"""Element → (numerator, denominator) of its impedance, as polynomials in s."""


def arm_impedance(arm: Arm, impedance: Impedance[P]) -> tuple[P, P]:
    """Impedance of ``arm`` as a fraction n/d of polynomials, not cancelled.

    ``impedance`` gives that of one element, likewise.
    """
    if isinstance(arm, Element):
        return impedance(arm)
    n, d = arm_impedance(arm.parts[0], impedance)
    for part in arm.parts[1:]:
        n2, d2 = arm_impedance(part, impedance)
        if arm.joint is Joint.SERIES:
            n, d = n * d2 + n2 * d, d * d2
        else:
            n, d = n * n2, n * d2 + n2 * d
    return n, d


def divide(ladder: Ladder, impedance: Impedance[P], zero: P, one: P) -> tuple[P, P]:
    """Numerator and denominator of H(s), not cancelled, over any ring of polynomials.

    Args:
        ladder: the circuit.
        impedance: element → its impedance as a fraction of the ring.
        zero: the ring's zero.
        one: the ring's one.
    """
    top, bottom = one, one
    section: list[Stage] = []
    first = True

    def close(load: Element | None) -> None:
        nonlocal top, bottom, first
        scale, v, i = one, one, zero
        if load is not None:
            n, d = impedance(load)
            scale, v, i = n, n, d
        for stage in reversed(section):
            assert stage.arm is not None
            n, d = arm_impedance(stage.arm, impedance)
            if stage.place is Place.SERIES:
                scale, v, i = scale * d, v * d + n * i, i * d
            else:
                scale, v, i = scale * n, v * n, i * n + d * v
        if first and ladder.source is not None:
            n, d = impedance(ladder.source)
            scale, v = scale * d, v * d + n * i
        first = False
        top, bottom = top * scale, bottom * v

    for stage in ladder.stages:
        if stage.place is Place.BUFFER:
            close(None)
            section = []
        else:
            section.append(stage)
    close(ladder.load)
    return top, bottom


@dataclass(frozen=True, slots=True)
class TransferFunction:
    """H(s) in lowest terms; coefficients in descending powers of s, denominator monic.

    Units: the k-th coefficient of the denominator from the left is in (rad/s)^k.
    """

    numerator: tuple[Fraction, ...]
    denominator: tuple[Fraction, ...]

    @property
    def order(self) -> int:
        """Degree of the denominator: the number of poles."""
        return len(self.denominator) - 1

    @property
    def zero_count(self) -> int:
        """Degree of the numerator: the number of finite zeros."""
        return len(self.numerator) - 1

    @property
    def zeros_at_origin(self) -> int:
        """Multiplicity of the zero at s = 0."""
        count = 0
        while self.numerator[-1 - count] == 0:
            count += 1
        return count

    def __call__(self, s: complex) -> complex:
        """H at one complex frequency in rad/s, in floating point (for plots).

        Raises:
            ZeroDivisionError: s is a pole.
        """
        top: complex = 0
        for c in self.numerator:
            top = top * s + float(c)
        bottom: complex = 0
        for c in self.denominator:
            bottom = bottom * s + float(c)
        return top / bottom

    @classmethod
    def of(cls, top: fmpq_poly, bottom: fmpq_poly) -> TransferFunction:
        """``top``/``bottom`` with the common factor cancelled and the denominator made monic.

        Raises:
            CircuitError: either polynomial is zero.
        """
        if top.is_zero() or bottom.is_zero():
            raise CircuitError("circuit.passes-nothing")
        common = top.gcd(bottom)
        top, bottom = top // common, bottom // common
        lead = bottom[bottom.degree()]
        return cls(_descending(top / lead), _descending(bottom / lead))


def to_flint(value: Fraction) -> fmpq:
    """Fraction → flint rational (flint refuses Fraction)."""
    return fmpq(value.numerator, value.denominator)


def polynomial(descending: tuple[Fraction, ...]) -> fmpq_poly:
    """Descending coefficients → flint polynomial."""
    return fmpq_poly([to_flint(c) for c in reversed(descending)])


def _descending(p: fmpq_poly) -> tuple[Fraction, ...]:
    return tuple(Fraction(int(c.p), int(c.q)) for c in reversed(p.coeffs()))


_ONE = fmpq_poly([1])
_ZERO = fmpq_poly([0])


def element_impedance(element: Element) -> tuple[fmpq_poly, fmpq_poly]:
    """Impedance of a valued element: R, sL or 1/(sC), as (numerator, denominator).

    Raises:
        CircuitError: the element has no value.
    """
    if element.value is None:
        raise CircuitError("circuit.no-value", name=element.name)
    value = to_flint(element.value)
    match element.kind:
        case Kind.R:
            return fmpq_poly([value]), _ONE
        case Kind.L:
            return fmpq_poly([0, value]), _ONE
        case Kind.C:
            return _ONE, fmpq_poly([0, value])


def transfer_function(ladder: Ladder) -> TransferFunction:
    """Exact H(s) of a valued ladder.

    Raises:
        CircuitError: an element has no value.
    """
    return TransferFunction.of(*divide(ladder, element_impedance, _ZERO, _ONE))
