"""Witnesses of energy, resonance with a load, current sources and duals.

Every figure is told by nodal equations with numpy (``tests/support/oracle.py``): poles are their
eigenvalues, energies are added up over a period, edges are looked for, a current source is put
where the voltage source was.  None of the formulas of the trade is used.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from rungwise.problems.circuits.model import Element, Kind, Ladder, Place, mapped
from rungwise.problems.quantities.units import Quantity
from rungwise.problems.questions.model import Rung
from rungwise.problems.questions.values import value_of
from scipy.linalg import eig
from scipy.optimize import brentq

from tests.support.oracle import Network
from tests.support.predicted import Asked, Witness, figure

SAME = 1e-6
_MOMENTS = 240
"""Of a period; sums over evenly spaced moments are exact for sines."""


def same(a: float, b: float, near: float = SAME) -> bool:
    return abs(a - b) <= near * max(abs(a), abs(b))


class Driven:
    """A circuit, solved where it is driven by a voltage or by a current."""

    def __init__(self, ladder: Ladder) -> None:
        self.ladder = ladder
        self.network = Network(ladder)
        self.g, self.c, self.b = self.network.pencil()
        self.names = [e.name for e in ladder.elements()]

    @cached_property
    def poles(self) -> NDArray[np.complex128]:
        """The natural frequencies that show, in rad/s, those with the source's voltage at zero."""
        # In units near one: ohms by their mean, seconds by that of the reactive parts.
        middle = math.tau * 10 ** np.mean(
            np.log10([self._hertz(e) for e in self.ladder.reactive()])
        )
        rows = 1 / np.sqrt(np.abs(self.g + middle * self.c).max(axis=1))
        scale = rows[:, None] * rows[None, :]
        found = eig(-self.g * scale, middle * self.c * scale, right=False)
        return np.array([p * middle for p in found if np.isfinite(p) and abs(p) < 1e6])

    def _hertz(self, element: Element) -> float:
        ohms = np.exp(np.mean([math.log(float(e.value or 1)) for e in self._resistors()]))
        value = float(element.value or 1)
        return float(1 / (ohms * value) if element.kind is Kind.C else ohms / value) / math.tau

    def _resistors(self) -> list[Element]:
        return [e for e in self.ladder.elements() if e.kind is Kind.R]

    @cached_property
    def pair(self) -> complex:
        """The pole of a pair that lies above, or the faster of two real ones."""
        assert len(self.poles) == 2, self.poles
        return complex(max(self.poles, key=lambda p: (p.imag, abs(p))))

    @property
    def omega(self) -> float:
        """The geometric mean of both poles."""
        return math.sqrt(abs(np.prod(self.poles)))

    @property
    def q(self) -> float:
        """ω0 over the sum of what both poles decay by."""
        return self.omega / -float(np.sum(self.poles).real)

    def solved(self, omega: float, amps: float | None = None) -> NDArray[np.complex128]:
        """Node voltages (and currents of inductors), for 1 V or for a current beside Rs."""
        right = self.b.astype(complex)
        if amps is not None:
            # The voltage source is a wire, and Rs leads from it to the node that is fed.
            assert self.ladder.source is not None
            right = np.zeros(len(self.b), complex)
            right[1] = amps
        matrix = self.g + 1j * omega * self.c
        scale = 1 / np.sqrt(np.maximum(np.abs(matrix).max(axis=1), 1e-300))
        found = np.linalg.solve(matrix * scale[:, None] * scale[None, :], right * scale)
        return np.asarray(scale * found)

    def across(self, name: str, x: NDArray[np.complex128]) -> complex:
        """The voltage across a part."""
        _, a, z, _ = self.network.parts[self.names.index(name)]
        ends = [complex(x[node - 1]) if node else 0j for node in (a, z)]
        return ends[0] - ends[1]

    def through(self, name: str, x: NDArray[np.complex128], omega: float) -> complex:
        """The current through a part."""
        kind, _, _, value = self.network.parts[self.names.index(name)]
        s = 1j * omega
        admittance = {Kind.R: 1 / value, Kind.C: s * value, Kind.L: 1 / (s * value)}[kind]
        return self.across(name, x) * admittance

    def output(self, omega: float, amps: float | None = None) -> complex:
        return complex(self.solved(omega, amps)[self.network.output - 1])

    def band(self, amps: float | None = None) -> float:
        """In Hz, between the frequencies at which the output is 1/√2 of what it is at ω0."""
        level = abs(self.output(self.omega, amps)) / math.sqrt(2)
        reach = 3 + 2 / self.q

        def off(omega: float) -> float:
            return abs(self.output(omega, amps)) - level

        low, high = (
            brentq(off, *ends, rtol=1e-12)
            for ends in ((self.omega / reach, self.omega), (self.omega, self.omega * reach))
        )
        return float(high - low) / math.tau


def _given(asked: Asked, key: str) -> float:
    return float(value_of(asked.question.values, key, Quantity).value)


def _one(ladder: Ladder, kind: Kind) -> Element:
    (found,) = [e for e in ladder.elements() if e.kind is kind]
    return found


def _swinging(asked: Asked) -> tuple[Driven, NDArray[np.complex128], float]:
    """The circuit at ω0 as the question has it: with that current, or with that voltage."""
    driven = Driven(asked.problem.ladder)
    omega, coil = driven.omega, _one(driven.ladder, Kind.L).name
    if "amps" in dict(asked.question.values):
        x = driven.solved(omega)
        return driven, x * (_given(asked, "amps") / abs(driven.through(coil, x, omega))), omega
    x = driven.solved(omega, 1.0)
    return driven, x * (_given(asked, "volts") / abs(driven.across(coil, x))), omega


def _turns() -> NDArray[np.complex128]:
    return np.exp(2j * np.pi * np.arange(_MOMENTS) / _MOMENTS)


def _energies(asked: Asked) -> tuple[NDArray[np.float64], float]:
    """The energy in L and C at moments of a period, and that lost in it."""
    driven, x, omega = _swinging(asked)
    coil, capacitor = (_one(driven.ladder, kind) for kind in (Kind.L, Kind.C))
    current = (driven.through(coil.name, x, omega) * _turns()).real
    voltage = (driven.across(capacitor.name, x) * _turns()).real
    held = float(coil.value or 0) * current**2 / 2 + float(capacitor.value or 0) * voltage**2 / 2
    lost = 0.0
    for part in driven.ladder.elements():
        if part.kind is Kind.R:
            moments = (driven.across(part.name, x) * _turns()).real ** 2 / float(part.value or 0)
            lost += float(moments.mean()) * math.tau / omega
    return held, lost


def _stored(asked: Asked) -> bool:
    held, _ = _energies(asked)
    return all(same(float(one), figure(asked)) for one in held)


def _lost(asked: Asked) -> bool:
    return same(_energies(asked)[1], figure(asked))


def _energy_q(asked: Asked) -> bool:
    held, lost = _energies(asked)
    told = same(held[0], _given(asked, "stored"), 1e-3) and same(lost, _given(asked, "lost"), 1e-3)
    return told and same(Driven(asked.problem.ladder).q, figure(asked), 1e-3)


def _voltage(asked: Asked) -> bool:
    driven = Driven(asked.problem.ladder)
    name = value_of(asked.question.values, "element", str)
    rise = abs(driven.across(name, driven.solved(driven.omega)))
    return same(rise * _given(asked, "volts"), figure(asked))


def _current(asked: Asked) -> bool:
    driven = Driven(asked.problem.ladder)
    name, source = value_of(asked.question.values, "element", str), driven.ladder.source
    assert source is not None
    x = driven.solved(driven.omega)
    line = abs(driven.through(source.name, x, driven.omega))
    rise = abs(driven.through(name, x, driven.omega)) / line
    return same(rise * _given(asked, "amps"), figure(asked))


def _without(asked: Asked) -> bool:
    ladder = asked.problem.ladder
    loop = any(stage.place is Place.SERIES for stage in ladder.stages)
    assert ladder.load is not None and ladder.load.value is not None
    gone = ladder.load.value * Fraction(10) ** (-8 if loop else 8)
    return same(
        Driven(replace(ladder, load=replace(ladder.load, value=gone))).q, figure(asked), 1e-5
    )


def _q(asked: Asked) -> bool:
    return same(Driven(asked.problem.ladder).q, figure(asked))


def _band(asked: Asked) -> bool:
    return same(Driven(asked.problem.ladder).band(), figure(asked))


def _share(asked: Asked) -> bool:
    driven = Driven(asked.problem.ladder)
    x = driven.solved(driven.omega)
    powers = {
        e.name: abs(driven.across(e.name, x)) ** 2 / float(e.value or 0)
        for e in driven.ladder.elements()
        if e.kind is Kind.R
    }
    load = driven.ladder.load
    assert load is not None
    return same(powers[load.name] / sum(powers.values()), figure(asked))


def _source_current(asked: Asked) -> bool:
    """The output is the same at every frequency, whichever source drives it."""
    driven = Driven(asked.problem.ladder)
    volts = _given(asked, "volts")
    middle = abs(complex(np.exp(np.mean(np.log(np.abs(driven.poles)))))) if len(driven.poles) else 1
    return all(
        abs(driven.output(w) * volts - driven.output(w, figure(asked)))
        <= SAME * abs(driven.output(w) * volts)
        for w in (middle / 10, 1.1 * middle, 10 * middle)
    )


def _seen(asked: Asked) -> bool:
    driven = Driven(asked.problem.ladder)
    return same(abs(driven.solved(driven.omega, 1.0)[1]), figure(asked))


def _output(asked: Asked) -> bool:
    driven = Driven(asked.problem.ladder)
    return same(abs(driven.output(driven.omega, _given(asked, "amps"))), figure(asked))


def _parallel_band(asked: Asked) -> bool:
    return same(Driven(asked.problem.ladder).band(1.0), figure(asked))


def _dual_value(asked: Asked) -> bool:
    """Z·Z' = R² at every frequency."""
    name = value_of(asked.question.values, "element", str)
    part = next(e for e in asked.problem.ladder.elements() if e.name == name)
    for s in 0.3j, 7j, 2 + 5j:
        value = float(part.value or 0)
        own = s * value if part.kind is Kind.L else 1 / (s * value)
        its = s * figure(asked) if asked.question.unit == "H" else 1 / (s * figure(asked))
        if abs(own * its / _given(asked, "ohms") ** 2 - 1) > SAME:
            return False
    return asked.question.unit == ("F" if part.kind is Kind.L else "H")


def _levels(ladder: Ladder, omegas: NDArray[np.float64]) -> NDArray[np.float64]:
    with np.errstate(divide="ignore"):
        found = [abs(Driven(ladder).output(float(w))) for w in omegas]
    return np.asarray(20 * np.log10(np.maximum(found, 1e-12)))


def _which_dual(asked: Asked) -> bool:
    """Of the right one alone the gain lies beside that of the circuit by so many dB throughout.

    Of the others it does not either where each part is ten times as large, or a tenth.
    """
    driven = Driven(asked.problem.ladder)
    middle = float(np.exp(np.mean(np.log(np.abs(driven.poles)))))
    # Beside a null, and near to it: a sharp one is seen nowhere else.
    omegas = middle * np.concatenate([np.logspace(-1.52, 1.5, 12), [0.97, 0.999, 1.001, 1.03]])
    own = _levels(asked.problem.ladder, omegas)
    for choice in asked.question.choices:
        offered = _valued(asked.problem.ladder, value_of(choice.values, "circuit", Ladder))
        right = choice.id == asked.question.truth
        for circuit in (offered,) if right else (offered, *_varied(offered)):
            spread = float(np.ptp(_levels(circuit, omegas) - own))
            if (spread < 1e-6) is not right or (not right and spread < 1):
                return False
    return True


def _valued(ladder: Ladder, offered: Ladder) -> Ladder:
    """A circuit offered, with the values of the parts drawn: a part of another kind has its dual's.

    Parts come in the same order; R² is the product of both ends, which change places.
    """
    assert ladder.source is not None and ladder.load is not None
    squared = (ladder.source.value or Fraction(1)) * (ladder.load.value or Fraction(1))
    # ``mapped`` goes through the arms before it comes to source and load.
    source, *arms, load = ladder.elements()
    drawn = iter((*arms, source, load))

    def valued(part: Element) -> Element:
        own = next(drawn)
        value = own.value or Fraction(1)
        if own.kind is Kind.R:
            return replace(part, value=squared / value)
        if own.kind is not part.kind:
            value = value / squared if own.kind is Kind.L else value * squared
        return replace(part, value=value)

    return mapped(offered, valued)


def _varied(ladder: Ladder) -> list[Ladder]:
    """The same with the parts of one kind ten times as large, or a tenth."""

    def scaled(factor: Fraction, kind: Kind) -> Ladder:
        def turned(e: Element) -> Element:
            assert e.value is not None
            return replace(e, value=e.value * factor) if e.kind is kind else e

        return mapped(ladder, turned)

    return [scaled(f, k) for f in (Fraction(10), Fraction(1, 10)) for k in (Kind.L, Kind.C)]


ENERGY: Mapping[Rung, Witness] = {
    Rung.STORED_ENERGY: _stored,
    Rung.LOST_ENERGY: _lost,
    Rung.ENERGY_Q: _energy_q,
    Rung.RESONANT_VOLTAGE: _voltage,
    Rung.RESONANT_CURRENT: _current,
    Rung.Q_WITHOUT_LOAD: _without,
    Rung.Q_WITH_LOAD: _q,
    Rung.BAND_WITH_LOAD: _band,
    Rung.LOAD_SHARE: _share,
}
SOURCE: Mapping[Rung, Witness] = {
    Rung.SOURCE_CURRENT: _source_current,
    Rung.SEEN_RESISTANCE: _seen,
    Rung.CURRENT_OUTPUT: _output,
    Rung.PARALLEL_Q: _q,
    Rung.PARALLEL_BAND: _parallel_band,
    Rung.DUAL_VALUE: _dual_value,
    Rung.WHICH_DUAL: _which_dual,
}
