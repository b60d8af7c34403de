"""Drawing primitives of a circuit, on a grid of character cells.

A circuit drawing is first laid out as a list of these (`schematic_layout`), and only
then inked with characters (`schematic_ink`), so that the same layout can serve other
back ends.  x counts columns to the right, y rows downwards.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

RESISTOR = "resistor"
INDUCTOR = "inductor"
CAPACITOR = "capacitor"
SOURCE = "source"
LOAD = "load"
BUFFER = "buffer"
OPEN = "open"
SHORT = "short"
BLANK = "blank"
GROUND = "ground"
TERMINAL = "terminal"
WIRE = "wire"
LABEL = "label"
VALUE = "value"
MARKED = "marked"
MARKED_LABEL = "marked-label"


@dataclass(frozen=True, slots=True)
class Wire:
    """A straight wire from cell to cell, both included; ends join whatever is there."""

    x: int
    y: int
    x2: int
    y2: int


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol whose entry (left or top) connection is in cell (x, y)."""

    shape: str
    x: int
    y: int
    upright: bool
    role: str
    name: str = ""


@dataclass(frozen=True, slots=True)
class TextPart:
    """Text from cell (x, y) to the right; with ``mark``, the cell before it is kept free."""

    text: str
    x: int
    y: int
    role: str
    name: str = ""
    mark: bool = False


Primitive = Wire | Symbol | TextPart


def moved(items: Iterable[Primitive], dx: int, dy: int) -> list[Primitive]:
    """The same ``items``, ``dx`` columns further right and ``dy`` rows further down."""
    result: list[Primitive] = []
    for item in items:
        if isinstance(item, Wire):
            result.append(Wire(item.x + dx, item.y + dy, item.x2 + dx, item.y2 + dy))
        else:
            result.append(replace(item, x=item.x + dx, y=item.y + dy))
    return result


@dataclass(frozen=True, slots=True)
class Box:
    """Part of a circuit with two ports: (0, 0), and ``length − 1`` cells onward.

    A box *across* has its ports left and right; a box *down*, above and below.
    ``before`` and ``after`` are the cells it needs on either side of the line between
    the ports: rows above and below for *across*, columns left and right for *down*.
    """

    length: int
    before: int
    after: int
    items: tuple[Primitive, ...]
