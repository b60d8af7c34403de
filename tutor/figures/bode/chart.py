"""Bode charts: the exact curve in dots over its straight-line asymptotes in thin strokes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ....problems.analysis.asymptotes import PhaseStick, Stick, Sweep, phase_stick, stick
from ....problems.analysis.response import Response
from ...language.texts import fill
from ..canvas.axes import FrequencyAxis, LevelAxis
from ..canvas.braille import Dots
from ..canvas.paper import (
    ASYMPTOTE,
    CORNER,
    CURVE,
    LABEL,
    SMALLEST,
    STEEP,
    STROKE_IN_ASCII,
    STROKES,
    ChartPaper,
    PlottedPicture,
    blank,
)
from .legend import legend
from .marks import ChartMarks

LEFT = 5
"""Columns left of the plot."""
MARGIN = 1.5
"""Decades kept free on both sides of the outermost break frequencies, before rounding."""
DEPTH = 100.0
"""Most decibels shown below the top."""
NOTCH_DEPTH = 60.0
"""Decibels shown below the top where the curve goes down to nothing."""
GAIN_STEPS = (3.0, 6.0, 10.0, 20.0, 40.0, 60.0, 100.0, 200.0, 400.0, 1000.0)
FINE = ((18.0, 3.0), (36.0, 6.0), (80.0, 10.0), (math.inf, 20.0))
"""Decibels in sight, and the smallest distance of ticks up to there: 20 dB, the gain of a pole
in a decade, unless one looks closer."""
TOUCH = 0.3
"""Rows of a chart at which a straight line touches the curve: a dot and a little more."""
COARSEST = 5.0
"""Decibels to a row at most: −3 dB is then nearer to the row below its level than to the level's
own."""
PHASE_STEPS = (45.0, 90.0, 180.0, 360.0, 720.0, 1440.0, 3600.0)


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
    breaks: int | None = None,
    bare: bool = False,
) -> PlottedPicture:
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
        breaks: draw the straight lines only, bent at so many of the break frequencies (the
            last piece goes on to the end of the axis), on the axes of the whole chart.
        bare: draw the curve and nothing that is worked out of it.
    """
    if width < SMALLEST[0] or height < SMALLEST[1]:
        return PlottedPicture(blank(width, height))
    return _Plotter(response, width, height, ascii, phase, decades, also, breaks, bare).chart()


@dataclass
class _Plotter:
    """Draws one chart; the order of the steps is the order of the layers."""

    response: Response
    width: int
    height: int
    ascii: bool
    phase: bool
    decades: tuple[float, float] | None
    also: Sequence[Response]
    breaks: int | None
    bare: bool

    def chart(self) -> PlottedPicture:
        """Lay the layers on top of each other."""
        low, high = self.decades or default_decades(self.response, *self.also)
        growing = self.breaks is not None
        self.sheet = ChartPaper(self.width, self.height, self.ascii)
        # While the lines grow, room is kept for the whole legend: nothing then moves.
        whole = legend(self.sheet, self.response, LEFT, phase=self.phase, lines=not self.also)
        if self.bare:
            whole = [[("⠤⠤", CURVE, fill("figures", "bode.bare"))]]
        self.head = len(whole)
        columns, rows = self.width - LEFT, self.height - self.head - 2
        self.axis = FrequencyAxis.over(low, high, columns)
        self.sweep = Sweep(self.response)
        self.sticks: Stick | PhaseStick = (
            phase_stick(self.response) if self.phase else stick(self.response)
        )
        self.frequencies = [self.axis.at_dot(x) for x in range(columns * 2)]
        self.values, *others = (
            (sweep.phases_deg if self.phase else sweep.gains_db)(self.frequencies)
            for sweep in (self.sweep, *map(Sweep, self.also))
        )
        self.others = [value for values in others for value in values if math.isfinite(value)]
        self.level = self._phase_axis(rows) if self.phase else self._gain_axis(rows)
        marks = ChartMarks(
            self.sheet,
            self.response,
            self.sweep,
            self.axis,
            self.level,
            LEFT,
            self.head,
            self.phase,
            quiet=bool(self.also),
        )
        self.sheet.grid(LEFT, self.head, self.axis, self.level)
        if growing:
            whole = legend(self.sheet, self.response, LEFT, curve=False)
        elif not self.bare:
            marks.guides()
        if not self.also and not self.bare:  # several curves on top of each other are enough
            self._straight(columns, rows)
        self._dots(columns, rows)
        if not growing:
            if not self.bare:
                marks.points()
        elif isinstance(shown := self._shown(), Stick):
            marks.joints(shown)
        self._frame()
        for row, entries in enumerate(whole):
            self.sheet.legend(LEFT, row, entries)
        plot = (LEFT, self.head, columns, rows)
        return PlottedPicture(self.sheet.lines, self.sheet.spans, plot, self.axis, self.level)

    # --- ranges ----------------------------------------------------------------------

    def _gain_axis(self, rows: int) -> LevelAxis:
        finite = [v for v in self.values if math.isfinite(v)]
        assert isinstance(self.sticks, Stick)
        ends = [self.sticks.at(self.frequencies[0]), self.sticks.at(self.frequencies[-1])]
        breaks = [db for f, db in self.sticks.breaks if self.axis.holds(f)]
        top = max([*finite, *ends, *breaks, *self.others])
        for response in (self.response, *self.also):
            if response.peak_gain and response.peak_hz and self.axis.holds(response.peak_hz):
                top = max(top, 20 * math.log10(response.peak_gain))
        if -12 < top < 0:
            top = 0.0  # a pass band a little below 0 dB is seen to be so
        low = min([*finite, *ends, *breaks, *self.others])
        if self.response.axis_zero_pairs:
            low = min([*ends, *breaks, top - NOTCH_DEPTH])
        # A low chart shows less depth rather than more ticks than it has room for.
        # Counted from the uppermost tick, lest the step double for a tick too many.
        fitting = max(40.0, 20.0 * ((rows - 1) // 2))
        if marked := not self.bare and rows >= 7:  # and the mark of −3 dB has a row of its own
            fitting = (rows - 1) * COARSEST // 10.0 * 10.0
        step = 10.0 if marked and fitting <= FINE[2][0] else 20.0
        ceiling = math.ceil(top / step - 1e-9) * step if marked or rows >= 9 else top
        low = max(low, top - DEPTH, ceiling - fitting)
        low = min(low, top - 6.0)
        least = next(step for most, step in FINE if top - low <= most + 1e-9)
        return LevelAxis.over(low, top, rows, tuple(step for step in GAIN_STEPS if step >= least))

    def _phase_axis(self, rows: int) -> LevelAxis:
        low = math.floor(min([*self.values, *self.others]) / 90 + 0.01) * 90.0
        high = math.ceil(max([*self.values, *self.others]) / 90 - 0.01) * 90.0
        if high - low < 90:
            low, high = low - 90, high + 90
        return LevelAxis.over(low, high, rows, PHASE_STEPS, centred=True)

    # --- layers ----------------------------------------------------------------------

    def _dots(self, columns: int, rows: int) -> None:
        if self.breaks is None:
            over = Dots(columns, rows)
            ys = [self.level.dot(value) for value in self.values]
            over.curve(ys, self._extremes(), self._jumps() if self.phase else ())
            self.sheet.lay(LEFT, self.head, over, CURVE)

    def _shown(self) -> Stick | PhaseStick:
        """The straight lines as far as they have grown."""
        sticks, count = self.sticks, self.breaks
        if count is None or isinstance(sticks, PhaseStick):
            return sticks
        return Stick(sticks.level, sticks.breaks[:count], sticks.slopes[: count + 1])

    def _straight(self, columns: int, rows: int) -> None:
        """The straight lines, in thin strokes where the curve in dots will be: never its signs."""
        sticks = self._shown()
        levels = [sticks.at(self.axis.at_dot(2 * col + 0.5)) for col in range(columns)]
        places = [self.level.cell(level) for level in levels]
        cells = [(col, place, False) for col, place in enumerate(places) if 0 <= place < rows]
        for col, (one, other) in enumerate(pairwise(places)):
            # Where it is steep, a stroke in each of the rows between those of two columns.
            upper, lower = sorted((one, other))
            for row in range(max(0, math.floor(upper) + 1), min(rows, math.floor(lower))):
                nearer_next = abs(row + 0.5 - other) < abs(row + 0.5 - one)
                cells.append((col + nearer_next, row + 0.5, True))
        curve = [self.level.cell(max(-1e6, value)) for value in self.values]
        for col, place, steep in cells:
            # Strokes that touch the curve would only blur it.
            if self.breaks is None and min(abs(place - y) for y in curve[2 * col :][:2]) < TOUCH:
                continue
            row = math.floor(place)
            stroke = STEEP if steep else STROKES[math.floor((place - row) * len(STROKES))]
            sign = self.sheet.either(stroke, STROKE_IN_ASCII)
            self.sheet.put(LEFT + col, self.head + row, sign, ASYMPTOTE)

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
            if self.axis.holds(frequency):
                y = self.level.dot(self.sweep.gain_db(frequency))
                found.setdefault(math.floor(self.axis.cell(frequency) * 2), []).append(y)
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

    def _frame(self) -> None:
        foot = self.level.height + self.head
        self.sheet.side(LEFT, self.head, self.level)
        self.sheet.foot(LEFT, foot, self.axis)
        for frequency in self._pointers():
            if self.axis.holds(frequency):
                self.sheet.put(LEFT + int(self.axis.cell(frequency)), foot, "▲", CORNER)
        unit = self.sheet.either("°", "deg") if self.phase else "dB"
        self.sheet.put(LEFT - 1 - len(unit), self.head - 1, unit, LABEL)

    def _pointers(self) -> list[float]:
        """What the axis points at: the corner, or the breaks that the lines have come to."""
        if self.bare:
            return []
        if self.breaks is None:
            corner = self.response.corner_hz
            return [] if corner is None else [corner]
        return [] if self.phase else [f for f, _ in stick(self.response).breaks[: self.breaks]]
