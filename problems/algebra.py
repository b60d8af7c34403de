"""Exact polynomials in one variable: squared magnitudes, axis roots, certified roots.

flint works on exact integers and rationals; roots come as balls that provably contain
them, with multiplicities; positive real ones are isolated on their own.  Precision is raised
until every part that is not exactly zero is known to 60 bits, so the floats handed out are
right to the last digit or so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from threading import RLock
from typing import cast

from flint import acb, arb, ctx, fmpq, fmpq_poly

from .isolation import LoneRoot, horner, lone_roots

_PRECISION = RLock()
_STEPS = (128, 256, 512, 1024, 2048, 4096, 8192)
_BITS = 60


@contextmanager
def precision(bits: int) -> Iterator[None]:
    """Ball arithmetic of this many bits inside the block.

    flint keeps its working precision in one global object, and two threads (the screen's
    workers) must not change it under each other.  Whatever computes with balls does so in
    such a block: outside, the last bits would hang on what other threads are at.
    """
    with _PRECISION, ctx.workprec(bits):
        yield


def fraction(value: fmpq) -> Fraction:
    """Exact flint rational → Fraction."""
    return Fraction(int(value.p), int(value.q))


def log10_fraction(value: Fraction) -> float:
    """log10 of a positive rational of any size."""
    return math.log10(value.numerator) - math.log10(value.denominator)


def square_root(value: Fraction) -> float:
    """√value for value ≥ 0, right even where ``float(value)`` over- or underflows.

    Raises:
        ValueError: the value is negative.
    """
    if value < 0:
        raise ValueError("square root of a negative number")
    if value == 0:
        return 0.0
    # Scale by an even power of two so that the integer square root carries 64+ bits.
    shift = 160 - (value.numerator.bit_length() - value.denominator.bit_length())
    shift += shift % 2
    scaled = value.numerator << shift if shift >= 0 else value.numerator
    below = value.denominator if shift >= 0 else value.denominator << -shift
    return math.ldexp(math.isqrt(scaled // below), -shift // 2)


def even_odd(p: fmpq_poly) -> tuple[fmpq_poly, fmpq_poly]:
    """E and O with p(s) = E(s²) + s·O(s²)."""
    coeffs = p.coeffs()
    return fmpq_poly(coeffs[0::2]), fmpq_poly(coeffs[1::2])


def squared_magnitude(p: fmpq_poly) -> fmpq_poly:
    """|p(jω)|² as a polynomial in u = ω²: E(−u)² + u·O(−u)²."""
    even, odd = even_odd(p)
    flip = fmpq_poly([0, -1])
    even, odd = even(flip), odd(flip)
    return even * even + fmpq_poly([0, 1]) * odd * odd


def axis_part(p: fmpq_poly) -> fmpq_poly:
    """g(x), x = s², whose negative real roots are exactly the jω-axis roots of p (s ≠ 0).

    A root jω needs E(−ω²) = O(−ω²) = 0, so they are common roots of E and O.
    """
    even, odd = even_odd(p)
    return even if odd.is_zero() else even.gcd(odd)


def axis_pairs(p: fmpq_poly) -> int:
    """How many conjugate pairs of p lie exactly on the jω axis, away from the origin."""
    g = axis_part(p)
    if g.degree() < 1:
        return 0
    if g.degree() == 1:
        return int(-g[0] / g[1] < 0)
    return sum(n for x, n in root_balls(g, 128) if x.imag == 0 and x.real < 0)


def positive_roots(p: fmpq_poly) -> list[arb]:
    """The distinct positive real roots of p, ascending, as balls of at least 60 bits."""
    return _balls(lone_roots(p), _STEPS[0])


def _balls(places: list[LoneRoot | fmpq], bits: int) -> list[arb]:
    """Positive roots as balls of this many bits."""
    with precision(2 * bits + 64):
        return [x.ball(bits) if isinstance(x, LoneRoot) else arb(x) for x in places]


def roots(p: fmpq_poly) -> tuple[complex, ...]:
    """All roots with multiplicity, by magnitude, the upper of a conjugate pair first.

    Real parts of jω-axis roots and imaginary parts of real roots are exactly 0.0.
    """
    found: list[complex] = []
    while p.degree() > 0 and p[0] == 0:
        p = fmpq_poly(p.coeffs()[1:])
        found.append(0j)
    g = axis_part(p)
    if g.degree() > 0:
        p = p // g(fmpq_poly([0, 0, 1]))
        for x, n in _certified(g):
            if x.imag == 0 and x.real < 0:
                root = complex(0.0, math.sqrt(-x.real))
                found += [root, root.conjugate()] * n
            else:
                root = x**0.5
                found += [root, -root] * n
    for root, n in _certified(p):
        found += [root] * n
    return tuple(sorted(found, key=lambda z: (abs(z), z.real, -z.imag)))


def _certified(p: fmpq_poly) -> list[tuple[complex, int]]:
    if p.degree() < 1:
        return []
    factors = [(fmpq_poly(f), int(times)) for f, times in p.numer().factor()[1]]
    for bits in _STEPS:
        # Roots that nearly meet cost flint seconds; those of different sections or banks are
        # roots of different factors, and there they are far apart.
        found = [(x, n) for f, n in factors for x, _ in root_balls(f, bits)]
        parts = [part for x, _ in found for part in (x.real, x.imag)]
        if all(part == 0 or part.rel_accuracy_bits() >= _BITS for part in parts):
            return [(complex(float(x.real.mid()), float(x.imag.mid())), n) for x, n in found]
    raise ArithmeticError("a root could not be isolated")  # pragma: no cover


def root_balls(p: fmpq_poly, bits: int) -> list[tuple[acb, int]]:
    """The distinct roots of ``p`` as balls of ``bits`` bits, each with its multiplicity.

    The imaginary part of a real root is exactly zero.
    """
    with precision(bits):
        # flint's own annotation says list[acb]; it returns (root, multiplicity) pairs.
        return cast(list[tuple[acb, int]], p.numer().complex_roots())


def ball(value: fmpq) -> arb:
    """An exact rational in ball arithmetic."""
    with precision(_STEPS[0]):
        return arb(value)


def stationary(top: fmpq_poly, bottom: fmpq_poly) -> list[tuple[arb, arb]]:
    """Where the derivative of ``top``/``bottom`` vanishes at a positive x, and the values there.

    Both are balls of at least 60 bits; a value that is zero is exactly zero.  Poles are
    left out.  The fraction must be cancelled, and a constant one has no such places.
    """
    slope = top.derivative() * bottom - top * bottom.derivative()
    if slope.is_zero():
        return []
    vanishing = slope.gcd(top)
    found = [(x, arb(0)) for x in positive_roots(vanishing)]
    alone = lone_roots(slope // vanishing // slope.gcd(bottom))
    for bits in _STEPS:
        places = _balls(alone, bits)
        # A sharp resonance is a small difference of large terms: its value needs more bits.
        with precision(2 * bits):
            values = [horner(top.coeffs(), x) / horner(bottom.coeffs(), x) for x in places]
        if all(value.rel_accuracy_bits() >= _BITS for value in values):
            found += zip(places, values, strict=True)
            return sorted(found, key=lambda pair: float(pair[0].mid()))
    raise ArithmeticError("a root could not be isolated")  # pragma: no cover
