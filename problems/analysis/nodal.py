"""An independent witness: the numeric response by nodal analysis.

``transfer.py`` walks the ladder from its output with exact polynomials.  Here every
element is stamped on its own, as an admittance between two nodes, into Kirchhoff's
current equations; these are solved at one frequency by complex Gaussian elimination with
partial pivoting.  The two share nothing but the circuit, so they can check each other.
Nodal analysis by stamps: Ho, Ruehli & Brennan, "The modified nodal approach to network
analysis", IEEE Trans. Circuits Syst. 22 (1975) 504 (citation from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from ..circuits.model import Arm, CircuitError, Element, Joint, Kind, Ladder, Place

GROUND = -1
DRIVE = -2
"""The node held at a known voltage: an ideal source, or a buffer's output."""


@dataclass(frozen=True, slots=True)
class _Section:
    """Stamps between two buffers: (node, node, kind, value); the last node is the output."""

    stamps: tuple[tuple[int, int, Kind, float], ...]
    nodes: int
    output: int


class Network:
    """A valued ladder, laid out as nodes once and solved at any number of frequencies.

    Raises:
        CircuitError: an element has no value.
    """

    def __init__(self, ladder: Ladder) -> None:
        self._sections = tuple(_lay_out(ladder))

    def response(self, omega: float) -> complex:
        """H(jω) for ω > 0 in rad/s.

        Raises:
            ZeroDivisionError: ω is that of an undamped resonance.
        """
        product: complex = 1
        for section in self._sections:
            product *= _solve(section, omega)
        return product


def response(ladder: Ladder, omega: float) -> complex:
    """H(jω) of a valued ``ladder``, for ``omega`` > 0 in rad/s.

    Raises:
        CircuitError: an element has no value.
        ZeroDivisionError: ω is that of an undamped resonance.
    """
    return Network(ladder).response(omega)


def _lay_out(ladder: Ladder) -> list[_Section]:
    sections: list[_Section] = []
    stamps: list[tuple[int, int, Kind, float]] = []
    nodes = 0

    def node() -> int:
        nonlocal nodes
        nodes += 1
        return nodes - 1

    def stamp(arm: Arm, a: int, b: int) -> None:
        if isinstance(arm, Element):
            if arm.value is None:
                raise CircuitError("circuit.no-value", name=arm.name)
            stamps.append((a, b, arm.kind, float(arm.value)))
        elif arm.joint is Joint.PARALLEL:
            for part in arm.parts:
                stamp(part, a, b)
        else:
            for part in arm.parts[:-1]:
                between = node()
                stamp(part, a, between)
                a = between
            stamp(arm.parts[-1], a, b)

    here = DRIVE
    if ladder.source is not None:
        here = node()
        stamp(ladder.source, DRIVE, here)
    for stage in ladder.stages:
        if stage.arm is None:
            sections.append(_Section(tuple(stamps), nodes, here))
            stamps, nodes, here = [], 0, DRIVE
        elif stage.place is Place.SERIES:
            there = node()
            stamp(stage.arm, here, there)
            here = there
        else:
            stamp(stage.arm, here, GROUND)
    if ladder.load is not None:
        stamp(ladder.load, here, GROUND)
    sections.append(_Section(tuple(stamps), nodes, here))
    return sections


def _admittance(kind: Kind, value: float, omega: float) -> complex:
    match kind:
        case Kind.R:
            return complex(1 / value)
        case Kind.L:
            return complex(0, -1 / (omega * value))
        case Kind.C:
            return complex(0, omega * value)


def _solve(section: _Section, omega: float) -> complex:
    """Voltage of the output node for one volt at the driven node."""
    n = section.nodes
    if section.output == DRIVE:
        return 1
    # Row i: Kirchhoff's current law at node i; the last column is the driven current.
    rows = [[0j] * (n + 1) for _ in range(n)]
    for a, b, kind, value in section.stamps:
        y = _admittance(kind, value, omega)
        for here, there in ((a, b), (b, a)):
            if here >= 0:
                rows[here][here] += y
                if there >= 0:
                    rows[here][there] -= y
                elif there == DRIVE:
                    rows[here][n] += y
    for k in range(n):
        best = max(range(k, n), key=lambda i: abs(rows[i][k]))
        rows[k], rows[best] = rows[best], rows[k]
        pivot = rows[k]
        for row in rows[k + 1 :]:
            if row[k] != 0:
                factor = row[k] / pivot[k]
                for j in range(k, n + 1):
                    row[j] -= factor * pivot[j]
    voltages = [0j] * n
    for k in reversed(range(n)):
        known = sum((rows[k][j] * voltages[j] for j in range(k + 1, n)), 0j)
        voltages[k] = (rows[k][n] - known) / rows[k][k]
    return voltages[section.output]
