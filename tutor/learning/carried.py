"""What climbs have shown of what looks ask: the one is carried on into the other."""

from __future__ import annotations

from collections.abc import Mapping

from ...problems.catalogue.groups import SkillGroup
from ...problems.questions.looks import LookKind
from ...problems.questions.model import Rung
from .recognition import ENDS
from .skill_map import skill_name
from .skills import SkillState

IN_GROUPS = 2
"""A rule that is one for all circuits counts as known where so many groups have shown it."""

_RULES: tuple[tuple[str, tuple[Rung, ...]], ...] = (
    (ENDS, (Rung.LOW_END, Rung.HIGH_END)),
    (LookKind.FED.value, (Rung.FED,)),
    (LookKind.POLES.value, (Rung.POLES,)),
    (LookKind.ORIGIN_ZEROS.value, (Rung.ORIGIN_ZEROS,)),
    (LookKind.LOW_SLOPE.value, (Rung.LOW_SLOPE,)),
    (LookKind.HIGH_SLOPE.value, (Rung.HIGH_SLOPE,)),
    (LookKind.WHICH_CIRCUIT.value, (Rung.WHICH_CIRCUIT,)),
)


def carried(states: Mapping[str, SkillState]) -> frozenset[str]:
    """The skills of looks that climbs have shown: known until looks say otherwise.

    Args:
        states: of the skills of climbs.
    """
    groups = [group for group in SkillGroup if group is not SkillGroup.OTHER]

    def mastered(group: SkillGroup, rung: Rung) -> bool:
        state = states.get(skill_name(group, rung))
        return state is not None and state.mastered

    found = {f"type/{group.value}" for group in groups if mastered(group, Rung.TYPE)}
    for skill, rungs in _RULES:
        if all(sum(mastered(group, rung) for group in groups) >= IN_GROUPS for rung in rungs):
            found.add(skill)
    return frozenset(found)
