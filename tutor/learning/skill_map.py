"""The map of skills: what there is to learn, in which order, and what builds on what.

A skill is one kind of question about one group of circuits: "the corner of an L-section" is
another skill than "the corner of a cascade".
"""

from __future__ import annotations

from enum import StrEnum
from functools import cache

from ...problems.questions.model import Rung, Task


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

AFTER: dict[SkillGroup, tuple[SkillGroup, ...]] = {
    SkillGroup.ONE_POLE: (),
    SkillGroup.TAPS: (SkillGroup.ONE_POLE,),
    SkillGroup.LOADED: (SkillGroup.ONE_POLE,),
    SkillGroup.L_SECTIONS: (SkillGroup.TAPS,),
    SkillGroup.LC_ARMS: (SkillGroup.TAPS,),
    SkillGroup.CASCADES: (SkillGroup.LOADED,),
    SkillGroup.DECOYS: (SkillGroup.TAPS,),
    SkillGroup.LADDERS: (SkillGroup.L_SECTIONS,),
    SkillGroup.OTHER: (),
}
"""The groups that come before a group."""

_RUNGS_BEFORE: dict[Rung, tuple[Rung, ...]] = {
    Rung.LOW_END_REASON: (Rung.LOW_END,),
    Rung.HIGH_END_REASON: (Rung.HIGH_END,),
    Rung.TYPE: (Rung.LOW_END, Rung.HIGH_END),
    Rung.TYPE_REASON: (Rung.TYPE,),
    Rung.POLES: (Rung.INDEPENDENT,),
    Rung.ORIGIN_ZEROS: (Rung.LOW_END,),
    Rung.ZEROS: (Rung.ORIGIN_ZEROS,),
    Rung.LOW_SLOPE: (Rung.ORIGIN_ZEROS,),
    Rung.HIGH_SLOPE: (Rung.POLES, Rung.ZEROS),
    Rung.LOW_PHASE: (Rung.ORIGIN_ZEROS,),
    Rung.HIGH_PHASE: (Rung.POLES, Rung.ZEROS),
    Rung.GAIN: (Rung.TYPE,),
    Rung.TRANSFER: (Rung.POLES, Rung.ZEROS),
    Rung.CORNER_REASON: (Rung.CORNER,),
    Rung.Q: (Rung.CORNER,),
    Rung.POLE_NATURE: (Rung.Q,),
    Rung.BANDWIDTH: (Rung.Q,),
    Rung.LOWER_EDGE: (Rung.Q,),
    Rung.UPPER_EDGE: (Rung.Q,),
    Rung.GAIN_SKETCH: (Rung.LOW_SLOPE, Rung.HIGH_SLOPE, Rung.CORNER, Rung.GAIN),
    Rung.PHASE_SKETCH: (Rung.LOW_PHASE, Rung.HIGH_PHASE, Rung.CORNER),
    Rung.MAP_SKETCH: (Rung.POLES, Rung.ZEROS),
    Rung.WHICH_CIRCUIT: (Rung.TYPE,),
    Rung.LOOKALIKE_REASON: (Rung.WHICH_CIRCUIT,),
    Rung.MISSING_ARM: (Rung.TYPE,),
    Rung.ELEMENT_VALUE: (Rung.CORNER,),
    Rung.LEAST_VALUE: (Rung.CORNER,),
    Rung.MOST_VALUE: (Rung.CORNER,),
}
"""The questions whose answer a question builds on, about the same circuit."""


def skill_name(group: SkillGroup, rung: Rung) -> str:
    """The skill of a kind of question about a group, as the text it is kept under."""
    return f"{group.value}/{rung.value}"


def parts_of(skill: str) -> tuple[SkillGroup, Rung]:
    """The group and the kind of question of a skill.

    Raises:
        ValueError: it is no skill.
    """
    group, _, rung = skill.partition("/")
    return SkillGroup(group), Rung(rung)


_ALL = (
    Rung.LOW_END, Rung.LOW_END_REASON, Rung.HIGH_END, Rung.HIGH_END_REASON, Rung.TYPE,
    Rung.TYPE_REASON, Rung.POLES, Rung.ZEROS, Rung.ORIGIN_ZEROS, Rung.LOW_SLOPE,
    Rung.HIGH_SLOPE, Rung.LOW_PHASE, Rung.HIGH_PHASE, Rung.GAIN,
    Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH,
    Rung.WHICH_CIRCUIT, Rung.LOOKALIKE_REASON, Rung.MISSING_ARM,
)  # fmt: skip
_CORNER = (
    Rung.CORNER, Rung.CORNER_REASON, Rung.ELEMENT_VALUE, Rung.LEAST_VALUE, Rung.MOST_VALUE,
)  # fmt: skip
_PAIR = (Rung.INDEPENDENT, Rung.Q, Rung.POLE_NATURE)
_EDGES = (Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE)

ASKED: dict[SkillGroup, frozenset[Rung]] = {
    SkillGroup.ONE_POLE: frozenset({*_ALL, *_CORNER}),
    SkillGroup.TAPS: frozenset({*_ALL, *_CORNER, *_PAIR, Rung.TRANSFER}),
    SkillGroup.LOADED: frozenset({*_ALL, *_CORNER, Rung.FED, Rung.TRANSFER}),
    SkillGroup.L_SECTIONS: frozenset(
        {*_ALL, *_CORNER, *_PAIR, Rung.FED, Rung.TRANSFER, Rung.LOWER_EDGE, Rung.UPPER_EDGE}
    ),
    SkillGroup.LC_ARMS: frozenset({*_ALL, *_CORNER, *_PAIR, *_EDGES, Rung.FED, Rung.TRANSFER}),
    SkillGroup.CASCADES: frozenset(
        {*_ALL, *_CORNER, *_PAIR, Rung.FED, Rung.TRANSFER, Rung.LOWER_EDGE, Rung.UPPER_EDGE}
    ),
    SkillGroup.DECOYS: frozenset(
        {*_ALL, *_CORNER, Rung.INDEPENDENT, Rung.Q, Rung.FED, Rung.TRANSFER}
    ),
    SkillGroup.LADDERS: frozenset({*_ALL, Rung.INDEPENDENT, Rung.FED}),
}
"""What is asked about each group in at least one problem of twelve of some task.

A test holds this against the problems that are made.
"""

TASK_OF: dict[Rung, Task] = {
    **dict.fromkeys(Rung, Task.ANALYSE),
    **dict.fromkeys((Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH), Task.SKETCH),
    **dict.fromkeys(
        (
            Rung.WHICH_CIRCUIT, Rung.LOOKALIKE_REASON, Rung.MISSING_ARM, Rung.ELEMENT_VALUE,
            Rung.LEAST_VALUE, Rung.MOST_VALUE,
        ),
        Task.REVERSE,
    ),
}  # fmt: skip
"""The task that is about a kind of question; the other tasks may ask it by the way."""


@cache
def skills(tasks: tuple[Task, ...] = tuple(Task)) -> tuple[str, ...]:
    """Every skill there is to learn, in the order of teaching.

    Args:
        tasks: if given, only what these tasks are about.
    """
    return tuple(
        skill_name(group, rung)
        for group in SkillGroup
        for rung in Rung
        if rung in ASKED.get(group, ()) and TASK_OF[rung] in tasks
    )


@cache
def prerequisites(skill: str) -> tuple[str, ...]:
    """The skills that a skill directly builds on.

    These are the questions it follows from about the same circuit, and the same question
    about the groups that come before.

    Raises:
        ValueError: it is no skill.
    """
    group, rung = parts_of(skill)
    found = [skill_name(group, r) for r in _RUNGS_BEFORE.get(rung, ()) if r in ASKED[group]]
    found += [skill_name(g, rung) for g in AFTER[group] if rung in ASKED[g]]
    return tuple(found)


@cache
def group_of(family: str) -> SkillGroup:
    """The group of a family, ``Group.OTHER`` for a family this version does not know."""
    from ...problems.catalogue import families

    try:
        return GROUP_OF.get(families.find(family).group, SkillGroup.OTHER)
    except families.UnknownFamily:
        return SkillGroup.OTHER


@cache
def skill_of(family: str, rung: Rung) -> str:
    """The skill that a question about a circuit of a family shows."""
    return skill_name(group_of(family), rung)


BANDS: tuple[tuple[str, Rung, Rung], ...] = (
    ("type", Rung.FED, Rung.TYPE_REASON),
    ("counts", Rung.INDEPENDENT, Rung.ORIGIN_ZEROS),
    ("ends", Rung.LOW_SLOPE, Rung.HIGH_PHASE),
    ("figures", Rung.GAIN, Rung.UPPER_EDGE),
    ("sketch", Rung.GAIN_SKETCH, Rung.MAP_SKETCH),
    ("reverse", Rung.WHICH_CIRCUIT, Rung.MOST_VALUE),
)
"""The columns, by what they ask about: the first and the last kind of question of each band."""
