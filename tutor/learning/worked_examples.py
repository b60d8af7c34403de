"""Worked steps for whoever meets a kind of circuit for the first time, and how they fade.

The first problem of a family is a worked example.  After it the learner fills in more steps
each time, the first steps first, until all are asked: forward fading, which did best with
electric circuits (Moreno, Reisslein & Ozogul, "Optimizing worked-example instruction in
electrical engineering", Journal of Engineering Education 98 (2009) 83).  A step whose skill is
there is always the learner's own, and somebody who is right from the first gets no example.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ...problems.questions.model import Rung, Task
from .skill_map import ASKED, TASK_OF, group_of, skill_name, skill_of
from .skills import NEARLY, SkillState

if TYPE_CHECKING:
    from ...problems.questions.model import Problem

FADES = 3
"""Climbs of a family after its example until every step is the learner's."""
KIN = 4
"""So many climbs of other families of its group count as one of its own, once it was met."""


def filled(states: Mapping[str, SkillState], family: str, task: Task) -> float:
    """The share of the steps that is the learner's to fill in, from 0 to 1.

    All of them of predictions: what is predicted first is what is learnt by seeing it (Crouch et
    al., American Journal of Physics 72 (2004) 835; from memory).

    Args:
        states: what is known of each skill.
        family: whose circuit is shown.
        task: what is asked about it.
    """
    if task is Task.PREDICT:
        return 1.0
    group = group_of(family)
    own = kin = 0
    for rung in ASKED.get(group, frozenset()):
        state = states.get(skill_name(group, rung))
        if state is None or TASK_OF[rung] is not task:
            continue
        times = dict(state.families)
        mine = times.get(family, 0)
        own = max(own, mine)
        kin = max(kin, sum(times.values()) - mine)
    return min(1.0, (own + kin // KIN) / FADES) if own else 0.0


def guidance(
    states: Mapping[str, SkillState], problem: Problem, first: int | None = None
) -> frozenset[Rung]:
    """The rungs of a problem that are shown worked instead of asked.

    Args:
        states: by skill.
        problem: which is to be climbed next.
        first: the first rung that may be shown, of a climb that goes on; else it follows from
            the climbs before.
    """
    from .choice import FLUENT, fluency

    if fluency(states) >= FLUENT:
        return frozenset()
    rungs = [question.rung for question in problem.questions]
    if first is None:
        first = math.ceil(len(rungs) * filled(states, problem.family, problem.task))
    there = {
        rung
        for rung in rungs
        if (state := states.get(skill_of(problem.family, rung))) and state.p >= NEARLY
    }
    return frozenset(rungs[first:]) - there
