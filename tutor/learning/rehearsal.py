"""A rehearsal of the exam: timed, mixed, without hints or marks until it is handed in.

Like :class:`~.climb.Climb` it knows no screen, words or clock.  The questions of a problem come
one after the other, and one that was left stays as it is: those after it build on its answer,
and often tell it.  Between problems one turns freely.  What was typed is read at once, so that
nobody loses a mark to a figure that could not be read, but whether it is right is said to
nobody.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from ...problems.catalogue.groups import SkillGroup
from ...problems.quantities.errors import Wording
from ...problems.questions.kinds import kind
from ...problems.questions.model import Problem, Question, Task, Verdict
from ..language.texts import Words
from .climb import Climb, Listener
from .request import ProblemRequest
from .skill_map import group_of

if TYPE_CHECKING:
    from ...problems.analysis.response import Facts
    from ...problems.catalogue.families import Family
    from ...problems.chance import Chance

MINUTES_EACH = 4
"""Minutes for each problem, about; common practice, no source."""
LENGTHS = (3, 6, 10)
"""Problems of a short, a middling and a long rehearsal."""
ASLEEP = timedelta(seconds=60)
"""A clock that is looked at every second and has moved by more was asleep: nobody sat there."""


def mixed(
    count: int, chance: Chance, tasks: Sequence[Task] = tuple(Task)
) -> tuple[ProblemRequest, ...]:
    """The problems of a rehearsal: over all groups of circuits in turn, the tasks by turns.

    An exam asks about everything, whatever was begun.

    Args:
        count: how many problems.
        chance: orders groups and tasks, and draws the circuits.
        tasks: what may be asked for.
    """
    from ...problems.catalogue.families import FAMILIES
    from .choice import SEEDS

    wishes: list[ProblemRequest] = []
    order: list[Task] = []
    groups: list[SkillGroup] = []
    before: list[Family] = []
    for _ in range(count):
        order = order or chance.shuffled(list(tasks))
        groups = groups or chance.shuffled([g for g in SkillGroup if g is not SkillGroup.OTHER])
        group = groups.pop()
        rows = [row for row in FAMILIES if group_of(row.name) is group]
        levels = Counter(wish.level for wish in wishes)
        rows.sort(key=lambda row: levels[row.level])
        rows = [row for row in rows if levels[row.level] == levels[rows[0].level]]
        # No third circuit of one type in a row.
        last = {row.type for row in before[-2:]} if len(before) > 1 else set()
        row = chance.pick([r for r in rows if len(last) != 1 or r.type not in last] or rows)
        before.append(row)
        wishes.append(ProblemRequest(row.level, row.name, chance.below(SEEDS), order.pop()))
    return tuple(wishes)


def minutes_for(problems: Sequence[Problem]) -> int:
    """How long these problems may take, in whole minutes."""
    seconds = sum(
        kind(question.rung).seconds for problem in problems for question in problem.questions
    )
    return max(1, math.ceil(seconds / 60))


@dataclass(frozen=True, slots=True)
class RehearsalAnswer:
    """What stands for an answer: how it was typed, how it was read, or why it was not."""

    text: str
    understood: str
    trouble: Wording | None = None


@dataclass(frozen=True, slots=True)
class LeftQuestion:
    """A question that was left: its place, what was given (``None``: left open), the time."""

    number: int
    at: int
    given: RehearsalAnswer | None
    seconds: float


class Rehearsal:
    """One rehearsal.

    Args:
        wishes: What was wished for, in order.
        problems: The problems made of that.
        began: When it began, aware; of one that is taken up again, when that is.
        minutes: How long it may take.
        used: How much of that was used before it is taken up again, in seconds.
    """

    def __init__(
        self,
        wishes: Sequence[ProblemRequest],
        problems: Sequence[Problem],
        began: datetime,
        minutes: float,
        used: float = 0.0,
    ) -> None:
        self.wishes = tuple(wishes)
        self.problems = tuple(problems)
        self.began = began
        self.minutes = minutes
        self.ends = began + timedelta(minutes=minutes, seconds=-used)
        self.places = tuple(
            (number, at)
            for number, problem in enumerate(self.problems)
            for at in range(len(problem.questions))
        )
        """Every question: the number of its problem, and its own within that."""
        self.answers: dict[tuple[int, int], RehearsalAnswer] = {}
        self.spent: dict[tuple[int, int], float] = {}
        """Seconds at each question."""
        self.reached = [0] * len(self.problems)
        """How many questions of each problem were left."""
        self.handed_in: datetime | None = None
        self._at = 0
        self.looked = began
        """When the clock was looked at last."""
        self._climbs: tuple[Climb, ...] = ()

    @property
    def at(self) -> int:
        """Which of the places is asked."""
        return self._at

    @property
    def number(self) -> int:
        """Which of the problems is asked about."""
        return self.places[self._at][0]

    @property
    def problem(self) -> Problem:
        """The problem being asked about."""
        return self.problems[self.number]

    @property
    def question(self) -> Question:
        """The question being asked."""
        number, at = self.places[self._at]
        return self.problems[number].questions[at]

    @property
    def given(self) -> RehearsalAnswer | None:
        """What was answered to it so far."""
        return self.answers.get(self.places[self._at])

    @property
    def complete(self) -> bool:
        """Whether every question was left."""
        return not any(map(self.waits, range(len(self.problems))))

    @property
    def open(self) -> int:
        """How many questions have no answer."""
        return len(self.places) - len(self.answers)

    def waits(self, number: int) -> bool:
        """Whether a problem still has questions to be asked."""
        return self.reached[number] < len(self.problems[number].questions)

    def go(self, place: int) -> None:
        """Turn to another question; beyond either end is the end."""
        self._at = min(max(place, 0), len(self.places) - 1)

    def turn(self, by: int) -> None:
        """Turn to the next (1) or the previous (−1) problem that has questions, round and round."""
        count = len(self.problems)
        for away in range(1, count + 1):
            number = (self.number + by * away) % count
            if self.waits(number):
                self.come_to(number)
                return

    def come_to(self, number: int) -> None:
        """Turn to a problem or, if it has no questions left, to the next one that has."""
        if self.waits(number):
            self.go(self.places.index((number, self.reached[number])))
        elif not self.complete:
            self.go(self.places.index((number, 0)))
            self.turn(1)

    def left(self, now: datetime) -> timedelta:
        """The time left, never less than none."""
        return max(self.ends - now, timedelta(0))

    def used(self, now: datetime) -> float:
        """Seconds used, never more than it may take."""
        until = now if self.handed_in is None else self.handed_in
        return 60.0 * self.minutes - self.left(until).total_seconds()

    def over(self, now: datetime) -> bool:
        """Whether it was handed in, or the time is up."""
        return self.handed_in is not None or now >= self.ends

    def tick(self, now: datetime, *, awake: bool = False) -> None:
        """Count the time since the last look for the question being asked.

        To be called every second or so: while a machine sleeps, or its clock is set, the time
        of a rehearsal stands still.  Where nobody can look at the clock that often (``awake``)
        it stands still only for a clock that was put back, before ``now``.
        """
        gone, self.looked = now - self.looked, now
        if self.handed_in is not None:
            return
        if gone < timedelta(0) or (gone > ASLEEP and not awake):
            self.ends += gone
            return
        place = self.places[self._at]
        self.spent[place] = self.spent.get(place, 0.0) + gone.total_seconds()

    def start_clock(self, now: datetime) -> None:
        """From now on the time runs again: the learner sees the question, and did not before."""
        self.ends += now - self.looked
        self.looked = now

    def answer(self, text: str, now: datetime) -> RehearsalAnswer | None:
        """Answer the question being asked.

        Args:
            text: the answer, as it is typed; an empty one takes an answer back.
            now: the moment.

        Returns:
            How it was read, or why it could not be (then an earlier answer stands);
            ``None`` if it is too late or was taken back.
        """
        if self.over(now):
            return None
        place = self.places[self._at]
        if not text.strip():
            self.answers.pop(place, None)
            return None
        from ...problems.grading.grade import grade

        setting = Words.load().setting(self.question)
        mark = grade(self.problem, self.question, text, known(self.problem), setting)
        given = RehearsalAnswer(text, mark.understood, mark.trouble)
        if mark.verdict is not Verdict.UNCLEAR:
            self.answers[place] = given
        return given

    def leave(self) -> LeftQuestion:
        """Leave the question being asked, for good, and come to the next one.

        After a problem's last question that is the first one of the next problem that has any;
        after the last of all it is the last still.
        """
        number, at = place = self.places[self._at]
        left = LeftQuestion(number, at, self.answers.get(place), self.spent.get(place, 0.0))
        self.reached[number] = max(self.reached[number], at + 1)
        self.come_to(number)
        return left

    def put_back(self, left: LeftQuestion) -> None:
        """A question was left before the rehearsal is taken up again."""
        place = left.number, left.at
        if left.given is not None:
            self.answers[place] = left.given
        self.spent[place] = left.seconds
        self.reached[left.number] = max(self.reached[left.number], left.at + 1)

    def hand_in(self, now: datetime) -> None:
        """End it; from here on it can be marked."""
        if self.handed_in is None:
            self.handed_in = min(now, self.ends)

    def marked(
        self, listener_for: Callable[[ProblemRequest], Listener | None] = lambda wish: None
    ) -> tuple[Climb, ...]:
        """The problems as climbs: every answer marked, what is wrong or missing given up.

        Args:
            listener_for: gives each climb the listener that keeps its record.

        Raises:
            ValueError: it has not been handed in.
        """
        if self.handed_in is None:
            raise ValueError("a rehearsal is marked when it has been handed in")
        if not self._climbs:
            self._climbs = tuple(
                self._marked(number, listener_for(wish)) for number, wish in enumerate(self.wishes)
            )
        return self._climbs

    def _marked(self, number: int, listener: Listener | None) -> Climb:
        climb = Climb(self.problems[number], listener)
        for at in range(len(climb.rungs)):
            given = self.answers.get((number, at))
            if given is None:
                climb.skip()
            elif not climb.answer(given.text).passed:
                climb.show()
        return climb


@lru_cache(maxsize=64)
def known(problem: Problem) -> Facts:
    """The exact facts of a problem's circuit, computed once."""
    from ...problems.analysis.response import facts

    return facts(problem.ladder)
