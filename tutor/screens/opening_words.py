"""What the rungs of the opening screen say of themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..days import ahead, short_day
from ..outlook import Outlook
from ..words import fill
from .progress_blocks import opening

if TYPE_CHECKING:
    from ..climb import Climb


def go_on(outlook: Outlook, climb: Climb | None) -> str:
    """Where the learner left off."""
    if climb is not None:
        level, at, count = climb.problem.level, climb.position, len(climb.rungs)
    elif outlook.place is not None:
        start = outlook.place.start
        level, at, count = start.level, outlook.place.position, len(start.rungs)
    else:
        return opening("about.nothing")
    if at >= count:
        return opening("about.go-on-top", level=level)
    return opening("about.go-on", level=level, number=max(0, at) + 1, count=count)


def upcoming(outlook: Outlook) -> str:
    """What comes next by the plan."""
    due = len(outlook.standing.due)
    if due:
        return opening("about.due-one" if due == 1 else "about.due", count=due)
    return opening("about.done" if outlook.standing.complete else "about.fresh")


def exam(outlook: Outlook) -> str:
    """When the exam is."""
    if outlook.exam is None:
        return fill("opening", "about.exam-unset")
    today = outlook.now.date()
    days = (outlook.exam - today).days
    key = "exam-past" if days < 0 else {0: "exam-today", 1: "exam-tomorrow"}.get(days, "exam")
    values = {"date": short_day(outlook.exam), "days": days, "ahead": ahead(outlook.exam, today)}
    return opening(f"about.{key}", **values)
