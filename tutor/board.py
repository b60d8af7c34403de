"""What the opening screen shows of a learner, as plain values and words.

It is made beside the screen (`outlook.board_of`), and everything in it can be painted as it
is: the first frame waits for neither the record nor the plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .wish import Wish

Row = tuple[int | None, str | None, int, str | None]
"""Level, family, seed and task of a wish."""


@dataclass(frozen=True)
class Board:
    """Where a learner stands at one moment.

    ``due`` and ``weak`` are skills as (kind of question, circuits), the weak ones, weakest
    first, led by the share that was right at once; ``slips`` recur, each with how often.
    ``calendar`` counts the reviews by day.  ``days`` are those left to the exam, ``ready`` is
    the share of all skills expected to be known then, ``problems`` and ``a_day`` what it
    takes.  ``place`` is (level, rungs left behind, rungs) of a climb to go on with.
    ``wishes`` holds the problem most worth asking, by what a sitting is for.
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
    problems: int = 0
    a_day: float | None = None
    complete: bool = False
    place: tuple[int, int, int] | None = None
    trouble: str = ""
    wishes: tuple[tuple[str, Row], ...] = ()

    def wish(self, mode: str) -> Wish:
        """The problem most worth asking for what a sitting is for.

        Raises:
            KeyError: there is none for that.
        """
        from ..problems.problem import Task
        from .wish import Wish

        level, family, seed, task = dict(self.wishes)[mode]
        return Wish(level, family, seed, Task(task) if task else None)
