"""What one rung of a climb showed about its learner: what a record keeps and a plan reads."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ...problems.questions.model import Rung, Task
from .course import Outcome


@dataclass(frozen=True, slots=True)
class Evidence:
    """One rung that was left, with everything that happened on it.

    ``when`` is in UTC and aware.  ``choices`` is the number of choices, 0 for a typed answer.
    ``tries`` counts the answers that were understood, ``hints`` is the highest level shown,
    ``slips`` are those named by any of the marks, in order, each once.  ``seconds`` is the
    time from asking to leaving, as far as it is known.
    """

    when: datetime
    family: str
    level: int
    seed: int
    task: Task
    rung: Rung
    choices: int
    outcome: Outcome
    tries: int
    hints: int
    slips: tuple[str, ...] = ()
    seconds: float = 0.0
