"""The page of a round: what was right, what was taken for what, and pairs to look at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....problems.questions.looks import Look
from ...language.texts import fill
from .board import BAD, CAPTION, QUIET, TEXT, Board, LookPicture, Room, Shown, put_circuits
from .places import less, side_by_side

_LEAST = 11
"""Rows that a pair of circuits is given at least."""


@dataclass(frozen=True, slots=True)
class RoundFigures:
    """What a round came to, for drawing.

    ``confusions`` are (asked, answered, how often); ``pairs`` the circuits to look at, each a
    (circuit asked, what is said of it); ``names`` the types in the order of the table, with
    their words.
    """

    asked: int
    right: int
    seconds: float
    confusions: Sequence[tuple[str, str, int]]
    pairs: Sequence[tuple[tuple[Look, str], tuple[Look, str]]]
    names: Mapping[str, str]


def round_page(
    figures: RoundFigures,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> LookPicture:
    """The page of ``figures``, ``width`` by ``height`` cells, in ``ascii`` or not.

    It may be taller, to be scrolled.
    """
    table = _table_rows(figures)
    y = 3 + len(table)
    share = max(_LEAST, (height - y) // max(1, len(figures.pairs)))
    places: list[list[Room]] = []
    for pair in figures.pairs:
        circuits = [Shown(look.ladder, look.valued) for look, _ in pair]
        places.append(side_by_side(circuits, Room(0, y, width, share), above=1, ascii=ascii))
        y = max(room.y + room.height for room in places[-1])
    board = Board(width, max(height, y), ascii=ascii)
    key = "right" if figures.seconds else "right-untimed"
    values = [
        ("right", figures.right),
        ("asked", figures.asked),
        ("seconds", f"{figures.seconds:.1f}"),
    ]
    board.words(0, 0, fill("inspect", f"page.{key}", values))
    for row, cells in enumerate(table, 2):
        for x, text, role in cells:
            board.words(x, row, text, role)
    for pair, rooms in zip(figures.pairs, places, strict=True):
        for (_, said), room in zip(pair, rooms, strict=True):
            board.words(room.x, room.y, said, CAPTION)
        circuits = [Shown(look.ladder, look.valued) for look, _ in pair]
        put_circuits(board, circuits, [less(room, 0, 1) for room in rooms], most_above=2)
    return board.face()


def _table_rows(figures: RoundFigures) -> list[list[tuple[int, str, str]]]:
    """(column, text, role) of the cells, row by row: asked down, answered across."""
    if not figures.confusions:
        return [[(0, fill("inspect", "page.none"), QUIET)]]
    counts = {(asked, told): count for asked, told, count in figures.confusions}
    names = list(figures.names.items())
    wide = max(len(word) for _, word in names) + 2
    head = fill("inspect", "page.asked")
    left = max(wide, len(head) + 2)
    rows = [
        [(0, fill("inspect", "page.answered"), TEXT)],
        [(0, head, QUIET), *((left + n * wide, word, QUIET) for n, (_, word) in enumerate(names))],
    ]
    for key, word in names:
        if not any(asked == key for asked, _ in counts):
            continue
        row = [(0, word, TEXT)]
        for n, (other, _) in enumerate(names):
            count = counts.get((key, other), 0)
            sign = str(count) if count else "·"
            row.append((left + n * wide, sign, BAD if count else QUIET))
        rows.append(row)
    return rows
