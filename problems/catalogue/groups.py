"""Which circuits are one thing to know: groups of look-alikes gathered for teaching.

Plain values, so that a plan of what to learn next imports no circuit and no arithmetic.
"""

from __future__ import annotations

from enum import StrEnum

LEVELS = range(1, 7)
"""The levels of the catalogue."""


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
    OTHER = "other"  # a family this version does not know: kept, but never planned


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
}
"""Which group the look-alikes of a catalogue row belong to."""
