"""The map of skills: what there is to learn, in which order, and what builds on what.

A skill is one kind of question about one group of circuits: "the corner of an L-section" is
another skill than "the corner of a cascade".  Which kind is asked of which group, and what it
builds on, each kind's row says (``questions.kinds``).
"""

from __future__ import annotations

from functools import cache

from ...problems.catalogue.groups import GROUP_OF, SkillGroup
from ...problems.questions.kind_row import Band
from ...problems.questions.kinds import KINDS, kind
from ...problems.questions.model import Rung, Task

AFTER: dict[SkillGroup, tuple[SkillGroup, ...]] = {
    SkillGroup.ONE_POLE: (),
    SkillGroup.TAPS: (SkillGroup.ONE_POLE,),
    SkillGroup.LOADED: (SkillGroup.ONE_POLE,),
    SkillGroup.L_SECTIONS: (SkillGroup.TAPS,),
    SkillGroup.LC_ARMS: (SkillGroup.TAPS,),
    SkillGroup.CASCADES: (SkillGroup.LOADED,),
    SkillGroup.DECOYS: (SkillGroup.TAPS,),
    SkillGroup.LADDERS: (SkillGroup.L_SECTIONS,),
    SkillGroup.REAL_PARTS: (
        SkillGroup.LC_ARMS,
        SkillGroup.CASCADES,
        SkillGroup.DECOYS,
        SkillGroup.LADDERS,
    ),
    SkillGroup.OTHER: (),
}
"""The groups that come before a group."""


def skill_name(group: SkillGroup, rung: Rung) -> str:
    """The skill of questions of ``rung`` about a ``group``, as the text it is kept under."""
    return f"{group.value}/{rung.value}"


@cache
def parts_of(skill: str) -> tuple[SkillGroup, Rung]:
    """The group and the kind of question of a skill.

    Raises:
        ValueError: it is no skill.
    """
    group, _, rung = skill.partition("/")
    return SkillGroup(group), Rung(rung)


ASKED: dict[SkillGroup, frozenset[Rung]] = {
    group: frozenset(row.rung for row in KINDS if group in row.asked_of)
    for group in SkillGroup
    if group is not SkillGroup.OTHER
}
"""What is asked about each group in at least one problem of twelve of some task."""

TASK_OF: dict[Rung, Task] = {row.rung: row.task for row in KINDS}
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
    found = [skill_name(group, r) for r in kind(rung).needs if r in ASKED[group]]
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
    """The skill that a question of ``rung`` about a circuit of a ``family`` shows."""
    return skill_name(group_of(family), rung)


def _bands() -> tuple[tuple[str, Rung, Rung], ...]:
    shown = [band for band in Band if band is not Band.PREDICT]
    every = {band: [rung for rung in Rung if kind(rung).band is band] for band in shown}
    return tuple((band.value, rungs[0], rungs[-1]) for band, rungs in every.items())


def _rules() -> dict[str, tuple[Rung, ...]]:
    ways = dict.fromkeys(min(row.ways) for row in KINDS if row.band is Band.PREDICT)
    predicted = [row for row in KINDS if row.band is Band.PREDICT]
    return {way: tuple(row.rung for row in predicted if way == min(row.ways)) for way in ways}


BANDS = _bands()
"""The columns, by what they ask about: the first and the last kind of question of each band."""

RULES = _rules()
"""What there is to read and predict, one rule for all circuits each, by what it is about."""


@cache
def neighbours(rung: Rung) -> frozenset[Rung]:
    """The rules next to ``rung``, one for all circuits each: they ask about the same."""
    here = kind(rung)
    near = (row for row in KINDS if row.band is here.band and not row.by_group)
    way = min(here.ways, default="")
    return frozenset(row.rung for row in near if min(row.ways, default="") == way) - {rung}
