"""An error seen: the circuit at the end that was misjudged, and beside it what was answered."""

from __future__ import annotations

from collections.abc import Sequence

from ....problems.analysis.arms import End, write_redrawn
from ....problems.circuits.model import Ladder, valueless
from ....problems.hints.counterfact_ends import CounterFact
from ....problems.questions.looks import Look
from .board import CAPTION, Board, LookPicture, Room, Shown
from .face import curves
from .places import split
from .redrawn import captioned


def at_end(
    ladder: Ladder, end: End | None, marked: tuple[str, ...] = (), *, valued: bool = True
) -> Shown:
    """A ``ladder`` redrawn at an ``end`` of the frequency axis; ``None``: as it is.

    Parts that are ``marked`` are pointed out; it is ``valued``, or has its letters alone.
    """
    if end is None:
        return Shown(ladder, valued, marked)
    text = write_redrawn(valueless(ladder), end)  # what is open or a short has no value left
    return Shown(ladder, valued, marked, end, text)


def explained(
    look: Look,
    fact: CounterFact,
    captions: Sequence[str],
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> LookPicture:
    """The circuit redrawn, what decides it marked, and the nearest circuit that is otherwise.

    Args:
        look: what was asked.
        fact: why the answer cannot be right.
        captions: what stands above each of the circuits.
        width: columns of the room.
        height: rows of the room; the picture may take more.
        ascii: use plain ASCII characters only.
    """
    if look.row.facing.plotted:
        return _plotted(look, fact, captions, width, height, ascii)
    circuits = [at_end(fact.circuit or look.ladder, fact.end, fact.marked, valued=look.valued)]
    if fact.lookalike is not None:
        circuits.append(Shown(fact.lookalike, look.valued))
    elif len(captions) > 1:
        circuits = [at_end(ladder, fact.end, valued=look.valued) for ladder in look.shown]
    return captioned([*zip(circuits, captions, strict=True)], width, height, ascii=ascii)


def _plotted(
    look: Look, fact: CounterFact, captions: Sequence[str], width: int, height: int, plain: bool
) -> LookPicture:
    """The right curve and the one that was chosen, each under its caption."""
    board = Board(width, height, ascii=plain)
    assert fact.lookalike is not None
    rooms = split(Room(0, 0, width, height), 2)
    tall = min(height - 1, max(8, rooms[0].width * 2 // 5))
    pictures = curves(look, (look.ladder, fact.lookalike), rooms[0].width, tall, ascii=plain)
    for room, picture, caption in zip(rooms, pictures, captions, strict=False):
        board.words(room.x, 0, caption[: room.width], CAPTION)
        board.put(picture, Room(room.x, 1, room.width, tall))
    return board.face()
