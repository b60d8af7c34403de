"""A rehearsal of the exam: timed, mixed, without hints or marks until it is handed in.

Like :class:`~.climb.Climb` it knows no screen, words or clock.  Questions may be answered in
any order and answers changed until the end.  What was typed is read at once, so that nobody
loses a mark to a figure that could not be read, but whether it is right is said to nobody.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from ..problems.problem import Problem, Question, Task, Verdict
from .climb import Climb, Listener
from .review import Mode, what_next
from .skills import SkillState
from .wish import Wish

if TYPE_CHECKING:
    from ..problems.chance import Chance

MINUTES_EACH = 4
"""Minutes for each problem, about; common practice, no source."""


def mixed(
    states: Mapping[str, SkillState],
    now: datetime,
    exam: date | None,
    count: int,
    chance: Chance,
    tasks: Sequence[Task] = tuple(Task),
) -> tuple[Wish, ...]:
    """The problems of a rehearsal, mixed over everything that was begun."""
    wishes: list[Wish] = []
    for _ in range(count):
        wishes.append(what_next(states, now, exam, Mode.REHEARSAL, wishes, chance, tasks))
    return tuple(wishes)


@dataclass(frozen=True, slots=True)
class Given:
    """What stands for an answer: how it was typed, how it was read, or why it was not."""

    text: str
    understood: str
    trouble: str = ""


class Rehearsal:
    """One rehearsal.

    Args:
        wishes: What was wished for, in order.
        problems: The problems made of that.
        began: When it began, aware.
        minutes: How long it may take.
    """

    def __init__(
        self,
        wishes: Sequence[Wish],
        problems: Sequence[Problem],
        began: datetime,
        minutes: float,
    ) -> None:
        self.wishes = tuple(wishes)
        self.problems = tuple(problems)
        self.began = began
        self.ends = began + timedelta(minutes=minutes)
        self.places = tuple(
            (number, at)
            for number, problem in enumerate(self.problems)
            for at in range(len(problem.questions))
        )
        """Every question: the number of its problem, and its own within that."""
        self.answers: dict[tuple[int, int], Given] = {}
        self.handed_in: datetime | None = None
        self._at = 0
        self._climbs: tuple[Climb, ...] = ()

    @property
    def at(self) -> int:
        """Which of the places is asked."""
        return self._at

    @property
    def problem(self) -> Problem:
        """The problem being asked about."""
        return self.problems[self.places[self._at][0]]

    @property
    def question(self) -> Question:
        """The question being asked."""
        number, at = self.places[self._at]
        return self.problems[number].questions[at]

    @property
    def given(self) -> Given | None:
        """What was answered to it so far."""
        return self.answers.get(self.places[self._at])

    def go(self, place: int) -> None:
        """Turn to another question; beyond either end is the end."""
        self._at = min(max(place, 0), len(self.places) - 1)

    def left(self, now: datetime) -> timedelta:
        """The time left, never less than none."""
        return max(self.ends - now, timedelta(0))

    def over(self, now: datetime) -> bool:
        """Whether it was handed in, or the time is up."""
        return self.handed_in is not None or now >= self.ends

    def answer(self, text: str, now: datetime) -> Given | None:
        """Answer the question being asked; an empty text takes an answer back.

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
        from ..problems.grader import grade

        mark = grade(self.problem, self.question, text)
        given = Given(text, mark.understood, mark.trouble)
        if mark.verdict is not Verdict.UNCLEAR:
            self.answers[place] = given
        return given

    def hand_in(self, now: datetime) -> None:
        """End it; from here on it can be marked."""
        if self.handed_in is None:
            self.handed_in = min(now, self.ends)

    def marked(
        self, listener_for: Callable[[Wish], Listener | None] = lambda wish: None
    ) -> tuple[Climb, ...]:
        """The problems as climbs: every answer marked, what is wrong or missing given up.

        Args:
            listener_for: gives each climb the listener that its record hangs on.

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
