"""Learners who look at rounds, for tests and studies: what they answer, and what is kept of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.learning.looks import LookEvent
from rungwise.tutor.learning.next_look import RoundStep
from rungwise.tutor.learning.recognition import Recognition
from rungwise.tutor.learning.rounds import Round

FIRST_DAY = date(2026, 11, 2)

Answerer = Callable[[RoundStep], tuple[str, float]]
"""What somebody answers to a look ("" for: shown), and after how many seconds."""


@dataclass
class Looker:
    """Somebody who looks at one round after another.

    Args:
        answer: what they answer.
        seed: of the rounds.
        a_day: rounds on one day.
        kinds: what is asked, by name; empty: what the plan asks.
    """

    answer: Answerer
    seed: int
    a_day: int = 2
    known: Recognition = field(default_factory=Recognition)
    steps: list[RoundStep] = field(default_factory=list)
    events: list[LookEvent] = field(default_factory=list)
    rounds: int = 0
    kinds: tuple[LookKind, ...] = ()

    @property
    def today(self) -> date:
        """The day of the next round."""
        return FIRST_DAY + timedelta(days=self.rounds // self.a_day)

    def look(self, until: Callable[[Recognition], bool] = lambda known: False) -> Round:
        """One round; it is broken off when ``until`` says so."""
        found = Round(
            self.seed * 1000 + self.rounds,
            kinds=self.kinds,
            known=self.known,
            today=self.today,
            placing=not self.known.looks and not self.kinds,
        )
        while found.step is not None:
            self.steps.append(found.step)
            said, seconds = self.answer(found.step)
            if said:
                found.answer(said, seconds)
            else:
                found.show(seconds)
            self.events.append(found.events[-1])
            if until(found.recognition):
                break
            found.next()
        self.known = found.recognition
        self.rounds += 1
        return found

    @property
    def looks(self) -> list[RoundStep]:
        """The looks, without the scaffolds."""
        return [step for step in self.steps if not step.scaffold]


def right(step: RoundStep) -> tuple[str, float]:
    """Never wrong, two seconds each."""
    return step.look.truth, 2.0


def mostly(chance: Random, share: float, seconds: float = 2.0) -> Answerer:
    """Right so often, else anything."""

    def answer(step: RoundStep) -> tuple[str, float]:
        if chance.random() < share:
            return step.look.truth, seconds
        return chance.choice(step.look.answers), seconds

    return answer
