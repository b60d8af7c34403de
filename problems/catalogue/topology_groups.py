"""Which group of look-alikes a circuit belongs to, by its structure alone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..analysis.arms import PlacedArm, sections
from ..analysis.response import FilterType
from ..analysis.structural import structural_facts
from ..circuits.model import Group, Joint, Kind, Ladder, Place, leaves, merged
from .groups import SkillGroup


def group_of_ladder(ladder: Ladder) -> SkillGroup:
    """The group that teaches what this circuit asks for."""
    known = structural_facts(ladder)
    if known.hidden or known.type is FilterType.FLAT or _idle(ladder):
        return SkillGroup.DECOYS
    resistors = sum(e.kind is Kind.R for e in ladder.elements())
    if known.order == 1:
        return SkillGroup.ONE_POLE if resistors == 1 else SkillGroup.LOADED
    if known.order > 2:
        return SkillGroup.LADDERS
    if _is_loop(ladder):
        return SkillGroup.TAPS
    rails = [rail for section in sections(ladder) for rail in section.rails]
    kinds = [{e.kind for e in leaves(rail.arm)} & {Kind.L, Kind.C} for rail in rails]
    if any(len(some) == 2 for some in kinds):
        return SkillGroup.LC_ARMS
    buffered = any(stage.place is Place.BUFFER for stage in ladder.stages)
    return SkillGroup.L_SECTIONS if not buffered and _meet(rails) else SkillGroup.CASCADES


def _idle(ladder: Ladder) -> bool:
    """Whether a part lies across an ideal source or leads to an open end."""
    drawn = sum(1 for _ in ladder.elements())
    return drawn != sum(1 for _ in _working(ladder))


def _working(ladder: Ladder) -> Iterator[str]:
    for section in sections(ladder):
        for end in (section.source, section.load):
            if end is not None:
                yield end.name
        for rail in section.rails:
            yield from rail.names


def _is_loop(ladder: Ladder) -> bool:
    """Whether R, L and C, one of each, make one loop with the source, the output across a part."""
    if ladder.load is not None:
        return False
    kinds = sorted(e.kind for e in ladder.elements())
    if kinds != [Kind.C, Kind.L, Kind.R]:
        return False
    stages = merged(ladder).stages
    if any(isinstance(s.arm, Group) and s.arm.joint is Joint.PARALLEL for s in stages):
        return False
    return sum(stage.place is not Place.SERIES for stage in stages) == 1


def _meet(rails: list[PlacedArm]) -> bool:
    """Whether an L and a C stand in arms next to each other."""
    kinds = [{e.kind for e in leaves(rail.arm)} & {Kind.L, Kind.C} for rail in rails]
    return any({*one, *other} == {Kind.L, Kind.C} for one, other in pairwise(kinds))
