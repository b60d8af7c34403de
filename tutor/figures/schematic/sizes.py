"""The symbols as characters, in Unicode and in plain ASCII, in sizes.

Every kind of part is the same sign in each size, only larger.  The resistor is a hollow rectangle,
the coil a row of half-circles (two at least), as in IEC 60617, the capacitor a pair of plates,
whatever the room: somebody who learns to see a circuit meets one alphabet.  Wires are light with
square corners; symbols are heavy (resistor box, capacitor plates) or round (coil, source), so that
they are told apart by shape and weight, not by colour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from ..canvas.braille import COLUMNS, ROWS, UNICODE, Dots
from .parts import (
    BLANK,
    BUFFER,
    CAPACITOR,
    GROUND,
    INDUCTOR,
    OPEN,
    RESISTOR,
    SHORT,
    SOURCE,
    TERMINAL,
)


@dataclass(frozen=True)
class Glyphs:
    """Rows of characters and the cell of the entry connection, counted from the top left."""

    rows: tuple[str, ...]
    x: int
    y: int

    @property
    def width(self) -> int:
        """Columns."""
        return len(self.rows[0])

    @property
    def height(self) -> int:
        """Rows."""
        return len(self.rows)


Shape = tuple[str, bool]
"""(symbol, upright)"""


@dataclass(frozen=True)
class SymbolSet:
    """Symbols and the few free-standing characters of one way of drawing."""

    shapes: dict[Shape, Glyphs]
    wires: str
    """The wire character for each of the 16 sets of directions: 1 up, 2 right, 4 down, 8 left."""
    mark: str
    plus: str
    minus: str
    dash: str


@dataclass(frozen=True, slots=True)
class Measure:
    """How large the symbols of one size are, in cells.

    ``box`` is a resistor lying and standing (columns, rows); ``bumps`` how many half-circles a
    coil has lying and standing, ``bump`` the columns of a lying one and the rows of a standing
    one; ``plates`` the length of a plate lying (rows) and standing (columns), ``apart`` the cells
    between two plates (columns, rows); ``ring`` the source (columns, rows).
    """

    box: tuple[int, int, int, int]
    bumps: tuple[int, int]
    bump: tuple[int, int]
    plates: tuple[int, int]
    apart: tuple[int, int]
    ring: tuple[int, int]


MEASURES = (
    Measure((4, 3, 3, 3), (3, 2), (2, 2), (3, 5), (0, 0), (5, 3)),
    Measure((6, 3, 3, 4), (4, 3), (2, 2), (3, 5), (0, 0), (5, 3)),
    Measure((12, 3, 5, 5), (4, 4), (4, 2), (5, 9), (2, 1), (9, 5)),
    Measure((20, 5, 7, 7), (4, 4), (6, 3), (7, 15), (3, 2), (13, 7)),
    Measure((28, 7, 9, 9), (4, 4), (8, 4), (9, 19), (4, 3), (17, 9)),
)
"""The sizes from the smallest to the largest."""
_FEET = (3, 5, 9, 13, 17)
"""Columns of the ground symbol, by size."""
_ROUND = 4
"""Columns of a half-circle from which on it is drawn in dots."""

SMALL, LARGE = 0, len(MEASURES) - 1


@dataclass(frozen=True, slots=True)
class _Strokes:
    """The characters that symbols are built of."""

    box: tuple[str, ...]  # corners from the upper left clockwise, across, down
    joins: tuple[str, ...]  # where a wire meets a box: left, right, above, below
    plate: tuple[str, ...]  # lying: upper end, middle, lower end, wire from left, from right
    flat: tuple[str, ...]  # standing: left end, middle, right end, wire from above, from below
    point: tuple[str, ...]  # a buffer: falling, tip, rising
    ends: tuple[str, ...]  # an open's end, a terminal too; a short lying, and standing
    foot: tuple[str, ...]  # ground: across, wire from above
    wires: tuple[str, ...]  # as in `SymbolSet`
    signs: tuple[str, ...]  # mark, plus, minus, dash


def _strokes(*signs: str) -> _Strokes:
    return _Strokes(*(tuple(sign) for sign in signs))


_HEAVY = _strokes(
    "┏┓┛┗━┃", "┨┠┷┯", "╻┃╹┨┠", "╺━╸┷┯", "╲>╱", "○━┃", "━┷", " ╵╶└╷│┌├╴┘─┴┐┤┬┼", "▸+−╌",
)  # fmt: skip
_TYPED = _strokes(
    "++++-|", "||--", "|||||", "=====", "\\>/", "o##", "==", " |-+||++-+-+++++", ">+-=",
)  # fmt: skip
_BOXES = {
    False: (("╔═════╗", "╢  ?  ╟", "╚═════╝"), ("╔═╧═╗", "║   ║", "║ ? ║", "║   ║", "╚═╤═╝")),
    True: (("#=====#", "#  ?  #", "#=====#"), ("#===#", "#   #", "# ? #", "#   #", "#===#")),
}
"""The box of an arm left out, lying and standing, by whether it is in plain ASCII."""


@cache
def sized(size: int, ascii: bool = False) -> SymbolSet:  # noqa: A002
    """The symbols of one ``size``, 0 to :data:`LARGE`, in ``ascii`` or Unicode.

    Raises:
        IndexError: there is no such size.
    """
    if size < SMALL:
        raise IndexError(f"sizes go from {SMALL} to {LARGE}, not {size}")
    measure, strokes = MEASURES[size], _TYPED if ascii else _HEAVY
    shapes = _boxes(measure, strokes) | _coils(measure, ascii) | _plates(measure, strokes)
    shapes |= _ends(measure, _FEET[size], strokes) | _source(measure, strokes, ascii)
    lying, standing = _BOXES[ascii]
    shapes |= {(BLANK, False): Glyphs(lying, 0, 1), (BLANK, True): Glyphs(standing, 2, 0)}
    return SymbolSet(shapes, "".join(strokes.wires), *strokes.signs)


def _boxes(measure: Measure, strokes: _Strokes) -> dict[Shape, Glyphs]:
    wide, low, narrow, tall = measure.box
    nw, ne, se, sw, across, down = strokes.box
    left, right, above, below = strokes.joins
    inner, middle = wide - 2, low // 2
    lying = [f"{down}{' ' * inner}{down}"] * low
    lying[0] = f"{nw}{across * inner}{ne}"
    lying[-1] = f"{sw}{across * inner}{se}"
    lying[middle] = f"{left}{' ' * inner}{right}"
    half = (narrow - 2) // 2
    standing = [f"{down}{' ' * (narrow - 2)}{down}"] * tall
    standing[0] = f"{nw}{across * half}{above}{across * half}{ne}"
    standing[-1] = f"{sw}{across * half}{below}{across * half}{se}"
    return {
        (RESISTOR, False): Glyphs(tuple(lying), 0, middle),
        (RESISTOR, True): Glyphs(tuple(standing), narrow // 2, 0),
    }


def _coils(measure: Measure, plain: bool) -> dict[Shape, Glyphs]:
    """Half-circles side by side, or one below the other."""
    wide, high = measure.bump
    lying, standing = measure.bumps
    if plain:
        wide = max(3, wide)  # two characters alone make no arch
        rows = tuple(row * lying for row in (f".{'-' * (wide - 2)}.", f"'{' ' * (wide - 2)}'"))
        side = max(1, wide - 2)
        upright = (f"'{'-' * side}.", *[f"{' ' * (side + 1)}|"] * (high - 2), f".{'-' * side}'")
    elif wide < _ROUND:
        rows, upright = ("╭╮" * lying, "╯╰" * lying), ("╰╮", "╭╯")
    else:
        rows, upright = _arches(wide, lying), _bows(high)
    return {
        (INDUCTOR, False): Glyphs(rows, 0, len(rows) - 1),
        (INDUCTOR, True): Glyphs(upright * standing, 0, 0),
    }


def _arches(wide: int, count: int) -> tuple[str, ...]:
    """Half-circles on a wire that lies in the middle of their last row."""
    radius = wide  # in dots, two to a column and four to a row
    rows = (radius + 2 + ROWS - 1) // ROWS
    dots, foot = Dots(wide * count, rows), rows * ROWS - 2.5
    for number in range(count):
        for thick in range(1 + (wide > _ROUND)):
            reach = radius - 0.5 - thick
            _turned(dots, (2 * number + 1) * radius - 0.5, foot, reach, math.pi, math.tau)
    return _rows(dots)


def _bows(high: int) -> tuple[str, ...]:
    """One half-circle to the right of a wire that stands in the middle of their first column."""
    radius = high * ROWS / 2
    dots = Dots(1 + math.ceil(radius / COLUMNS), high)
    for thick in range(1 + (COLUMNS * high > _ROUND)):
        reach = radius - 0.5 - thick
        _turned(dots, 0.5, radius - 0.5, reach, -math.pi / 2, math.pi / 2)
    return _rows(dots)


def _turned(dots: Dots, x: float, y: float, radius: float, first: float, last: float) -> None:
    """Dots along a part of a circle, y downwards."""
    steps = math.ceil(radius * 8)
    for step in range(steps + 1):
        angle = first + (last - first) * step / steps
        dots.dot(round(x + radius * math.cos(angle)), round(y + radius * math.sin(angle)))


def _rows(dots: Dots) -> tuple[str, ...]:
    return tuple("".join(UNICODE[bits] for bits in row) for row in dots.rows)


def _plates(measure: Measure, strokes: _Strokes) -> dict[Shape, Glyphs]:
    long, wide = measure.plates
    beside, between = measure.apart
    upper, stroke, lower, left, right = strokes.plate
    middle = long // 2
    lying = [f"{stroke}{' ' * beside}{stroke}"] * long
    lying[0] = f"{upper}{' ' * beside}{upper}"
    lying[-1] = f"{lower}{' ' * beside}{lower}"
    lying[middle] = f"{left}{' ' * beside}{right}"
    first, bar, last, above, below = strokes.flat
    half = bar * (wide // 2 - 1)
    plate = f"{first}{half}{{}}{half}{last}"
    gap = (" " * wide,) * between
    return {
        (CAPACITOR, False): Glyphs(tuple(lying), 0, middle),
        (CAPACITOR, True): Glyphs((plate.format(above), *gap, plate.format(below)), wide // 2, 0),
    }


def _ends(measure: Measure, columns: int, strokes: _Strokes) -> dict[Shape, Glyphs]:
    """What parts are at an end of the frequency axis, and the foot of the circuit."""
    wide, tall = max(4, measure.box[0] * 2 // 3), max(3, measure.box[3] * 2 // 3)
    open_end, lying, standing = strokes.ends
    stroke, foot = strokes.foot
    half = stroke * (columns // 2)
    ground = [f"{half}{foot}{half}"]
    if columns >= 5:
        ground.append((stroke * (columns // 2 + 1)).center(columns))
    return {
        (OPEN, False): Glyphs((open_end + " " * (wide - 2) + open_end,), 0, 0),
        (OPEN, True): Glyphs((open_end, *[" "] * (tall - 2), open_end), 0, 0),
        (SHORT, False): Glyphs((lying * wide,), 0, 0),
        (SHORT, True): Glyphs((standing,) * tall, 0, 0),
        (GROUND, True): Glyphs(tuple(ground), columns // 2, 0),
        (TERMINAL, False): Glyphs((open_end,), 0, 0),
    }


def _source(measure: Measure, strokes: _Strokes, plain: bool) -> dict[Shape, Glyphs]:
    """The source, and a buffer as high."""
    wide, high = measure.ring
    half, blank, down = wide // 2 - 1, " " * (wide - 2), "|" if plain else "│"
    if plain:
        edge = f"{'-' * half}+{'-' * half}"
        ring = [f".{edge}.", *[f"|{blank}|"] * (high - 2), f"'{edge}'"]
    elif wide < _ROUND * 2:
        edge = "─" * half
        ring = [f"╭{edge}┴{edge}╮", *[f"│{blank}│"] * (high - 2), f"╰{edge}┬{edge}╯"]
    else:
        dots = Dots(wide, high)
        _turned(dots, wide - 0.5, high * ROWS / 2 - 0.5, wide - 0.5, 0, math.tau)
        ring = list(_rows(dots))
    side = high // 2
    ring[side] = f"{ring[side][:half]} ~ {ring[side][half + 3 :]}"
    falling, tip, rising = strokes.point
    upper = [f"{down}{' ' * n}{falling}".ljust(side + 2) for n in range(side)]
    lower = [f"{down}{' ' * n}{rising}".ljust(side + 2) for n in reversed(range(side))]
    middle = f"{down if plain else '┤'}{'1'.center(side)}{tip}"
    return {
        (SOURCE, True): Glyphs(tuple(ring), wide // 2, 0),
        (BUFFER, False): Glyphs((*upper, middle, *lower), 0, side),
    }
