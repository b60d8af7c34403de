"""Bode charts in braille dots: the exact curve over its straight-line asymptotes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from ...problems.asymptotes import PhaseStick, Stick, Sweep, phase_stick, stick
from ...problems.quantities import write_quantity
from ...problems.response import FilterType, Response
from ..lettering import ascii_form
from ..words import fill
from . import braille
from .axes import FrequencyAxis, LevelAxis
from .braille import NEAR, Dots
from .picture import Picture, Span, runs

GRID = "grid"
AXIS = "axis"
TICK = "tick"
ASYMPTOTE = "asymptote"
CURVE = "curve"
CORNER = "corner"
EDGE = "edge"
LABEL = "label"

MARGIN = 1.5
"""Decades kept free on both sides of the outermost break frequencies, before rounding."""
DEPTH = 100.0
"""Most decibels shown below the top."""
NOTCH_DEPTH = 60.0
"""Decibels shown below the top where the curve goes down to nothing."""
GAIN_STEPS = (1.0, 2.0, 3.0, 6.0, 10.0, 20.0, 40.0, 60.0, 100.0, 200.0, 400.0, 1000.0)
PHASE_STEPS = (45.0, 90.0, 180.0, 360.0, 720.0, 1440.0, 3600.0)

TALL = 14
"""Rows from which the legend may take two of them."""
SMALLEST = (20, 6)
"""Columns and rows below which a chart is left blank."""


@dataclass(frozen=True)
class Chart(Picture):
    """A chart; ``plot`` is (column, row, columns, rows) of the area inside the axes."""

    plot: tuple[int, int, int, int] = (0, 0, 0, 0)
    frequency: FrequencyAxis | None = None
    level: LevelAxis | None = None


@dataclass(frozen=True)
class _Signs:
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
    exact: str
    dotted: str


_UNICODE = _Signs(
    braille.UNICODE, "┈", "┊", "┼", "│", "┤", "└", "─", "┴", "╵", "▲", "╎", "╌", "◇", "⠤⠤", "⠄⠄"
)
_ASCII = _Signs(
    braille.ASCII, ".", ":", "+", "|", "+", "+", "-", "+", "'", "^", "!", "-", "o", "**", ".."
)


def default_decades(*responses: Response) -> tuple[float, float]:
    """Whole decades (log10 of Hz) that show every break with room on both sides."""
    features = [abs(r) for h in responses for r in (*h.poles, *h.zeros) if r != 0]
    if not features:
        return 1.0, 5.0
    low = math.log10(min(features) / math.tau)
    high = math.log10(max(features) / math.tau)
    return float(math.floor(low - MARGIN)), float(math.ceil(high + MARGIN))


def chart(
    response: Response,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    phase: bool = False,
    decades: tuple[float, float] | None = None,
    also: Sequence[Response] = (),
) -> Chart:
    """The magnitude chart (or, with ``phase``, the phase chart) of a response.

    Args:
        response: what to draw; every root is taken into account exactly.
        width: columns of the whole picture.
        height: rows of the whole picture.
        ascii: use plain ASCII characters only.
        phase: draw the phase instead of the magnitude.
        decades: log10 of the first and last frequency in Hz; by default whole decades
            with at least one and a half on both sides of the outermost break.
        also: responses that the axes leave room for, because they will be drawn on top;
            the asymptotes are then left out.
    """
    if width < SMALLEST[0] or height < SMALLEST[1]:
        return Chart((" " * max(width, 0),) * max(height, 0))
    signs = _ASCII if ascii else _UNICODE
    return _Plotter(response, width, height, signs, phase, decades, also).chart()


@dataclass
class _Plotter:
    """Draws one chart; the order of the steps is the order of the layers."""

    response: Response
    width: int
    height: int
    signs: _Signs
    phase: bool
    decades: tuple[float, float] | None
    also: Sequence[Response] = ()
    margin: int = 5
    chars: list[list[str]] = field(default_factory=list)
    roles: list[list[str]] = field(default_factory=list)

    def chart(self) -> Chart:
        """Lay the layers on top of each other."""
        low, high = self.decades or default_decades(self.response, *self.also)
        self.head = len(self._legend())
        columns, rows = self.width - self.margin, self.height - self.head - 2
        self.axis = FrequencyAxis.over(low, high, columns)
        self.sweep = Sweep(self.response)
        self.sticks: Stick | PhaseStick = (
            phase_stick(self.response) if self.phase else stick(self.response)
        )
        self.frequencies = [self.axis.at_dot(x) for x in range(columns * 2)]
        self.values = (
            self.sweep.phases_deg(self.frequencies)
            if self.phase
            else self.sweep.gains_db(self.frequencies)
        )
        sweeps = [Sweep(response) for response in self.also]
        self.others = [
            v
            for sweep in sweeps
            for v in (sweep.phases_deg if self.phase else sweep.gains_db)(self.frequencies)
            if math.isfinite(v)
        ]
        self.level = self._phase_axis(rows) if self.phase else self._gain_axis(rows)
        self.chars = [[" "] * self.width for _ in range(self.height)]
        self.roles = [[""] * self.width for _ in range(self.height)]
        self._grid(columns, rows)
        self._guides(rows)
        self._dots(columns, rows)
        self._edges(columns, rows)
        self._frame(columns, rows)
        self._title()
        lines = tuple("".join(row) for row in self.chars)
        plot = (self.margin, self.head, columns, rows)
        return Chart(lines, tuple(runs(self.roles)), plot, self.axis, self.level)

    # --- ranges ----------------------------------------------------------------------

    def _gain_axis(self, rows: int) -> LevelAxis:
        finite = [v for v in self.values if math.isfinite(v)]
        assert isinstance(self.sticks, Stick)
        ends = [self.sticks.at(self.frequencies[0]), self.sticks.at(self.frequencies[-1])]
        breaks = [
            db for f, db in self.sticks.breaks if self.frequencies[0] <= f <= self.frequencies[-1]
        ]
        top = max([*finite, *ends, *breaks, *self.others])
        for response in (self.response, *self.also):
            if response.peak_gain and response.peak_hz and self._inside(response.peak_hz):
                top = max(top, 20 * math.log10(response.peak_gain))
        if -12 < top < 0:
            top = 0.0  # a pass band a little below 0 dB is seen to be so
        low = min([*finite, *ends, *breaks, *self.others])
        if self.response.axis_zero_pairs:
            low = min([*ends, *breaks, top - NOTCH_DEPTH])
        # A low chart shows less depth rather than more ticks than it has room for.
        # Counted from the uppermost tick, lest the step double for a tick too many.
        ceiling = math.ceil(top / 20 - 1e-9) * 20.0 if rows >= 9 else top
        low = max(low, top - DEPTH, ceiling - max(40.0, 20.0 * ((rows - 1) // 2)))
        low = min(low, top - 6.0)
        return LevelAxis.over(low, top, rows, _from(GAIN_STEPS, (top - low) / 7))

    def _phase_axis(self, rows: int) -> LevelAxis:
        low = math.floor(min([*self.values, *self.others]) / 90 + 0.01) * 90.0
        high = math.ceil(max([*self.values, *self.others]) / 90 - 0.01) * 90.0
        if high - low < 90:
            low, high = low - 90, high + 90
        return LevelAxis.over(low, high, rows, PHASE_STEPS, centred=True)

    def _inside(self, frequency: float) -> bool:
        return self.frequencies[0] <= frequency <= self.frequencies[-1]

    # --- layers ----------------------------------------------------------------------

    def _put(self, col: int, row: int, text: str, role: str) -> None:
        for offset, char in enumerate(text):
            if 0 <= col + offset < self.width:
                self.chars[row][col + offset] = char
                self.roles[row][col + offset] = role if char != " " else ""

    def _grid(self, columns: int, rows: int) -> None:
        signs, left = self.signs, self.margin
        verticals = [cell for cell, _ in self.axis.decades() if cell > 0]
        # Grid lines in every row would drown the curve.
        apart = 1 if self.level.per_step > 1 else 2
        levels = {row for row, value in self.level.ticks() if value / self.level.step % apart == 0}
        blank = [" "] * columns
        for cell in verticals:
            blank[cell] = signs.down
        full = [signs.across] * columns
        for cell in verticals:
            full[cell] = signs.crossing
        blank_roles = [GRID if char != " " else "" for char in blank]
        for row in range(rows):
            self.chars[row + self.head][left:] = full if row in levels else blank
            self.roles[row + self.head][left:] = [GRID] * columns if row in levels else blank_roles

    def _guides(self, rows: int) -> None:
        """The −3 dB level from edge to edge, where no grid line is in its way; the corner."""
        low, high = self.response.edges_hz
        edges = [e for e in (low, high) if e is not None and self._inside(e)]
        if edges and not self.phase:
            row = self.level.row(self.sweep.gain_db(edges[0]))
            first, last = (int(self.axis.cell(e)) for e in (edges[0], edges[-1]))
            if low is None:
                first = 0
            if high is None:
                last = self.axis.width - 1
            if 0 <= row < rows and row not in {tick for tick, _ in self.level.ticks()}:
                span = last - first + 1
                self._put(self.margin + first, row + self.head, self.signs.level * span, EDGE)
        corner = self.response.corner_hz
        if corner is not None and self._inside(corner):
            col = self.margin + int(self.axis.cell(corner))
            for row in range(self.head, rows + self.head):
                self._put(col, row, self.signs.guide, CORNER)

    def _dots(self, columns: int, rows: int) -> None:
        under, over = Dots(columns, rows), Dots(columns, rows)
        if not self.also:  # several curves on top of each other are enough
            self._stick_dots(under)
        self._curve_dots(over)
        table = self.signs.dots
        for row in range(rows):
            chars, roles = self.chars[row + self.head], self.roles[row + self.head]
            for col, (low, high) in enumerate(
                zip(under.rows[row], over.rows[row], strict=True), self.margin
            ):
                if low or high:
                    # Dots that touch the curve would only blur it.
                    chars[col] = table[(low & ~NEAR[high]) | high]
                    roles[col] = CURVE if high else ASYMPTOTE

    def _stick_dots(self, dots: Dots) -> None:
        points: list[tuple[float, float]] = []
        ends = (self.frequencies[0], self.frequencies[-1])
        inner = self.sticks.breaks if isinstance(self.sticks, Stick) else self.sticks.points
        points.append((ends[0], self.sticks.at(ends[0])))
        points += [point for point in inner if ends[0] < point[0] < ends[1]]
        points.append((ends[1], self.sticks.at(ends[1])))
        places = [(self.axis.cell(f) * 2 - 0.5, self.level.cell(v) * 4 - 0.5) for f, v in points]
        for one, other in pairwise(places):
            dots.line(*one, *other, 1, 2)

    def _curve_dots(self, dots: Dots) -> None:
        level = self.level
        ys = [level.dot(v) for v in self.values]
        extra = self._extremes()
        jumps = self._jumps() if self.phase else frozenset[int]()
        last = len(ys) - 1
        for x, y in enumerate(ys):
            reach = [y, *extra.get(x, ())]
            if x and x not in jumps:
                reach.append((ys[x - 1] + y + (y > ys[x - 1])) // 2)
            if x < last and x + 1 not in jumps:
                reach.append((ys[x + 1] + y + (y > ys[x + 1])) // 2)
            dots.column(x, min(reach), max(reach))

    def _dot_column(self, frequency: float) -> int:
        return math.floor(self.axis.cell(frequency) * 2)

    def _extremes(self) -> dict[int, list[int]]:
        """Dot rows of peaks and dips that may fall between two columns."""
        if self.phase:
            return {}
        sharp = [
            abs(r) / math.tau for r in (*self.response.zeros, *self.response.poles) if r.imag > 0
        ]
        if self.response.peak_hz:
            sharp.append(self.response.peak_hz)
        found: dict[int, list[int]] = {}
        for frequency in sharp:
            if self._inside(frequency):
                y = self.level.dot(self.sweep.gain_db(frequency))
                found.setdefault(self._dot_column(frequency), []).append(y)
        return found

    def _jumps(self) -> frozenset[int]:
        """Dot columns just above a root on the jω axis, where the phase jumps."""
        found: set[int] = set()
        for root in (*self.response.zeros, *self.response.poles):
            if root.real == 0 and root.imag > 0:
                f = root.imag / math.tau
                found.update(
                    x
                    for x in range(1, len(self.frequencies))
                    if self.frequencies[x - 1] < f <= self.frequencies[x]
                )
        return frozenset(found)

    def _edges(self, columns: int, rows: int) -> None:
        for edge in self.response.edges_hz:
            if edge is None or not self._inside(edge):
                continue
            value = (self.sweep.phase_deg if self.phase else self.sweep.gain_db)(edge)
            row = self.level.row(value)
            if 0 <= row < rows:
                col = self.margin + int(self.axis.cell(edge))
                self._put(col, row + self.head, self.signs.edge, EDGE)

    def _frame(self, columns: int, rows: int) -> None:
        signs, left = self.signs, self.margin
        ticks = {row: value for row, value in self.level.ticks() if row < rows}
        for row in range(rows):
            if row in ticks:
                text = f"{ticks[row]:.0f}".replace("-", "-" if signs is _ASCII else "−")
                self._put(left - 1 - len(text), row + self.head, text, TICK)
            self._put(left - 1, row + self.head, signs.tick if row in ticks else signs.side, AXIS)
        base = [signs.base] * columns
        for cell in self.axis.minors():
            base[cell] = signs.minor
        for cell, _ in self.axis.decades():
            base[cell] = signs.base_tick
        foot = rows + self.head
        self._put(left - 1, foot, signs.corner + "".join(base), AXIS)
        self._put(0, foot + 1, "Hz", LABEL)
        for start, text in self.axis.labels():
            self._put(left + start, foot + 1, self._text(text), TICK)
        corner = self.response.corner_hz
        if corner is not None and self._inside(corner):
            self._put(left + int(self.axis.cell(corner)), foot, signs.pointer, CORNER)

    def _text(self, text: str) -> str:
        return ascii_form(text) if self.signs is _ASCII else text

    def _legend(self) -> list[list[tuple[int, str, str, str]]]:
        """(column, sample, its role, text) for each row of the legend."""
        signs = self.signs
        pieces: list[tuple[str, str, str]] = []
        corner = self.response.corner_hz
        if corner is not None:
            name = "f0" if self.response.transfer.order == 2 else "fc"
            pieces.append((signs.pointer, CORNER, f"{name} {write_quantity(corner, 'Hz')}"))
        if not self.also:
            pieces.append((signs.exact, CURVE, fill("figures", "bode.exact")))
            pieces.append((signs.dotted, ASYMPTOTE, fill("figures", "bode.asymptotes")))
        edges = [write_quantity(e, "Hz") for e in self.response.edges_hz if e is not None]
        if edges:
            key = "edges" if len(edges) == 2 else "edge"
            values = {"first": edges[0], "second": edges[-1]}
            pieces.append((signs.edge, EDGE, fill("figures", f"bode.{key}", values.items())))
        rows: list[list[tuple[int, str, str, str]]] = [[]]
        col = self.margin
        for sample, role, raw in pieces:
            text = self._text(raw)
            if col > self.margin and col + len(sample) + 1 + len(text) > self.width:
                rows.append([])
                col = self.margin
            rows[-1].append((col, sample, role, text))
            col += len(sample) + len(text) + 4
        # A low chart has no row to spare: the least important goes.
        return rows[: 2 if self.height >= TALL else 1]

    def _title(self) -> None:
        unit = ("deg" if self.signs is _ASCII else "°") if self.phase else "dB"
        self._put(self.margin - 1 - len(unit), self.head - 1, unit, LABEL)
        for row, pieces in enumerate(self._legend()):
            for col, sample, role, text in pieces:
                self._put(col, row, sample, role)
                self._put(col + len(sample) + 1, row, text, LABEL)


def _from(steps: tuple[float, ...], least: float) -> tuple[float, ...]:
    """The steps that are not below ``least``."""
    return tuple(step for step in steps if step >= least) or steps[-1:]


__all__ = ["Chart", "FilterType", "PhaseStick", "Span", "Stick", "chart", "phase_stick", "stick"]
