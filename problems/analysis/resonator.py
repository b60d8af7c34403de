"""A resonator in plain sight: one L and one C in one loop, or side by side across the source.

In a loop all resistance is in series with L and C, and at resonance the whole source voltage is
across it: Q = √(L/C)/R, and L and C each have Q times the source's voltage.  A tank between a
source and a load has all resistance in parallel: Q = R·√(C/L), and L and C each carry Q times the
current that flows into it.  Both are 2π times the energy stored over the energy lost in a period
(OpenStax, "University Physics", vol. 2, section 15.5; Alexander and Sadiku, "Fundamentals of
Electric Circuits", sections 14.5 and 14.6, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from ..circuits.model import Arm, Element, Joint, Kind, Ladder, Place, leaves, merged


@dataclass(frozen=True, slots=True)
class PlainResonator:
    """One L and one C, and the resistances that damp them.

    Args:
        series: whether all lie in one loop; else in parallel, the source's resistance too.
        inductor: the coil.
        capacitor: the capacitor.
        resistances: all of them, from the source on.
        source: that of the source, if it is one of them.
        load: the load, if it is one of them.
    """

    series: bool
    inductor: Element
    capacitor: Element
    resistances: tuple[Element, ...]
    source: Element | None
    load: Element | None

    @property
    def henries(self) -> float:
        """L in H."""
        return float(self.inductor.amount)

    @property
    def farads(self) -> float:
        """C in F."""
        return float(self.capacitor.amount)

    @property
    def omega(self) -> float:
        """ω0 in rad/s."""
        return 1 / math.sqrt(self.henries * self.farads)

    @property
    def reactance(self) -> float:
        """Of L and of C at resonance, √(L/C), in Ω."""
        return math.sqrt(self.henries / self.farads)

    @property
    def behind(self) -> tuple[Element, ...]:
        """The resistances that lie across a tank, without the source's."""
        return tuple(r for r in self.resistances if r != self.source)

    @property
    def without_load(self) -> tuple[Element, ...]:
        """The resistances without the load."""
        return tuple(r for r in self.resistances if r != self.load)

    def ohms(self, resistances: Iterable[Element] | None = None) -> float:
        """What some of the resistances come to at the resonator, in Ω; all of them by default."""
        values = [
            float(r.amount) for r in (self.resistances if resistances is None else resistances)
        ]
        return sum(values) if self.series else 1 / sum(1 / ohms for ohms in values)

    def q(self, resistances: Iterable[Element] | None = None) -> float:
        """Q with some of the resistances; with all of them by default."""
        return self.q_of(self.ohms(resistances))

    def q_of(self, ohms: float) -> float:
        """Q with so many ``ohms`` in the loop, or across the tank."""
        return self.reactance / ohms if self.series else ohms / self.reactance

    def bandwidth_hz(self, resistances: Iterable[Element] | None = None) -> float:
        """f0/Q in Hz, with some of the resistances; with all of them by default."""
        return self.omega / math.tau / self.q(resistances)

    def stored(self, amplitude: float) -> float:
        """Energy in J at resonance: ½·L·Î² in a loop, ½·C·V̂² in a tank.

        ``amplitude`` is that of the current in A, or of the voltage in V.
        """
        return (self.henries if self.series else self.farads) * amplitude**2 / 2

    def lost(self, amplitude: float, resistances: Iterable[Element] | None = None) -> float:
        """Energy in J that resistances take in a period at resonance.

        Args:
            amplitude: of the current in A, or of the voltage in V.
            resistances: some of them; all by default.
        """
        ohms = self.ohms(resistances)
        power = amplitude**2 / 2 * (ohms if self.series else 1 / ohms)
        return power * math.tau / self.omega

    def load_share(self) -> float | None:
        """The share of all power that ends in the load at resonance; ``None`` without a load.

        L and C then neither take nor give, and one current flows through all resistances; ``None``
        too where it branches.
        """
        if self.load is None or (not self.series and len(self.behind) != 1):
            return None
        return float(self.load.amount) / sum(float(r.amount) for r in self.resistances)


def resonator_of(ladder: Ladder) -> PlainResonator:
    """The resonator of a circuit that has one in plain sight.

    Raises:
        LookupError: there is none.
    """
    found = plain_resonator(ladder)
    if found is None:
        raise LookupError("no resonator in plain sight")
    return found


@lru_cache(maxsize=64)
def plain_resonator(ladder: Ladder) -> PlainResonator | None:
    """The resonator of a circuit that is one loop, or one tank; ``None`` of any other.

    The circuit has values.
    """
    drawn = merged(ladder)
    places = [stage.place for stage in drawn.stages]
    arms = [stage.arm for stage in drawn.stages if stage.arm is not None]
    series = places != [Place.SHUNT]
    loop = [Place.SERIES] if ladder.load is not None else [Place.SERIES, Place.SHUNT]
    if places != loop and (series or ladder.source is None):
        return None
    joint = Joint.SERIES if series else Joint.PARALLEL
    if not all(_joined(arm, joint) for arm in arms):
        return None
    by_kind = {kind: [e for e in ladder.elements() if e.kind is kind] for kind in Kind}
    if len(by_kind[Kind.L]) != 1 or len(by_kind[Kind.C]) != 1 or not by_kind[Kind.R]:
        return None
    (coil,), (capacitor,) = by_kind[Kind.L], by_kind[Kind.C]
    return PlainResonator(
        series, coil, capacitor, tuple(by_kind[Kind.R]), ladder.source, ladder.load
    )


def _joined(arm: Arm, joint: Joint) -> bool:
    """Whether an arm is one element, or elements in that joint alone."""
    return isinstance(arm, Element) or (
        arm.joint is joint and len(arm.parts) == sum(1 for _ in leaves(arm))
    )
