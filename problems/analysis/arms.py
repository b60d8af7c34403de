"""What the arms of a ladder do at DC, at high frequency and at a resonance.

At DC a capacitor is open and an inductor a short; at high frequency it is the other
way round.  An arm stops the signal when it is a series arm that opens or a shunt arm that
is a short; its impedance's poles (series) or zeros (shunt) are then zeros of H(s).
Common practice in every text on network analysis, no single source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from flint import fmpq_poly

from ..algebra import axis_pairs
from ..circuits.model import Arm, Element, Joint, Kind, Ladder, Place, join, leaves, merged
from ..circuits.write import write_circuit, write_element
from .transfer import arm_impedance, element_impedance


class End(StrEnum):
    """The two ends of the frequency axis."""

    LOW = "low"
    HIGH = "high"


class ArmState(StrEnum):
    """What an arm looks like at an end: its reactive parts open or short."""

    OPEN = "open"
    SHORT = "short"
    RESISTIVE = "resistive"


def state(arm: Arm, end: End) -> ArmState:
    """What ``arm`` is at ``end``: open, short, or a resistance left over."""
    if isinstance(arm, Element):
        if arm.kind is Kind.R:
            return ArmState.RESISTIVE
        return ArmState.OPEN if (arm.kind is Kind.C) == (end is End.LOW) else ArmState.SHORT
    states = [state(part, end) for part in arm.parts]
    winner, loser = ArmState.OPEN, ArmState.SHORT
    if arm.joint is Joint.PARALLEL:
        winner, loser = loser, winner
    if winner in states:
        return winner
    return loser if all(s is loser for s in states) else ArmState.RESISTIVE


def remains(arm: Arm, end: End) -> Arm | None:
    """The resistances left of ``arm`` at ``end``; ``None`` for an open or a short."""
    if state(arm, end) is not ArmState.RESISTIVE:
        return None
    if isinstance(arm, Element):
        return arm
    left = [part for p in arm.parts if (part := remains(p, end)) is not None]
    return join(arm.joint, *left)


def making(arm: Arm, end: End) -> tuple[str, ...]:
    """Names of the parts that make ``arm`` what it is at ``end``, an open or a short.

    Of tank and short in parallel it is the short; of two opens in parallel both; empty for a
    resistance.
    """
    wanted = state(arm, end)
    if wanted is ArmState.RESISTIVE:
        return ()
    if isinstance(arm, Element):
        return (arm.name,)
    found = [making(part, end) for part in arm.parts if state(part, end) is wanted]
    return tuple(name for names in found for name in names)


def conducting(arm: Arm, end: End) -> tuple[str, ...]:
    """Names of the parts through which ``arm`` conducts at ``end``; empty for an open."""
    if isinstance(arm, Element):
        return () if state(arm, end) is ArmState.OPEN else (arm.name,)
    if state(arm, end) is ArmState.OPEN:
        return ()
    parts = list(arm.parts)
    shorts = [part for part in parts if state(part, end) is ArmState.SHORT]
    if arm.joint is Joint.PARALLEL and shorts:
        parts = shorts  # a short leaves nothing to what lies beside it
    return tuple(name for part in parts for name in conducting(part, end))


def redrawn(ladder: Ladder, end: End) -> Mapping[str, ArmState]:
    """What each inductor and capacitor of ``ladder`` is at ``end``: name → open or short."""
    return {element.name: state(element, end) for element in ladder.reactive()}


def write_redrawn(ladder: Ladder, end: End, separator: str = "; ") -> str:
    """A ladder at an end as circuit text: ``series C1 (open); shunt R1 = 1 kΩ``.

    Args:
        ladder: the circuit.
        end: the end of the frequency axis.
        separator: what joins the statements.

    Raises:
        QuantityError: a value lies outside 10⁻³⁰ to 10³⁰.
        CircuitError: the text would pass 4 KiB (values that are long quotients).
    """

    def part(element: Element) -> str:
        if not element.kind.reactive:
            return write_element(element)
        return f"{element.name} ({state(element, end)})"

    return write_circuit(ladder, separator, part=part)


def arm_text(arm: Arm) -> str:
    """An arm by its elements' names: "L1 + C1" in series, "L1 ∥ C1" in parallel."""
    if isinstance(arm, Element):
        return arm.name
    sign = " + " if arm.joint is Joint.SERIES else " ∥ "
    return sign.join(
        part.name if isinstance(part, Element) else f"({arm_text(part)})" for part in arm.parts
    )


def is_reactive(arm: Arm) -> bool:
    """Whether the arm holds an inductor or a capacitor."""
    return any(e.kind.reactive for e in leaves(arm))


@dataclass(frozen=True, slots=True)
class PlacedArm:
    """One working arm and where it lies; neighbours in the same place are one arm."""

    place: Place
    arm: Arm

    @property
    def text(self) -> str:
        """The arm by its elements' names."""
        return arm_text(self.arm)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of its elements."""
        return tuple(e.name for e in leaves(self.arm))

    @property
    def reactive(self) -> bool:
        """Whether it holds an inductor or a capacitor."""
        return is_reactive(self.arm)

    def stops(self, end: End) -> bool:
        """Whether it opens in the way, or shorts across it, at an end."""
        wanted = ArmState.OPEN if self.place is Place.SERIES else ArmState.SHORT
        return state(self.arm, end) is wanted

    def impedance(self) -> tuple[fmpq_poly, fmpq_poly]:
        """Its impedance as a cancelled fraction of polynomials in s.

        Raises:
            CircuitError: an element has no value.
        """
        n, d = arm_impedance(self.arm, element_impedance)
        common = n.gcd(d)
        return n // common, d // common

    def stopping(self) -> fmpq_poly:
        """The polynomial whose roots are where it stops the signal: zeros it gives to H."""
        n, d = self.impedance()
        return d if self.place is Place.SERIES else n

    def passing(self) -> fmpq_poly:
        """The polynomial whose roots are where it lets everything through."""
        n, d = self.impedance()
        return n if self.place is Place.SERIES else d

    @property
    def makes_null(self) -> bool:
        """Whether a lossless resonance of the arm stops the signal outright."""
        return axis_pairs(self.stopping()) > 0

    @property
    def makes_peak(self) -> bool:
        """Whether the arm vanishes from the picture at a lossless resonance."""
        return axis_pairs(self.passing()) > 0


@dataclass(frozen=True, slots=True)
class ArmSection:
    """The working arms between two buffers, with what drives and what loads them."""

    rails: tuple[PlacedArm, ...]
    source: Element | None = None
    load: Element | None = None


def _section(rails: list[PlacedArm], source: Element | None, load: Element | None) -> ArmSection:
    if rails and source is None and rails[0].place is Place.SHUNT:
        del rails[0]  # the source holds its voltage whatever hangs across it
    if rails and load is None and rails[-1].place is Place.SERIES:
        del rails[-1]  # no current flows into an open end
    return ArmSection(tuple(rails), source, load)


def sections(ladder: Ladder) -> tuple[ArmSection, ...]:
    """The ladder cut at its buffers, without the arms that do nothing."""
    done: list[ArmSection] = []
    rails: list[PlacedArm] = []
    source = ladder.source
    for stage in merged(ladder).stages:
        if stage.arm is None:
            done.append(_section(rails, source, None))
            rails, source = [], None
        else:
            rails.append(PlacedArm(stage.place, stage.arm))
    return (*done, _section(rails, source, ladder.load))


def idle_arms(ladder: Ladder) -> Iterator[PlacedArm]:
    """Every arm that has none: across an ideal source, or towards an open end."""
    working = {name for arm in working_rails(ladder) for name in arm.names}
    for stage in merged(ladder).stages:
        if stage.arm is not None and next(leaves(stage.arm)).name not in working:
            yield PlacedArm(stage.place, stage.arm)


def decay(cut: Sequence[ArmSection], end: End, active: Collection[PlacedArm] | None = None) -> int:
    """How fast H → 0 at an end: as that power of ε → 0 (ε = s at DC, 1/s at the high end).

    A passive arm goes as ε, 1 or 1/ε: its impedance is positive real, so its poles and zeros at
    the ends are simple.  Sums keep the lowest power, as for s > 0 no term is negative.  At DC it
    is the number of zeros at the origin, at the high end poles less zeros: 20 dB/decade each.

    Args:
        cut: the circuit's working arms, as :func:`sections` gives them.
        end: the end.
        active: arms that may stop the signal, the others that would being taken for
            resistances; ``None``: all.
    """
    total = 0
    for section in cut:
        voltage, current = 0, (0 if section.load else _NONE)
        for rail in reversed(section.rails):
            power = _POWERS[state(rail.arm, end)]
            series = rail.place is Place.SERIES
            stops = power == (-1 if series else 1)
            if active is not None and stops and rail not in active:
                power = 0
            if series:
                voltage = min(voltage, current + power)
            else:
                current = min(current, voltage - power)
        if section.source:
            voltage = min(voltage, current)
        total -= voltage
    return total


_POWERS = {ArmState.OPEN: -1, ArmState.SHORT: 1, ArmState.RESISTIVE: 0}
_NONE = 1000
"""The power of a current that is none."""


def blocks(
    cut: Sequence[ArmSection], end: End, active: Collection[PlacedArm] | None = None
) -> bool:
    """Whether H → 0 at ``end`` of the arms ``cut``, by those ``active``; see :func:`decay`."""
    return decay(cut, end, active) > 0


def plain_end(cut: Sequence[ArmSection], end: End) -> bool:
    """Whether opens and shorts alone decide what the arms ``cut`` do at ``end``.

    They do not where a series arm opens into a shunt arm that opens as fast (two capacitors
    divide even at DC).
    """
    stoppers = [rail for section in cut for rail in section.rails if rail.stops(end)]
    if len(stoppers) < 2:
        return not stoppers or blocks(cut, end)
    return all(blocks(cut, end, active) for active in (None, *([rail] for rail in stoppers)))


def working_rails(ladder: Ladder) -> Iterator[PlacedArm]:
    """Every arm that affects the output, from the source on."""
    for section in sections(ladder):
        yield from section.rails


def limbs_of(section: ArmSection) -> list[PlacedArm]:
    """The arms with source and load, alternating from a series one to a shunt one.

    Empty where nothing acts.
    """
    limbs = list(section.rails)
    if section.source is not None:
        _merge(limbs, 0, PlacedArm(Place.SERIES, section.source))
    if section.load is not None:
        _merge(limbs, len(limbs), PlacedArm(Place.SHUNT, section.load))
    # Across an ideal source, or with nothing to draw current, an arm left alone does nothing.
    if limbs and limbs[0].place is Place.SHUNT:
        del limbs[0]
    if limbs and limbs[-1].place is Place.SERIES:
        del limbs[-1]
    return limbs


def _merge(limbs: list[PlacedArm], at: int, end: PlacedArm) -> None:
    beside = 0 if at == 0 else at - 1
    if not limbs or limbs[beside].place is not end.place:
        limbs.insert(at, end)
        return
    old = limbs[beside].arm
    parts = (end.arm, old) if at == 0 else (old, end.arm)
    limbs[beside] = PlacedArm(end.place, join(end.place.joint, *parts))
