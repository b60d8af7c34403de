"""Which problems somebody wants to climb."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ...problems.questions.model import FORMAT, Rung, Task

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ...problems.questions.model import Problem
    from .skills import SkillState


UNMAKEABLE = (ValueError, LookupError, ArithmeticError)
"""What is raised where no problem, or round of looks, can be made."""


@dataclass(frozen=True)
class ProblemRequest:
    """A level, a family, a seed, a task; ``None`` leaves level, family or task open.

    ``format`` is the meaning of seeds: the newest, but for a climb that was begun under another.
    ``kinds`` are the kinds of question that the learner chose; empty: what is worth asking.
    ``asked`` are those of one climb, in order, where they have been settled.
    """

    level: int | None
    family: str | None
    seed: int
    task: Task | None = Task.ANALYSE
    format: int = FORMAT
    kinds: tuple[Rung, ...] = ()
    asked: tuple[Rung, ...] = field(
        default=(), compare=False
    )  # the same problem, whatever is asked

    def next(self, by: int = 1) -> ProblemRequest:
        """The wish for the problem after this one, or ``by`` after it; of the newest format."""
        return replace(self, seed=(self.seed + by) % 2**63, format=FORMAT, asked=())

    def problem(self) -> Problem:
        """Make the problem; takes milliseconds, and the first one a tenth of a second.

        Raises:
            ValueError: no such problem can be made (also LookupError, ArithmeticError).
        """
        from .full_circuit import arranged, asked_of

        whole = self.whole()
        return arranged(whole, self.asked or asked_of(whole, kinds=self.kinds))

    def whole(self) -> Problem:
        """The problem with all that its seed asks and the kinds chosen, as :meth:`problem`."""
        from ...problems.generate.tasks import generate

        made = generate(
            self.seed, task=self.task, family=self.family, level=self.level, format=self.format
        )
        if self.kinds and made.task is Task.ANALYSE:
            from ...problems.generate.analyse import with_kinds

            return with_kinds(made, self.kinds)
        return made

    def settled(self, states: Mapping[str, SkillState]) -> ProblemRequest:
        """The request with its questions settled: what the learner has mastered is left out.

        Questions that are settled already stay.

        Args:
            states: by skill.

        Raises:
            ValueError: no such problem can be made (also LookupError, ArithmeticError).
        """
        from .full_circuit import asked_of, mastered

        if self.asked:
            return self
        whole = self.whole()
        return replace(self, asked=asked_of(whole, mastered(whole, states), self.kinds))

    def without_ends(self) -> ProblemRequest:
        """The request without the ends: a rehearsal marks nothing that could call for them.

        Raises:
            ValueError: no such problem can be made (also LookupError, ArithmeticError).
        """
        from .full_circuit import ENDS

        asked = [question.rung for question in self.problem().questions]
        if Rung.TYPE not in asked:
            return self
        return replace(self, asked=tuple(rung for rung in asked if rung not in ENDS))


def draw_seed() -> int:
    """A seed short enough to be typed again."""
    from random import SystemRandom

    return SystemRandom().randrange(1, 1_000_000)
