"""What the opening screen shows of a learner, as plain values and words.

It is made beside the screen (`outlook.board_of`), and everything in it can be painted as it
is: the first frame waits for neither the record nor the plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Overview:
    """Where a learner stands at one moment.

    ``due`` and ``weak`` are skills as (kind of question, circuits), the weak ones, weakest
    first, led by the share that was right at once; ``slips`` recur, each with how often.
    ``calendar`` counts the reviews by day.  ``days`` are those left to the exam, ``ready`` is
    the share of all skills expected to be known then.  ``groups`` and ``types`` are how many
    groups of circuits and types of filter were met so far.  ``place`` is (level, rungs left
    behind, rungs) of a climb to go on with, ``rehearsal`` the seconds left of a rehearsal to go
    on with.
    """

    today: date
    exam: date | None = None
    fresh: bool = True
    due: tuple[tuple[str, str], ...] = ()
    weak: tuple[tuple[float, str, str], ...] = ()
    slips: tuple[tuple[str, int], ...] = ()
    calendar: tuple[tuple[date, int], ...] = ()
    days: int | None = None
    ready: float = 0.0
    groups: int = 0
    types: int = 0
    complete: bool = False
    place: tuple[int, int, int] | None = None
    rehearsal: float | None = None
    trouble: str = ""
