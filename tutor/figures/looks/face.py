"""What stands on the screen while a look asks: circuits, and small plots or maps to choose from."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from ....problems.analysis.response import facts
from ....problems.circuits.model import Ladder
from ....problems.questions.looks import Facing, Look
from ..canvas.picture import Picture
from .board import KEY, KEY_COLUMNS, Board, LookPicture, Room, Shown, put_circuits
from .curves import small_curves, small_steps
from .places import fits, less, side_by_side, split, stacked
from .small import small_gains, small_map


def face(
    look: Look,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002
    marked: tuple[str, ...] = (),
) -> LookPicture:
    """What a ``look`` shows, for a room of ``width`` by ``height`` cells; it may take more.

    Parts of its circuit that are ``marked`` are pointed out, in ``ascii`` or not.
    """
    board = Board(width, height, ascii=ascii)
    room = Room(0, 0, width, height)
    match look.row.facing:
        case Facing.CIRCUIT:
            return _alone(look, board, room, marked)
        case Facing.PAIR:
            return _pair(look, board, room)
        case Facing.RESPONSES:
            plots = [facts(ladder) for ladder in look.shown]
            _choices(board, look, marked, lambda w, h: small_gains(plots, w, h, ascii=ascii))
        case Facing.MAPS:
            maps = [facts(ladder) for ladder in look.shown]
            _choices(
                board,
                look,
                marked,
                lambda w, h: [small_map(one, w, h, ascii=ascii) for one in maps],
            )
        case Facing.CIRCUITS:
            _circuits(board, look)
        case Facing.TWINS:
            _twins(board, look, marked)
        case Facing.CIRCUIT_STEPS:
            _choices(board, look, marked, lambda w, h: curves(look, look.shown, w, h, ascii=ascii))
        case Facing.MAP_STEPS:
            _beside_map(board, look)
        case _:
            _four(board, look, room)
    return board.face()


def curves(
    look: Look,
    ladders: Sequence[Ladder],
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> list[Picture]:
    """The curves of ``ladders``, some of the circuits behind a ``look``, as it shows them.

    Each picture is ``width`` by ``height`` cells, in ``ascii`` or not.
    """
    known = [facts(ladder) for ladder in ladders]
    match look.row.facing:
        case Facing.GAINS | Facing.PHASES:
            phase = look.row.facing is Facing.PHASES
            # All four have one scale, however many of them are drawn.
            every = [facts(ladder) for ladder in look.shown]
            drawn = small_curves(every, width, height, phase=phase, ascii=ascii)
            return [drawn[look.shown.index(ladder)] for ladder in ladders]
        case facing:
            seconds = SECONDS.get(facing)
            return small_steps(known, width, height, seconds=seconds, ascii=ascii)


SECONDS: Mapping[Facing, float] = MappingProxyType({Facing.STEPS: 6.0, Facing.MAP_STEPS: 4.0})
"""How long the steps of prototypes are shown: as many periods of f0 = 1 Hz."""


def changed(look: Look) -> tuple[str, ...]:
    """The part that a question turns, to be pointed out in its drawing."""
    if look.row.facing is not Facing.CIRCUIT:
        return ()
    told = {str(value) for _, value in look.values}
    return tuple(element.name for element in look.ladder.elements() if element.name in told)


def all_shown(look: Look) -> list[Shown]:
    """The circuits that a look shows."""
    return [Shown(ladder, look.valued) for ladder in look.shown or (look.ladder,)]


def _alone(look: Look, board: Board, room: Room, marked: tuple[str, ...]) -> LookPicture:
    shown = Shown(look.ladder, look.valued, (*changed(look), *marked))
    drawing = shown.schematic(ascii=board.ascii).fit(room.width, room.height)
    if drawing.width > room.width or drawing.height > room.height:  # it is scrolled
        room = Room(0, 0, max(room.width, drawing.width), max(room.height, drawing.height))
        board = Board(room.width, room.height, ascii=board.ascii)
    board.put(drawing, room)
    return board.face()


def _pair(look: Look, board: Board, room: Room) -> LookPicture:
    """Two circuits, each behind its key where one of them is the answer."""
    circuits = all_shown(look)
    rooms = side_by_side(circuits, room, before=KEY_COLUMNS, ascii=board.ascii)
    tall = max(one.y + one.height for one in rooms)
    if tall > room.height:
        board = Board(room.width, tall, ascii=board.ascii)
    keyed = look.row.answers[:2] == ("first", "second")
    _keyed(board, circuits, rooms, look.row.keys[:2] if keyed else ("", ""))
    return board.face()


def _keyed(
    board: Board, circuits: Sequence[Shown], rooms: Sequence[Room], keys: Sequence[str]
) -> None:
    """Circuits in their rooms, with the key of each before it."""
    board.spots += [room for room, key in zip(rooms, keys, strict=True) if key]
    put_circuits(board, circuits, [less(room, KEY_COLUMNS) for room in rooms], keys=keys)


def _choices(
    board: Board,
    look: Look,
    marked: tuple[str, ...],
    drawn: Callable[[int, int], Sequence[Picture]],
) -> None:
    """The circuit above, what is chosen from side by side below it, each behind its key."""
    tall = max(6, board.height * 2 // 5)
    above = Room(0, 0, board.width, board.height - tall)
    put_circuits(board, [Shown(look.ladder, look.valued, marked)], [above])
    below = split(Room(0, board.height - tall, board.width, tall), len(look.shown))
    pictures = drawn(below[0].width - KEY_COLUMNS - 1, tall)
    for room, key, picture in zip(below, look.row.keys, pictures, strict=True):
        board.words(room.x, room.y, f" {key} ", KEY)
        board.put(picture, less(room, KEY_COLUMNS + 1))
        board.spots.append(room)


def _four(board: Board, look: Look, room: Room) -> None:
    """Four curves in two rows, each behind its key."""
    cells = [cell for row in stacked(room, 2) for cell in split(row, 2)]
    height = min(cell.height for cell in cells)
    width = cells[0].width - KEY_COLUMNS - 1
    pictures = curves(look, look.shown, width, height, ascii=board.ascii)
    for cell, key, picture in zip(cells, look.row.keys, pictures, strict=True):
        board.words(cell.x, cell.y, f" {key} ", KEY)
        board.put(picture, replace(less(cell, KEY_COLUMNS + 1), height=height))
        board.spots.append(cell)


def _beside_map(board: Board, look: Look) -> None:
    """The map at the left, four step responses beside it."""
    left = max(20, min(44, board.width * 3 // 10))
    picture = small_map(facts(look.ladder), left - 2, board.height, ascii=board.ascii)
    board.put(picture, Room(0, 0, left, board.height))
    _four(board, look, Room(left + 1, 0, board.width - left - 1, board.height))


def _twins(board: Board, look: Look, marked: tuple[str, ...]) -> None:
    """One circuit above, four to choose from below it; in words where they do not fit."""
    circuits = all_shown(look)
    above = Shown(look.ladder, look.valued, marked)
    for top in (board.height * 2 // 5, board.height // 3):
        below = Room(0, top, board.width, board.height - top)
        rooms = [cell for row in stacked(below, 2) for cell in split(row, 2)]
        if fits([above], [Room(0, 0, board.width, top - 1)], ascii=board.ascii) and fits(
            circuits, [less(room, KEY_COLUMNS) for room in rooms], ascii=board.ascii
        ):
            _keyed(board, circuits, rooms, look.row.keys)
            break
    else:
        top = _in_words(board, look, circuits)
    put_circuits(board, [above], [Room(0, 0, board.width, top - 1)])


def _in_words(board: Board, look: Look, circuits: Sequence[Shown]) -> int:
    """Circuits as lines at the foot of the board, each behind its key; the rows left above."""
    lines = [shown.in_words(board.width - KEY_COLUMNS - 1) for shown in circuits]
    rows = max(6, board.height - sum(len(one) + 1 for one in lines))
    y = rows + 1
    for key, said in zip(look.row.keys, lines, strict=True):
        board.words(0, y, f" {key} ", KEY)
        board.spots.append(Room(0, y, board.width, len(said)))
        for line in said:
            board.words(KEY_COLUMNS + 1, y, line)
            y += 1
        y += 1
    return rows


def _circuits(board: Board, look: Look) -> None:
    """The response above, four circuits below it in two rows; in words where they do not fit."""
    asked = facts(look.shown[look.answers.index(look.truth)])
    circuits = all_shown(look)
    for plot_rows in (max(7, board.height * 2 // 5), 6):
        below = Room(0, plot_rows, board.width, board.height - plot_rows)
        rooms = [cell for row in stacked(below, 2) for cell in split(row, 2)]
        if fits(circuits, [less(room, KEY_COLUMNS) for room in rooms], ascii=board.ascii):
            _keyed(board, circuits, rooms, look.row.keys)
            break
    else:
        plot_rows = _in_words(board, look, circuits)
    wide = min(board.width, max(24, plot_rows * 5))
    [plot] = small_gains([asked], wide, plot_rows - 1, ascii=board.ascii)
    board.put(plot, Room(0, 0, board.width, plot_rows - 1))
