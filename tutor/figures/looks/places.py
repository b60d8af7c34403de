"""Where circuits stand on a board: side by side, or below each other where it is narrow."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from .board import Room, Shown

GAP = 2
"""Columns between what stands side by side."""
NARROW = 100
"""Columns below which circuits stand below each other, if they can."""


def split(room: Room, count: int) -> list[Room]:
    """A ``room`` as ``count`` rooms of equal width side by side."""
    width = (room.width - GAP * (count - 1)) // count
    return [Room(room.x + n * (width + GAP), room.y, width, room.height) for n in range(count)]


def stacked(room: Room, count: int) -> list[Room]:
    """A ``room`` as ``count`` rooms of about equal height, one below the other."""
    edges = [room.height * n // count for n in range(count + 1)]
    return [Room(room.x, room.y + top, room.width, bottom - top) for top, bottom in pairwise(edges)]


def less(room: Room, columns: int, rows: int = 0) -> Room:
    """A ``room`` without its first ``columns`` and ``rows``."""
    return Room(room.x + columns, room.y + rows, room.width - columns, room.height - rows)


def fits(circuits: Sequence[Shown], rooms: Sequence[Room], *, ascii: bool = False) -> bool:  # noqa: A002
    """Whether each of the ``circuits`` can be drawn in its one of ``rooms``, ``ascii`` or not."""
    return all(
        shown.schematic(ascii=ascii).largest(room.width, room.height) is not None
        for shown, room in zip(circuits, rooms, strict=True)
    )


def side_by_side(
    circuits: Sequence[Shown],
    room: Room,
    *,
    before: int = 0,
    above: int = 0,
    narrow: int = NARROW,
    ascii: bool = False,  # noqa: A002
) -> list[Room]:
    """Where circuits stand that are to be compared.

    Where nothing fits they stand below each other, and reach below the room.

    Args:
        circuits: what is to be drawn.
        room: what there is for all of them.
        before: columns that something else takes before each.
        above: rows that something else takes above each.
        narrow: columns below which they stand below each other, if they can.
        ascii: whether plain ASCII characters are used.
    """
    needs = [shown.schematic(ascii=ascii).lowest()[1] + above for shown in circuits]
    spare = max(0, room.height - sum(needs)) // len(needs)
    below, y = [], room.y
    for need in needs:
        below.append(Room(room.x, y, room.width, need + spare))
        y += need + spare
    ways = [stacked(room, len(circuits)), split(room, len(circuits))]
    if room.width >= narrow:
        ways.reverse()
    if y <= room.y + room.height:
        ways.insert(1, below)
    for rooms in ways:
        if fits(circuits, [less(one, before, above) for one in rooms], ascii=ascii):
            return rooms
    return below
