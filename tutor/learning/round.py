"""The way round for somebody fluent: a dozen problems that bring most slips to light.

Whoever is right from the first would climb a long time through what is known already before a
slip shows.  So the groups, the tasks and the kinds of question are gone through at once, in
problems where as many slips as possible would lead to a wrong answer.

The ways were found by search (``python -m tests.find_the_way_round``): of all problems of some
hundreds of seeds, the dozen in which most slips show, as an integer program, in an order that
mixing allows, those that show most first.  The seeds of one stop bring the same to light as far
as no other stop does; which of them is taken is left to chance.  Only the very first problem
of a learner is not fixed: of a few, the one where most slips show.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from ...problems.catalogue.families import find
from ...problems.questions.model import Task
from . import choice
from .request import ProblemRequest
from .skill_map import ASKED, TASK_OF, group_of, skill_name
from .skills import SkillState
from .ways import WAYS

if TYPE_CHECKING:
    from ...problems.chance import Chance

FIRST_WEIGHED = 24
"""Problems made to choose a learner's very first one from."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One problem on the way: a family, and the seeds that serve (none: any, to begin with)."""

    task: Task
    family: str
    seeds: tuple[int, ...]

    def has(self, wish: ProblemRequest) -> bool:
        """Whether a problem is one of this stop's."""
        return (wish.task, wish.family) == (self.task, self.family) and wish.seed in self.seeds


Way = tuple[Stop, ...]


@cache
def ways_of(tasks: frozenset[Task]) -> tuple[Way, ...]:
    """The ways round with these tasks; of ways with more tasks, what is left of them."""
    fit = [known for known in WAYS if tasks <= set(known)]
    found = []
    for text in WAYS[min(fit, key=len)]:
        stops = []
        for line in text.strip().splitlines():
            task, family, *seeds = line.split()
            if Task(task) in tasks:
                stops.append(Stop(Task(task), family, tuple(map(int, seeds))))
        found.append(tuple(stops))
    return tuple(found)


def next_stop(
    states: Mapping[str, SkillState],
    tasks: Sequence[Task],
    recent: Sequence[ProblemRequest],
    chance: Chance,
) -> ProblemRequest | None:
    """The next problem on the way round; ``None`` where it is over or none fits in.

    Args:
        states: by skill.
        tasks: what may be asked for.
        recent: the problems before, the latest last.
        chance: decides between ways, and between the seeds of a stop.
    """
    ways = ways_of(frozenset(tasks))
    stops = [sum(any(stop.has(wish) for stop in way) for wish in recent) for way in ways]
    if any(stops):
        way = ways[stops.index(max(stops))]
    else:
        begun = [way for way in ways if not way[0].seeds and _climbed(states, way[0])]
        way = chance.pick(begun or ways)
    if not states:
        return first_problem(way[0], chance) if not way[0].seeds else None
    fit = {row.name for row in choice.allowed(recent)}
    for stop in way:
        if stop.seeds and stop.family in fit and not _climbed(states, stop):
            return ProblemRequest(
                find(stop.family).level, stop.family, chance.pick(stop.seeds), stop.task
            )
    return None


def in_a_row(tasks: Sequence[Task], recent: Sequence[ProblemRequest], count: int) -> bool:
    """Whether so many problems lately, or more, were all stops on a way."""
    stops = [stop for way in ways_of(frozenset(tasks)) for stop in way]
    return len(recent) >= count and all(
        any(stop.has(wish) for stop in stops) for wish in recent[-count:]
    )


def _climbed(states: Mapping[str, SkillState], stop: Stop) -> bool:
    """Whether a problem of this family was climbed with this task."""
    group = group_of(stop.family)
    return any(
        TASK_OF[rung] is stop.task
        and (state := states.get(skill_name(group, rung))) is not None
        and any(name == stop.family for name, _ in state.families)
        for rung in ASKED[group]
    )


def first_problem(
    stop: Stop,
    chance: Chance,
    shown: Callable[[ProblemRequest], frozenset[str]] | None = None,
    below: int = 0,
) -> ProblemRequest:
    """Of some problems of a family the one where most slips show, the rare ones above all.

    Args:
        stop: of which only the task and the family count.
        chance: draws the problems.
        shown: which slips show in a problem, if that is known.
        below: the seeds are drawn below this; 0 for as they always are.
    """
    shown = shown or choice.slips_in_play
    level = find(stop.family).level
    wishes = [
        ProblemRequest(level, stop.family, chance.below(below or choice.SEEDS), stop.task)
        for _ in range(FIRST_WEIGHED)
    ]
    found = [shown(wish) for wish in wishes]
    showing = Counter(slip for slips in found for slip in slips)
    worth = [sum(showing[slip] ** -0.5 for slip in sorted(slips)) for slips in found]
    return wishes[worth.index(max(worth))]
