"""Energy at resonance: what is stored, what is lost, what L and C see of it, and what a load costs.

Asked of a resonator in plain sight alone (``analysis/resonator.py``, with the sources of the
formulas).  Amplitudes are peak values; each is drawn so that its square is not itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from functools import partial

from ..analysis.resonator import PlainResonator, plain_resonator
from ..quantities.spelling import listed
from ..quantities.units import Quantity
from ..quantities.write import rounded
from .asking import Asking, quantity
from .kinds import MAKERS
from .model import Question, Rung, Values

VOLTS = tuple(Fraction(n, 10) for n in (2, 3, 5, 30, 50, 100, 120))
AMPS = tuple(Fraction(n, 1000) for n in (2, 3, 5, 20, 30, 50, 200))

LEAST_RINGING = 1.0
"""Below this Q nothing rings, and nobody speaks of energy lost in a period."""

RINGING = {True: "loop", False: "tank"}
"""What a resonator is called in the words, by whether it is in series."""


def resonator_of(asking: Asking) -> PlainResonator | None:
    """The resonator in plain sight that is asked about, if there is one."""
    return None if asking.facts.transfer.order != 2 else plain_resonator(asking.facts.ladder)


def amplitude(found: PlainResonator, values: Values) -> float:
    """The amplitude that a question gives: of the current in a loop, of a tank's voltage.

    Args:
        found: the resonator.
        values: those of the question.
    """
    given = dict(values)["amps" if found.series else "volts"]
    assert isinstance(given, Quantity)
    return float(given.value)


def named(found: PlainResonator) -> Values:
    """The names that the prompts of a resonator use."""
    return (
        ("inductor", found.inductor.name),
        ("capacitor", found.capacitor.name),
        ("resistances", listed((r.name for r in found.resistances), "and")),
    )


def worded(found: PlainResonator) -> Values:
    """The same, where the prompts of a loop and of a tank are different ones."""
    return (("asked", RINGING[found.series]), *named(found))


def _swing(found: PlainResonator, asking: Asking) -> Values:
    """An amplitude that several kinds of a problem share."""
    chance = asking.drawn("ringing")
    if found.series:
        return (("amps", Quantity(chance.pick(AMPS), "A")),)
    return (("volts", Quantity(chance.pick(VOLTS), "V")),)


def _ringing(asking: Asking, *, from_figures: bool) -> PlainResonator | None:
    """The resonator, where it rings and either its energy is asked or its Q, from energies."""
    found = resonator_of(asking)
    if found is None or found.q() < LEAST_RINGING:
        return None
    # Whoever is asked for the energies is not told them beside.
    return found if (asking.drawn("energy").below(2) == 1) is from_figures else None


def _energy(
    rung: Rung, energy: Callable[[PlainResonator, float], float], asking: Asking
) -> Question | None:
    found = _ringing(asking, from_figures=False)
    if found is None:
        return None
    values = (*worded(found), *_swing(found, asking))
    return quantity(rung, energy(found, amplitude(found, values)), "J", values)


MAKERS(Rung.STORED_ENERGY)(partial(_energy, Rung.STORED_ENERGY, PlainResonator.stored))
MAKERS(Rung.LOST_ENERGY)(partial(_energy, Rung.LOST_ENERGY, PlainResonator.lost))


@MAKERS(Rung.ENERGY_Q)
def _energy_q(asking: Asking) -> Question | None:
    found = _ringing(asking, from_figures=True)
    if found is None:
        return None
    swing = _swing(found, asking)
    much = amplitude(found, swing)
    stored, lost = rounded(found.stored(much), 4), rounded(found.lost(much), 4)
    given = (("stored", Quantity(stored, "J")), ("lost", Quantity(lost, "J")))
    truth = math.tau * float(stored / lost)
    return quantity(Rung.ENERGY_Q, truth, "", (*named(found), *swing, *given))


def _one_of(asking: Asking, found: PlainResonator) -> str:
    return asking.chance.pick((found.inductor.name, found.capacitor.name))


@MAKERS(Rung.RESONANT_VOLTAGE)
def _voltage(asking: Asking) -> Question | None:
    found = resonator_of(asking)
    if found is None or not found.series:
        return None
    volts = asking.chance.pick(VOLTS)
    values = (
        *named(found),
        ("volts", Quantity(volts, "V")),
        ("element", _one_of(asking, found)),
    )
    return quantity(Rung.RESONANT_VOLTAGE, float(volts) * found.q(), "V", values)


@MAKERS(Rung.RESONANT_CURRENT)
def _current(asking: Asking) -> Question | None:
    found = resonator_of(asking)
    if found is None or found.series or not found.behind:
        return None
    amps = asking.chance.pick(AMPS)
    values = (
        *named(found),
        ("amps", Quantity(amps, "A")),
        ("element", _one_of(asking, found)),
        ("behind", listed((r.name for r in found.behind), "and")),
    )
    return quantity(Rung.RESONANT_CURRENT, float(amps) * found.q(found.behind), "A", values)


def _loaded(asking: Asking) -> PlainResonator | None:
    """The resonator, where it has a load and damping without it."""
    found = resonator_of(asking)
    return found if found is not None and found.load and found.without_load else None


def _load(found: PlainResonator) -> Values:
    assert found.load is not None
    return (("load", found.load.name),)


@MAKERS(Rung.Q_WITHOUT_LOAD)
def _without(asking: Asking) -> Question | None:
    found = _loaded(asking)
    if found is None:
        return None
    values = (*worded(found), *_load(found))
    return quantity(Rung.Q_WITHOUT_LOAD, found.q(found.without_load), "", values)


_WITH_LOAD: dict[Rung, tuple[str, Callable[[PlainResonator], float | None]]] = {
    Rung.Q_WITH_LOAD: ("", PlainResonator.q),
    Rung.BAND_WITH_LOAD: ("Hz", PlainResonator.bandwidth_hz),
    Rung.LOAD_SHARE: ("", PlainResonator.load_share),
}
"""Figures of a resonator with its load, and their units."""


def _with(rung: Rung, asking: Asking) -> Question | None:
    found, (unit, figure) = _loaded(asking), _WITH_LOAD[rung]
    truth = None if found is None else figure(found)
    if found is None or truth is None:
        return None
    return quantity(rung, truth, unit, (*named(found), *_load(found)))


for _rung in _WITH_LOAD:
    MAKERS(_rung)(partial(_with, _rung))
