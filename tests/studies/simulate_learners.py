"""Simulated learners: what the plan makes of them, with the real problems and slips.

Run ``python -m tests.studies.simulate_learners`` for the full study (some minutes).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cache, lru_cache

from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue import families
from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.chance import Chance
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.kinds import kinds_of
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Task, Verdict
from rungwise.problems.slips.engine import predictions
from rungwise.problems.slips.order import SLIPS
from rungwise.tutor.learning import choice as review_choice
from rungwise.tutor.learning.carried import seen
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.evidence import Evidence
from rungwise.tutor.learning.plan import Mode, standing, what_next
from rungwise.tutor.learning.recognition import Recognition
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.skill_map import group_of, skill_of, skills
from rungwise.tutor.learning.skills import SkillState, advance
from rungwise.tutor.learning.worked_examples import guidance

from .slips_simulation import typed

BEGIN = datetime(2026, 9, 1, 17, 0, tzinfo=UTC)
A_DAY = 4
"""Problems climbed on one day."""

Leave = tuple[Outcome, int, int, tuple[str, ...]]
"""How a rung is left: outcome, tries, hints, slips named."""
Learner = Callable[[Problem, Question], Leave]
CLEAN: Leave = (Outcome.CLEAN, 1, 0, ())
WORKED: Leave = (Outcome.WORKED, 0, 0, ())


@contextmanager
def shared_problems(seeds: int = 0) -> Iterator[None]:
    """Keep every problem made, since many learners meet the same ones.

    With ``seeds``, the plan draws seeds below that, so that they meet the same ones more often.
    """
    whole, shown, below = review_choice._whole, review_choice.slips_by_question, review_choice.SEEDS
    review_choice._whole = lru_cache(maxsize=None)(whole.__wrapped__)
    review_choice.slips_by_question = lru_cache(maxsize=None)(shown.__wrapped__)
    review_choice.SEEDS = seeds or below
    try:
        yield
    finally:
        review_choice._whole, review_choice.slips_by_question = whole, shown
        review_choice.SEEDS = below
        _WRONG.clear()


_WRONG: dict[tuple[object, ...], dict[Rung, dict[str, Leave]]] = {}


def wrong_answers(problem: Problem) -> dict[Rung, dict[str, Leave]]:
    """How each slip that leads anywhere leaves each question of a problem.

    Kept with the problem and found by its identity: hashing a circuit takes longer.
    """
    key = problem.family, problem.seed, problem.task, *(q.rung for q in problem.questions)
    if key not in _WRONG:
        known = facts(problem.ladder)
        found: dict[Rung, dict[str, Leave]] = {}
        for question in problem.questions:
            ways = found.setdefault(question.rung, {})
            for guess in predictions(problem.ladder, known, question):
                if guess.slip in ways or not guess.in_play or guess.value == question.truth:
                    continue
                mark = grade(problem, question, typed(question, guess), known)
                if mark.verdict is Verdict.WRONG:
                    ways[guess.slip] = (
                        Outcome.RIGHT, 2, 0, tuple(hit.slip for hit in mark.slips)
                    )  # fmt: skip
        _WRONG[key] = found
    return _WRONG[key]


@dataclass
class Run:
    """One learner's climbs so far.

    With ``examples`` a new family opens with steps shown worked, of which this learner learns
    nothing; without them the learner takes over at once.
    """

    learner: Learner
    seed: int
    exam: date | None = None
    mode: Mode = Mode.UNTIL_DONE
    tasks: tuple[Task, ...] = (Task.ANALYSE,)
    examples: bool = False
    states: dict[str, SkillState] = field(default_factory=dict)
    wishes: list[ProblemRequest] = field(default_factory=list)
    now: datetime = BEGIN

    def plan(self) -> ProblemRequest:
        """What the plan asks next."""
        chance = Chance(self.seed, "plan", len(self.wishes))
        states = seen(self.states, Recognition(), self.now)
        wish = what_next(
            states, self.now, self.exam, self.mode, self.wishes[-20:], chance, self.tasks
        )
        return wish.settled(states)

    def climb(self, wish: ProblemRequest) -> None:
        """Climb one problem."""
        problem = review_choice.made(wish)
        self.now = BEGIN + timedelta(
            days=len(self.wishes) // A_DAY, minutes=3 * (len(self.wishes) % A_DAY)
        )
        worked = guidance(self.states, problem) if self.examples else frozenset()
        for question in problem.questions:
            left = WORKED if question.rung in worked else self.learner(problem, question)
            outcome, tries, hints, slips = left
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
        return wrong_answers(problem)[question.rung].get(slip, CLEAN)

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
        case Form.LEVEL:
            return abs(rng.choice((-20, -6, -3, 0, 3)) - question.figure) <= question.slack
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
    """Every slip, once, but those of predictions alone, which wait for what is known at sight."""
    predicted = frozenset(kinds_of(Task.PREDICT))
    return list(dict.fromkeys(slip.id for slip in SLIPS if not slip.rungs <= predicted))


@cache
def findable(tasks: tuple[Task, ...] = (Task.ANALYSE,), seeds: int = 6) -> tuple[str, ...]:
    """The slips that show at all in the tasks' problems of the first few seeds."""
    seen: set[str] = set()
    for task in tasks:
        for row in families.FAMILIES:
            for seed in range(seeds):
                seen |= review_choice.slips_in_play(ProblemRequest(row.level, row.name, seed, task))
    return tuple(slip for slip in slips() if slip in seen)


MANY, FEW = 18, 6
"""Problems that ask about 144 and 48 questions, as 12 and 4 did when each asked twelve."""


def climbs_to_find(
    slip: str, seed: int, most: int = MANY, tasks: tuple[Task, ...] = (Task.ANALYSE,)
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
    order: str = "planned",
    most: int = 2000,
    tasks: tuple[Task, ...] = (Task.ANALYSE,),
    examples: bool = False,
) -> int:
    """How many problems it takes a studious learner until every skill was mastered once.

    Args:
        seed: of the learner's luck, and of the order.
        order: "planned"; "by family", any family as likely as any other; or "by group", any
            group as likely, and in it any family.
        most: problems after which it is given up.
        tasks: what is asked for.
        examples: whether new families open with worked steps.
    """
    run = Run(Studious(seed), seed, tasks=tasks, examples=examples)
    rng = random.Random(seed)
    left = set(skills(tasks))
    groups = [group for group in SkillGroup if group is not SkillGroup.OTHER]
    while left and len(run.wishes) < most:
        if order == "planned":
            wish = run.plan()
        else:
            rows = families.FAMILIES
            if order == "by group":
                group = rng.choice(groups)
                rows = tuple(row for row in rows if group_of(row.name) is group)
            row = rng.choice(rows)
            wish = ProblemRequest(
                row.level, row.name, rng.randrange(review_choice.SEEDS), rng.choice(tasks)
            )
        run.climb(wish)
        found = seen(run.states, Recognition(), run.now)
        left = {skill for skill in left if skill not in found or not found[skill].mastered}
    return len(run.wishes)


def masters(
    learner: Learner, seed: int, problems: int, tasks: tuple[Task, ...] = (Task.ANALYSE,)
) -> tuple[int, int, int]:
    """Skills ever mastered, asked, and mastered in the end, by somebody who does not learn."""
    run = Run(learner, seed, tasks=tasks)
    once: set[str] = set()
    for _ in range(problems):
        run.climb(run.plan())
        once |= {skill for skill, state in run.states.items() if state.mastered}
    return len(once), len(run.states), run.mastered()


# ------------------------------------------------------------------------- the full study

ALL = tuple(Task)
SEEDS = 40
"""Seeds of the problems that are shared by the learners of a study."""


def study_luck(runs: int, problems: int = 100) -> None:
    """How often somebody who does not learn masters a skill."""
    for tasks in ((Task.ANALYSE,), ALL):
        for make in (guesser, cycler, hint_clicker):
            count = runs if make is not hint_clicker else runs // 10
            results = [
                masters(make(random.Random(seed)), seed, problems, tasks) for seed in range(count)
            ]
            reached, met = sum(r[0] for r in results), sum(r[1] for r in results)
            lucky = sum(r[0] > 0 for r in results)
            print(
                f"{make.__name__}, {'+'.join(tasks)}: {count} runs of {problems} problems: any "
                f"skill ever mastered in {lucky / count:.1%} of the runs, {reached / met:.2%} of "
                f"the skills met",
                flush=True,
            )


def study_slips(runs: int) -> None:
    """How soon each single slip is found."""
    for tasks in (ALL, (Task.ANALYSE,), (Task.SKETCH,), (Task.REVERSE,)):
        some = findable(tasks, 12)
        counts = {
            (slip, seed): climbs_to_find(slip, seed, tasks=tasks)
            for seed in range(runs)
            for slip in some
        }
        within = [sum(c is not None and c <= n for c in counts.values()) for n in (4, 8, 12)]
        shares = ", ".join(f"{share / len(counts):.1%}" for share in within)
        print(
            f"{'+'.join(tasks)}: {len(some)} slips, {runs} runs each: found within 4, 8, 12: "
            f"{shares}",
            flush=True,
        )
        missed = Counter(slip for (slip, _), count in counts.items() if count is None)
        print("    missed:", ", ".join(f"{slip} {n}" for slip, n in missed.most_common(20)))


def study_mastery(runs: int, most: int = 3000) -> None:
    """How long it takes to master everything, by plan and at random."""
    for tasks in ((Task.ANALYSE,), ALL):
        for seed in range(runs):
            planned, guided, by_family, by_group = (
                climbs_to_master(seed, order=order, tasks=tasks, most=most, examples=examples)
                for order, examples in (
                    ("planned", False), ("planned", True), ("by family", False),
                    ("by group", False),
                )
            )  # fmt: skip
            print(
                f"{'+'.join(tasks)}: {len(skills(tasks))} skills, planned {planned} (with worked "
                f"examples {guided}), by family {by_family}{'+' * (by_family == most)}, by group "
                f"{by_group}{'+' * (by_group == most)}: {1 - planned / by_group:.0%} fewer",
                flush=True,
            )


if __name__ == "__main__":
    with shared_problems(SEEDS):
        study_luck(200)
        study_mastery(4)
    with shared_problems():
        study_slips(8)
