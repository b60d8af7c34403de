"""Which circuits are one thing to know: groups of look-alikes gathered for teaching.

Plain values, so that a plan of what to learn next imports no circuit and no arithmetic.
"""

from __future__ import annotations

from enum import StrEnum

LEVELS = range(1, 8)
"""The levels of the catalogue."""

LEVEL_SINCE = {7: 3}
"""The format of seeds that a level came with, where it was not the first."""


class SkillGroup(StrEnum):
    """Groups of families that are one thing to know, in the order they are taught."""

    ONE_POLE = "one-pole"
    TAPS = "taps"
    LOADED = "loaded"
    L_SECTIONS = "l-sections"
    LC_ARMS = "lc-arms"
    CASCADES = "cascades"
    DECOYS = "decoys"
    LADDERS = "ladders"
    REAL_PARTS = "real-parts"
    OTHER = "other"  # a family this version does not know: kept, but never planned


LOOKED_AT = tuple(
    group for group in SkillGroup if group not in (SkillGroup.REAL_PARTS, SkillGroup.OTHER)
)
"""The groups that looks are made of: a look shows no values, and those of real parts decide."""


def levels_of(format: int) -> tuple[int, ...]:  # noqa: A002
    """The levels that a ``format`` of seeds has."""
    return tuple(level for level in LEVELS if LEVEL_SINCE.get(level, 1) <= format)


GROUP_OF: dict[str, SkillGroup] = {
    "rc": SkillGroup.ONE_POLE,
    "rl": SkillGroup.ONE_POLE,
    "rlc": SkillGroup.TAPS,
    "loaded-rc": SkillGroup.LOADED,
    "loaded-rl": SkillGroup.LOADED,
    "between-two": SkillGroup.LOADED,
    "l-sections": SkillGroup.L_SECTIONS,
    "lc-arms": SkillGroup.LC_ARMS,
    "tanks": SkillGroup.LC_ARMS,
    "cascades": SkillGroup.CASCADES,
    "rl-rc-cascades": SkillGroup.CASCADES,
    "decoys-rc": SkillGroup.DECOYS,
    "decoys-rl": SkillGroup.DECOYS,
    "decoys-lc": SkillGroup.DECOYS,
    "decoys-r": SkillGroup.DECOYS,
    "decoys-rlc": SkillGroup.DECOYS,
    "three-poles": SkillGroup.LADDERS,
    "four-poles": SkillGroup.LADDERS,
    "rc-ladders": SkillGroup.LADDERS,
    "coil-loss": SkillGroup.REAL_PARTS,
    "traps-and-leaks": SkillGroup.REAL_PARTS,
    "lag-lead": SkillGroup.REAL_PARTS,
}
"""Which group the look-alikes of a catalogue row belong to."""
