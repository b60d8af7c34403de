"""Pictures of a sheet or a key: what is shown, and how it is shown in vectors and in characters.

Each is a frozen value that says only what may be seen.  The vectors are those of ``schematic``
and ``axes``; characters are for the plain text, where what a drawing shows is said in words
first, since drawings in characters can't be read aloud.
"""

from __future__ import annotations

import math
import re
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Protocol

from ...problems.analysis.response import facts
from ...problems.circuits.model import Ladder
from ...problems.quantities.write import write_quantity
from ...problems.questions.curve_reading import value_at
from ...problems.questions.exhibit import Exhibit
from ...problems.questions.model import Rung
from ...problems.sheets.model import Symbols
from ..figures.exhibit import exhibit
from ..language.texts import fill
from ..phrases.exhibits import told
from ..phrases.responses import decibels_told, roots_told
from .drawings import axes_exhibit
from .drawings.svg import TEXT_WIDTH, VectorDrawing, number

if TYPE_CHECKING:
    from ...problems.sketches.model import GainSketch, PhaseSketch

COLUMNS = 78
"""Columns of the plain text."""
OPTION = 200.0
"""Points for the drawing of a circuit to choose: two stand side by side."""
BESIDE = 230.0
"""Points for a drawing that something is said beside."""

_KEPT = 400.0
"""Points that a plot in a key is wide: nobody draws on it."""
_CHART_ROWS = 14
_CHART_COLUMNS = 66
_READ_ROWS = 22
"""Rows of a chart that figures are read off."""
_LEVELS = (6.0, 10.0, 20.0, 40.0, 60.0, 100.0, 200.0)
_MARGIN = 5


class PagePicture(Hashable, Protocol):
    """Something to be seen."""

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """It in vectors, at most so many points wide."""
        ...

    def text(self) -> tuple[str, ...]:
        """It in lines of characters, at most ``COLUMNS`` of them."""
        ...


# HTML and PDF show the same pictures, and a teacher's circuit is the same for every student.
@lru_cache(maxsize=256)
def drawn(picture: PagePicture, room: float = TEXT_WIDTH) -> VectorDrawing:
    """A ``picture`` in vectors, at most ``room`` points wide, drawn once for all formats."""
    return picture.drawing(room)


@dataclass(frozen=True, slots=True)
class CircuitPicture:
    """A circuit; an arm left out and values asked for are question marks.

    A ``small`` one is drawn with little air, however much room there is.
    """

    ladder: Ladder
    symbols: Symbols
    unvalued: tuple[str, ...] = ()
    values: bool = True
    small: bool = False

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """The schematic."""
        from .drawings.schematic import schematic

        return schematic(
            self.ladder,
            self.symbols,
            blank=self.unvalued,
            values=self.values,
            room=room,
            small=self.small,
        )

    def text(self) -> tuple[str, ...]:
        """Circuit text, and the drawing in characters."""
        words = [line for one in self.words for line in _folded(one, rest="  ")]
        return (fill("sheet", "text.circuit"), *_indented(words), "", *_indented(self._drawn()))

    def _drawn(self) -> tuple[str, ...]:
        """The drawing in characters, cut through where it can't be folded neatly."""
        from ..figures.schematic.draw import Schematic

        room = COLUMNS - 2
        drawing = Schematic(self.ladder, unknown=self.unvalued).fold(room)
        lines = [line.rstrip() for line in drawing.lines]
        found: list[str] = []
        while any(lines):
            found += [""] * bool(found) + [line[:room] for line in lines]
            lines = [line[room:] for line in lines]
        return tuple(found)

    @property
    def words(self) -> list[str]:
        """The circuit as circuit text, a stage a line."""
        from ...problems.circuits.gaps import BOX, UNKNOWN, write_unvalued

        return write_unvalued(self.ladder, self.unvalued).replace(BOX.name, UNKNOWN).splitlines()


@dataclass(frozen=True, slots=True)
class GainPicture:
    """A gain as a curve through points of (Hz, dB)."""

    points: tuple[tuple[float, float], ...]

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """The curve on Bode paper."""
        from .drawings.axes_bode import given

        return given(self.points, room)

    def text(self) -> tuple[str, ...]:
        """The gain at three frequencies in each decade, and the curve in dots."""
        from .drawings.axes_bode import readings

        said = "; ".join(
            f"{decibels_told(level, _FLOOR)} at {write_quantity(f, 'Hz')}"
            for f, level in readings(self.points)
        )
        words = _folded(fill("reverse", "say.gains", [("gains", said)]))
        return (fill("sheet", "text.gain"), *_indented(words), "", *_indented(self.chart()))

    def chart(self) -> list[str]:
        """The curve in dots over its axes."""
        from ..figures.canvas.axes import FrequencyAxis, LevelAxis
        from ..figures.canvas.braille import Dots
        from ..figures.canvas.paper import AXIS, CURVE, ChartPaper

        low, high = math.log10(self.points[0][0]), math.log10(self.points[-1][0])
        axis = FrequencyAxis.over(low, high, _CHART_COLUMNS)
        width = min(_CHART_COLUMNS, math.floor(axis.per_decade * (high - low) + 1.5))
        finite = [db for _, db in self.points if math.isfinite(db)] or [0.0]
        top = max(finite)
        level = LevelAxis.over(max(min(finite), top - 100), top, _CHART_ROWS, _LEVELS)
        dots = Dots(width, _CHART_ROWS)
        last: int | None = None
        for x in range(width * 2):
            y = level.dot(value_at(self.points, axis.at_dot(x)))
            dots.column(x, y, y if last is None else _beside(y, last))
            last = y
        paper = ChartPaper(_MARGIN + width + 6, _CHART_ROWS + 2)
        paper.lay(_MARGIN, 0, dots, CURVE)
        paper.side(_MARGIN, 0, level)
        decades = {cell for cell, _ in axis.decades()}
        base = "".join("┴" if cell in decades else "─" for cell in range(width))
        paper.put(_MARGIN - 1, _CHART_ROWS, f"└{base}", AXIS)
        for start, name in axis.labels():
            if start < width:
                paper.put(_MARGIN + start, _CHART_ROWS + 1, name, AXIS)
        *lines, foot = (line.rstrip() for line in paper.lines)
        return [fill("sheet", "text.scale"), *lines, f"{foot}  {fill('sheet', 'text.hertz')}"]


def _beside(y: int, last: int) -> int:
    """How far a run of dots goes, so that it joins the one beside it."""
    return last + (1 if y > last else -1 if y < last else 0)


@dataclass(frozen=True, slots=True)
class MapPicture:
    """Poles and finite zeros in rad/s."""

    poles: tuple[complex, ...]
    zeros: tuple[complex, ...]

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """The s-plane."""
        from .drawings.axes_plane import given

        return given(self.poles, self.zeros, room)

    def text(self) -> tuple[str, ...]:
        """Where they lie."""
        lines: list[str] = []
        for kind, roots in (("poles", self.poles), ("zeros", self.zeros)):
            lines += _folded(fill("reverse", f"say.{kind}", [("roots", roots_told(roots))]))
        return (fill("sheet", "text.map"), *_indented(lines))


@dataclass(frozen=True, slots=True)
class ExhibitPicture:
    """What a question is asked about: curves or maps."""

    exhibit: Exhibit

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """Charts to read by."""
        return axes_exhibit.drawing(self.exhibit, room)

    def text(self) -> tuple[str, ...]:
        """What can be seen, in words, and the charts in characters."""
        words = [line for one in told(self.exhibit) for line in _folded(one, rest="  ")]
        chart = exhibit(self.exhibit, COLUMNS - 2, _READ_ROWS).text.splitlines()
        return (*_indented(words), "", *_indented(chart))


@dataclass(frozen=True, slots=True)
class PaperPicture:
    """Blank paper to draw a sketch on: (lowest Hz, highest Hz, lowest dB, highest dB)."""

    rung: Rung
    frame: tuple[float, float, float, float] | None = None

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """Grid and axes."""
        from .drawings import axes_bode, axes_plane

        if self.rung is Rung.MAP_SKETCH:
            return axes_plane.blank(room)
        return axes_bode.blank(self.frame, phase=self.rung is Rung.PHASE_SKETCH, room=room)

    def text(self) -> tuple[str, ...]:
        """Nothing: in plain text a sketch is written, not drawn."""
        return ()


@dataclass(frozen=True, slots=True)
class ResponsePicture:
    """The key's: the gain or the phase of a circuit, straight lines and curve.

    With ``sketch``, the right one, they are drawn on the paper that the student has for it.
    """

    ladder: Ladder
    phase: bool = False
    sketch: GainSketch | PhaseSketch | None = None
    frame: tuple[float, float, float, float] | None = None

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """The chart."""
        from .drawings.axes_bode import response, solved

        known, room = facts(self.ladder), min(room, _KEPT)
        if self.sketch is None:
            return response(known, phase=self.phase, room=room)
        return solved(known, self.sketch, self.frame, room)

    def text(self) -> tuple[str, ...]:
        """The chart in characters."""
        from ..figures.bode import chart as bode

        known = facts(self.ladder)
        picture = bode.chart(known, _CHART_COLUMNS, _CHART_ROWS, phase=self.phase)
        return tuple(_indented(picture.text.splitlines()))


@dataclass(frozen=True, slots=True)
class RootsPicture:
    """The key's: the poles and zeros of a circuit."""

    ladder: Ladder

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """The s-plane."""
        known = facts(self.ladder)
        return _smaller(MapPicture(tuple(known.poles), tuple(known.zeros)).drawing(room))

    def text(self) -> tuple[str, ...]:
        """Nothing: what it stands by says where they lie."""
        return ()


@dataclass(frozen=True, slots=True)
class ChartPicture:
    """A chart of figures, drawn already; in plain text it is said in words."""

    drawn: VectorDrawing

    def drawing(self, room: float = TEXT_WIDTH) -> VectorDrawing:
        """The chart."""
        wide = self.drawn.width
        return self.drawn if wide <= room else _smaller(self.drawn, room / wide)

    def text(self) -> tuple[str, ...]:
        """What it shows."""
        return tuple(_indented(_folded(self.drawn.alt)))


_SIZE = re.compile(r'width="[\d.]+pt" height="[\d.]+pt"')


def _smaller(drawing: VectorDrawing, share: float = 0.75) -> VectorDrawing:
    wide, high = round(drawing.width * share, 2), round(drawing.height * share, 2)
    svg = _SIZE.sub(f'width="{number(wide)}pt" height="{number(high)}pt"', drawing.svg, count=1)
    return replace(drawing, svg=svg, width=wide, height=high)


_FLOOR = -200.0
"""A given gain goes no lower (``sheets_variant.curve``): this stands for none at all, in dB."""


def _indented(lines: Iterable[str]) -> list[str]:
    return [f"  {line}".rstrip() for line in lines]


def _folded(text: str, rest: str = "") -> Sequence[str]:
    from ..language.wrap import fold

    return fold(text, COLUMNS - 2, "", rest)
