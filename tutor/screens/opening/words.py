"""What the rungs of the opening screen say of themselves."""

from __future__ import annotations

from ...coach.overview import Overview
from ...documents.progress.blocks import opening
from ...language.dates import short_day


def go_on(place: tuple[int, int, int] | None) -> str:
    """Where the learner left off: level, rungs left behind, rungs."""
    if place is None:
        return opening("about.nothing")
    level, left, count = place
    if left >= count:
        return opening("about.go-on-top", level=level)
    return opening("about.go-on", level=level, number=left + 1, count=count)


def upcoming(board: Overview) -> str:
    """What comes next by the plan."""
    due = len(board.due)
    if due:
        return opening("about.due-one" if due == 1 else "about.due", count=due)
    return opening("about.done" if board.complete else "about.fresh")


def weakest(board: Overview) -> str:
    """Which skills are weak."""
    if not board.weak:
        return opening("about.weak-none")
    rung = board.weak[0][1]
    key = "weak-one" if len(board.weak) == 1 else "weak"
    return opening(f"about.{key}", count=len(board.weak), skill=rung[:1].lower() + rung[1:])


def rehearsal(seconds: float | None) -> str:
    """What a rehearsal is or, of one that was begun, the time left."""
    if seconds is None:
        return opening("about.rehearse")
    from datetime import timedelta

    from ...phrases.rehearsal import left

    return opening("about.rehearse-on", left=left(timedelta(seconds=seconds)))


def exam(board: Overview) -> str:
    """When the exam is."""
    if board.exam is None:
        return opening("about.exam-unset")
    days = (board.exam - board.today).days
    key = "exam-past" if days < 0 else {0: "exam-today", 1: "exam-tomorrow"}.get(days, "exam")
    return opening(f"about.{key}", date=short_day(board.exam), days=days)
