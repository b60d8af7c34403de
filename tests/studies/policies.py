"""What the plan makes of simulated learners: policies × learners, at equal minutes.

``python -m tests.studies.policies [RUNS] [MINUTES]`` lets each learner model practise for so many
minutes (60) under each policy and then asks for the type of unseen structures, drawn evenly over
groups and types.  None of this shows that people learn: it shows which policy gives which model
of a learner how much to learn from.

Policies:

* ``old``: circuits in full alone, chosen as the plan chose them, ends and all, the type late;
* ``inspection``: the plan as it is: looks first, and a circuit in full every ten minutes;
* ``random``: looks at the type of random circuits, nothing coming back;
* ``in-a-row``: looks at the type of one group until four in a row are right, then the next.

Learners, none of which the plan was tuned with; all are asked for types alone:

* ``tracing``: a group is known or not; practice teaches it with a chance (.1 to .3);
* ``additive``: the odds of being right grow with practice of the group and of the type (.02 to .2
  logits a look), from 55 to 75 % right;
* ``exemplar``: remembers circuits with their types, forgets them, and goes by the likest;
* ``belief``: takes the one end for the whole (a circuit that passes DC is a low-pass), until the
  contrast or an explanation has refuted it often enough;
* ``inferring``: never looks, takes what was right most often;
* ``impatient``: presses a key at once, half of the time without a look, and reads nothing.
"""

from __future__ import annotations

import math
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from random import Random
from statistics import mean

from rungwise.problems.catalogue.groups import LOOKED_AT, SkillGroup
from rungwise.problems.catalogue.topologies import structure
from rungwise.problems.chance import Chance
from rungwise.problems.generate.look import make_look
from rungwise.problems.generate.look_draw import TYPES_OF_GROUP
from rungwise.problems.questions.kinds import kind
from rungwise.problems.questions.looks import TYPES, LookKind
from rungwise.problems.questions.model import Problem, Question, Rung
from rungwise.tutor.learning import choice as review_choice
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.plan import Mode, what_next

from .plan_run import LOOK, LOOKING, READING, Follower

GROUPS = LOOKED_AT
UNSEEN = 40
"""Structures asked in the end."""


@dataclass(frozen=True)
class Shown:
    """A circuit as a learner sees it: its group, type and structure."""

    group: SkillGroup
    type: str
    structure: str


class Learner:
    """Answers the type, and learns from what it is told."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)

    def right(self, shown: Shown) -> bool:
        """Whether the answer is right."""
        raise NotImplementedError

    def told(self, shown: Shown, right: bool, contrast: bool) -> None:
        """What the answer was, and, where it was wrong, why."""


class Tracing(Learner):
    """A group is known or not."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        self.learns, self.slips = self.rng.uniform(0.1, 0.3), self.rng.uniform(0.05, 0.2)
        self.guess = self.rng.uniform(0.2, 0.5)
        self.known = {group for group in GROUPS if self.rng.random() < 0.3}

    def right(self, shown: Shown) -> bool:
        sure = 1 - self.slips if shown.group in self.known else self.guess
        return self.rng.random() < sure

    def told(self, shown: Shown, right: bool, contrast: bool) -> None:
        if self.rng.random() < self.learns:
            self.known.add(shown.group)


class Additive(Learner):
    """The odds grow with practice of the group and of the type."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        start = self.rng.uniform(0.55, 0.75)
        self.start, self.rate = math.log(start / (1 - start)), self.rng.uniform(0.02, 0.2)
        self.practised: Counter[object] = Counter()

    def right(self, shown: Shown) -> bool:
        odds = self.start + self.rate * (self.practised[shown.group] + self.practised[shown.type])
        odds -= 0.4 * GROUPS.index(shown.group)  # later groups are harder
        return self.rng.random() < 1 / (1 + math.exp(-odds))

    def told(self, shown: Shown, right: bool, contrast: bool) -> None:
        self.practised[shown.group] += 1
        self.practised[shown.type] += 1


class Exemplar(Learner):
    """Goes by the likest circuits it remembers."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        self.met: list[tuple[frozenset[str], str]] = []

    def right(self, shown: Shown) -> bool:
        parts = _parts(shown.structure)
        weights: Counter[str] = Counter(dict.fromkeys(TYPES, 0.02))  # type: ignore[arg-type]
        for ago, (other, type_) in enumerate(reversed(self.met)):
            like = len(parts & other) / max(1, len(parts | other))
            weights[type_] += math.exp(6 * (like - 1)) * (1 + ago) ** -0.5  # type: ignore[assignment]
        named = list(weights)
        return self.rng.choices(named, [weights[one] for one in named])[0] == shown.type

    def told(self, shown: Shown, right: bool, contrast: bool) -> None:
        self.met.append((_parts(shown.structure), shown.type))


class Belief(Learner):
    """Takes one end for the whole until that was refuted often enough."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        self.refuted, self.enough = 0.0, self.rng.randint(6, 20)

    def right(self, shown: Shown) -> bool:
        if self.rng.random() < min(1.0, self.refuted / self.enough):
            return self.rng.random() < 0.93
        return shown.type in ("low-pass", "high-pass")  # it goes by what DC does

    def told(self, shown: Shown, right: bool, contrast: bool) -> None:
        self.refuted += (0.0 if right else 1.0) + (0.5 if contrast else 0.0)


class Inferring(Learner):
    """Never looks."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        self.met: Counter[str] = Counter()

    def right(self, shown: Shown) -> bool:
        best = max(TYPES, key=lambda type_: (self.met[type_], self.rng.random()))
        return best == shown.type

    def told(self, shown: Shown, right: bool, contrast: bool) -> None:
        self.met[shown.type] += 1


class Impatient(Tracing):
    """Half of the time without a look, and reads nothing."""

    def right(self, shown: Shown) -> bool:
        if self.rng.random() < 0.5:
            return self.rng.random() < 0.2
        return super().right(shown)

    def told(self, shown: Shown, right: bool, contrast: bool) -> None:
        if right or self.rng.random() < 0.3:
            super().told(shown, right, contrast)


def _parts(structure_: str) -> frozenset[str]:
    return frozenset(f"{place} {arm}" for place, arm in enumerate(structure_.split("; ")))


LEARNERS: dict[str, Callable[[int], Learner]] = {
    "tracing": Tracing, "additive": Additive, "exemplar": Exemplar, "belief": Belief,
    "inferring": Inferring, "impatient": Impatient,
}  # fmt: skip


@dataclass
class _Answers:
    """A learner as the follower of a plan; what is not the type it knows."""

    learner: Learner
    met: set[str] = field(default_factory=set)

    def asked(self, shown: Shown, contrast: bool = False) -> bool:
        right = self.learner.right(shown)
        self.learner.told(shown, right, contrast)
        self.met.add(shown.structure)
        return right


def practise(policy: str, learner: Learner, seed: int, minutes: float) -> set[str]:
    """Practise under a policy; the structures that were met.

    Args:
        policy: one of those above.
        learner: who practises.
        seed: of what is asked.
        minutes: how long.
    """
    answers = _Answers(learner)
    if policy in ("old", "inspection"):
        _follow(policy, answers, seed, minutes)
        return answers.met
    chance, rng = Chance(seed, "policy"), Random(seed)
    seconds, row, at = 0.0, 0, 0
    while seconds < 60 * minutes:
        group = rng.choice(GROUPS) if policy == "random" else GROUPS[at % len(GROUPS)]
        look = make_look(chance.below(2**62), group=group)
        right = answers.asked(Shown(look.group, look.truth, look.structure))
        seconds += LOOK + READING * (not right)
        row = row + 1 if right else 0
        if row == 4:
            row, at = 0, at + 1
    return answers.met


def _follow(policy: str, answers: _Answers, seed: int, minutes: float) -> None:
    def looks(step):  # type: ignore[no-untyped-def]
        look = step.look
        if look.kind is not LookKind.TYPE:
            return look.truth
        right = answers.asked(Shown(look.group, look.truth, look.structure), step.contrast)
        return look.truth if right else next(one for one in look.answers if one != look.truth)

    def climbs(problem: Problem, question: Question) -> bool:
        if question.rung is not Rung.TYPE or str(question.truth) not in TYPES:
            return True
        group = review_choice.group_of(problem.family)
        return answers.asked(Shown(group, str(question.truth), structure(problem.ladder)))

    someone = Follower(looks, climbs, seed, minutes_a_day=60)
    if policy == "inspection":
        for _ in someone.follow(minutes):
            pass
        return
    while someone.seconds < 60 * minutes:
        chance = Chance(seed, "plan", len(someone.wishes))
        wish = what_next(
            someone.states, someone.now, None, Mode.UNTIL_DONE, someone.wishes[-20:], chance
        )
        problem = wish.whole()
        someone.seconds += LOOKING
        for question in problem.questions:
            someone.seconds += kind(question.rung).seconds
            right = climbs(problem, question)
            someone.seconds += READING * (not right)
            someone.note(problem, question, *(() if right else (Outcome.RIGHT, 2)))
        someone.wishes.append(wish)


@cache
def unseen(seed: int) -> tuple[Shown, ...]:
    """Circuits to be asked in the end, evenly over groups and their types."""
    rng, found = Random(seed), []
    for place in range(UNSEEN):
        group = GROUPS[place % len(GROUPS)]
        look = make_look(
            rng.randrange(2**60), group=group, wanted=rng.choice(TYPES_OF_GROUP[group])
        )
        found.append(Shown(look.group, look.truth, look.structure))
    return tuple(found)


def share_right(policy: str, name: str, seed: int, minutes: float) -> float:
    """The share right of unseen structures after practice.

    Args:
        policy: how it is practised.
        name: of the learner model.
        seed: of the learner and of the circuits.
        minutes: how long.
    """
    learner = LEARNERS[name](seed)
    met = practise(policy, learner, seed, minutes)
    new = [shown for shown in unseen(seed + 10_000) if shown.structure not in met] or unseen(seed)
    return mean(learner.right(shown) for shown in new for _ in range(5))


POLICIES = ("old", "inspection", "random", "in-a-row")


def main() -> None:
    """Print the matrix."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 6
    minutes = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    print(f"share right on unseen structures after {minutes:.0f} minutes, {runs} runs each")
    print(f"{'':12}" + "".join(f"{policy:>12}" for policy in POLICIES))
    for name in LEARNERS:
        cells = [
            mean(share_right(policy, name, seed, minutes) for seed in range(runs))
            for policy in POLICIES
        ]
        print(f"{name:12}" + "".join(f"{cell:12.1%}" for cell in cells), flush=True)


if __name__ == "__main__":
    main()
