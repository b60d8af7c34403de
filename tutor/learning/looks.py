"""What a look showed: one circuit, one question, one key, as the record keeps it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ...problems.catalogue.groups import SkillGroup
from ...problems.questions.looks import LookKind

ROUND_LENGTH = 24
"""Looks of a round: about three minutes."""


@dataclass(frozen=True, slots=True)
class LookEvent:
    """One look that was answered (or shown), as the record keeps it.

    ``cold``: nothing about it had been marked or hinted before.  ``scaffold``: one of the two ends
    asked after an error; it is no cold look.  ``hints`` is the highest level shown.  ``seconds``
    from painting to key, as far as somebody looked at a clock.  ``answered`` is "" for a look whose
    answer was shown.  ``number`` counts the looks of the round from 0.  ``circuit`` is the circuit
    as text; of a pair or four, that of the first.
    """

    round: str
    number: int
    kind: LookKind
    seed: int
    group: SkillGroup
    structure: str
    circuit: str
    truth: str
    answered: str
    cold: bool
    scaffold: bool = False
    hints: int = 0
    seconds: float = 0.0

    @property
    def right(self) -> bool:
        """Whether it was answered right."""
        return self.answered == self.truth

    @property
    def again(self) -> bool:
        """Whether its structure came back after an error (or it was hinted): asked, not cold."""
        return not self.cold and not self.scaffold


LookListener = Callable[[LookEvent], None]
