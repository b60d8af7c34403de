"""The symbols of a printed circuit as path data.

IEEE Std 315-1975 and IEC 60617 agree on the capacitor (two plates), the inductor (half
circles) and the earth; the resistor is a zigzag in the one and a rectangle in the other, and
the ideal voltage source a circle with a sine or with its conductor drawn through (both from
memory).  The proportions are those of common drawing practice, no source.

A body lies along u from 0 to its length, and bulges towards v.  Lying, u runs to the right
and v upwards; upright, u runs downwards and v to the right.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from ....problems.circuits.model import Kind
from ....problems.sheets.model import Symbols
from .svg import number

BODY = {Kind.R: 25.0, Kind.L: 27.0, Kind.C: 3.6}
"""Lengths of the bodies, in points."""
PEAK = 4.3
"""Half the width of a resistor."""
PLATE = 6.4
"""Half the width of a capacitor's plates; nothing is wider."""
TURNS = 4
HUMP = 4.2
BLANK = 34.0, 16.0
"""Length and width of the box that stands for an arm left out."""
TRIANGLE = 22.0
RADIUS = 10.5
"""Of the source."""


class PathStep(NamedTuple):
    """A piece of a path: to (u, v) by a straight line, by an arc of radii, or without ink."""

    how: str
    u: float
    v: float
    along: float = 0.0
    across: float = 0.0


def _zigzag() -> Iterable[PathStep]:
    whole = BODY[Kind.R]
    yield PathStep("M", 0, 0)
    for n in range(6):
        yield PathStep("L", (2 * n + 1) * whole / 12, PEAK if n % 2 == 0 else -PEAK)
    yield PathStep("L", whole, 0)


def _rectangle(length: float, half: float) -> Iterable[PathStep]:
    """From port to port, the four edges between: the pen ends where the other lead begins."""
    yield PathStep("M", 0, 0)
    for u, v in ((0, half), (length, half), (length, -half), (0, -half), (0, 0)):
        yield PathStep("L", u, v)
    yield PathStep("M", length, 0)


def _coil() -> Iterable[PathStep]:
    turn = BODY[Kind.L] / TURNS
    yield PathStep("M", 0, 0)
    for n in range(1, TURNS + 1):
        yield PathStep("A", n * turn, 0, turn / 2, HUMP)


def _plates() -> Iterable[PathStep]:
    apart = BODY[Kind.C]
    yield PathStep("M", 0, 0)
    yield PathStep("M", 0, PLATE)
    yield PathStep("L", 0, -PLATE)
    yield PathStep("M", apart, PLATE)
    yield PathStep("L", apart, -PLATE)
    yield PathStep("M", apart, 0)


@lru_cache(maxsize=16)
def body(kind: Kind, symbols: Symbols) -> tuple[PathStep, ...]:
    """The body of an element of a ``kind`` in a standard's ``symbols``, from port to port."""
    match kind:
        case Kind.R if symbols is Symbols.IEC:
            return tuple(_rectangle(BODY[Kind.R], PEAK))
        case Kind.R:
            return tuple(_zigzag())
        case Kind.L:
            return tuple(_coil())
        case Kind.C:
            return tuple(_plates())


def half(kind: Kind) -> tuple[float, float]:
    """How far a body reaches towards −v and towards v, in points."""
    return {Kind.R: (PEAK, PEAK), Kind.L: (0.0, HUMP), Kind.C: (PLATE, PLATE)}[kind]


def path(ops: Iterable[PathStep], x: float, y: float, down: bool) -> str:
    """Path data of a body, ``ops``, whose first port is in (``x``, ``y``), lying or ``down``."""
    pieces: list[str] = []
    for op in ops:
        place = (x + op.v, y + op.u) if down else (x + op.u, y - op.v)
        radii = (op.across, op.along) if down else (op.along, op.across)
        arc = f"{number(radii[0])} {number(radii[1])} 0 0 1 " if op.how == "A" else ""
        pieces.append(f"{op.how}{arc}{number(place[0])} {number(place[1])}")
    return "".join(pieces)
