"""The circuit as it is redrawn in its pass band: opens and shorts, and the divider that is left."""

from __future__ import annotations

from collections.abc import Sequence

from ..analysis.arms import ArmSection, ArmState, End, PlacedArm, limbs_of, remains, sections, state
from ..analysis.design import Pair, pair_at
from ..analysis.response import FilterType
from ..circuits.altered import without
from ..circuits.model import Arm, Element, Joint, Kind, Ladder, Place, Stage, join, merged
from .case import Case


def pass_band_end(case: Case) -> End | None:
    """The end of the frequency axis at which the pass band lies; ``None`` where it is at neither.

    Args:
        case: the circuit, and what is true of it.
    """
    match case.facts.type:
        case FilterType.LOW_PASS | FilterType.FLAT:
            return End.LOW
        case FilterType.HIGH_PASS:
            return End.HIGH
        case FilterType.NOTCH if case.facts.gain_low == case.facts.gain_high:
            return End.LOW
    return None


def dividers(case: Case) -> list[list[PlacedArm]] | None:
    """The resistances left in the pass band, section by section: series and shunt by turns.

    At an end of the frequency axis L and C are opens and shorts; at the resonance of the one pair
    of a band-pass they cancel.  ``None`` where no such picture gives the pass band's gain.

    Args:
        case: the circuit, and what is true of it.
    """
    end, pair = pass_band_end(case), resonator_of(case)
    if end is not None:
        redrawn = [_at_end(section, end) for section in sections(case.ladder)]
        if any(section is None for section in redrawn):
            return None
        return [limbs_of(section) for section in redrawn if section is not None]
    if case.facts.type is not FilterType.BAND_PASS or pair is None:
        return None
    left: Ladder | None = combined(case.ladder)
    for part in pair.inductor, pair.capacitor:
        left = left and without(left, part.name)
    if left is None:  # nothing but the pair stands between the source and the load
        source, load = case.ladder.source, case.ladder.load
        return [limbs_of(ArmSection((), source, load))]
    return [limbs_of(_merged(section)) for section in sections(left)]


def _at_end(section: ArmSection, end: End) -> ArmSection | None:
    """The section with opens and shorts; ``None`` where one of them stops the signal."""
    kept: list[PlacedArm] = []
    for rail in section.rails:
        if rail.stops(end):
            return None
        left = remains(rail.arm, end)
        if left is not None and state(rail.arm, end) is ArmState.RESISTIVE:
            kept.append(PlacedArm(rail.place, left))
    return _merged(ArmSection(tuple(kept), section.source, section.load))


def _merged(section: ArmSection) -> ArmSection:
    """The section with neighbours of one place as one arm."""
    found: list[PlacedArm] = []
    for rail in section.rails:
        if found and found[-1].place is rail.place:
            found[-1] = PlacedArm(rail.place, join(rail.place.joint, found[-1].arm, rail.arm))
        else:
            found.append(rail)
    return ArmSection(tuple(found), section.source, section.load)


def divides(limbs: Sequence[PlacedArm]) -> bool:
    """Whether some voltage is left behind on the way: a series limb before a shunt one."""
    return {limb.place for limb in limbs} == {Place.SERIES, Place.SHUNT}


def resonator_of(case: Case) -> Pair | None:
    """The one resonator of the circuit, like parts that combine being one.

    Args:
        case: the circuit, and what is true of it.
    """
    if case.resonator is not None or not case.facts.hidden:
        return case.resonator
    return pair_at(combined(case.ladder))


def combined(ladder: Ladder) -> Ladder:
    """``ladder`` with the inductors, and the capacitors, of one chain or bank as one part."""
    drawn = merged(ladder)
    stages = (Stage(s.place, s.arm and _combined(s.arm)) for s in drawn.stages)
    return Ladder(tuple(stages), drawn.source, drawn.load)


def _combined(arm: Arm) -> Arm:
    if isinstance(arm, Element):
        return arm
    parts: list[Arm] = []
    for part in map(_combined, arm.parts):
        same = [p for p in parts if _alike(p, part)]
        if not same:
            parts.append(part)
        elif isinstance(part, Element) and isinstance(same[0], Element):
            parts[parts.index(same[0])] = _one(same[0], part, arm.joint)
    return join(arm.joint, *parts)


def _alike(one: Arm, other: Arm) -> bool:
    return (
        isinstance(one, Element)
        and isinstance(other, Element)
        and one.kind is other.kind
        and one.kind.reactive
    )


def _one(first: Element, second: Element, joint: Joint) -> Element:
    """Two like parts as one: inductances add in series, capacitances in parallel."""
    a, b = first.value, second.value
    if a is None or b is None:
        return first
    adds = (joint is Joint.SERIES) == (first.kind is Kind.L)
    return Element(first.kind, first.name, a + b if adds else a * b / (a + b))
