"""What the opening screen says of where the learner stands."""

from __future__ import annotations

from ...coach.overview import Overview
from ...documents.progress import blocks
from ...figures.canvas.styled import StyledLine

_WIDE = 100
"""Columns from which on two columns of text stand side by side."""


def page(board: Overview, width: int, height: int) -> list[StyledLine]:
    """The whole page; it may be taller than its room.

    Args:
        board: what is known of the learner.
        width: columns of the room.
        height: its rows.
    """
    if width >= _WIDE:
        half = (width - 6) // 2
        left = _skills(board, half, height)
        right = _days(board, half, height)
        return blocks.side_by_side([left, right], half, 6)
    below = _days(board, width, height)
    above = _skills(board, width, height - len(below) - 2)
    lines = [*above, StyledLine(), *below]
    return [StyledLine(), *lines] if len(lines) < height else lines


def _skills(board: Overview, width: int, height: int) -> list[StyledLine]:
    """What is due, what is weak and which slips come back, as much as fits."""
    slips = min(len(board.slips), 2 if height < 20 else 6)
    fixed = 3 + (slips + 2 if slips else 0)
    room = max(2, height - fixed)
    due = max(1, len(board.due))
    weak = max(1, len(board.weak))
    due_rows = max(1, min(due, room - min(weak, room // 2), 14))
    weak_rows = max(1, min(weak, room - due_rows, 14))
    lines = [
        *blocks.due(board, width, due_rows),
        StyledLine(),
        *blocks.weak(board, width, weak_rows),
    ]
    if slips:
        lines += [StyledLine(), *blocks.slips(board, width, slips)]
    return lines


def _days(board: Overview, width: int, height: int) -> list[StyledLine]:
    """The days ahead, and what is known."""
    tall = 2 if height < 30 else 5
    return [*blocks.calendar(board, width, tall), StyledLine(), *blocks.forecast(board, width)]
