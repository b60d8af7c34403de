"""A picture put together of others: circuits, plots and lines of words on one canvas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ....problems.circuits.model import Ladder, valueless
from ....problems.circuits.write import write_circuit
from ...language.ascii import ascii_form
from ...language.wrap import fold
from ..canvas.canvas import Canvas
from ..canvas.picture import Picture, Span
from ..schematic.draw import Schematic, SchematicDrawing
from ..schematic.parts import LABEL, MARKED, MARKED_LABEL

if TYPE_CHECKING:
    from ....problems.analysis.arms import End

KEY = "key"
KEY_COLUMNS = 3
"""Columns of a key before what it stands for."""
CAPTION = "caption"
TEXT = "text"
QUIET = "quiet"
GOOD = "good"
BAD = "bad"


@dataclass(frozen=True, slots=True)
class Room:
    """A part of a board: its upper left cell, its columns and rows."""

    x: int
    y: int
    width: int
    height: int

    def holds(self, x: int, y: int) -> bool:
        """Whether cell (``x``, ``y``) lies in it."""
        return self.x <= x < self.x + self.width and self.y <= y < self.y + self.height


@dataclass(frozen=True)
class LookPicture(Picture):
    """A picture, and the rooms in it that stand for choices, in the order of the keys."""

    spots: tuple[Room, ...] = ()


class Board:
    """What pictures and words are put on."""

    def __init__(self, width: int, height: int, *, ascii: bool = False) -> None:  # noqa: A002
        self.width, self.height, self.ascii = width, height, ascii
        self._canvas = Canvas(width, height, ascii)
        self._marked: list[Span] = []
        self.spots: list[Room] = []

    def words(self, x: int, y: int, text: str, role: str = TEXT) -> int:
        """Write ``text`` of a ``role`` from cell (``x``, ``y``) on; the column after it."""
        text = ascii_form(text) if self.ascii else text
        self._canvas.put(x, y, text, role)
        return x + len(text)

    def paragraph(self, room: Room, text: str, role: str = TEXT) -> int:
        """Write ``text`` of a ``role``, folded into a ``room``; how many rows it took."""
        text = ascii_form(text) if self.ascii else text
        lines = fold(text, max(8, room.width))[: room.height]
        for row, line in enumerate(lines, room.y):
            self._canvas.put(room.x, row, line, role)
        return len(lines)

    def put(self, picture: Picture, room: Room) -> None:
        """Put a ``picture`` into the middle of a ``room``."""
        x = room.x + max(0, (room.width - picture.width) // 2)
        y = room.y + max(0, (room.height - picture.height) // 2)
        roles: dict[tuple[int, int], str] = {}
        for span in picture.spans:
            if span.role in (MARKED, MARKED_LABEL):
                self._marked.append(Span(span.row + y, span.col + x, span.length, span.role))
                continue
            for col in range(span.col, span.col + span.length):
                roles[span.row, col] = span.role
        for row, line in enumerate(picture.lines):
            for col, sign in enumerate(line):
                if sign != " ":
                    self._canvas.put(x + col, y + row, sign, roles.get((row, col), LABEL))

    def face(self) -> LookPicture:
        """What has been put on it so far."""
        return LookPicture(
            self._canvas.lines, (*self._canvas.spans, *self._marked), tuple(self.spots)
        )


@dataclass(frozen=True, slots=True)
class Shown:
    """A circuit as it is to be drawn.

    ``valued``: with its values, and not with its letters alone; ``marked``: names of parts to
    point out; ``end``: the end of the frequency axis at which it is drawn; ``words``: what stands
    for it where no drawing fits, if it is not its circuit text.
    """

    ladder: Ladder
    valued: bool = False
    marked: tuple[str, ...] = ()
    end: End | None = None
    words: str = ""

    @property
    def drawn(self) -> Ladder:
        """The circuit, with letters alone unless its values matter."""
        return self.ladder if self.valued else valueless(self.ladder)

    def schematic(self, *, ascii: bool = False) -> Schematic:  # noqa: A002
        """What is drawn of it, in ``ascii`` or not."""
        return Schematic(self.drawn, ascii, self.marked, end=self.end)

    def in_words(self, width: int, head: str = "") -> list[str]:
        """As lines of text of this ``width`` after a ``head``, for rooms no drawing fits into."""
        text = self.words or write_circuit(self.drawn, "; ")
        return fold(head + text, max(8, width))


def drawn_alike(
    circuits: Sequence[Shown],
    rooms: Sequence[Room],
    *,
    ascii: bool = False,  # noqa: A002
) -> list[SchematicDrawing | None]:
    """Drawings with symbols of one size, the largest that all rooms allow; ``None``: none fits.

    Each of the ``circuits`` has one of ``rooms``; ``ascii`` is for plain ASCII characters only.
    """
    schematics = [shown.schematic(ascii=ascii) for shown in circuits]
    drawings = [
        one.largest(room.width, room.height) for one, room in zip(schematics, rooms, strict=True)
    ]
    most = min((drawing.size or 0 for drawing in drawings if drawing is not None), default=0)
    return [
        (one.largest(room.width, room.height, most) or drawing)
        if drawing is not None and drawing.size != most
        else drawing
        for one, room, drawing in zip(schematics, rooms, drawings, strict=True)
    ]


def put_circuits(
    board: Board,
    circuits: Sequence[Shown],
    rooms: Sequence[Room],
    *,
    keys: Sequence[str] = (),
    most_above: int | None = None,
) -> None:
    """Draw circuits with symbols of one size; what fits nowhere is written in words.

    Those side by side begin in the same row.

    Args:
        board: what they are drawn on.
        circuits: what is drawn.
        rooms: where, a room each.
        keys: the key of each, written before it, `KEY_COLUMNS` left of its room.
        most_above: rows left free above them at most; ``None``: as many as below.
    """
    drawings = drawn_alike(circuits, rooms, ascii=board.ascii)
    free: dict[int, int] = {}
    for room, drawing in zip(rooms, drawings, strict=True):
        rows = room.height - (drawing.height if drawing is not None else room.height)
        free[room.y] = min(free.get(room.y, rows), rows)
    for number, (shown, room, drawing) in enumerate(zip(circuits, rooms, drawings, strict=True)):
        above = free[room.y] // 2
        y = room.y + (above if most_above is None else min(above, most_above))
        if keys and keys[number]:
            board.words(room.x - KEY_COLUMNS, y, f" {keys[number]} ", KEY)
        if drawing is not None:
            board.put(drawing, Room(room.x, y, room.width, drawing.height))
            continue
        for row, line in enumerate(shown.in_words(room.width)[: room.height]):
            board.words(room.x, y + row, line)
