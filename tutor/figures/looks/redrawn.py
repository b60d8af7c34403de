"""Circuits redrawn: as they are at an end, or beside one they are compared with, each captioned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .board import CAPTION, Board, LookPicture, Room, Shown, drawn_alike, put_circuits
from .places import less, side_by_side

Captioned = tuple[Shown, str]
"""A circuit, and what stands above it."""
_ABOVE = 2
"""Rows left free above circuits at most."""


def captioned(
    circuits: Sequence[Captioned],
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> LookPicture:
    """Circuits to be compared, each under its caption.

    Args:
        circuits: what is drawn, with its captions.
        width: columns of the room.
        height: rows of the room; the picture may take more.
        ascii: use plain ASCII characters only.
    """
    shown = [one for one, _ in circuits]
    rooms = side_by_side(shown, Room(0, 0, width, height), above=1, ascii=ascii)
    return _put(circuits, rooms, height, ascii)


def _put(
    circuits: Sequence[Captioned], rooms: Sequence[Room], rows: int, plain: bool
) -> LookPicture:
    """Circuits in their rooms, on so many ``rows`` at least."""
    below = max(room.y + room.height for room in rooms)
    board = Board(max(room.x + room.width for room in rooms), max(rows, below), ascii=plain)
    for room, (_, caption) in zip(rooms, circuits, strict=True):
        board.words(room.x, room.y, caption[: room.width], CAPTION)
    inner = [less(room, 0, 1) for room in rooms]
    put_circuits(board, [shown for shown, _ in circuits], inner, most_above=_ABOVE)
    return board.face()


def redrawn(
    whole: Captioned,
    ends: Sequence[Captioned],
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> LookPicture:
    """A circuit at its ends, beside itself where there is room; no higher than need be.

    Where none of this fits it may be wider than the room, to be scrolled.

    Args:
        whole: the circuit as it is.
        ends: the same circuit at one end or both, and circuits that it is compared with; those
            are left out where there is no room.
        width: columns of the room.
        height: its rows; where the ends don't fit into them, they stand there in words.
        ascii: use plain ASCII characters only.
    """
    room = Room(0, 0, width, height)
    at_ends = [one for one in ends if one[0].end is not None]
    ways = [[whole, *ends], [whole, *at_ends], at_ends] if at_ends else [[whole, *ends]]
    for circuits in ways:
        shown = [one for one, _ in circuits]
        rooms = side_by_side(shown, room, above=1, narrow=0, ascii=ascii)
        inner = [less(one, 0, 1) for one in rooms]
        drawings = drawn_alike(shown, inner, ascii=ascii)
        cut = any(len(said) > one.width for one, (_, said) in zip(rooms, circuits, strict=True))
        if cut or rooms[-1].y + rooms[-1].height > height or None in drawings:
            continue
        if rooms[-1].y == 0:  # side by side, and as low as the highest of them
            rows = 1 + max(drawing.height for drawing in drawings if drawing is not None)
            rooms = [replace(one, height=rows) for one in rooms]
        return _put(circuits, rooms, 1, ascii)
    return _in_words(whole[0], at_ends, width, height, ascii)


def _in_words(
    whole: Shown, ends: Sequence[Captioned], width: int, height: int, plain: bool
) -> LookPicture:
    """The circuit as it is, and below it what it is at its ends, as lines of circuit text."""
    lines = [line for one, caption in ends for line in one.in_words(width, f"{caption}: ")]
    drawn, heights = whole.schematic(ascii=plain), range(height - len(lines), height)
    fitting = (drawn.largest(width, rows) for rows in heights)
    drawing = next(filter(None, fitting), None) or drawn.fit(width, height)
    wide = max(width, drawing.width)
    board = Board(wide, drawing.height + len(lines), ascii=plain)
    board.put(drawing, Room(0, 0, drawing.width, drawing.height))
    for row, line in enumerate(lines, drawing.height):
        board.words(0, row, line)
    return board.face()
