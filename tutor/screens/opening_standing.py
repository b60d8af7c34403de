"""What the opening screen says of where the learner stands."""

from __future__ import annotations

from textual.content import Content

from ..outlook import Outlook
from . import progress_blocks as blocks

_WIDE = 100
"""Columns from which on two columns of text stand side by side."""


def page(outlook: Outlook, width: int, height: int) -> list[Content]:
    """The whole page for a room of this many columns and rows; it may be taller."""
    if width >= _WIDE:
        half = (width - 6) // 2
        left = _skills(outlook, half, height)
        right = _days(outlook, half, height)
        return blocks.side_by_side([left, right], half, 6)
    below = _days(outlook, width, height)
    above = _skills(outlook, width, height - len(below) - 2)
    lines = [*above, Content(""), *below]
    return [Content(""), *lines] if len(lines) < height else lines


def _skills(outlook: Outlook, width: int, height: int) -> list[Content]:
    """What is due, what is weak and which slips come back, as much as fits."""
    slips = min(len(outlook.standing.slips), 2 if height < 20 else 6)
    fixed = 3 + (slips + 2 if slips else 0)
    room = max(2, height - fixed)
    due = max(1, len(outlook.standing.due))
    weak = max(1, len(outlook.weakest))
    due_rows = max(1, min(due, room - min(weak, room // 2), 14))
    weak_rows = max(1, min(weak, room - due_rows, 14))
    lines = [
        *blocks.due(outlook, width, due_rows),
        Content(""),
        *blocks.weak(outlook, width, weak_rows),
    ]
    if slips:
        lines += [Content(""), *blocks.slips(outlook, width, slips)]
    return lines


def _days(outlook: Outlook, width: int, height: int) -> list[Content]:
    """The days ahead, and what is known."""
    tall = 2 if height < 30 else 5
    return [*blocks.calendar(outlook, width, tall), Content(""), *blocks.forecast(outlook, width)]
