"""From a wanted corner frequency or Q back to the value of one element.

The coefficients of a ladder's H(s), its denominator made monic, are ratios of two linear
functions of any one element's value (every impedance enters a ladder's voltages bilinearly).
So a corner is reached by at most one value, unless the element does not enter into it at all; Q, a
ratio of such coefficients, may be reached by several, and their number is counted exactly.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from flint import fmpq, fmpq_mat, fmpq_poly

from ..algebra import positive_roots
from ..circuits.altered import scaled, with_value
from ..circuits.model import CircuitError, Element, Kind, Ladder
from .response import TWO_PI, facts
from .transfer import TransferFunction, to_flint, transfer_function

_STEPS = (Fraction(1), Fraction(2), Fraction(5), Fraction(1, 3))
"""Multiples of a value at which a coefficient is looked at: three fix it, one checks it."""


@dataclass(frozen=True)
class Dependence:
    """How a coefficient depends on an element's value x: top(x)/bottom(x), both linear."""

    top: fmpq_poly
    bottom: fmpq_poly

    @property
    def varies(self) -> bool:
        """Whether x enters into it at all."""
        t, b = self.top, self.bottom
        return bool(t[1] * b[0] != t[0] * b[1])


@lru_cache(maxsize=64)
def _varied(ladder: Ladder, name: str) -> tuple[TransferFunction, ...] | None:
    """H(s) at each multiple of an element's value; ``None`` where the number of poles changes.

    What is mistaken about a value asks for one course again and again.
    """
    start = value_of(ladder, name)
    try:
        found = tuple(transfer_function(with_value(ladder, name, start * n)) for n in _STEPS)
    except CircuitError:
        return None
    return found if len({transfer.order for transfer in found}) == 1 else None


def _course(
    ladder: Ladder, name: str, figure: Callable[[TransferFunction], Fraction]
) -> Dependence | None:
    """The course of a coefficient; ``None`` where it is not of that form."""
    varied = _varied(ladder, name)
    if varied is None:
        return None
    points = [(to_flint(n), to_flint(figure(t))) for n, t in zip(_STEPS, varied, strict=True)]
    # p + q·x = y·(r + s·x) at three points; x in multiples of the value the element has.
    rows = [[fmpq(1), x, -y, -y * x] for x, y in points[:3]]
    reduced, rank = fmpq_mat(rows).rref()
    if rank == 3:
        leads = [next(c for c in range(4) if reduced[row, c] != 0) for row in range(3)]
        free = next(c for c in range(4) if c not in leads)
        solution = [fmpq(int(c == free)) for c in range(4)]
        for row, lead in enumerate(leads):
            solution[lead] = -reduced[row, free]
    elif rank == 2:  # a constant
        solution = [points[0][1], fmpq(0), fmpq(1), fmpq(0)]
    else:
        return None
    course = Dependence(fmpq_poly(solution[:2]), fmpq_poly(solution[2:]))
    x, y = points[3]
    return course if course.top(x) == y * course.bottom(x) else None


def value_of(ladder: Ladder, name: str) -> Fraction:
    """The value of the element of ``ladder`` called ``name``, in SI base units.

    Raises:
        LookupError: there is no such element with a value.
    """
    for element in ladder.elements():
        if element.name == name and element.value is not None:
            return element.value
    raise LookupError(name)


def for_corner(ladder: Ladder, name: str, omega: float) -> float | None:
    """The one value of an element that puts the corner at ω; ``None`` without one.

    One pole: its magnitude; two: ω0.

    Args:
        ladder: the circuit, every element with a value.
        name: the element's; its present value does not count.
        omega: ω in rad/s.
    """
    order = facts(ladder).transfer.order
    if order not in (1, 2):
        return None
    course = _course(ladder, name, lambda t: t.denominator[-1])
    if course is None or not course.varies:
        return None
    wanted = omega**order
    p, q = float_of(course.top[0]), float_of(course.top[1])
    r, s = float_of(course.bottom[0]), float_of(course.bottom[1])
    below = wanted * s - q
    if not below:
        return None
    x = (p - wanted * r) / below
    return x * float(value_of(ladder, name)) if 0 < x < math.inf else None


def for_q(ladder: Ladder, name: str, q: Fraction) -> tuple[float, ...]:
    """Every value of the element of ``ladder`` called ``name`` that makes Q = ``q``, ascending."""
    if facts(ladder).transfer.order != 2:
        return ()
    square = _course(ladder, name, lambda t: t.denominator[2])
    damping = _course(ladder, name, lambda t: t.denominator[1])
    if square is None or damping is None:
        return ()
    # Q² = square/damping²; what makes a denominator vanish is no value of a part.
    wanted = to_flint(q * q)
    equation = square.top * damping.bottom**2 - wanted * damping.top**2 * square.bottom
    values: list[float] = []
    start = float(value_of(ladder, name))
    for root in positive_roots(equation):
        x = float(root.mid())
        if abs(float_of(damping.bottom(to_flint(Fraction(x))))) > 1e-9 * (
            abs(float_of(damping.bottom[0])) + abs(float_of(damping.bottom[1])) * x
        ):
            values.append(x * start)
    return tuple(values)


def float_of(x: fmpq) -> float:
    """An exact quotient as a float."""
    return int(x.p) / int(x.q)


@dataclass(frozen=True, slots=True)
class Pair:
    """One L and one C that resonate, damped by resistances alone: what f0 and Q are made of."""

    inductor: Element
    capacitor: Element
    resistance: Fraction
    series: bool

    def inductance(self, omega: float, q: float) -> float:
        """L in H for ω0 = ``omega`` (rad/s) and ``q``: Q·R/ω0 in series, R/(ω0·Q) parallel."""
        return float(self.resistance) * (q if self.series else 1 / q) / omega

    def capacitance(self, omega: float, q: float) -> float:
        """C in F for ω0 = ``omega`` (rad/s) and ``q``: 1/(ω0·Q·R) in series, Q/(ω0·R) parallel."""
        return (1 / q if self.series else q) / (omega * float(self.resistance))


@lru_cache(maxsize=64)
def pair_of(ladder: Ladder) -> Pair | None:
    """The pair, where ω0² = 1/(L·C) and Q is √(L/C)/R or R·√(C/L) whatever L and C.

    That Q depends on R alone beside √(L/C) is tried with other values of L and C, enough of them
    to fix the linear functions it could be made of.
    """
    here = pair_at(ladder)
    if here is None:
        return None
    for up in Fraction(1), Fraction(2), Fraction(5):
        for other in Fraction(1), Fraction(3), Fraction(7):
            turned = with_value(ladder, here.inductor.name, up * here.inductor.amount)
            turned = with_value(turned, here.capacitor.name, other * here.capacitor.amount)
            there = pair_at(turned)
            if there is None or (there.series, there.resistance) != (here.series, here.resistance):
                return None
    return here


def pair_at(ladder: Ladder) -> Pair | None:
    """The one L and the one C of a circuit, where all this holds at the values they have."""
    coils = [e for e in ladder.elements() if e.kind is Kind.L]
    capacitors = [e for e in ladder.elements() if e.kind is Kind.C]
    if len(coils) != 1 or len(capacitors) != 1:
        return None
    try:
        known = facts(ladder)
    except CircuitError:
        return None
    if known.transfer.order != 2:
        return None
    _, damping, square = known.transfer.denominator
    henries, farads = coils[0].amount, capacitors[0].amount
    if not damping or square * henries * farads != 1:
        return None
    # The damping term of a series resonator grows with R, that of a parallel one falls.
    doubled = facts(scaled(ladder, Kind.R, Fraction(2))).transfer.denominator[1]
    if doubled == 2 * damping:
        return Pair(coils[0], capacitors[0], damping * henries, True)
    if 2 * doubled == damping:
        return Pair(coils[0], capacitors[0], 1 / (damping * farads), False)
    return None


def omega_of(hertz: Fraction) -> float:
    """ω in rad/s."""
    return TWO_PI * float(hertz)
