"""The circuit as it is redrawn in its pass band: opens and shorts, and the divider that is left."""

from __future__ import annotations

from collections.abc import Sequence

from ..analysis.arms import ArmSection, ArmState, End, PlacedArm, limbs_of, remains, sections, state
from ..analysis.response import FilterType
from ..circuits.altered import without
from ..circuits.model import Ladder, Place, join
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
    end, pair = pass_band_end(case), case.resonator
    if end is not None:
        redrawn = [_at_end(section, end) for section in sections(case.ladder)]
        if any(section is None for section in redrawn):
            return None
        return [limbs_of(section) for section in redrawn if section is not None]
    if case.facts.type is not FilterType.BAND_PASS or pair is None:
        return None
    left: Ladder | None = case.ladder
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
