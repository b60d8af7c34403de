"""Slips about energy at resonance, the rise of voltages and currents, and the cost of a load.

Common practice, no source; the formulas are those of ``analysis/resonator.py``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.resonator import resonator_of
from ..analysis.response import TWO_PI
from ..questions.energy import amplitude
from ..questions.model import Rung
from .case import Case, Guess, Topic, names_of
from .one_pole import hertz_as_radians, radians_as_hertz, two_pi_twice
from .quality import bandwidth_times_q, half_band, q_inverted

TOPIC = Topic("energy at resonance")

STORED, LOST = Rung.STORED_ENERGY, Rung.LOST_ENERGY
ENERGIES = (STORED, LOST)
RISES = (Rung.RESONANT_VOLTAGE, Rung.RESONANT_CURRENT)
QS = (Rung.Q_WITHOUT_LOAD, Rung.Q_WITH_LOAD, Rung.PARALLEL_Q)
BANDS = (Rung.BAND_WITH_LOAD, Rung.PARALLEL_BAND)
LOADED = (Rung.Q_WITH_LOAD, Rung.BAND_WITH_LOAD)
ON_CURRENT = (Rung.SEEN_RESISTANCE, Rung.CURRENT_OUTPUT, Rung.PARALLEL_Q, Rung.PARALLEL_BAND)


def by_ohms(case: Case, ohms: float, instead_of: float | None = None) -> float:
    """The figure asked for, with another resistance at the resonator.

    Args:
        case: the circuit and the question.
        ohms: the other resistance.
        instead_of: the right one; by default that of all resistances together.
    """
    found = resonator_of(case.ladder)
    ratio = ohms / (found.ohms() if instead_of is None else instead_of)
    match case.rung:
        case Rung.SEEN_RESISTANCE | Rung.CURRENT_OUTPUT:
            return case.truth * ratio
        case Rung.LOST_ENERGY | Rung.BAND_WITH_LOAD | Rung.PARALLEL_BAND:
            return case.truth * (ratio if found.series else 1 / ratio)
    return case.truth * (1 / ratio if found.series else ratio)


# ------------------------------------------------------------------------- energies


# L·Î², or R·Î²: the half left out, or the greatest energies of L and of C added.
TOPIC.answer("half-of-energy", *ENERGIES, by=lambda c: 2 * c.truth)
# The peak value taken down to an effective one, and halved once more.
TOPIC.answer("effective-for-peak", *ENERGIES, by=lambda c: c.truth / 2)


@TOPIC.slip("amplitude-not-squared", *ENERGIES)
def amplitude_not_squared(case: Case) -> Iterator[Guess]:
    """The current, or the voltage, where its square belongs."""
    yield Guess(case.truth / amplitude(resonator_of(case.ladder), case.question.values))


@TOPIC.slip("other-store", STORED)
def other_store(case: Case) -> Iterator[Guess]:
    """½·C·Î² or ½·L·V̂²: the current into a capacitor, the voltage into a coil."""
    found = resonator_of(case.ladder)
    ratio = found.farads / found.henries
    yield Guess(case.truth * (ratio if found.series else 1 / ratio))


# The energy lost while the phase turns by a radian.
TOPIC.answer("energy-per-radian", LOST, by=lambda c: c.truth / TWO_PI)
# The power, which is the energy lost in a second.
TOPIC.answer("power-for-energy", LOST, by=lambda c: c.truth * resonator_of(c.ladder).omega / TWO_PI)
# Stored over lost in a period: that is Q/2π.
TOPIC.answer("two-pi-in-energy-q", Rung.ENERGY_Q, by=lambda c: c.truth / TWO_PI)
# Lost over stored, with or without the 2π.
TOPIC.answer(
    "lost-over-stored", Rung.ENERGY_Q, by=lambda c: (1 / c.truth, TWO_PI / c.truth), near=True
)


# ------------------------------------------------------------------------- the rise


def _driven(case: Case) -> float:
    """The amplitude of the source's voltage, or of the line's current."""
    key = "volts" if case.rung is Rung.RESONANT_VOLTAGE else "amps"
    given = dict(case.question.values)[key]
    return float(given.value)  # type: ignore[union-attr]


# No more than the source gives: nothing passive is thought to exceed it.
TOPIC.answer("no-rise", *RISES, by=lambda c: _driven(c), near=True)
# Half of what the source gives: L and C are thought to share it.
TOPIC.answer("shared-by-two", *RISES, by=lambda c: _driven(c) / 2, near=True)
# 1/Q times what the source gives.
TOPIC.answer("rise-upside-down", *RISES, by=lambda c: _driven(c) ** 2 / c.truth, near=True)
# An effective value where a peak value was given and is asked for.
TOPIC.answer("peak-to-effective", *RISES, Rung.CURRENT_OUTPUT, by=lambda c: c.truth / math.sqrt(2))


@TOPIC.slip("source-behind-line", Rung.RESONANT_CURRENT)
def source_behind_line(case: Case) -> Iterator[Guess]:
    """The loaded Q for that of what lies behind the line."""
    found = resonator_of(case.ladder)
    values = (("source", found.source.name if found.source else ""),)
    yield Guess(by_ohms(case, found.ohms(), found.ohms(found.behind)), values)


# ------------------------------------------------------------------------- the load


@TOPIC.slip("load-left-on", Rung.Q_WITHOUT_LOAD)
def load_left_on(case: Case) -> Iterator[Guess]:
    """Q with the load, where it is asked for without."""
    found = resonator_of(case.ladder)
    yield Guess(found.q(), (("load", found.load.name if found.load else ""),))


@TOPIC.slip("load-costs-nothing", *LOADED)
def load_costs_nothing(case: Case) -> Iterator[Guess]:
    """Q, or the band, of the resonator without its load."""
    found = resonator_of(case.ladder)
    if found.load is not None:
        values = (("kept", names_of(found.without_load)), ("others", found.load.name))
        yield Guess(by_ohms(case, found.ohms(found.without_load)), values)


@TOPIC.slip("one-resistance", *LOADED, LOST, Rung.RESONANT_VOLTAGE)
def one_resistance(case: Case) -> Iterator[Guess]:
    """One of several resistances counted; without the load alone, see above."""
    found = resonator_of(case.ladder)
    for one in found.resistances if len(found.resistances) > 1 else ():
        if case.rung not in LOADED or found.without_load != (one,):
            values = (
                ("kept", one.name),
                ("others", names_of(r for r in found.resistances if r != one)),
            )
            yield Guess(by_ohms(case, found.ohms((one,))), values)


def joined_wrongly(case: Case, *, series: bool) -> Iterator[Guess]:
    """Resistances that act in one joint taken for the other.

    Args:
        case: the circuit and the question.
        series: whether they are added where they are in parallel, else the reverse.
    """
    found = resonator_of(case.ladder)
    ohms = [found.ohms((one,)) for one in found.resistances]
    if len(ohms) > 1 and found.series is not series:
        yield Guess(by_ohms(case, sum(ohms) if series else 1 / sum(1 / r for r in ohms)))


_DAMPED = (*LOADED, LOST)


@TOPIC.slip("series-for-parallel", *_DAMPED, *ON_CURRENT)
def series_for_parallel(case: Case) -> Iterator[Guess]:
    """Resistances across a tank added."""
    yield from joined_wrongly(case, series=True)


@TOPIC.slip("parallel-for-series", *_DAMPED, Rung.RESONANT_VOLTAGE)
def parallel_for_series(case: Case) -> Iterator[Guess]:
    """Resistances in a loop taken in parallel."""
    yield from joined_wrongly(case, series=False)


TOPIC.slip("q-inverted", *QS)(q_inverted)


# The square of Q.
TOPIC.answer("loss-root-forgotten", *QS, by=lambda c: c.truth**2, near=True)
# ζ = 1/2Q.
damping_ratio = TOPIC.answer(
    "loss-damping-ratio", *QS, Rung.ENERGY_Q, by=lambda c: 1 / (2 * c.truth), near=True
)


for _id, _same in (
    ("radians-as-hertz", radians_as_hertz),
    ("hertz-as-radians", hertz_as_radians),
    ("two-pi-twice", two_pi_twice),
    ("half-band", half_band),
    ("bandwidth-times-q", bandwidth_times_q),
):
    TOPIC.slip(_id, *BANDS)(_same)


@TOPIC.slip("series-band-on-parallel", *BANDS)
def series_band_on_parallel(case: Case) -> Iterator[Guess]:
    """R/(2πL) for a tank, whose bandwidth is 1/(2πRC)."""
    found = resonator_of(case.ladder)
    if not found.series:
        yield Guess(found.ohms() / (TWO_PI * found.henries), near=True)


@TOPIC.slip("parallel-band-on-series", Rung.BAND_WITH_LOAD)
def parallel_band_on_series(case: Case) -> Iterator[Guess]:
    """1/(2πRC) for a loop, whose bandwidth is R/(2πL)."""
    found = resonator_of(case.ladder)
    if found.series:
        yield Guess(1 / (TWO_PI * found.ohms() * found.farads), near=True)


# ------------------------------------------------------------------------- shares of power


# One half, which is so for equal resistances alone.
TOPIC.answer("half-of-power", Rung.LOAD_SHARE, by=lambda c: 0.5, near=True)
# The share that does not reach the load.
TOPIC.answer("lost-share", Rung.LOAD_SHARE, by=lambda c: 1 - c.truth, near=True)
# The square of the voltage ratio, taken for a share of the power given.
TOPIC.answer("share-squared", Rung.LOAD_SHARE, by=lambda c: c.truth**2)


@TOPIC.slip("part-to-part", Rung.LOAD_SHARE)
def part_to_part(case: Case) -> Iterator[Guess]:
    """The load's part over the other's, for its part of the whole; either way up."""
    yield Guess(case.truth / (1 - case.truth), near=True)
    yield Guess((1 - case.truth) / case.truth, near=True)
