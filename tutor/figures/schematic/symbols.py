"""The symbols as characters, in Unicode and in plain ASCII; ``sizes.py`` has them in other sizes.

Wires are light with square corners; symbols are heavy (resistor box, capacitor plates)
or round (coil, source), so that they are told apart by shape and weight, not by colour.
The resistor is the rectangle and the coil the row of half-circles of IEC 60617.
"""

from __future__ import annotations

from dataclasses import dataclass

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


def symbol_set(ascii: bool) -> SymbolSet:  # noqa: A002
    """The symbols in ``ascii`` or Unicode."""
    if ascii:
        return SymbolSet(_PLAIN, _PLAIN_WIRES, ">", "+", "-", "=")
    return SymbolSet(_FULL, _WIRES, "▸", "+", "−", "╌")
