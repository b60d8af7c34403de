"""An independent oracle: modified nodal analysis with numpy, sharing no code with the core.

Each element is stamped on its own into G + sC form (resistors and capacitors by admittance,
inductors with their current as an extra unknown, ideal sources and buffers as constraints),
following Ho, Ruehli & Brennan, "The modified nodal approach to network analysis",
IEEE Trans. CAS-22 (1975) 504-509.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray
from rungwise.problems.circuits.model import Arm, Element, Joint, Kind, Ladder, Place

GROUND = 0


class Network:
    """Nodes and two-terminal parts; node 0 is ground, node 1 the source."""

    def __init__(self, ladder: Ladder) -> None:
        self.count = 2
        self.parts: list[tuple[Kind, int, int, float]] = []
        self.buffers: list[tuple[int, int]] = []
        here = 1
        if ladder.source is not None:
            here = self._along(ladder.source, here)
        for stage in ladder.stages:
            if stage.place is Place.BUFFER:
                after = self._node()
                self.buffers.append((here, after))
                here = after
            elif stage.place is Place.SERIES:
                assert stage.arm is not None
                here = self._along(stage.arm, here)
            else:
                assert stage.arm is not None
                self._between(stage.arm, here, GROUND)
        if ladder.load is not None:
            self._between(ladder.load, here, GROUND)
        self.output = here

    def _node(self) -> int:
        self.count += 1
        return self.count - 1

    def _along(self, arm: Arm, start: int) -> int:
        end = self._node()
        self._between(arm, start, end)
        return end

    def _between(self, arm: Arm, a: int, b: int) -> None:
        if isinstance(arm, Element):
            assert arm.value is not None
            self.parts.append((arm.kind, a, b, float(arm.value)))
        elif arm.joint is Joint.PARALLEL:
            for part in arm.parts:
                self._between(part, a, b)
        else:
            for part in arm.parts[:-1]:
                a = self._along(part, a)
            self._between(arm.parts[-1], a, b)

    def pencil(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """(G, C, b) of (G + sC)·x = b for a source of 1 V."""
        inductors = [p for p in self.parts if p[0] is Kind.L]
        nodes = self.count - 1
        size = nodes + len(inductors) + 1 + len(self.buffers)
        g, c, b = np.zeros((size, size)), np.zeros((size, size)), np.zeros(size)

        def incidence(row: int, a: int, z: int) -> None:
            for node, sign in ((a, 1.0), (z, -1.0)):
                if node != GROUND:
                    g[row, node - 1] += sign
                    g[node - 1, row] += sign

        for kind, a, z, value in self.parts:
            if kind is Kind.L:
                continue
            target, y = (g, 1 / value) if kind is Kind.R else (c, value)
            for i, si in ((a, 1), (z, -1)):
                for k, sk in ((a, 1), (z, -1)):
                    if i != GROUND and k != GROUND:
                        target[i - 1, k - 1] += si * sk * y
        row = nodes
        for _, a, z, value in inductors:
            incidence(row, a, z)
            c[row, row] = -value
            row += 1
        incidence(row, 1, GROUND)
        b[row] = 1.0
        row += 1
        for sensed, driven in self.buffers:
            g[row, driven - 1] += 1.0
            g[row, sensed - 1] -= 1.0
            g[driven - 1, row] += 1.0
            row += 1
        return g, c, b

    def response(
        self, frequencies_hz: Sequence[float] | NDArray[np.float64]
    ) -> NDArray[np.complex128]:
        """Vout/Vsource at each frequency."""
        g, c, b = self.pencil()
        s = 2j * np.pi * np.asarray(frequencies_hz, dtype=float)
        matrices = g + s[:, None, None] * c
        # Equilibrate: ohms and siemens differ by many powers of ten.
        scale = 1 / np.sqrt(np.maximum(np.abs(matrices).max(axis=2), 1e-300))
        balanced = matrices * scale[:, :, None] * scale[:, None, :]
        x = scale * np.linalg.solve(balanced, (b * scale)[:, :, None])[:, :, 0]
        return x[:, self.output - 1]


def response(
    ladder: Ladder, frequencies_hz: Sequence[float] | NDArray[np.float64]
) -> NDArray[np.complex128]:
    """Vout/Vsource of a ladder at each frequency, by modified nodal analysis."""
    return Network(ladder).response(frequencies_hz)


def element(kind: str, name: str, value: float | str | Fraction) -> Element:
    """A short way to an element; a float is taken at its decimal face value."""
    return Element(Kind(kind), name, value if isinstance(value, Fraction) else Fraction(str(value)))
