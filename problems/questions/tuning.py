"""Tuning a resonator along its band with a variable capacitor, or a variable coil.

One L and one C resonate: f0 goes with one over the root of either, so that the values at the two
ends of a band are as the square of its frequencies.  Q and bandwidth at the other end are those of
the circuit itself with the other value, exact.  The bands of medium-wave broadcasting are those of
``reverse.BANDS``; the formulas are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from ..analysis.design import Pair, pair_of
from ..analysis.losses import lossy_arm
from ..analysis.response import Facts, facts
from ..chance import Chance
from ..circuits.altered import with_value
from ..circuits.model import Element, Ladder
from ..quantities.read import read_quantity
from ..quantities.units import Quantity
from ..quantities.write import rounded, write_quantity
from .asking import Asking, Stream, quantity
from .effects import exact_bandwidth
from .kinds import MAKERS
from .model import Choice, Form, Question, Rung, Values
from .reverse import BANDS
from .values import value_of

LOWER, UPPER, SAME = "lower", "upper", "same"

RATIOS = tuple(Fraction(n, 10) for n in (14, 15, 16, 18, 20, 25, 30))
"""Upper over lower end of a band."""

_MEDIUM_WAVE = range(400_000, 2_000_001)
"""Where a resonator is thought of as one for medium waves, in Hz."""
_STRAYS = tuple(Fraction(n, 100) for n in (10, 15, 20, 25, 30, 40))
"""A stray capacitance, in parts of the least of the variable capacitor."""

POWERS: Mapping[tuple[bool, str], tuple[int, int]] = MappingProxyType(
    {
        (True, "C"): (1, 0),  # Q = ω0·L/R, B = R/(2π·L)
        (True, "L"): (-1, 2),  # Q = 1/(ω0·C·R)
        (False, "C"): (-1, 2),  # Q = R/(ω0·L)
        (False, "L"): (1, 0),  # Q = ω0·C·R, B = 1/(2π·R·C)
    }
)
"""The powers of f0 that Q and bandwidth go with, by whether all resistance is in series with the
pair, and by which part is turned."""


@dataclass(frozen=True)
class Tuning:
    """A resonator that is tuned: which part is turned, over which band.

    Args:
        pair: the L and the C, and the resistance that damps them.
        part: the one that is turned.
        ratio: the upper end of the band over the lower.
        here: at which end the circuit is tuned as drawn.
        before: the facts of the circuit as drawn.
    """

    pair: Pair
    part: Element
    ratio: Fraction
    here: str
    before: Facts

    @property
    def there(self) -> str:
        """The other end."""
        return UPPER if self.here == LOWER else LOWER

    @property
    def after(self) -> Facts:
        """The facts of the circuit tuned to the other end."""
        return facts(retuned(self.before.ladder, self.part.name, self.ratio, self.here))

    @property
    def powers(self) -> tuple[int, int]:
        """The powers of f0 that Q and bandwidth go with."""
        return POWERS[self.pair.series, self.part.kind.value]

    @property
    def values(self) -> Values:
        """What fills the sentences."""
        ends = (("here", self.here), ("there", self.there))
        ratio = write_quantity(self.ratio, "")
        return (("part", self.part.name), *ends, ("ratio", ratio))


def retuned(ladder: Ladder, name: str, ratio: Fraction, here: str) -> Ladder:
    """The circuit tuned to the other end of its band.

    Args:
        ladder: the circuit as drawn.
        name: the part that is turned.
        ratio: the upper end over the lower.
        here: the end at which the circuit is tuned as drawn.
    """
    times = 1 / ratio**2 if here == LOWER else ratio**2
    return with_value(ladder, name, ladder.part(name).amount * times)


@lru_cache(maxsize=64)
def resonator(ladder: Ladder) -> Pair | None:
    """The L and the C of a band-pass or a notch that can be tuned; ``None`` of any other."""
    known = facts(ladder)
    if not known.type.banded or known.transfer.order != 2:
        return None
    if lossy_arm(ladder) is not None:  # its losses would hardly be the same at both ends
        return None
    return pair_of(ladder)


def tuning_of(known: Facts, stream: Stream) -> Tuning | None:
    """How the resonator of a circuit is tuned, for all questions of a problem.

    Args:
        known: the facts of the circuit.
        stream: names the problem's own chance.
    """
    pair = resonator(known.ladder)
    if pair is None:
        return None
    chance = Chance(*stream, "tuning")
    part = chance.pick((pair.inductor, pair.capacitor))
    return Tuning(pair, part, chance.pick(RATIOS), chance.pick((LOWER, UPPER)), known)


def tuned(ladder: Ladder, values: Values) -> Tuning:
    """What a question's ``values`` say of how the circuit ``ladder`` is tuned.

    Raises:
        LookupError: it has no resonator, or the values name none of its parts.
    """
    pair = resonator(ladder)
    if pair is None:
        raise LookupError("there is no resonator to be tuned")
    name = value_of(values, "part", str)
    part = next(e for e in (pair.inductor, pair.capacitor) if e.name == name)
    ratio = Fraction(value_of(values, "ratio", str))
    return Tuning(pair, part, ratio, value_of(values, "here", str), facts(ladder))


def farads(values: Values, key: str) -> Fraction:
    """The capacitance in farads that a question's ``values`` tell under a ``key``.

    Raises:
        LookupError: there is none.
    """
    return read_quantity(value_of(values, key, str), "F").value


@MAKERS(Rung.TUNING_RATIO)
def _tuning_ratio(asking: Asking) -> Question | None:
    """By what the capacitance, or the inductance, is to change over a band."""
    found = tuning_of(asking.facts, asking.stream)
    corner = asking.facts.corner_hz
    if found is None or not corner:
        return None
    low = rounded(corner)
    high, asked = rounded(low * found.ratio), "range"
    if int(corner) in _MEDIUM_WAVE:
        (low, high), asked = asking.chance.pick(BANDS), "broadcast"
    values: Values = (
        ("asked", asked),
        ("part", found.part.name),
        ("f1", Quantity(low, "Hz")),
        ("f2", Quantity(high, "Hz")),
    )
    truth = float((high / low) ** 2)
    return quantity(Rung.TUNING_RATIO, truth, "", values)


@MAKERS(Rung.TUNED_Q)
def _tuned_q(asking: Asking) -> Question | None:
    found = tuning_of(asking.facts, asking.stream)
    q = found.after.q if found is not None else None
    if found is None or q is None:
        return None
    values = (("asked", found.there), *found.values)
    return quantity(Rung.TUNED_Q, q, "", values)


@MAKERS(Rung.TUNED_BAND)
def _tuned_band(asking: Asking) -> Question | None:
    found = tuning_of(asking.facts, asking.stream)
    band = exact_bandwidth(found.after) if found is not None else None
    if found is None or band is None:
        return None
    values = (("asked", found.there), *found.values)
    return quantity(Rung.TUNED_BAND, float(band) / math.tau, "Hz", values)


NARROW, WIDE, SHARP = "narrow", "wide", "sharp"


def sharpest(powers: tuple[int, int], asked: str) -> str:
    """At which end the band is narrower ("narrow") or wider ("wide"), or Q higher ("sharp").

    Args:
        powers: those of f0 that Q and bandwidth go with.
        asked: which of the three.
    """
    power = powers[0] if asked == SHARP else powers[1] * (-1 if asked == NARROW else 1)
    return UPPER if power > 0 else LOWER if power < 0 else SAME


@MAKERS(Rung.TUNED_END)
def _tuned_end(asking: Asking) -> Question | None:
    """At which end: each answer is as likely, as far as the part that is turned allows."""
    found = tuning_of(asking.facts, asking.stream)
    if found is None or exact_bandwidth(found.before) is None:
        return None
    asked = asking.chance.pick((NARROW, WIDE, SHARP))
    choices = tuple(Choice(end) for end in (LOWER, UPPER, SAME))
    values = (("asked", asked), *found.values)
    truth = sharpest(found.powers, asked)
    return Question(Rung.TUNED_END, Form.CHOICE, truth, choices, values=values)


@MAKERS(Rung.HALF_IN)
def _half_in(asking: Asking) -> Question | None:
    """The frequency with the variable part halfway between its least and its greatest value."""
    found = tuning_of(asking.facts, asking.stream)
    corner = asking.facts.corner_hz
    if found is None or not corner:
        return None
    low = rounded(corner)
    high = rounded(low * found.ratio)
    # 1/f² goes as the value: halfway between the values is halfway between the squares.
    truth = math.sqrt(2 / (1 / low**2 + 1 / high**2))
    values: Values = (
        ("asked", found.part.kind.value),
        ("part", found.part.name),
        ("f1", Quantity(low, "Hz")),
        ("f2", Quantity(high, "Hz")),
    )
    return quantity(Rung.HALF_IN, truth, "Hz", values)


@MAKERS(Rung.STRAY_RANGE)
def _stray_range(asking: Asking) -> Question | None:
    """What a stray capacitance leaves of a tuning range."""
    found = tuning_of(asking.facts, asking.stream)
    if found is None or found.part is not found.pair.capacitor or found.part.value is None:
        return None
    least = rounded(float(found.part.value))
    most = rounded(least * found.ratio**2)
    stray = rounded(least * asking.chance.pick(_STRAYS))
    values: Values = (
        ("part", found.part.name),
        *(
            (key, write_quantity(value, "F", 6))
            for key, value in (("least", least), ("most", most), ("stray", stray))
        ),
    )
    truth = math.sqrt((most + stray) / (least + stray))
    return quantity(Rung.STRAY_RANGE, truth, "", values)
