"""H(s) of a circuit by nodal analysis alone: its counts exactly, its coefficients numerically.

The counts are exact, by rational numbers: the number of poles is the rank of the Loewner matrix of
enough samples (Antoulas & Anderson, IMA J. Math. Control Inf. 3 (1986) 61; value from memory).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from flint import fmpq, fmpq_mat
from numpy.typing import NDArray
from rungwise.problems.analysis.arms import End
from rungwise.problems.circuits.model import Kind, Ladder

from tests.support.oracle import GROUND, Network, response
from tests.support.told import fall, near_one


def _sample(ladder: Ladder, network: Network, s: fmpq) -> fmpq:
    """H at a positive s, exactly: the stamps of the oracle's network, in rational numbers."""
    coils = [n for n, part in enumerate(network.parts) if part[0] is Kind.L]
    nodes = network.count - 1
    size = nodes + len(coils) + 1 + len(network.buffers)
    matrix = [[fmpq(0)] * size for _ in range(size)]

    def tie(row: int, a: int, z: int) -> None:
        for node, sign in ((a, 1), (z, -1)):
            if node != GROUND:
                matrix[row][node - 1] += sign
                matrix[node - 1][row] += sign

    row = nodes
    # Parts are joined in the order in which they are read.
    for element, (kind, a, z, _) in zip(ladder.elements(), network.parts, strict=True):
        assert element.value is not None
        assert kind is element.kind
        value = fmpq(element.value.numerator, element.value.denominator)
        if kind is Kind.L:
            tie(row, a, z)
            matrix[row][row] = -s * value
            row += 1
            continue
        admittance = 1 / value if kind is Kind.R else s * value
        for i, x in ((a, 1), (z, -1)):
            for k, y in ((a, 1), (z, -1)):
                if GROUND not in (i, k):
                    matrix[i - 1][k - 1] += x * y * admittance
    tie(row, 1, GROUND)
    source = row
    row += 1
    for sensed, driven in network.buffers:
        matrix[row][driven - 1] += 1
        matrix[row][sensed - 1] -= 1
        matrix[driven - 1][row] += 1
        row += 1
    right = fmpq_mat(size, 1, [fmpq(int(i == source)) for i in range(size)])
    flat = [x for line in matrix for x in line]
    return fmpq_mat(size, size, flat).solve(right)[network.output - 1, 0]


@lru_cache(maxsize=4096)
def order(ladder: Ladder) -> int:
    """How many poles H(s) has with the values of the circuit, after cancelling."""
    network = Network(ladder)
    most = len(ladder.reactive()) + 1
    values = [fmpq(s) for s in range(1, 2 * most + 1)]
    samples = [(s, _sample(ladder, network, s)) for s in values]
    left, right = samples[:most], samples[most:]
    entries = [(h - k) / (s - t) for s, h in left for t, k in right]
    return int(fmpq_mat(most, most, entries).rank())


@lru_cache(maxsize=512)
def swept(ladder: Ladder, low: float, high: float, count: int) -> NDArray[np.complex128]:
    """The response at ``count`` frequencies from ``low`` to ``high`` hertz, evenly by decades."""
    network = Network(ladder)
    g, c, b = network.pencil()
    hertz = np.geomspace(low, high, count)
    matrices = g + 2j * np.pi * hertz[:, None, None] * c
    # Equilibrated, as the oracle does it at one frequency after the other.
    scale = 1 / np.sqrt(np.maximum(np.abs(matrices).max(axis=2), 1e-300))
    right = (b * scale)[:, :, None]
    found = np.linalg.solve(matrices * scale[:, :, None] * scale[:, None, :], right)[:, :, 0]
    return np.asarray(found[:, network.output - 1] * scale[:, network.output - 1])


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
