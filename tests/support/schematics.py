"""Circuit drawings as tests ask for them: with one call, and with symbols of a middle size."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from rungwise.problems.analysis.arms import End
from rungwise.problems.circuits.model import Ladder
from rungwise.tutor.figures.schematic.draw import Schematic, SchematicDrawing
from rungwise.tutor.figures.schematic.ink import ink
from rungwise.tutor.figures.schematic.layout import Layout
from rungwise.tutor.figures.schematic.parts import (
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
from rungwise.tutor.figures.schematic.sizes import Glyphs, Shape, SymbolSet

_WIRES = " ╵╶└╷│┌├╴┘─┴┐┤┬┼"
_PLAIN_WIRES = " |-+||++-+-+++++"

_FULL: dict[Shape, Glyphs] = {
    (RESISTOR, False): Glyphs(("┏━━━━┓", "┨    ┠", "┗━━━━┛"), 0, 1),
    (RESISTOR, True): Glyphs(("┏┷┓", "┃ ┃", "┃ ┃", "┗┯┛"), 1, 0),
    (INDUCTOR, False): Glyphs(("╭╮╭╮╭╮╭╮", "╯╰╯╰╯╰╯╰"), 0, 1),
    (INDUCTOR, True): Glyphs(("╰╮", "╭╯", "╰╮", "╭╯"), 0, 0),
    (CAPACITOR, False): Glyphs(("╻╻", "┨┠", "╹╹"), 0, 1),
    (CAPACITOR, True): Glyphs(("╺━┷━╸", "╺━┯━╸"), 2, 0),
    (SOURCE, True): Glyphs(("╭─┴─╮", "│ ~ │", "╰─┬─╯"), 2, 0),
    (BUFFER, False): Glyphs(("│╲ ", "┤1>", "│╱ "), 0, 1),
    (GROUND, True): Glyphs(("━━┷━━", " ╺━╸ "), 2, 0),
    (TERMINAL, False): Glyphs(("○",), 0, 0),
    (OPEN, False): Glyphs(("○  ○",), 0, 0),
    (OPEN, True): Glyphs(("○", " ", "○"), 0, 0),
    (SHORT, False): Glyphs(("━━━━",), 0, 0),
    (SHORT, True): Glyphs(("┃", "┃", "┃"), 0, 0),
    (BLANK, False): Glyphs(("╔═════╗", "╢  ?  ╟", "╚═════╝"), 0, 1),
    (BLANK, True): Glyphs(("╔═╧═╗", "║   ║", "║ ? ║", "║   ║", "╚═╤═╝"), 2, 0),
}
_PLAIN: dict[Shape, Glyphs] = {
    (RESISTOR, False): Glyphs(("+----+", "|    |", "+----+"), 0, 1),
    (RESISTOR, True): Glyphs(("+-+", "| |", "| |", "+-+"), 1, 0),
    (INDUCTOR, False): Glyphs(("mmmmmmmm",), 0, 0),
    (INDUCTOR, True): Glyphs((")", ")", ")", ")"), 0, 0),
    (CAPACITOR, False): Glyphs(("||", "||", "||"), 0, 1),
    (CAPACITOR, True): Glyphs(("=====", "====="), 2, 0),
    (SOURCE, True): Glyphs((".-+-.", "| ~ |", "'-+-'"), 2, 0),
    (BUFFER, False): Glyphs(("|\\ ", "|1>", "|/ "), 0, 1),
    (GROUND, True): Glyphs(("=====", " === "), 2, 0),
    (TERMINAL, False): Glyphs(("o",), 0, 0),
    (OPEN, False): Glyphs(("o  o",), 0, 0),
    (OPEN, True): Glyphs(("o", " ", "o"), 0, 0),
    (SHORT, False): Glyphs(("####",), 0, 0),
    (SHORT, True): Glyphs(("#", "#", "#"), 0, 0),
    (BLANK, False): Glyphs(("#=====#", "#  ?  #", "#=====#"), 0, 1),
    (BLANK, True): Glyphs(("#===#", "#   #", "# ? #", "#   #", "#===#"), 2, 0),
}


def draw(
    ladder: Ladder,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    compact: bool = False,
    marked: Collection[str] = (),
    unknown: Collection[str] = (),
    end: End | None = None,
) -> SchematicDrawing:
    """A drawing that is ``compact``, or else has room between its parts.

    Args:
        ladder: any circuit.
        ascii: use plain ASCII characters only.
        compact: as small as drawings are.
        marked: names of elements to point out.
        unknown: names of elements whose values are question marks.
        end: the end of the frequency axis.
    """
    if compact:
        return Schematic(ladder, ascii, marked, unknown, end).compact()
    symbols = SymbolSet(_FULL, _WIRES, "▸", "+", "−", "╌")
    if ascii:
        symbols = SymbolSet(_PLAIN, _PLAIN_WIRES, ">", "+", "-", "=")
    layout = Layout(symbols, False, ascii, 3, end, frozenset(unknown))
    lines, spans = ink(layout.ladder(ladder), symbols, frozenset(marked))
    return SchematicDrawing(tuple(lines), tuple(spans))


def fit(
    ladder: Ladder, width: int, height: int, *, most: int | None = None, **how: Any
) -> SchematicDrawing:
    return Schematic(ladder, **how).fit(width, height, most)


def largest(
    ladder: Ladder, width: int, height: int, *, most: int | None = None, **how: Any
) -> SchematicDrawing | None:
    return Schematic(ladder, **how).largest(width, height, most)


def fold(ladder: Ladder, width: int, **how: Any) -> SchematicDrawing:
    return Schematic(ladder, **how).fold(width)


def lowest(ladder: Ladder, **how: Any) -> tuple[int, int]:
    return Schematic(ladder, **how).lowest()


def small_ones(ladder: Ladder, **how: Any) -> list[SchematicDrawing]:
    return Schematic(ladder, **how).small_ones()
