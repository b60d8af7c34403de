"""Somebody who follows the plan, in memory: rounds of looks and circuits in full, by the clock.

The clock is the program's own: :data:`LOOK` seconds a look, :data:`READING` more where an answer
is explained, and for circuits in full what each kind of question takes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

from rungwise.problems.chance import Chance
from rungwise.problems.questions.kinds import kind
from rungwise.problems.questions.model import Problem, Question, Task
from rungwise.tutor.coach.looking import LOOKING_SECONDS
from rungwise.tutor.learning import choice as review_choice
from rungwise.tutor.learning.carried import carried, seen
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.evidence import Evidence
from rungwise.tutor.learning.full_circuit import new_ends, spared
from rungwise.tutor.learning.next_look import RoundStep
from rungwise.tutor.learning.placing import knows_already
from rungwise.tutor.learning.plan import Mode
from rungwise.tutor.learning.recognition import Recognition, look_skills
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.rounds import LookResult, Round
from rungwise.tutor.learning.session import next_wish
from rungwise.tutor.learning.skill_map import skill_of, skills
from rungwise.tutor.learning.skills import SkillState, advance
from rungwise.tutor.learning.worked_examples import guidance

BEGIN = datetime(2026, 9, 1, 17, 0, tzinfo=UTC)
LOOK, READING, LOOKING = 6.0, 15.0, 30.0
"""Seconds of a look, of an explanation, and of taking in a circuit in full."""

Looks = Callable[[RoundStep], str]
Climbs = Callable[[Problem, Question], bool]


@dataclass
class Follower:
    """Somebody who follows the plan.

    Args:
        looks: what they answer to a look.
        climbs: whether they are right at a question of a circuit in full.
        seed: of the plan.
        minutes_a_day: how long they practise in a day.
        exam: the day of the exam.
        told: hears of every look and its result.
    """

    looks: Looks
    climbs: Climbs
    seed: int = 0
    minutes_a_day: float = 30.0
    exam: date | None = None
    told: Callable[[RoundStep, LookResult], None] = lambda step, result: None
    tasks: tuple[Task, ...] = tuple(Task)
    states: dict[str, SkillState] = field(default_factory=dict)
    known: Recognition = field(default_factory=Recognition)
    wishes: list[ProblemRequest] = field(default_factory=list)
    seconds: float = 0.0
    rounds: int = 0
    answers: int = 0
    worked: int = 0
    groups: set[str] = field(default_factory=set)
    types: set[str] = field(default_factory=set)
    structures: set[str] = field(default_factory=set)
    looked: int = 0

    @property
    def now(self) -> datetime:
        """The moment: a day has so many minutes of practice, and then it is tomorrow."""
        day, within = divmod(self.seconds, 60 * self.minutes_a_day)
        return BEGIN + timedelta(days=day, seconds=within)

    def seen(self) -> dict[str, SkillState]:
        """What is known of each skill, with what looks and other groups show of it."""
        return seen(self.states, self.known, self.now)

    def round(self, stop: Callable[[Recognition], bool] = lambda known: False) -> None:
        """One round of looks."""
        known = self.known
        known.carried = carried(self.states)
        going = Round(
            self.seed * 100_003 + self.rounds, known=known, today=self.now.date(),
            placing=not known.looks,
        )  # fmt: skip
        while going.step is not None:
            step = going.step
            said = self.looks(step)
            result = going.answer(said, LOOK) if said else going.show(LOOK)
            self.seconds += LOOK + READING * (not result.right)
            self.looked += 1
            self.groups.add(step.look.group.value)
            self.structures.add(step.look.structure)
            if step.look.kind.value == "type":
                self.types.add(step.look.truth)
            self.told(step, result)
            if stop(going.recognition):
                break
            going.next()
        self.known = going.recognition
        self.rounds += 1

    def climb(self) -> None:
        """One circuit in full, the one that the plan chooses."""
        states = self.seen()
        chance = Chance(self.seed, "plan", len(self.wishes))
        wish = next_wish(
            states, self.now, self.exam, Mode.TEN_MINUTES, self.wishes[-20:], chance, self.tasks
        ).settled(states)
        problem = wish.problem()
        examples = frozenset() if knows_already(self.known) else guidance(states, problem)
        off = spared(problem, new_ends(states))
        self.seconds += LOOKING
        self.groups.add(review_choice.group_of(problem.family).value)
        self.structures.add(problem.family)
        type_right = True
        for question in problem.questions:
            rung = question.rung
            if rung in off and type_right:
                continue
            if rung in examples:
                outcome, tries = Outcome.WORKED, 0
                self.worked += 1
            else:
                right = self.climbs(problem, question)
                outcome, tries = (Outcome.CLEAN, 1) if right else (Outcome.RIGHT, 2)
                self.answers += 1
                self.seconds += READING * (not right)
                if rung.value == "type":
                    type_right = right
                    self.types.add(str(question.truth))
            self.seconds += kind(rung).seconds
            self.note(problem, question, outcome, tries)
        self.wishes.append(wish)

    def note(
        self, problem: Problem, question: Question, outcome: Outcome = Outcome.CLEAN, tries: int = 1
    ) -> None:
        """Keep how a question was left."""
        rung = question.rung
        evidence = Evidence(
            self.now, problem.family, problem.level, problem.seed, problem.task, rung,
            len(question.choices), outcome, tries, 0, (), float(kind(rung).seconds),
        )  # fmt: skip
        skill = skill_of(problem.family, rung)
        self.states[skill] = advance(self.states.get(skill), evidence)

    def follow(self, minutes: float) -> Iterator[None]:
        """Six minutes of looks and a circuit in turn, until so many minutes have passed."""
        since = 0.0
        while self.seconds < 60 * minutes:
            if since < LOOKING_SECONDS and self.known.lacks(self.now.date()):
                before = self.seconds
                self.round()
                since += self.seconds - before
            else:
                self.climb()
                since = 0.0
            yield

    def left(self) -> tuple[int, int]:
        """Skills of looks, and of circuits in full, that are not known yet."""
        states = self.seen()
        there = sum(1 for skill in skills(self.tasks) if (s := states.get(skill)) and s.mastered)
        return (
            len(look_skills()) - len(self.known.known_skills()),
            len(skills(self.tasks)) - there,
        )


def never_wrong(seed: int, tasks: tuple[Task, ...] = tuple(Task)) -> Follower:
    """Somebody who is never wrong."""
    return Follower(lambda step: step.look.truth, lambda problem, question: True, seed, tasks=tasks)
