"""Simulated learners: what the plan makes of them, with the real problems and slips.

Run ``python -m tests.simulate_learners`` for the full study (some minutes).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cache, lru_cache

from rungwise.problems import families
from rungwise.problems.chance import Chance
from rungwise.problems.grader import grade
from rungwise.problems.problem import Form, Problem, Question, Task, Verdict
from rungwise.problems.response import Facts, facts
from rungwise.problems.slips import predictions
from rungwise.problems.slips_topics import SLIPS
from rungwise.tutor import review_choice
from rungwise.tutor.climb import Outcome
from rungwise.tutor.evidence import Evidence
from rungwise.tutor.review import Mode, standing, what_next
from rungwise.tutor.skills import SkillState, advance, skill_of, skills
from rungwise.tutor.wish import Wish

from .slips_simulation import typed

BEGIN = datetime(2026, 9, 1, 17, 0, tzinfo=UTC)
A_DAY = 4
"""Problems climbed on one day."""

Leave = tuple[Outcome, int, int, tuple[str, ...]]
"""How a rung is left: outcome, tries, hints, slips named."""
Learner = Callable[[Problem, Question], Leave]
CLEAN: Leave = (Outcome.CLEAN, 1, 0, ())


@contextmanager
def shared_problems(seeds: int = 0) -> Iterator[None]:
    """Keep every problem made, since many learners meet the same ones.

    With ``seeds``, the plan draws seeds below that, so that they meet the same ones more often.
    """
    made, seen, below = review_choice.made, review_choice.slips_in_play, review_choice.SEEDS
    review_choice.made = lru_cache(maxsize=None)(made.__wrapped__)
    review_choice.slips_in_play = lru_cache(maxsize=None)(seen.__wrapped__)
    review_choice.SEEDS = seeds or below
    try:
        yield
    finally:
        review_choice.made, review_choice.slips_in_play = made, seen
        review_choice.SEEDS = below


@cache
def _facts(problem: Problem) -> Facts:
    return facts(problem.ladder)


@dataclass
class Run:
    """One learner's climbs so far."""

    learner: Learner
    seed: int
    exam: date | None = None
    mode: Mode = Mode.UNTIL_DONE
    tasks: tuple[Task, ...] = (Task.ANALYSE,)
    states: dict[str, SkillState] = field(default_factory=dict)
    wishes: list[Wish] = field(default_factory=list)
    now: datetime = BEGIN

    def plan(self) -> Wish:
        """What the plan asks next."""
        chance = Chance(self.seed, "plan", len(self.wishes))
        return what_next(
            self.states, self.now, self.exam, self.mode, self.wishes[-20:], chance, self.tasks
        )

    def climb(self, wish: Wish) -> None:
        """Climb one problem."""
        problem = review_choice.made(wish)
        self.now = BEGIN + timedelta(
            days=len(self.wishes) // A_DAY, minutes=3 * (len(self.wishes) % A_DAY)
        )
        for question in problem.questions:
            outcome, tries, hints, slips = self.learner(problem, question)
            evidence = Evidence(
                self.now, problem.family, problem.level, problem.seed, problem.task,
                question.rung, len(question.choices), outcome, tries, hints, slips, 20.0,
            )  # fmt: skip
            skill = skill_of(problem.family, question.rung)
            self.states[skill] = advance(self.states.get(skill), evidence)
        self.wishes.append(wish)

    def mastered(self) -> int:
        """How many skills are mastered now."""
        return sum(self.states[s].mastered for s in skills() if s in self.states)


# ---------------------------------------------------------------------------- learners


def with_slip(slip: str) -> Learner:
    """Knows everything, but makes one slip wherever it leads anywhere; then finds the answer."""

    def leave(problem: Problem, question: Question) -> Leave:
        known = _facts(problem)
        for guess in predictions(problem.ladder, known, question):
            if guess.slip == slip and guess.in_play and guess.value != question.truth:
                mark = grade(problem, question, typed(question, guess), known)
                if mark.verdict is Verdict.WRONG:
                    return Outcome.RIGHT, 2, 0, tuple(hit.slip for hit in mark.slips)
        return CLEAN

    return leave


def _guessed(question: Question, rng: random.Random) -> bool:
    """Whether one blind guess is right; whole numbers are guessed among the usual ones."""
    match question.form:
        case Form.CHOICE:
            return rng.randrange(len(question.choices)) == 0
        case Form.COUNT:
            return rng.randint(0, 4) == question.truth
        case Form.SLOPE:
            return rng.choice((-40, -20, 0, 20, 40)) == question.truth
        case Form.ANGLE:
            return rng.choice((-180, -90, 0, 90, 180)) == question.truth
        case Form.GAIN:
            return rng.choice((1.0, 0.5)) == round(float(question.truth), 6)
    return False


def guesser(rng: random.Random) -> Learner:
    """Gives one blind answer, then has the right one shown."""

    def leave(problem: Problem, question: Question) -> Leave:
        if _guessed(question, rng):
            return CLEAN
        return Outcome.SHOWN, 1, 0, ()

    return leave


def cycler(rng: random.Random) -> Learner:
    """Tries one choice after the other until one is right; guesses what must be typed."""

    def leave(problem: Problem, question: Question) -> Leave:
        if question.form is Form.CHOICE:
            tries = rng.randint(1, len(question.choices))
            return (Outcome.CLEAN if tries == 1 else Outcome.RIGHT), tries, 0, ()
        for tries in range(1, 6):
            if _guessed(question, rng):
                return (Outcome.CLEAN if tries == 1 else Outcome.RIGHT), tries, 0, ()
        return Outcome.SKIPPED, 5, 0, ()

    return leave


def hint_clicker(rng: random.Random) -> Learner:
    """Opens three hints in a second, and copies what the last one works out."""

    def leave(problem: Problem, question: Question) -> Leave:
        return Outcome.RIGHT, 1, 3, ()

    return leave


class Studious:
    """Knows nothing at first; each skill is learnt, by chance, when it is practised.

    Somebody who knows a skill is right 19 times of 20; somebody who does not may guess.
    """

    def __init__(self, seed: int, learns: float = 0.35) -> None:
        self.rng = random.Random(seed)
        self.learns = learns
        self.known: set[str] = set()

    def __call__(self, problem: Problem, question: Question) -> Leave:
        skill = skill_of(problem.family, question.rung)
        known = skill in self.known
        right = self.rng.random() < 0.95 if known else _guessed(question, self.rng)
        if not known and self.rng.random() < self.learns:
            self.known.add(skill)
        return CLEAN if right else (Outcome.RIGHT, 2, 0, ())


# ----------------------------------------------------------------------------- studies


def climbs_to_find(slip: str, seed: int, most: int = 12) -> int | None:
    """After how many problems the plan knows the skill in which the only slip is made."""
    run = Run(with_slip(slip), seed)
    for count in range(1, most + 1):
        run.climb(run.plan())
        if any(state.slips for state in run.states.values()):
            weak = standing(run.states, run.now, None).weak
            named = {s.slip for skill in weak for s in run.states[skill].slips}
            return count if slip in named else None
    return None


def climbs_to_master(seed: int, *, planned: bool, most: int = 1500, share: float = 1.0) -> int:
    """How many problems it takes a studious learner until so many skills were once mastered."""
    run = Run(Studious(seed), seed)
    rng = random.Random(seed)
    once: set[str] = set()
    wanted = share * len(skills())
    while len(once) < wanted and len(run.wishes) < most:
        if planned:
            wish = run.plan()
        else:
            row = rng.choice(families.FAMILIES)
            wish = Wish(row.level, row.name, rng.randrange(review_choice.SEEDS))
        run.climb(wish)
        once |= {s for s in skills() if s in run.states and run.states[s].mastered}
    return len(run.wishes)


def masters(learner: Learner, seed: int, problems: int) -> tuple[int, int]:
    """(skills ever mastered, skills asked) by somebody who does not learn."""
    run = Run(learner, seed)
    once: set[str] = set()
    for _ in range(problems):
        run.climb(run.plan())
        once |= {s for s in skills() if s in run.states and run.states[s].mastered}
    return len(once), len(run.states)


def slips() -> list[str]:
    """Every slip, once."""
    return list(dict.fromkeys(slip.id for slip in SLIPS))
