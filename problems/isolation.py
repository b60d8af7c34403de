"""Positive real roots kept apart, by exact arithmetic alone, however near they lie.

The rule of Descartes with bisection (Collins and Akritas, "Polynomial real root isolation
using Descartes' rule of signs", 1976; citation from memory): the positive half-line up to a
bound is halved, and a polynomial is carried along for which the interval is (0, 1).  Of
(1 + t)^n·q(1/(1 + t)) the coefficients change sign as often as q has roots in (0, 1), or more
often by an even number: no change is no root, one change is one.

Complex roots cost nothing here, where an isolation of all roots takes seconds over pairs that
nearly meet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from flint import arb, fmpq, fmpq_poly, fmpz, fmpz_poly

_SHIFT = fmpz_poly([1, 1])


@dataclass(frozen=True, slots=True)
class LoneRoot:
    """The one root in the open interval (low, low + width): that of ``q`` in (0, 1), simple."""

    low: fmpq
    width: fmpq
    q: fmpz_poly

    def ball(self, bits: int) -> arb:
        """The root as a ball of at least so many bits; called at twice that precision or more.

        An interval Newton step where it is one, else half the interval, by an exact sign.
        """
        slope, at_zero = self.q.derivative(), _sign(self.q, fmpq(0))
        low, high = fmpq(0), fmpq(1)
        while True:
            middle = (low + high) / 2
            here = _sign(self.q, middle)
            if not here:
                return arb(self.low + self.width * middle)
            inside = arb(low).union(arb(high))
            found = arb(self.low) + arb(self.width) * inside
            if found > 0 and found.rel_accuracy_bits() >= bits:
                return found
            rise = horner(slope.coeffs(), inside)
            if not rise.contains(0):
                step = arb(middle) - arb(self.q(middle)) / rise
                # Where the slope has one sign the root, which is in there, is in the step too.
                found = arb(self.low) + arb(self.width) * step
                if found > 0 and found.rel_accuracy_bits() >= bits:
                    return found
                near, far = _ends(step)
                if far - near < (high - low) / 2:
                    low, high = max(low, near), min(high, far)
                    continue
            low, high = (middle, high) if here == at_zero else (low, middle)


def lone_roots(p: fmpq_poly) -> list[LoneRoot | fmpq]:
    """The distinct positive roots, ascending: alone in an interval, or met exactly."""
    f = p.numer()
    while f.degree() > 0 and f[0] == 0:
        f = fmpz_poly(f.coeffs()[1:])
    if f.degree() < 1 or not _changes(f):
        return []
    f = f // f.gcd(f.derivative())
    power = _bound(f)
    width = fmpq(1 << power) if power >= 0 else fmpq(1, 1 << -power)
    found: list[LoneRoot | fmpq] = []
    # The upper half is put on first, so that roots come in order.
    waiting: list[tuple[fmpq, fmpq, fmpz_poly] | fmpq] = [(fmpq(0), width, _scaled(f, power))]
    while waiting:
        part = waiting.pop()
        if isinstance(part, fmpq):
            found.append(part)
            continue
        low, width, q = part
        count = _changes(fmpz_poly(q.coeffs()[::-1])(_SHIFT))
        if count == 1:
            found.append(LoneRoot(low, width, q))
        if count < 2:
            continue
        lower = _scaled(q, -1)
        upper = lower(_SHIFT)
        waiting.append((low + width / 2, width / 2, upper))
        if upper[0] == 0:
            waiting[-1] = low + width / 2, width / 2, fmpz_poly(upper.coeffs()[1:])
            waiting.append(low + width / 2)
        waiting.append((low, width / 2, lower))
    return found


def _changes(p: fmpz_poly) -> int:
    """How often the sign changes along the coefficients."""
    signs = [c > 0 for c in p.coeffs() if c]
    return sum(a != b for a, b in pairwise(signs))


def _bound(f: fmpz_poly) -> int:
    """A power of two that no positive root reaches (Cauchy's bound, term by term)."""
    n, coefficients = f.degree(), f.coeffs()
    lead = abs(int(coefficients[n])).bit_length() - 1
    return 1 + max(
        -((lead - abs(int(c)).bit_length()) // (n - i)) for i, c in enumerate(coefficients[:n]) if c
    )


def _scaled(q: fmpz_poly, power: int) -> fmpz_poly:
    """q(2^power·t), times what keeps it whole and what it has in common taken out."""
    n = q.degree()
    if power >= 0:
        made = [c * (fmpz(1) << power * i) for i, c in enumerate(q.coeffs())]
    else:
        made = [c * (fmpz(1) << -power * (n - i)) for i, c in enumerate(q.coeffs())]
    scaled = fmpz_poly(made)
    return scaled // scaled.content()


def _sign(q: fmpz_poly, at: fmpq) -> int:
    value = q(at)
    return (value > 0) - (value < 0)


def horner(coefficients: Sequence[fmpz | fmpq], x: arb) -> arb:
    """The value at ``x`` of a polynomial, its ``coefficients`` ascending, in ball arithmetic."""
    total = arb(0)
    for c in reversed(coefficients):
        total = total * x + arb(c)
    return total


def _ends(x: arb) -> tuple[fmpq, fmpq]:
    """Rationals around a ball, few bits longer than it is exact."""
    return midpoint(x.lower()), midpoint(x.upper())


def midpoint(x: arb) -> fmpq:
    """The exact rational midpoint of a ball."""
    mantissa, exponent = x.mid().man_exp()
    power = int(exponent)
    return fmpq(int(mantissa) << power, 1) if power >= 0 else fmpq(int(mantissa), 1 << -power)
