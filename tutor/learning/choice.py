"""Which family, and which of its problems, is worth most to a learner right now.

A problem is worth what its questions are worth: much for a skill whose review is due, and for
one that is weak; something for one not begun whose foundations are there; nothing for one that
is mastered.  Questions that few problems ask are worth more where they are asked.  A few
problems of the likeliest families are made, and the best of them is taken.

Order matters as well as worth:

* at most two circuits of one type in a row, and two look-alikes (the same parts, with the tap
  or the order moved) next to each other every other time: mixing makes learners look at what
  tells circuits apart (Rohrer & Taylor, Instructional Science 35 (2007) 481; Brunmair &
  Richter, Psychological Bulletin 145 (2019) 1029);
* somebody who is right from the first would climb a long time through what is known already
  before a slip shows: of a few problems of all groups the one comes next in which most slips
  would lead to a wrong answer that could not have shown before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from ...problems.catalogue.families import FAMILIES, Family, find
from ...problems.catalogue.groups import SkillGroup
from ...problems.questions.kinds import KINDS, always_asked, how_often
from ...problems.questions.model import Problem, Rung, Task
from .full_circuit import arranged, asked_of, mastered, most_telling
from .request import ProblemRequest
from .skill_map import AFTER, ASKED, TASK_OF, group_of, skill_name, skill_of
from .skills import NEARLY, SkillState, needed

if TYPE_CHECKING:
    from ...problems.chance import Chance

SEEDS = 1_000_000
"""Seeds are drawn below this: short enough to be typed again."""

FAMILIES_WEIGHED = 4
SEEDS_WEIGHED = {Task.ANALYSE: 4, Task.SKETCH: 1, Task.REVERSE: 4, Task.PREDICT: 8}
"""Problems made to choose one from: so many families, so many seeds of each.

Sketches of a family ask the same, whatever the seed, and take longer to make.
"""
LOOKING = 2
"""Looking at a circuit takes as long as so many questions."""

_DUE, _SLIP, _SELDOM = 1.0, 1.0, 2.5
"""Worth of a review that is due, added worth of an open slip, and what multiplies the worth
of a question that only some problems ask; a skill that lacks a right answer or more is 1."""

FLUENT = 0.7
"""Share of skills right when they were first met, from which somebody is shown round."""
_DOUBT, _DOUBTED = 3.0, 0.2
"""Before anything is known, as if so many skills had been met with such a share right."""

ROUND = 18
"""Families that somebody fluent is shown round."""
ROUND_WEIGHED = 32
"""Problems made to choose each of them from."""
NEW_GROUP = 1.5
"""What a group of circuits that was not met lately is worth more: all groups are shown."""

READY = 0.6
"""Share of the skills of the groups before it that a group is taught upon."""


@cache
def expected(family: str, task: Task) -> tuple[tuple[Rung, float], ...]:
    """The questions that a ``task`` may ask about a ``family``, and about how often."""
    row = find(family)
    asked = ASKED[group_of(family)]
    found = ((e.rung, how_often(e.rung, task)) for e in KINDS if e.rung in asked and e.fits(row))
    return tuple((rung, often) for rung, often in found if often)


@lru_cache(maxsize=64)
def _whole(wish: ProblemRequest) -> Problem:
    """The latest are kept, since the one chosen is made next; what is asked of it is no matter."""
    return wish.whole()


def made(wish: ProblemRequest) -> Problem:
    """The problem of a wish, with the questions that are asked of it."""
    return arranged(_whole(wish), wish.asked or asked_of(_whole(wish), kinds=wish.kinds))


def fluency(states: Mapping[str, SkillState]) -> float:
    """The share of skills that were right when they were first met, with a grain of doubt."""
    met = right = 0
    for state in states.values():
        if state.first >= 0:
            met += 1
            right += state.first
    return (right + _DOUBT * _DOUBTED) / (met + _DOUBT)


def ready(states: Mapping[str, SkillState]) -> frozenset[SkillGroup]:
    """The groups whose foundations are there."""
    found = set()
    for group in SkillGroup:
        if group is SkillGroup.OTHER:
            continue
        below = [
            skill_name(g, r)
            for g in AFTER[group]
            for r in ASKED[g]
            if TASK_OF[r] is not Task.PREDICT  # which waits for what is known at sight
        ]
        there = sum(1 for skill in below if (s := states.get(skill)) and s.p >= NEARLY)
        if there >= READY * len(below):
            found.add(group)
    return frozenset(found)


class QuestionWorth:
    """What questions and problems are worth to one learner now.

    Args:
        states: by skill.
        due: the skills whose review is due.
        only: if given, nothing but these skills counts.
    """

    def __init__(
        self,
        states: Mapping[str, SkillState],
        due: Iterable[str],
        only: frozenset[str] | None = None,
    ) -> None:
        self.states = states
        self.due = frozenset(due)
        self.only = only

    def of(self, skill: str, rung: Rung) -> float:
        """The worth of one question: of a ``skill``, on a ``rung``."""
        if self.only is not None and skill not in self.only:
            return 0.0
        if skill in self.due:
            return _DUE
        state = self.states.get(skill)
        worth = min(1.0, needed(state, skill))
        if worth and state is not None and any(s.open for s in state.slips):
            worth += _SLIP
        return worth if always_asked(rung) else worth * _SELDOM

    def expected(self, family: str, task: Task) -> float:
        """The worth of a problem of a ``family`` with a ``task``, before one is made."""
        return sum(
            often * self.of(skill_of(family, rung), rung) for rung, often in expected(family, task)
        )

    def asked(self, whole: Problem) -> tuple[Rung, ...]:
        """What is asked of a problem: all but what is known and not due."""
        known = mastered(whole, self.states)
        return asked_of(whole, {r for r in known if skill_of(whole.family, r) not in self.due})

    def problem(self, whole: Problem) -> float:
        """The worth of a problem, with all that its seed asks, for the time it takes."""
        planned = ASKED[group_of(whole.family)]
        asked = self.asked(whole)
        worth = sum(self.of(skill_of(whole.family, r), r) for r in asked if r in planned)
        return worth / (len(asked) + LOOKING)


ALIKE = 0.4
"""At least this share of neighbours are look-alikes."""
FEW = 4
"""Of fewer problems, it is the share as near as may be."""
_REMEMBERED = 20
"""Problems looked back upon to mix the next one in."""


def allowed(recent: Sequence[ProblemRequest]) -> tuple[Family, ...]:
    """The families that may come next, best mixed."""
    names = [wish.family for wish in recent[-_REMEMBERED:] if wish.family is not None]
    before = [find(name) for name in names]
    if not before:
        return FAMILIES
    last = before[-1]
    rows = tuple(row for row in FAMILIES if row is not last and not _third(before, row))
    alike = sum(a.group == b.group for a, b in pairwise(before))
    # There will be as many neighbours as there are problems now.
    wanted = ALIKE * len(before)
    if len(before) < FEW:
        wanted = round(wanted)
    elif len(before) == _REMEMBERED:
        wanted += 1  # for one that is forgotten
    if alike >= wanted:
        # A look-alike must be able to follow.
        return tuple(
            row
            for row in rows
            if row.group == last.group
            or any(not _third([*before, row], find(like)) for like in row.lookalikes)
        )
    return tuple(row for row in rows if row.group == last.group) or rows


def _third(before: Sequence[Family], row: Family) -> bool:
    """Whether it would be the third of one type in a row."""
    return len(before) >= 2 and before[-1].type is before[-2].type is row.type


def choose(
    worth: QuestionWorth, rows: Iterable[Family], tasks: Sequence[Task], chance: Chance
) -> ProblemRequest:
    """The best of a few problems of the families that promise most.

    Args:
        worth: what a question is worth.
        rows: the families there are to choose from.
        tasks: what may be asked about them.
        chance: draws seeds, and chooses among equals.
    """
    ranked = sorted(
        chance.shuffled([(row, task) for row in rows for task in tasks]),
        key=lambda pair: -worth.expected(pair[0].name, pair[1]),
    )
    wishes = [
        ProblemRequest(row.level, row.name, chance.below(SEEDS), task)
        for row, task in ranked[:FAMILIES_WEIGHED]
        for _ in range(SEEDS_WEIGHED[task])
    ]
    best = max(wishes, key=lambda wish: worth.problem(_whole(wish)))
    return replace(best, asked=worth.asked(_whole(best)))


def asked_in(recent: Sequence[ProblemRequest]) -> tuple[Rung, ...]:
    """The kinds of question that some problems asked, in order.

    Args:
        recent: the problems, the latest last.
    """
    return tuple(
        rung
        for wish in recent
        for rung in wish.asked or (question.rung for question in made(wish).questions)
    )


def at_sight(states: Mapping[str, SkillState]) -> frozenset[SkillGroup]:
    """The groups whose type is known: only of these is there anything to read or predict yet.

    Args:
        states: by skill, with what looks show of them.
    """
    names = {group: skill_name(group, Rung.TYPE) for group in ASKED}
    return frozenset(g for g, name in names.items() if name in states and states[name].mastered)


def climbed(states: Mapping[str, SkillState]) -> frozenset[str]:
    """The families that were climbed, with whatever task."""
    return frozenset(family for state in states.values() for family, _ in state.families)


def widest(
    rows: Sequence[Family],
    tasks: Sequence[Task],
    recent: Sequence[ProblemRequest],
    chance: Chance,
) -> ProblemRequest:
    """Of a few problems the one in which most slips show that did not lately, the rare above all.

    It asks what shows most of them.  Takes as long as making them: some tenths of a second.

    Args:
        rows: families to choose from.
        tasks: what may be asked for.
        recent: the problems before, each with its family.
        chance: draws the problems.
    """
    before = {(wish.family, wish.task) for wish in recent}
    pairs = chance.shuffled([(row, task) for row in rows for task in tasks])
    new = [(row, task) for row, task in pairs if (row.name, task) not in before] or pairs
    wishes = [
        ProblemRequest(row.level, row.name, chance.below(SEEDS), task)
        for _ in range(-(-ROUND_WEIGHED // len(new)))
        for row, task in new
    ][:ROUND_WEIGHED]
    shown = frozenset[str]().union(*map(slips_in_play, recent))
    found = [
        {rung: slips - shown for rung, slips in slips_by_question(wish).items()} for wish in wishes
    ]
    showing = Counter(slip for by_rung in found for slip in set().union(*by_rung.values()))
    rare = {slip: 1 / count for slip, count in sorted(showing.items())}
    asked = [
        most_telling(_whole(wish), by_rung, rare)
        for wish, by_rung in zip(wishes, found, strict=True)
    ]
    worth = [
        sum(rare[slip] for slip in sorted(set().union(*(by_rung[rung] for rung in rungs))))
        for rungs, by_rung in zip(asked, found, strict=True)
    ]
    met = {group_of(str(wish.family)) for wish in recent}
    worth = [
        value * (1 if group_of(str(wish.family)) in met else NEW_GROUP) / (len(rungs) + LOOKING)
        for value, wish, rungs in zip(worth, wishes, asked, strict=True)
    ]
    best = worth.index(max(worth))
    return replace(wishes[best], asked=asked[best])


def slips_in_play(wish: ProblemRequest) -> frozenset[str]:
    """The slips that the problem of a wish would bring to light, by what it asks."""
    found = slips_by_question(wish)
    return frozenset().union(*(found[question.rung] for question in made(wish).questions))


@lru_cache(maxsize=64)
def slips_by_question(wish: ProblemRequest) -> dict[Rung, frozenset[str]]:
    """The slips that each question a wish's seed can ask would bring to light."""
    from ...problems.analysis.response import facts
    from ...problems.slips.engine import predictions

    problem = _whole(wish)
    known = facts(problem.ladder)
    return {
        question.rung: frozenset(
            guess.slip
            for guess in predictions(problem.ladder, known, question)
            if guess.in_play and guess.value != question.truth
        )
        for question in problem.questions
    }
