"""What the losses of a resonator do: its Q alone and loaded, and the voltage they cost.

A resonator of one L and one C in an arm of its own has a Q of its own where resistances lie in that
arm, its *unloaded* Q: √(L/C)/R with R in the coil's wire.  Source and load damp it further; the Q
of the circuit's poles is the *loaded* one.  At resonance the losses divide the voltage:

* a band-pass passes 1 − QL/QU of what the load would have without it (insertion loss);
* a notch lets QL/QU of the pass band through (its depth).

Both are exact for a series L-R-C and right to 1/QU² for a tank.  Found in every text on radio
circuits, such as Hayward, "Introduction to Radio Frequency Design" (from memory); derived anew in
the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from ..algebra import square_root
from ..circuits.model import Element, Kind, Ladder, leaves
from ..formulas.tree import Formula, Letter, Product, Quotient, SquareRoot
from .arms import ArmSection, PlacedArm, sections
from .response import Facts, FilterType, facts


@dataclass(frozen=True, slots=True)
class LossyArm:
    """An arm that is a resonator with losses, between a source and a load.

    Args:
        placed: the arm.
        inductor: its coil.
        capacitor: its capacitor.
        resistors: its losses.
        q_squared: the square of its own Q, exact.
        section: the circuit it lies in.
    """

    placed: PlacedArm
    inductor: Element
    capacitor: Element
    resistors: tuple[Element, ...]
    q_squared: Fraction
    section: ArmSection

    @property
    def unloaded_q(self) -> float:
        """Its own Q, without source and load."""
        return square_root(self.q_squared)

    @property
    def formula(self) -> Formula | None:
        """That in letters, where one resistance makes it: √(L/C)/R, or R·√(C/L); else ``None``."""
        if len(self.resistors) != 1:
            return None
        (loss,) = self.resistors
        coil, capacitor = self.inductor, self.capacitor
        over = coil.amount / capacitor.amount / loss.amount**2
        henries, farads, ohms = (Letter(e.name) for e in (coil, capacitor, loss))
        if over == self.q_squared:
            return Quotient(SquareRoot(Quotient(henries, farads)), ohms)
        if over * self.q_squared == 1:
            return Product((ohms, SquareRoot(Quotient(farads, henries))))
        return None


def lossy_arm(ladder: Ladder) -> LossyArm | None:
    """The one resonator with losses of a circuit that holds no other L or C.

    ``None`` where there is none, where nothing loads it, and where it does not ring on its own
    (Q of ½ and less), since it is then no resonator.
    """
    cut = sections(ladder)
    if len(cut) != 1 or len(ladder.reactive()) != 2:
        return None
    (section,) = cut
    if section.source is None and section.load is None:
        return None
    working = {name for rail in section.rails for name in rail.names}
    # As drawn: a resistance in an arm beside it is a load on it, and none of its own losses.
    arms = (PlacedArm(s.place, s.arm) for s in ladder.stages if s.arm is not None)
    for rail in arms:
        if not working.issuperset(rail.names):
            continue
        parts = tuple(leaves(rail.arm))
        kinds = [part.kind for part in parts]
        if kinds.count(Kind.L) == kinds.count(Kind.C) == 1 and Kind.R in kinds:
            q_squared = _own_q_squared(rail)
            if q_squared is None or q_squared <= Fraction(1, 4):
                return None
            return LossyArm(
                rail,
                parts[kinds.index(Kind.L)],
                parts[kinds.index(Kind.C)],
                tuple(part for part in parts if part.kind is Kind.R),
                q_squared,
                section,
            )
    return None


def _own_q_squared(rail: PlacedArm) -> Fraction | None:
    """Q² of the arm: of its impedance's zeros in a series arm, of its poles in a tank."""
    zeros, poles = rail.impedance()
    # A tank has two poles and fewer zeros; L and C in series two zeros and fewer poles.
    if zeros.degree() == poles.degree():
        return None
    quadratic = zeros if zeros.degree() > poles.degree() else poles
    if quadratic.degree() != 2:
        return None
    a0, a1, a2 = (Fraction(int(c.p), int(c.q)) for c in quadratic.coeffs())
    return a0 * a2 / (a1 * a1) if a1 else None


@lru_cache(maxsize=64)
def shifted_slightly(ladder: Ladder) -> bool:
    """Whether losses shift the corner a little from that of the bare L and C, 1/(2π√(L·C)).

    They do where they lie in the coil's branch of a tank: by R/R' in ω0², with R' across it.
    """
    arm = lossy_arm(ladder)
    if arm is None:
        return False
    squared = facts(ladder).corner_squared
    return squared != 1 / (arm.inductor.amount * arm.capacitor.amount)


def loaded_q(facts: Facts) -> float | None:
    """The Q of the poles, with source and load; ``None`` without a resonator that has losses."""
    return None if facts.transfer.order != 2 or lossy_arm(facts.ladder) is None else facts.q


def unloaded_q(facts: Facts) -> float | None:
    """The Q of the resonator alone; ``None`` where there is none that has losses."""
    found = lossy_arm(facts.ladder) if facts.transfer.order == 2 else None
    return None if found is None else found.unloaded_q


def without_filter(facts: Facts) -> Fraction | None:
    """|Vout/Vsource| with the source connected straight to the load; ``None`` without both."""
    source, load = facts.ladder.source, facts.ladder.load
    if source is None or load is None or source.value is None or load.value is None:
        return None
    return load.value / (source.value + load.value)


def insertion_loss_db(facts: Facts) -> float | None:
    """How many dB less a band-pass gives the load at its peak than a straight connection would.

    ``None`` where the losses of its resonator are not what it is about.
    """
    straight = without_filter(facts)
    if facts.type is not FilterType.BAND_PASS or straight is None or facts.peak_gain is None:
        return None
    if unloaded_q(facts) is None:
        return None
    return 20 * math.log10(float(straight) / facts.peak_gain)


def notch_depth_db(facts: Facts) -> float | None:
    """How many dB the bottom of a notch of finite depth lies below its pass band."""
    if facts.type is not FilterType.NOTCH or unloaded_q(facts) is None:
        return None
    depth = facts.depth_db
    return depth if depth is not None and depth < math.inf else None
