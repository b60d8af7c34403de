"""Exhibits in characters: curves and maps that something is read off, alone or to choose from.

A marker can stand on a curve; what is read under it stands above the chart, so that figures can be
read as closely as from paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ...problems.analysis.response import PoleNature
from ...problems.quantities.write import write_conjugates, write_quantity
from ...problems.questions.curve_reading import value_at
from ...problems.questions.exhibit import Chart as Kind
from ...problems.questions.exhibit import Exhibit, Plot, Points
from ..language.texts import fill
from . import splane
from .bode.overlay import MARKER, OTHER, Trace, over, sample
from .canvas.axes import FrequencyAxis, LevelAxis
from .canvas.braille import Dots
from .canvas.canvas import Canvas
from .canvas.paper import CURVE, GRID, LABEL, ChartPaper, PlottedPicture, blank
from .canvas.picture import Picture
from .canvas.scales import nice_steps, prefix_of
from .looks.board import KEY, Board, Room
from .step import TimeAxis, volts

LETTERS = "abcdefghij"
SMALLEST = (15, 7)
"""Columns and rows below which a picture is left blank."""
MARGIN = 6
"""Columns left of a plot, for the labels of its levels."""
DEPTH, DEPTH_LOW = 80.0, 60.0
"""Decibels shown below the top, and in a low chart: what is deeper is nothing."""
LOW = 12
_HAIR = 0.01
"""A share of a chart's height that nobody sees."""
_STEPS = {
    Kind.GAIN: (1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 40.0),
    Kind.PHASE: (15.0, 30.0, 45.0, 90.0, 180.0, 360.0),
}
_ORDER = (
    (1.0,),
    (2.0, 5.0),
    (3.0,),
    (7.0,),
    (4.0, 6.0, 8.0),
    (1.5,),
    (9.0,),
    (2.5,),
)
"""Which places of a decade get a label first; those after go where there is room left."""
_FINE = (0.1, 0.2, 0.5, 1.0)
"""How far apart they are on a chart of less than half a decade, in units of its power of ten."""
_MOST = 13
"""Of those at most."""
_APART = 2
"""Columns between two labels."""
_ALIKE = 3.0
"""Columns that are as wide as a small picture should be for each of its rows."""


@dataclass(frozen=True)
class ExhibitChart(PlottedPicture):
    """A chart of given curves; ``places`` are the abscissas of its columns of dots."""

    places: tuple[float, ...] = ()


def exhibit(
    shown: Exhibit,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    marker: float | None = None,
) -> Picture:
    """The curves or maps of an exhibit.

    Args:
        shown: the exhibit.
        width: columns of the whole picture.
        height: its rows.
        ascii: use plain ASCII characters only.
        marker: the abscissa at which a marker stands, of curves on one chart; of a map, how many
            of its roots come before the one that is read.
    """
    if len(shown.plots) > 1 and not shown.together:
        across = _across(len(shown.plots), width, height)
        if across:
            return _pictures(shown, across, width, height, ascii)
        # Where there is no room for a picture each, all stand in one.
    if shown.chart is Kind.MAP:
        return _map(shown, shown.plots, width, height, ascii, marker)
    return _Curves(shown, shown.plots, width, height, ascii, marker).chart()


def upper_roots(plot: Plot) -> tuple[tuple[str, complex], ...]:
    """The roots of a map that can be read, pairs once: "×" or "○", and the upper root."""
    found = [("×", root) for root in plot.poles] + [("○", root) for root in plot.zeros]
    return tuple(dict.fromkeys(one for one in found if one[1].imag >= 0))


def _pictures(shown: Exhibit, across: int, width: int, height: int, plain: bool) -> Picture:
    """A picture for each choice, so many side by side, on one scale, each under its letter."""
    rows = math.ceil(len(shown.plots) / across)
    wide, tall = width // across, height // rows
    board = Board(width, height, ascii=plain)
    for n, plot in enumerate(shown.plots):
        room = Room(n % across * wide, n // across * tall, wide - 1, tall)
        letter = LETTERS[n]
        picture: Picture
        if shown.chart is Kind.MAP:
            picture = _map(shown, (plot,), room.width, tall, plain, None, letter)
        else:
            picture = _Curves(shown, (plot,), room.width, tall, plain, None, letter).chart()
        board.put(picture, room)
        board.words(room.x, room.y, f" {letter} ", KEY)
        board.spots.append(room)
    return board.face()


def _across(count: int, width: int, height: int) -> int:
    """How many pictures stand side by side, as wide as they should be; 0 where none fits."""
    sizes = {
        across: (width // across, height // math.ceil(count / across))
        for across in range(1, count + 1)
        if count % across == 0
    }
    fitting = [n for n, (w, h) in sizes.items() if w > SMALLEST[0] and h >= SMALLEST[1]]
    return min(
        fitting,
        key=lambda n: abs(math.log(sizes[n][0] / sizes[n][1] / _ALIKE)),
        default=0,
    )


@dataclass(frozen=True)
class _Roots:
    """A map that is given: nothing is worked out of it, not even a circle."""

    poles: tuple[complex, ...]
    zeros: tuple[complex, ...]
    pole_nature: PoleNature | None = None


def _map(
    shown: Exhibit,
    plots: Sequence[Plot],
    width: int,
    height: int,
    plain: bool,
    marker: float | None,
    letter: str = "",
) -> Picture:
    """One map; several in one have the letters of theirs for poles."""
    first, *others = [_Roots(plot.poles, plot.zeros) for plot in plots]
    also = dict(zip(LETTERS, (first, *others), strict=False)) if others else {}
    among = [root for one in shown.plots for root in (*one.poles, *one.zeros)]
    drawn = splane.map(
        _Roots((), ()) if others else first,
        width,
        height,
        ascii=plain,
        also=also,
        unit=shown.unit,
        title=f" {letter} " if letter else None,
        among=among,
    )
    plot = plots[0]
    if others or marker is None or not upper_roots(plot):
        return drawn
    canvas = Canvas.of(drawn, plain)
    sign, root = upper_roots(plot)[int(marker) % len(upper_roots(plot))]
    at = write_conjugates(root, shown.unit, 3) if root.imag else _figure(root.real, shown.unit)
    said = canvas.words(f" {sign} {at}")
    canvas.put(max(0, width - len(said)), 0, said, MARKER)
    return replace(drawn, lines=canvas.lines, spans=canvas.spans)


def _figure(value: float, unit: str) -> str:
    return write_quantity(value, unit, 3)


@dataclass
class _Curves:
    """Draws one chart of one curve, or of several named by letters."""

    shown: Exhibit
    plots: Sequence[Plot]
    width: int
    height: int
    ascii: bool
    marker: float | None
    letter: str = ""

    def chart(self) -> PlottedPicture:
        """Grid, curves, axes, letters, marker and title, in this order."""
        if self.width < SMALLEST[0] or self.height < SMALLEST[1]:
            return PlottedPicture(blank(self.width, self.height))
        self.log = self.shown.chart is not Kind.STEP
        self.left = MARGIN if self.width >= 30 else MARGIN - 1
        self.columns, self.rows = self.width - self.left, self.height - 3
        paper = ChartPaper(self.width, self.height, self.ascii)
        every = [plot.points for plot in self.shown.plots]
        self.low = max(points[0][0] for points in every)
        self.high = min(points[-1][0] for points in every)
        self.axis = FrequencyAxis(
            math.log10(self.low) if self.log else 0.0,
            (self.columns - 1) / (math.log10(self.high / self.low) if self.log else 1.0),
            self.columns,
        )
        self.time = TimeAxis(self.high, self.columns)
        self.places = tuple(self._place(dot) for dot in range(2 * self.columns))
        self.level, self.factor, prefix = self._levels([y for line in every for _, y in line])
        ticks = self._ticks()
        self._grid(paper, [cell for cell, text in ticks if text])
        first, *others = [plot.points for plot in self.plots]
        dots = Dots(self.columns, self.rows)
        values = self._values(first)
        jumps = [n for n in range(1, len(values)) if abs(values[n] - values[n - 1]) > 150]
        phase = self.shown.chart is Kind.PHASE
        dots.curve(
            [self.level.dot(v) for v in values], self._between(first), jumps if phase else ()
        )
        paper.lay(self.left, 1, dots, CURVE)
        paper.side(self.left, 1, self.level, ".3g")
        paper.ticked(self.left, self.rows + 1, self.columns, ticks, paper.words(self._along()))
        unit = {Kind.GAIN: "dB", Kind.PHASE: paper.either("°", "deg")}.get(
            self.shown.chart, f"{prefix}V"
        )
        # At the head of the levels, as everywhere; a small picture has its letter there.
        paper.put(max(self.left - 1 - len(unit), 3 * bool(self.letter)), 0, unit, LABEL)
        plot = (self.left, 1, self.columns, self.rows)
        made = ExhibitChart(paper.lines, paper.spans, plot, None, self.level, places=self.places)
        traces = [
            Trace(LETTERS[n], n, self._values(points), jumps=phase)
            for n, points in enumerate(others, 1)
        ]
        letter = LETTERS[0] if traces else ""
        lettered = over(made, traces, letter=letter, ascii=self.ascii)
        return self._titled(lettered)

    # --- places ----------------------------------------------------------------------

    def _place(self, dot: int) -> float:
        if self.log:
            return min(max(self.axis.at_dot(dot), self.low), self.high)
        return min(max(0.0, self.time.at_dot(dot)), self.high)

    def _cell(self, place: float) -> float:
        return self.axis.cell(place) if self.log else self.time.cell(place)

    def _values(self, points: Points) -> list[float]:
        return [value_at(points, place, log=self.log) / self.factor for place in self.places]

    def _between(self, points: Points) -> dict[int, list[int]]:
        """Rows of dots of the points themselves: a sharp peak may lie between two columns."""
        found: dict[int, list[int]] = {}
        for x, y in points:
            if self.low <= x <= self.high:
                column = math.floor(self._cell(x) * 2)
                found.setdefault(column, []).append(self.level.dot(y / self.factor))
        return found

    def _levels(self, values: Sequence[float]) -> tuple[LevelAxis, float, str]:
        """The axis, in units of (what a unit is, its prefix)."""
        low, high = min(values), max(values)
        if self.shown.chart is Kind.STEP:
            low, high = min(low, 0.0), max(high, 0.0)
            factor, prefix = prefix_of(max(-low, high) or 1.0, 0.0999, 1.0)
            low, high = low / factor, high / factor
            steps = nice_steps((high - low or 1.0) / 10, 6)
            return self._axis(low, high, steps), factor, prefix
        if self.shown.chart is Kind.GAIN:
            low = max(low, high - (DEPTH_LOW if self.rows < LOW else DEPTH))
            low = min(low, high - 3.0)
        return self._axis(low, high, _STEPS[self.shown.chart]), 1.0, ""

    def _axis(self, low: float, high: float, steps: Sequence[float]) -> LevelAxis:
        """From the tick above ``high`` down to ``low``, with ticks two rows apart or more."""
        low += _HAIR * (high - low)  # a hair beyond a tick is still at the tick
        high -= _HAIR * (high - low)
        best = spare = None
        for step in steps:
            top = math.ceil(high / step - 1e-9) * step
            rows = math.floor((self.rows - 0.5) * step / (top - low)) if top > low else self.rows
            ticks = (self.rows - 1) // max(1, rows)
            found = LevelAxis(top, step, max(1, rows), self.rows, 0, ticks)
            if (
                rows >= 1
                and ticks
                and (spare is None or rows / step > spare.per_step / spare.step + 1e-9)
            ):
                spare = found  # of a very low picture: its top and one tick below
            if rows < 2 or ticks < 2:
                continue
            # The steps that make the most of the room; of equals the finest.
            if best is None or rows / step > best.per_step / best.step + 1e-9:
                best = found
        return best or spare or found

    def _ticks(self) -> list[tuple[int, str]]:
        """(cell, label or nothing) of what is marked along the chart, from left to right."""
        if not self.log:
            _, _, marks = self.time.ticks()
            return marks
        found: dict[int, str] = {}
        taken: list[tuple[int, int]] = []
        for place, whole in log_ticks(self.low, self.high):
            cell, text = int(self._cell(place)), tick_label(place, self.shown.unit)
            start = min(cell - (len(text) - 1) // 2, self.columns - len(text))
            end = start + len(text)
            free = all(end + _APART <= s or start >= e + _APART for s, e in taken)
            if cell not in found and start >= -1 and free:
                found[cell] = text
                taken.append((start, end))
            elif cell not in found and whole and self.axis.per_decade >= 10:
                found[cell] = ""
        return sorted(found.items())

    # --- layers ----------------------------------------------------------------------

    def _grid(self, paper: ChartPaper, cells: Sequence[int]) -> None:
        apart = 1 if self.level.per_step > 1 else 2
        for row in range(self.rows):
            for cell in cells:
                if cell:
                    paper.put(self.left + cell, 1 + row, "┊", GRID)
        for row, value in self.level.ticks():
            if round(value / self.level.step) % apart == 0:
                line = ["┈"] * self.columns
                for cell in cells:
                    line[cell] = "┼" if cell else "┈"
                paper.put(self.left, 1 + row, "".join(line), GRID)

    def _along(self) -> str:
        """The unit of the axis along."""
        unit = self.shown.unit
        if self.log:
            return unit or fill("figures", "exhibit.multiples")
        _, prefix, _ = self.time.ticks()
        return f"{prefix}{unit}" if unit else fill("figures", "exhibit.radians")

    def _titled(self, chart: PlottedPicture) -> PlottedPicture:
        """What the curves are; or, with a marker, what is read under it."""
        if self.letter:
            return chart
        canvas = Canvas.of(chart, self.ascii)
        if self.marker is not None:
            self.marker = min(max(self.marker, self.low if self.log else 0.0), self.high)
            col = self.left + int(self._cell(self.marker))
            for row in range(1, self.rows + 1):
                role = canvas.roles[row][col]
                if role != CURVE and not role.startswith(OTHER):
                    canvas.put(col, row, "┃", MARKER)
            said = canvas.words(self._read_out(self.marker))
            canvas.put(self.left, 0, said[: self.columns], MARKER)
            col = self.left + len(said) + 3
        else:
            col = self.left
            for n in range(len(self.plots)) if len(self.plots) > 1 else ():
                col += self._named(canvas, col, n)
        if self.marker is None or len(self.plots) == 1:
            key = f"exhibit.{self.shown.chart}{'-measured' if self.shown.measured else ''}"
            words = canvas.words(fill("figures", key))
            if col + len(words) <= self.width:
                canvas.put(col, 0, words, LABEL)
        return replace(chart, lines=canvas.lines, spans=canvas.spans)

    def _named(self, canvas: Canvas, col: int, n: int) -> int:
        """A sample of a curve and its letter; how many columns they take."""
        role = f"{OTHER}-{LETTERS[n]}" if n else CURVE
        drawn = LETTERS[n] * 4 if self.ascii and n else sample(n, self.ascii)
        canvas.put(col, 0, drawn, role)
        canvas.put(col + 5, 0, LETTERS[n], LABEL)
        return 9

    def _read_out(self, place: float) -> str:
        unit = self.shown.unit
        at = _figure(place, unit) if place else f"0 {unit}"
        if not unit:
            at = f"{at} {fill('figures', 'exhibit.multiples' if self.log else 'exhibit.radians')}"
        said = []
        for n, plot in enumerate(self.plots):
            value = _read(value_at(plot.points, place, log=self.log), self.shown.chart)
            said.append(f"{LETTERS[n]} {value}" if len(self.plots) > 1 else value)
        return f"{at}:  {'  '.join(said)}"


def _read(value: float, chart: Kind) -> str:
    """A level as it can be read under a marker."""
    if chart is Kind.STEP:
        return volts(value) if abs(value) >= 5e-4 else "0 V"
    digits = 2 if chart is Kind.GAIN else 1
    text = f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")
    return f"{text} dB" if chart is Kind.GAIN else f"{text}°"


def log_ticks(low: float, high: float) -> Iterator[tuple[float, bool]]:
    """Ticks on a logarithmic axis from ``low`` to ``high``, those first that get a label first.

    Yields:
        The place, and whether it is a whole multiple of its power of ten.
    """
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    if high < 3.2 * low:
        unit = 10.0 ** math.floor(math.log10(high / 1.5))
        steps = (step * unit for step in (*(s / 10 for s in _FINE), *_FINE, 2.0))
        step = next(step for step in steps if (high - low) / step < _MOST)
        first = math.ceil(low / step - 1e-9)
        numbers = range(first, math.floor(high / step + 1e-9) + 1)
        for n in sorted(numbers, key=lambda n: next(k for k in (-10, -5, -2, -1) if n % k == 0)):
            yield n * step, True
        return
    for digits in _ORDER:
        for place in (digit * 10.0**e for e in powers for digit in digits):
            if low * 0.9999 <= place <= high * 1.0001:
                yield place, digits[0].is_integer()


def tick_label(place: float, unit: str) -> str:
    """A ``place`` on an axis in a ``unit``: "20", "1.5k"; of a plain number without prefix."""
    if not unit or 0.01 <= place < 1:
        return f"{place:.4g}"
    factor, prefix = prefix_of(place)
    return f"{place / factor:.4g}{prefix}"
