"""What climbs and looks have shown of each other, and what one group shows of the next.

A record of climbs says what is known at sight until looks say otherwise (:func:`carried`), and
what is known at sight need not be asked in full (:func:`seen`).  A rule that is one rule for all
circuits is not learnt anew for every group: the evidence of all groups is put together.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, time

from ...problems.catalogue.groups import LOOKED_AT, SkillGroup
from ...problems.questions.kinds import kind
from ...problems.questions.looks import LookKind
from ...problems.questions.model import Rung, Task
from .recognition import ENDS, Recognition, look_skill
from .skill_map import AFTER, ASKED, neighbours, parts_of, skill_name, skills
from .skills import (
    FAINTEST,
    KNOWN_AT_FIRST,
    MASTERY,
    NEARLY,
    SUREST,
    SkillState,
    known_at_first,
)

IN_GROUPS = 2
"""A rule that is one for all circuits counts as known at sight where so many groups show it."""
NEIGHBOURLY = 2
"""Where so many neighbours of a rule are mastered, its odds are even before it is asked.

Somebody who guesses, guesses them all, and is found out by the neighbours; so what is left to
show is that this one is no luck.  By Ville's inequality that deceives in one case of nineteen at
most (``skills.py``): one right figure is enough, or three right choices of four.  A rule is never
known without having been asked."""
FRESH_DAYS = 14
"""So many days after it was last shown elsewhere, a skill is reviewed in full; looks come
sooner."""

_AT_SIGHT: Mapping[Rung, str] = {
    Rung.LOW_END: ENDS,
    Rung.HIGH_END: ENDS,
    Rung.FED: LookKind.FED.value,
    Rung.POLES: LookKind.POLES.value,
    Rung.ORIGIN_ZEROS: LookKind.ORIGIN_ZEROS.value,
    Rung.LOW_SLOPE: LookKind.LOW_SLOPE.value,
    Rung.HIGH_SLOPE: LookKind.HIGH_SLOPE.value,
    Rung.WHICH_CIRCUIT: LookKind.WHICH_CIRCUIT.value,
}
"""The skill of looks that asks the same as a kind of question; the type goes by groups."""

_BY_THE_WAY: Mapping[Rung, str] = {
    **_AT_SIGHT,
    Rung.LOW_END_REASON: ENDS,
    Rung.HIGH_END_REASON: ENDS,
    Rung.INDEPENDENT: LookKind.POLES.value,
}
"""And what a circuit in full asks only where that is not known: it spares the ends with their
reasons, and counts the stores that are independent only where the poles are no longer the same."""


def carried(states: Mapping[str, SkillState]) -> frozenset[str]:
    """The skills of looks that climbs have shown: known until looks say otherwise.

    Args:
        states: of the skills of climbs.
    """

    def mastered(group: SkillGroup, rung: Rung) -> bool:
        state = states.get(skill_name(group, rung))
        return state is not None and state.mastered

    found = {look_skill(LookKind.TYPE, group) for group in LOOKED_AT if mastered(group, Rung.TYPE)}
    for skill in set(_AT_SIGHT.values()):
        rungs = [rung for rung, one in _AT_SIGHT.items() if one == skill]
        if all(sum(mastered(group, rung) for group in LOOKED_AT) >= IN_GROUPS for rung in rungs):
            found.add(skill)
    return frozenset(found)


def seen(
    states: Mapping[str, SkillState], known: Recognition, now: datetime
) -> dict[str, SkillState]:
    """The states of all skills with what looks, and other groups, show of them.

    What was missed in a circuit counts as known at sight only once looks have shown it since.

    Args:
        states: of the skills of climbs, as the record has them.
        known: what is known at sight.
        now: aware, in the learner's time zone.
    """
    found = dict(states)
    rules: dict[Rung, list[SkillState]] = {}
    for state in states.values():
        rung = parts_of(state.skill)[1]
        if not kind(rung).by_group:
            rules.setdefault(rung, []).append(state)
    there = {rung for rung, some in rules.items() if _together(some, rung) >= NEARLY}
    for skill in skills():
        group, rung = parts_of(skill)
        own = states.get(skill)
        if own is not None and own.mastered:
            continue
        state = own or SkillState(skill, known_at_first(skill))
        last = _known_at_sight(known, group, rung, now)
        missed = own is not None and own.p < known_at_first(skill)
        if last is not None and not (missed and state.last > last):
            found[skill] = _lent(state, MASTERY, last)
        else:
            some = rules.get(rung, [own] if own is not None else [])
            p = _together(some, rung, even=_near(skill, states, there))
            if p > state.p:
                found[skill] = _lent(state, p, max((one.last for one in some), default=0.0))
    return found


def _near(skill: str, states: Mapping[str, SkillState], there: Collection[Rung]) -> bool:
    """Whether so much is mastered next to a skill that it may as well be known.

    Next to a rule that is one for all circuits are the others that ask about the same; next to one
    that each group has of its own is the same of the groups that come before.  What looks ask too
    is left to them.
    """
    group, rung = parts_of(skill)
    if rung is Rung.TYPE or rung in _BY_THE_WAY:
        return False
    if not kind(rung).by_group:
        return len(neighbours(rung).intersection(there)) >= NEIGHBOURLY
    before = [skill_name(one, rung) for one in AFTER[group] if rung in ASKED[one]]
    return bool(before) and all(one in states and states[one].mastered for one in before)


def _known_at_sight(
    known: Recognition, group: SkillGroup, rung: Rung, now: datetime
) -> float | None:
    """When looks last showed that a question is known at sight (s, UTC); ``None``: they do not."""
    skill = look_skill(LookKind.TYPE, group) if rung is Rung.TYPE else _BY_THE_WAY.get(rung)
    if skill is None or not known.looks or not known.known(skill):
        return None
    state = known.states.get(skill)
    if state is None or state.last is None:  # known by what builds upon it, or by climbs
        return now.timestamp()
    noon = datetime.combine(state.last, time(12), now.tzinfo or UTC)
    return min(noon, now).timestamp()


def _together(states: Iterable[SkillState], rung: Rung, *, even: bool = False) -> float:
    """P(L) of one rule by the evidence of all groups: what each changed the odds by, multiplied.

    Args:
        states: of the rule, a group each.
        rung: the rule.
        even: whether the odds are even before anything was seen of it.
    """
    odds = 0.0 if even else _logit(KNOWN_AT_FIRST)
    for state in states:
        odds += _logit(state.p) - _logit(known_at_first(state.skill))
    p = max(FAINTEST, min(1 / (1 + math.exp(-odds)), SUREST))
    # One rule, whatever the circuit.
    alone = max((s.p for s in states), default=0.0) if kind(rung).task is Task.PREDICT else 0.0
    return max(p, alone)


def _logit(p: float) -> float:
    return math.log(p / (1 - p))


def _lent(state: SkillState, p: float, last: float) -> SkillState:
    """A state with a P(L) that was shown elsewhere, and reviewed when it was."""
    if p < MASTERY:
        return replace(state, p=p)
    return replace(
        state, p=p, stability=float(FRESH_DAYS), difficulty=5.0, gap=FRESH_DAYS, reviewed=last
    )
