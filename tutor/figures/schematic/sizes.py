"""Symbols in sizes: every kind of part is the same sign in each of them, only larger.

The resistor is a hollow rectangle, the coil a row of half-circles (two at least), the capacitor
a pair of plates, whatever the room: somebody who learns to see a circuit meets one alphabet.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from .parts import (
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
from .symbols import Glyphs, Shape, SymbolSet, symbol_set


@dataclass(frozen=True, slots=True)
class Measure:
    """How large the symbols of one size are, in cells.

    ``box`` is a resistor lying and standing (columns, rows); ``bumps`` how many half-circles a
    coil has lying and standing, ``bump`` (columns, rows) of one; ``plates`` the length of a
    plate lying (rows) and standing (columns), ``apart`` the cells between two plates (columns,
    rows); ``ring`` the source.
    """

    box: tuple[int, int, int, int]
    bumps: tuple[int, int]
    bump: tuple[int, int]
    plates: tuple[int, int]
    apart: tuple[int, int]
    ring: tuple[int, int]
    ground: int


MEASURES = (
    Measure((4, 3, 3, 3), (3, 2), (2, 2), (3, 5), (0, 0), (5, 3), 3),
    Measure((6, 3, 3, 4), (4, 3), (2, 2), (3, 5), (0, 0), (5, 3), 5),
    Measure((12, 3, 5, 5), (4, 3), (4, 2), (5, 9), (2, 1), (9, 5), 9),
    Measure((20, 5, 7, 7), (4, 3), (6, 3), (7, 15), (3, 2), (13, 7), 13),
    Measure((28, 7, 9, 9), (4, 3), (8, 4), (9, 19), (4, 3), (17, 9), 17),
)
"""The sizes from the smallest to the largest."""

SMALL, LARGE = 0, len(MEASURES) - 1


@dataclass(frozen=True, slots=True)
class _Strokes:
    """The characters that symbols are built of."""

    box: tuple[str, ...]  # corners from the upper left clockwise, across, down
    joins: tuple[str, ...]  # where a wire meets a box: left, right, above, below
    curl: tuple[str, ...]  # ╭ ╮ ╯ ╰ ─ │
    plate: tuple[
        str, ...
    ]  # lying: upper end, middle, lower end, wire from the left, from the right
    flat: tuple[str, ...]  # standing: left end, middle, right end, wire from above, from below
    ring: tuple[str, ...]  # corners from the upper left clockwise, across, down, wire above, below
    point: tuple[str, ...]  # a buffer: falling, tip, rising


def _strokes(*signs: str) -> _Strokes:
    return _Strokes(*(tuple(sign) for sign in signs))


_HEAVY = _strokes("┏┓┛┗━┃", "┨┠┷┯", "╭╮╯╰─│", "╻┃╹┨┠", "╺━╸┷┯", "╭╮╯╰─│┴┬", "╲>╱")
_TYPED = _strokes("++++-|", "||--", "..''-|", "|||||", "=====", "..''-|++", "\\>/")


@cache
def sized(size: int, ascii: bool = False) -> SymbolSet:  # noqa: A002
    """The symbols of one size, 0 to :data:`LARGE`.

    Raises:
        IndexError: there is no such size.
    """
    if size < SMALL:
        raise IndexError(f"sizes go from {SMALL} to {LARGE}, not {size}")
    measure, base = MEASURES[size], symbol_set(ascii, False)
    strokes = _TYPED if ascii else _HEAVY
    shapes = dict(base.shapes)
    shapes |= _boxes(measure, strokes) | _coils(measure, strokes, ascii)
    shapes |= _plates(measure, strokes) | _ends(measure, base) | _source(measure, strokes)
    return SymbolSet(shapes, base.wires, base.mark, base.plus, base.minus, base.dash)


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


def _coils(measure: Measure, strokes: _Strokes, plain: bool) -> dict[Shape, Glyphs]:
    wide, high = measure.bump
    wide += plain and wide == 2  # two characters alone make no arch
    lying, standing = measure.bumps
    nw, ne, se, sw, across, down = strokes.curl
    bar = across * (wide - 2)
    rows = [f"{nw}{bar}{ne}" * lying]
    rows += [f"{down}{' ' * (wide - 2)}{down}" * lying] * (high - 2)
    rows.append(f"{se}{' ' * (wide - 2)}{sw}" * lying)
    side = f"{' ' * (wide - 1)}{down}"
    turn = (f"{sw}{bar}{ne}", *[side] * (high - 2), f"{nw}{bar}{se}")
    return {
        (INDUCTOR, False): Glyphs(tuple(rows), 0, high - 1),
        (INDUCTOR, True): Glyphs(turn * standing, 0, 0),
    }


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


def _ends(measure: Measure, base: SymbolSet) -> dict[Shape, Glyphs]:
    """What parts are at an end of the frequency axis, and the foot of the circuit."""
    wide, tall = max(4, measure.box[0] * 2 // 3), max(3, measure.box[3] * 2 // 3)
    open_end = base.shapes[OPEN, False].rows[0][0]
    lying, standing = (base.shapes[SHORT, upright].rows[0][0] for upright in (False, True))
    bar = base.shapes[GROUND, True].rows[0]
    stroke, foot = bar[0], bar[len(bar) // 2]
    half = stroke * (measure.ground // 2)
    ground = [f"{half}{foot}{half}"]
    if measure.ground >= 5:
        ground.append((stroke * (measure.ground // 2 + 1)).center(measure.ground))
    return {
        (OPEN, False): Glyphs((open_end + " " * (wide - 2) + open_end,), 0, 0),
        (OPEN, True): Glyphs((open_end, *[" "] * (tall - 2), open_end), 0, 0),
        (SHORT, False): Glyphs((lying * wide,), 0, 0),
        (SHORT, True): Glyphs((standing,) * tall, 0, 0),
        (GROUND, True): Glyphs(tuple(ground), measure.ground // 2, 0),
        (TERMINAL, False): base.shapes[TERMINAL, False],
    }


def _source(measure: Measure, strokes: _Strokes) -> dict[Shape, Glyphs]:
    wide, high = measure.ring
    nw, ne, se, sw, across, down, above, below = strokes.ring
    half, blank = across * (wide // 2 - 1), " " * (wide - 2)
    ring = [f"{down}{blank}{down}"] * high
    ring[0] = f"{nw}{half}{above}{half}{ne}"
    ring[-1] = f"{sw}{half}{below}{half}{se}"
    ring[high // 2] = f"{down}{'~'.center(wide - 2)}{down}"
    falling, tip, rising = strokes.point
    side = high // 2
    point = [f"{down}{' ' * n}{falling}".ljust(side + 2) for n in range(side)]
    rest = [f"{down}{' ' * n}{rising}".ljust(side + 2) for n in reversed(range(side))]
    entry = strokes.box[5] if strokes is _TYPED else "┤"
    middle = f"{entry}{'1'.center(side)}{tip}"
    return {
        (SOURCE, True): Glyphs(tuple(ring), wide // 2, 0),
        (BUFFER, False): Glyphs((*point, middle, *rest), 0, side),
    }
