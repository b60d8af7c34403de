"""Simulated learners: what the plan makes of them, with the real problems and slips.

Run ``python -m tests.simulate_learners`` for the full study (some minutes).
"""

from __future__ import annotations

import random
from collections import Counter
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
        _FACTS.clear()


_FACTS: dict[int, tuple[Problem, Facts]] = {}


def _facts(problem: Problem) -> Facts:
    """The facts of a problem, kept with it; found by its identity, since that is quick."""
    if id(problem) not in _FACTS:
        _FACTS[id(problem)] = problem, facts(problem.ladder)
    return _FACTS[id(problem)][1]


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


def slips() -> list[str]:
    """Every slip, once."""
    return list(dict.fromkeys(slip.id for slip in SLIPS))


@cache
def findable(task: Task = Task.ANALYSE, seeds: int = 6) -> tuple[str, ...]:
    """The slips that show at all in the task's problems of the first few seeds."""
    seen: set[str] = set()
    for row in families.FAMILIES:
        for seed in range(seeds):
            seen |= review_choice.slips_in_play(Wish(row.level, row.name, seed, task))
    return tuple(slip for slip in slips() if slip in seen)


def climbs_to_find(
    slip: str, seed: int, most: int = 12, tasks: tuple[Task, ...] = (Task.ANALYSE,)
) -> int | None:
    """After how many problems the plan knows the skill in which the only slip is made."""
    run = Run(with_slip(slip), seed, tasks=tasks)
    for count in range(1, most + 1):
        run.climb(run.plan())
        if any(state.slips for state in run.states.values()):
            weak = standing(run.states, run.now, None).weak
            named = {s.slip for skill in weak for s in run.states[skill].slips}
            return count if slip in named else None
    return None


def climbs_to_master(
    seed: int,
    *,
    planned: bool,
    most: int = 2000,
    tasks: tuple[Task, ...] = (Task.ANALYSE,),
) -> int:
    """How many problems it takes a studious learner until every skill was mastered once."""
    run = Run(Studious(seed), seed, tasks=tasks)
    rng = random.Random(seed)
    left = set(skills(tasks))
    while left and len(run.wishes) < most:
        if planned:
            wish = run.plan()
        else:
            row = rng.choice(families.FAMILIES)
            seed_of = rng.randrange(review_choice.SEEDS)
            wish = Wish(row.level, row.name, seed_of, rng.choice(tasks))
        run.climb(wish)
        left = {
            skill for skill in left if skill not in run.states or not run.states[skill].mastered
        }
    return len(run.wishes)


def masters(learner: Learner, seed: int, problems: int) -> tuple[int, int, int]:
    """Skills ever mastered, asked, and mastered in the end, by somebody who does not learn."""
    run = Run(learner, seed)
    once: set[str] = set()
    for _ in range(problems):
        run.climb(run.plan())
        once |= {skill for skill, state in run.states.items() if state.mastered}
    return len(once), len(run.states), run.mastered()


# ------------------------------------------------------------------------- the full study


def study_slips(runs: int) -> None:
    """How soon each single slip is found."""
    for task in (Task.ANALYSE, Task.SKETCH, Task.REVERSE):
        some = findable(task, 12 if task is Task.ANALYSE else 4)
        counts = {
            (slip, seed): climbs_to_find(slip, seed, tasks=(task,))
            for seed in range(runs)
            for slip in some
        }
        within = [sum(c is not None and c <= n for c in counts.values()) for n in (4, 8, 12)]
        shares = ", ".join(f"{share / len(counts):.1%}" for share in within)
        print(f"{task}: {len(some)} slips, {runs} runs each: found within 4, 8, 12: {shares}")
        missed = Counter(slip for (slip, _), count in counts.items() if count is None)
        print("    missed:", ", ".join(f"{slip} {n}" for slip, n in missed.most_common(12)))


def study_mastery(runs: int) -> None:
    """How long it takes to master everything, by plan and at random."""
    for tasks in ((Task.ANALYSE,), tuple(Task)):
        for seed in range(runs):
            planned = climbs_to_master(seed, planned=True, tasks=tasks)
            random_ = climbs_to_master(seed, planned=False, tasks=tasks)
            print(
                f"{'+'.join(tasks)}: {len(skills(tasks))} skills, planned {planned}, "
                f"random {random_}{'+' if random_ == 2000 else ''} "
                f"({1 - planned / random_:.0%} fewer)"
            )


def study_luck(runs: int, problems: int = 100) -> None:
    """How often somebody who does not learn masters a skill."""
    for make in (guesser, cycler, hint_clicker):
        results = [masters(make(random.Random(seed)), seed, problems) for seed in range(runs)]
        reached, met = sum(r[0] for r in results), sum(r[1] for r in results)
        print(
            f"{make.__name__:12} {runs} runs of {problems} problems: ever mastered "
            f"{reached / met:.2%} of the skills met, {sum(r[2] for r in results) / met:.2%} in the "
            f"end; any skill at all in {sum(r[0] > 0 for r in results) / runs:.0%} of the runs"
        )


if __name__ == "__main__":
    with shared_problems(200):
        study_luck(60)
        study_slips(5)
    with shared_problems(40):
        study_mastery(4)
