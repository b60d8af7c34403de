"""What a rehearsal came to: every question as it was answered, and the score of each skill."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from .climb import Climb, RungState
from .course import Outcome
from .skill_map import skill_of


@dataclass(frozen=True)
class RehearsalItem:
    """One question, as it was left: the problem's number, its own place, seconds spent on it."""

    number: int
    at: int
    state: RungState
    skill: str
    seconds: float

    @property
    def right(self) -> bool:
        """Whether the answer was right."""
        return self.state.outcome is Outcome.CLEAN

    @property
    def answered(self) -> bool:
        """Whether there was an answer."""
        return self.state.outcome is not Outcome.SKIPPED


@dataclass(frozen=True, slots=True)
class Score:
    """How many answers of a skill were right, of how many questions."""

    skill: str
    right: int
    asked: int


@dataclass(frozen=True)
class RehearsalResult:
    """A rehearsal that was handed in.

    ``when`` it was handed in; ``used`` and ``allowed`` are seconds.
    """

    climbs: tuple[Climb, ...]
    items: tuple[RehearsalItem, ...]
    when: datetime
    used: float
    allowed: float

    @property
    def right(self) -> int:
        """Right answers."""
        return sum(item.right for item in self.items)

    @property
    def left_open(self) -> int:
        """Questions without an answer."""
        return sum(not item.answered for item in self.items)

    @property
    def scores(self) -> tuple[Score, ...]:
        """The score of every skill that was asked, the worst first."""
        asked: dict[str, list[bool]] = {}
        for item in self.items:
            asked.setdefault(item.skill, []).append(item.right)
        found = [Score(skill, sum(rights), len(rights)) for skill, rights in asked.items()]
        return tuple(sorted(found, key=lambda score: (score.right / score.asked, -score.asked)))


def result(
    climbs: Sequence[Climb],
    spent: Mapping[tuple[int, int], float],
    when: datetime,
    used: float,
    allowed: float,
) -> RehearsalResult:
    """What ``climbs`` that are marked come to.

    ``spent`` are seconds at each question, ``when`` it was handed in, ``used`` seconds of those
    ``allowed``.
    """
    items = tuple(
        RehearsalItem(
            number,
            at,
            state,
            skill_of(climb.problem.family, state.question.rung),
            spent.get((number, at), 0.0),
        )
        for number, climb in enumerate(climbs)
        for at, state in enumerate(climb.rungs)
    )
    return RehearsalResult(tuple(climbs), items, when, used, allowed)
