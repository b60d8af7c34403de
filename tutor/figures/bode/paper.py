"""What the layers of a Bode chart are drawn on: characters, their roles, the signs used."""

from __future__ import annotations

from dataclasses import dataclass

from ...language.ascii import ascii_form
from ..canvas import braille
from ..canvas.axes import FrequencyAxis, LevelAxis
from ..canvas.canvas import Canvas
from ..canvas.picture import Picture

GRID = "grid"
AXIS = "axis"
TICK = "tick"
ASYMPTOTE = "asymptote"
CURVE = "curve"
CORNER = "corner"
EDGE = "edge"
PEAK = "peak"
LABEL = "label"

_FAINT = frozenset({"", GRID, CORNER})
"""What may give way to words: nothing, the grid, and the line down from the corner."""


@dataclass(frozen=True)
class Chart(Picture):
    """A chart; ``plot`` is (column, row, columns, rows) of the area inside the axes."""

    plot: tuple[int, int, int, int] = (0, 0, 0, 0)
    frequency: FrequencyAxis | None = None
    level: LevelAxis | None = None


@dataclass(frozen=True)
class Signs:
    """The free-standing characters of one way of drawing."""

    dots: list[str]
    across: str
    down: str
    crossing: str
    side: str
    tick: str
    corner: str
    base: str
    base_tick: str
    minor: str
    pointer: str
    guide: str
    level: str
    edge: str
    peak: str
    joint: str
    rightward: str
    leftward: str
    exact: str
    dotted: str
    minus: str


UNICODE = Signs(
    dots=braille.UNICODE,
    across="┈",
    down="┊",
    crossing="┼",
    side="│",
    tick="┤",
    corner="└",
    base="─",
    base_tick="┴",
    minor="╵",
    pointer="▲",
    guide="╎",
    level="╌",
    edge="◇",
    peak="◆",
    joint="●",
    rightward="▸",
    leftward="◂",
    exact="⠤⠤",
    dotted="⠄⠄",
    minus="−",
)
ASCII = Signs(
    dots=braille.ASCII,
    across=".",
    down=":",
    crossing="+",
    side="|",
    tick="+",
    corner="+",
    base="-",
    base_tick="+",
    minor="'",
    pointer="^",
    guide="!",
    level="-",
    edge="o",
    peak="#",
    joint="@",
    rightward=">",
    leftward="<",
    exact="**",
    dotted="..",
    minus="-",
)

EDGE_SIGNS = (UNICODE.edge, ASCII.edge, UNICODE.peak, ASCII.peak)
"""The signs that stand on a curve in the place of its dots."""


@dataclass
class ChartPaper(Canvas):
    """A canvas with the signs of one way of drawing."""

    signs: Signs

    @property
    def ascii(self) -> bool:
        """Whether only ASCII is drawn."""
        return self.signs is ASCII

    def clear(self, col: int, row: int, length: int, left: int = 0) -> bool:
        """Whether words of this length hide nothing but grid, not before column ``left``."""
        if col < left or col + length > self.width or not 0 <= row < self.height:
            return False
        return _FAINT.issuperset(self.roles[row][col : col + length])

    def words(self, text: str) -> str:
        """The text in the characters of this way of drawing."""
        return ascii_form(text) if self.ascii else text
