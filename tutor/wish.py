"""Which problems somebody wants to climb."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..problems.problem import Problem


@dataclass(frozen=True)
class Wish:
    """A level, a family, a seed; ``None`` leaves level or family open."""

    level: int | None
    family: str | None
    seed: int

    def next(self, by: int = 1) -> Wish:
        """The wish for the problem after this one, or ``by`` after it."""
        return Wish(self.level, self.family, (self.seed + by) % 2**63)

    def problem(self) -> Problem:
        """Make the problem; takes milliseconds, and the first one a tenth of a second.

        Raises:
            ValueError: no such problem can be made (also LookupError, ArithmeticError).
        """
        from ..problems.generator import generate

        return generate(self.seed, family=self.family, level=self.level)
