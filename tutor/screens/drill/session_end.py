"""What is left of a sitting, in words, and the page that sums it up."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import ClassVar

from textual.binding import BindingType

from ...coach.session_sum import SummingUp
from ...documents.progress import blocks
from ...documents.progress.blocks import HEAD, QUIET
from ...figures.canvas.styled import StyledLine
from ...language.dates import ahead, lasting, long_day
from ...language.texts import Words, fill, speaker
from ...learning.session import Remaining, Session, SessionUnit
from ..common.keys import bound
from ..common.page import OpeningPage, PageScreen
from ..common.topline import TopLine

_WIDE = 100
_REHEARSE = 14
"""So many days before the exam a rehearsal is worth saying."""

say = speaker("opening", "sitting.")


def words(sitting: Session, remaining: Remaining | None, now: datetime) -> str:
    """What is left of a ``sitting`` ``now``, with so much ``remaining``; "" while not known."""
    left = sitting.left(now)
    if left is not None:
        minutes = math.ceil(left / timedelta(minutes=1))
        return say("minutes", count=minutes) if minutes else say("minutes-over")
    if remaining is None:
        return ""
    if not remaining.count:
        return say("over")
    unit = "skills" if remaining.unit is SessionUnit.SKILLS else "problems"
    return say(f"{unit}-one" if remaining.count == 1 else unit, count=remaining.count)


class SummingUpScreen(PageScreen[bool]):
    """What a sitting that is ``over`` came to; dismissed with True to go on climbing."""

    CSS_PATH = "../progress/progress.tcss"
    PAGE = "progress"
    HELP = Words.load().ui("help.summing-up")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter,escape", "dismiss(False)", "start"),
        bound("m", "dismiss(True)", "more"),
        bound("up", "leaf(-1)", "leaf-page", show=False),
        bound("down", "leaf(1)", "leaf-page", show=False),
        bound("pageup", "leaf(-10)", "leaf-page", show=False),
        bound("pagedown", "leaf(10)", "leaf-page", show=False),
    ]

    def __init__(self, over: SummingUp) -> None:
        super().__init__()
        self._over = over

    def on_mount(self) -> None:
        """Show it."""
        top = self.query_one(TopLine)
        top.about = say("about")
        top.place = blocks.exam_words(self._over.board)
        self.query_one(OpeningPage).show(lambda width, height: page(self._over, width, height))

    def action_leaf(self, way: int) -> None:
        """Scroll the page by so many rows."""
        self.query_one(OpeningPage).scroll_by(way)


def page(over: SummingUp, width: int, height: int) -> list[StyledLine]:
    """The whole page; it may be taller than its room.

    Args:
        over: what the sitting came to.
        width: columns of the room.
        height: its rows.
    """
    blank = StyledLine()
    end = [blank, StyledLine.of((say("onward"), QUIET))]
    if width >= _WIDE:
        half = (width - 6) // 2
        columns = [_done(over, half), _ahead(over, half)]
        return [*blocks.side_by_side(columns, half, 6), *end]
    lines = [*_done(over, width), blank, *_ahead(over, width), *end]
    return [blank, *lines] if len(lines) < height else lines


def _done(over: SummingUp, width: int) -> list[StyledLine]:
    """What was done."""
    blank = StyledLine()
    title = say(f"title-{over.mode.value}")
    lines = [StyledLine.of((title, HEAD))]
    time = lasting(over.seconds)
    key = "work-one" if over.climbs == 1 else "work"
    lines.append(StyledLine.of(say(key, count=over.climbs, time=time)))
    if over.asked:
        gauge = max(4, min(width - 30, 40))
        share = say("done", right=over.right, asked=over.asked)
        lines.append(
            StyledLine.of(
                blocks.bar(over.right / over.asked, gauge, "$ink-verdigris"), f"  {share}"
            )
        )
    if over.worked:
        lines += blocks.prose(say("worked", count=over.worked), width, QUIET)
    lines.append(blank)
    lines += _skills("known", over.known, width, "█", "$ink-verdigris")
    if not over.known:
        lines += blocks.prose(say("known-none"), width, QUIET)
    if over.lost:
        lines.append(blank)
        lines += _skills("lost", over.lost, width, "◆", "$ink-brass")
    lines += [blank, StyledLine.of((say("slips"), HEAD))]
    for name, count in over.slips[:8]:
        times = fill("opening", "stand.times", [("count", count)])
        lines.append(
            StyledLine.of(
                ("✗ ", "$ink-rust"),
                (blocks.cut(name, width - 4 - len(times)), "$foreground"),
                "  ",
                (times, "bold $foreground"),
            )
        )
    if not over.slips:
        lines.append(StyledLine.of((say("slips-none"), QUIET)))
    return lines + blocks.more(len(over.slips) - 8)


def _skills(
    key: str, skills: tuple[tuple[str, str], ...], width: int, sign: str, ink: str
) -> list[StyledLine]:
    lines = [blocks.heading(say(key), width, str(len(skills)) if skills else "")]
    for rung, group in skills[:8]:
        lines.append(
            StyledLine.of(
                (f"{sign} ", ink),
                (blocks.cut(rung, width - 3 - blocks.GROUPS), "$foreground"),
                " ",
                (group[: blocks.GROUPS].rjust(blocks.GROUPS), QUIET),
            )
        )
    return lines + blocks.more(len(skills) - 8)


def _ahead(over: SummingUp, width: int) -> list[StyledLine]:
    """What comes next, and when."""
    board, blank = over.board, StyledLine()
    said: list[str] = []
    if board.due:
        said.append(say("next-today", count=len(board.due)))
    if over.due is not None:
        day, count = over.due
        key = "next-due-one" if count == 1 else "next-due"
        said.append(say(key, day=long_day(day), ahead=ahead(day, board.today), count=count))
    if board.weak:
        said.append(say("next-weak", count=len(board.weak)))
    if board.exam is not None and board.days is not None and board.days >= 0:
        day = board.exam
        said.append(say("next-exam", day=long_day(day), ahead=ahead(day, board.today)))
        if 0 < board.days <= _REHEARSE:
            said.append(say("next-rehearse"))
    lines = [StyledLine.of((say("next"), HEAD))]
    for sentence in said:
        lines += blocks.prose(sentence, width)
    return [
        *lines,
        blank,
        *blocks.calendar(board, width, 3),
        blank,
        *blocks.forecast(board, width),
    ]
