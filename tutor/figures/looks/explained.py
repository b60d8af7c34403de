"""An error seen: the circuit at the end that was misjudged, and beside it what was answered."""

from __future__ import annotations

from collections.abc import Sequence

from ....problems.hints.counterfact_ends import CounterFact
from ....problems.questions.looks import Look
from .board import CAPTION, Board, LookPicture, Room, Shown, put_circuits
from .places import less, side_by_side


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
    circuits = [Shown(fact.circuit or look.ladder, look.valued, fact.marked, fact.end)]
    if fact.lookalike is not None:
        circuits.append(Shown(fact.lookalike, look.valued))
    elif len(captions) > 1:
        circuits = [Shown(ladder, look.valued) for ladder in look.shown]
    rooms = side_by_side(circuits, Room(0, 0, width, height), above=1, ascii=ascii)
    board = Board(width, max(height, *(room.y + room.height for room in rooms)), ascii=ascii)
    for room, caption in zip(rooms, captions, strict=True):
        board.words(room.x, room.y, caption[: room.width], CAPTION)
    put_circuits(board, circuits, [less(room, 0, 1) for room in rooms], most_above=2)
    return board.face()
