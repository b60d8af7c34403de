"""H(s) of a circuit by nodal analysis alone: its counts exactly, its coefficients numerically.

The counts hold for the structure: parts get small whole conductances, inductances and capacitances,
with which every stamp is exact.  The number of poles is then the rank of the Loewner matrix of
enough samples (Antoulas & Anderson, IMA J. Math. Control Inf. 3 (1986) 61; value from memory).
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

import numpy as np
from flint import fmpq, fmpq_mat
from rungwise.problems.analysis.arms import End
from rungwise.problems.circuits.model import Element, Kind, Ladder, mapped

from tests.support.oracle import Network, response
from tests.support.told import fall, near_one

_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71)


def whole(ladder: Ladder) -> Ladder:
    """The circuit with whole conductances, inductances and capacitances."""
    numbers = iter(_PRIMES * 4)

    def change(element: Element) -> Element:
        n = next(numbers)
        value = Fraction(1, n) if element.kind is Kind.R else Fraction(n)
        return Element(element.kind, element.name, value)

    return mapped(ladder, change)


def _sample(network: Network, s: int) -> fmpq:
    """H at a whole s, exactly."""
    g, c, b = network.pencil()
    size = len(b)
    entries = [
        fmpq(round(float(g[i, k])) + s * round(float(c[i, k])))
        for i in range(size)
        for k in range(size)
    ]
    matrix = fmpq_mat(size, size, entries)
    right = fmpq_mat(size, 1, [fmpq(round(float(x))) for x in b])
    return matrix.solve(right)[network.output - 1, 0]


@lru_cache(maxsize=4096)
def order(ladder: Ladder) -> int:
    """How many poles H(s) has, whatever the values."""
    network = Network(whole(ladder))
    most = len(ladder.reactive()) + 1
    points = range(1, 2 * most + 1)
    left = [(s, _sample(network, s)) for s in points[:most]]
    right = [(s, _sample(network, s)) for s in points[most:]]
    entries = [(h - k) / fmpq(s - t) for s, h in left for t, k in right]
    return int(fmpq_mat(most, most, entries).rank())


@lru_cache(maxsize=4096)
def falls(ladder: Ladder, end: End) -> int:
    """The power by which the gain falls towards an end."""
    return fall(near_one(ladder), end)


def zeros(ladder: Ladder) -> int:
    """How many finite zeros H(s) has."""
    return order(ladder) - falls(ladder, End.HIGH)


@lru_cache(maxsize=4096)
def denominator(ladder: Ladder, poles: int, about_hz: float) -> tuple[float, float]:
    """(corner in rad/s, Q or NaN) of one or two poles, fitted to the response.

    Args:
        ladder: the circuit with its values.
        poles: one or two.
        about_hz: where to sample; any frequency near the poles.
    """
    hertz = about_hz * np.logspace(-1.5, 1.5, 24)
    h = response(ladder, list(hertz))
    s = 1j * hertz / about_hz
    powers = [s**k for k in range(poles + 1)]
    # N(s) − H·(d1·s + … ) = H, with d0 = 1.
    columns = [*powers, *(-h * p for p in powers[1:])]
    a = np.array(columns).T
    weight = 1 / np.abs(np.array([1 + abs(x) ** poles for x in s]))
    a, b = a * weight[:, None], h * weight
    stacked = np.vstack([a.real, a.imag]), np.concatenate([b.real, b.imag])
    found, *_ = np.linalg.lstsq(*stacked, rcond=None)
    d = found[poles + 1 :]
    unit = 2 * math.pi * about_hz
    if poles == 1:
        return float(unit / d[0]), math.nan
    return float(unit / math.sqrt(d[1])), float(math.sqrt(d[1]) / d[0]) if d[0] else math.inf
