"""Curves for slides: gain, phase and step response of up to four circuits on one chart."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from ....problems.analysis.asymptotes import Sweep, phase_stick, stick
from ....problems.analysis.response import TWO_PI
from ....problems.analysis.step import PERIODS, SETTLED, StepResponse
from ....problems.quantities.write import write_quantity
from ....problems.sketches.write import hertz
from ....problems.sketches.write import signed as slope_text
from ...figures.canvas.scales import nice
from ...language.texts import fill
from .axes_bode import exact, straight
from .axes_grid import TICK, LabelPlacer, Points, around, clipped, inside, signed
from .slide import (
    EDGE,
    GUIDE,
    SAMPLE,
    TALL,
    WIDE,
    SlideCircuit,
    SlideTheme,
    finished,
    keys,
    legend,
    line_style,
    sheet,
)
from .svg import CAP, Pen, Rect, VectorDrawing, number, polyline, upright, width

LEFT, RIGHT, FOOT, GAP = 32.0, 17.0, 17.0, 8.0
"""Left of a plot, for its ticks; right of it; below the last; between two."""
DEEPEST = 100.0
"""Decibels shown below the top of a chart."""
_SAMPLES = 500
_DENSITY = 150
"""Points of a curve to a decade."""
_ENDLESS = 40.0
"""Decibels shown of an endless peak, above its straight lines."""
_TOO_SLOW = 20.0
"""A step response is shown as long as the fastest takes, times this, at most."""
_FINE = 10
"""Decades at most of which the parts are shown."""
_DOT, _DIAMOND = 2.4, 4.4
_BEYOND = 15.0
"""Degrees above and below the phase at least, so that it runs along no edge."""


@dataclass(frozen=True)
class SlideAxis:
    """From ``low`` to ``high`` of a value, or of its logarithm; ``ticks`` are (value, words)."""

    low: float
    high: float
    ticks: tuple[tuple[float, str], ...]
    log: bool = False

    def share(self, value: float) -> float:
        """How far along ``value`` lies, from 0 to 1; not far outside for infinities."""
        at = math.log10(value) if self.log else value
        return max(-50.0, min(50.0, (at - self.low) / (self.high - self.low)))


@dataclass(frozen=True)
class Panel:
    """A plot on a figure: its size, and what runs across and up."""

    wide: float
    tall: float
    across: SlideAxis
    up: SlideAxis

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Where a value ``y`` at ``x`` lies, from the upper left corner."""
        return self.across.share(x) * self.wide, (1 - self.up.share(y)) * self.tall

    def at(self, line: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
        """Where a ``line`` runs, cut off at the upper and the lower edge."""
        return clipped([self.place(x, y) for x, y in line], self.tall)

    def holds(self, place: tuple[float, float]) -> bool:
        """Whether a ``place`` lies in it."""
        return -0.01 <= place[0] <= self.wide + 0.01 and -0.01 <= place[1] <= self.tall + 0.01

    def grid(self, pen: Pen, *, named: bool = True) -> None:
        """Draw with a ``pen`` the lines of its ticks, their words, and its frame.

        Words below it only where it is ``named``.
        """
        xs = [(self.across.share(v) * self.wide, words) for v, words in self.across.ticks]
        ys = [((1 - self.up.share(v)) * self.tall, words) for v, words in self.up.ticks]
        data = "".join(f"M{number(x)} 0V{number(self.tall)}" for x, _ in xs)
        data += "".join(f"M0 {number(y)}H{number(self.wide)}" for y, _ in ys)
        if self.across.log and self.across.high - self.across.low <= _FINE:
            first, last = math.floor(self.across.low), math.ceil(self.across.high)
            fine = [k * 10.0**e for e in range(first, last) for k in range(2, 10)]
            places = [self.across.share(f) for f in fine]
            foot = number(self.tall)
            fine_ticks = [number(s * self.wide) for s in places if 0 < s < 1]
            data += "".join(f"M{x} {foot}v-2.5" for x in fine_ticks)
        pen.path(data, stroke="#777", stroke_width=0.3, stroke_linecap="butt")
        pen.rect(Rect(0, 0, self.wide, self.tall), stroke_width=0.7, stroke_linejoin="miter")
        for y, words in ys:
            pen.text(-3.5, y + CAP * TICK / 2, upright(words), size=TICK, anchor="end")
        clear = -EDGE - LEFT
        for x, words in xs if named else []:
            label = upright(words)
            half = width(label, TICK) / 2
            if x - half >= clear + 5.0 and x + half <= self.wide + RIGHT:
                place = self.tall + 4.0 + CAP * TICK
                pen.text(x, place, label, size=TICK, anchor="middle")
                clear = x + half


@dataclass
class _Chart:
    """One panel being drawn, in its own units."""

    pen: Pen
    panel: Panel
    theme: SlideTheme

    def __post_init__(self) -> None:
        self.labels = LabelPlacer(self.pen, Rect(0, 0, self.panel.wide, self.panel.tall))

    def curve(self, line: Sequence[tuple[float, float]], n: int) -> None:
        """The curve of circuit ``n``."""
        places = self.panel.at(line)
        self.labels.avoid(places, 1.4)
        self._runs(places, f"curve-{n + 1}", **line_style(n, self.theme))

    def straight(self, line: Sequence[tuple[float, float]], n: int) -> None:
        """The straight lines of circuit ``n``."""
        places = self.panel.at(line)
        self.labels.avoid(places, 0.9)
        self._runs(places, f"lines-{n + 1}", stroke=self.theme.curves[n], stroke_width=GUIDE)

    def _runs(self, places: Points, role: str, **style: str | float) -> None:
        with self.pen.group(data_role=role):
            for run in inside(places, self.panel.tall):
                self.pen.path(polyline(run), (), **style)

    def guide(self, x: float) -> None:
        """A dashed line upright through ``x``."""
        at = self.panel.across.share(x) * self.panel.wide
        with self.pen.group(data_role="guide"):
            self.pen.line((at, 0), (at, self.panel.tall), stroke_width=0.6, stroke_dasharray="2 2")

    def mark(self, x: float, y: float, what: str, n: int, words: str = "") -> None:
        """A sign on the curve of circuit ``n``, with ``words`` beside it."""
        place = self.panel.place(x, y)
        if not self.panel.holds(place):
            return
        with self.pen.group(data_role=f"{what}-{n + 1}"):
            (dot if what == "corner" else diamond)(self.pen, *place, self.theme.curves[n])
        self.labels.taken.append(Rect.at(*place, _DIAMOND + 0.5))
        if words:
            self.labels.label(upright(words), around(*place, reach=6.0))


def dot(pen: Pen, x: float, y: float, ink: str = "#000") -> None:
    """Draw with a ``pen`` in an ``ink`` what marks a corner at (``x``, ``y``)."""
    pen.circle(x, y, _DOT, fill=ink, stroke="#fff", stroke_width=0.5)


def diamond(pen: Pen, x: float, y: float, ink: str = "#000") -> None:
    """Draw with a ``pen`` in an ``ink`` what marks a −3 dB edge at (``x``, ``y``)."""
    r = number(_DIAMOND)
    data = f"M{number(x)} {number(y - _DIAMOND)}l{r} {r}l-{r} {r}l-{r} -{r}z"
    pen.path(data, stroke=ink, stroke_width=1.0, fill="none")


def gain(circuits: Sequence[SlideCircuit], theme: SlideTheme) -> VectorDrawing:
    """The gain of up to four ``circuits`` in a ``theme``: exact, in straight lines, and marked."""
    return _against_frequency(circuits, theme, (False,), "gain")


def phase(circuits: Sequence[SlideCircuit], theme: SlideTheme) -> VectorDrawing:
    """The phase of up to four ``circuits`` in a ``theme``, as :func:`gain`."""
    return _against_frequency(circuits, theme, (True,), "phase")


def bode(circuits: Sequence[SlideCircuit], theme: SlideTheme) -> VectorDrawing:
    """Gain above phase of up to four ``circuits`` in a ``theme``, as :func:`gain`."""
    return _against_frequency(circuits, theme, (False, True), "bode")


def _against_frequency(
    circuits: Sequence[SlideCircuit], theme: SlideTheme, phases: Sequence[bool], what: str
) -> VectorDrawing:
    title = fill("draw", f"{what}.title")
    pen = sheet(title)
    top = _names(pen, circuits, theme)
    _frequency_keys(pen, circuits)
    across = frequencies(circuits)
    foot, wide = TALL - FOOT, WIDE - LEFT - RIGHT
    tall = (foot - top - GAP * (len(phases) - 1)) / len(phases)
    for n, is_phase in enumerate(phases):
        up = _degrees(circuits, across, tall) if is_phase else _decibels(circuits, across, tall)
        y = top + n * (tall + GAP)
        role = "phase" if is_phase else "gain"
        with pen.group(transform=f"translate({number(LEFT)} {number(y)})", data_role=role):
            panel = Panel(wide, tall, across, up)
            panel.grid(pen, named=n == len(phases) - 1)
            _response(_Chart(pen, panel, theme), circuits, is_phase)
    said = "; ".join(_described(one) for one in circuits)
    ends = [("low", hertz(10.0**across.low)), ("high", hertz(10.0**across.high))]
    alt = fill("draw", f"{what}.alt", [*ends, ("curves", said)])
    return finished(pen, title, alt, theme)


def _names(pen: Pen, circuits: Sequence[SlideCircuit], theme: SlideTheme) -> float:
    """The legend, and where a plot may begin below it."""

    def sample(n: int, x: float, y: float) -> None:
        pen.line((x + 1.0, y), (x + SAMPLE - 1.0, y), **line_style(n, theme))

    return legend(pen, [one.told for one in circuits], sample) + GAP


def _frequency_keys(pen: Pen, circuits: Sequence[SlideCircuit]) -> None:
    entries: list[tuple[str, Callable[[float, float], None]]] = []
    cornered = [one for one in circuits if one.facts.corner_hz is not None]
    if cornered:
        centred = {one.facts.centred for one in cornered}
        key = "f0" if len(centred) > 1 else "centre" if True in centred else "corner"
        entries.append((fill("draw", f"keys.{key}"), partial(dot, pen)))
    if any(one.edges for one in circuits):
        entries.append((fill("draw", "keys.edge"), partial(diamond, pen)))

    def lines(x: float, y: float) -> None:
        pen.line((x - 5.0, y), (x + 5.0, y), stroke_width=GUIDE)

    entries.append((fill("draw", "keys.lines"), lines))
    keys(pen, entries)


def _described(one: SlideCircuit) -> str:
    if not one.edges:
        return one.told
    edges = fill("draw", "and").join(write_quantity(edge, "Hz", 3) for edge in one.edges)
    return fill("draw", "described", [("told", one.told), ("edges", edges)])


def _response(chart: _Chart, circuits: Sequence[SlideCircuit], is_phase: bool) -> None:
    panel, alone = chart.panel, len(circuits) == 1
    corners: list[float] = []
    for one in circuits:
        f0 = one.facts.corner_hz
        if f0 is not None and not any(math.isclose(f0, f, rel_tol=1e-6) for f in corners):
            corners.append(f0)
            chart.guide(f0)
    drawn: list[Points] = []
    for n, one in enumerate(circuits):
        sticks = phase_stick(one.facts) if is_phase else stick(one.facts)
        line = straight(sticks, panel.across.low, panel.across.high)
        if not any(_same(line, other) for other in drawn):
            drawn.append(line)
            chart.straight(line, n)
    for n, one in enumerate(circuits):
        course = exact(one.facts, panel.across.low, panel.across.high, is_phase, _DENSITY)
        chart.curve(course, n)
    for n, one in enumerate(circuits):
        sweep = Sweep(one.facts)
        value = sweep.phase_deg if is_phase else sweep.gain_db
        for edge in one.edges:
            words = fill("draw", "edge", [("f", write_quantity(edge, "Hz", 3))])
            chart.mark(edge, value(edge), "edge", n, words if alone and not is_phase else "")
        f0 = one.facts.corner_hz
        if f0 is not None:
            # A phase that jumps is marked half-way.
            near = (1 - 1e-9, 1 + 1e-9) if is_phase else (1.0,)
            chart.mark(f0, sum(value(f0 * k) for k in near) / len(near), "corner", n)
    if alone and not is_phase:
        _slopes(chart, drawn[0])


def _same(one: Points, other: Points) -> bool:
    return len(one) == len(other) and all(
        math.isclose(a[0], b[0], rel_tol=1e-6) and abs(a[1] - b[1]) < 0.01
        for a, b in zip(one, other, strict=True)
    )


def _slopes(chart: _Chart, line: Points) -> None:
    """The slope beside each piece that has one."""
    panel = chart.panel
    for (f1, v1), (f2, v2) in pairwise(line):
        decades = math.log10(f2 / f1)
        slope = round((v2 - v1) / decades / 20) * 20 if decades > 0.2 else 0
        if not slope:
            continue
        shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
        places = [panel.place(f1 * (f2 / f1) ** s, v1 + (v2 - v1) * s) for s in shares]
        found = [at for place in places if panel.holds(place) for at in around(*place, 5.0)[:16]]
        chart.labels.label(upright(slope_text(slope) + " dB/decade"), found)


def frequencies(circuits: Sequence[SlideCircuit]) -> SlideAxis:
    """Whole decades that hold the roots of all ``circuits``, and one more on either side."""
    sizes = [abs(r) / TWO_PI for c in circuits for r in (*c.facts.poles, *c.facts.zeros) if r]
    low = math.floor(math.log10(min(sizes, default=1e3)) - 1 + 1e-9)
    high = math.ceil(math.log10(max(sizes, default=1e3)) + 1 - 1e-9)
    stride = 1 + (high - low) // 10
    ticks = [(10.0**e, write_quantity(10.0**e, "Hz")) for e in range(low, high + 1, stride)]
    return SlideAxis(low, high, tuple(ticks), log=True)


def _decibels(circuits: Sequence[SlideCircuit], across: SlideAxis, tall: float) -> SlideAxis:
    straight: list[float] = []
    levels: list[float] = []
    undamped = False
    for one in circuits:
        lines = stick(one.facts)
        straight += [lines.at(10.0**across.low), lines.at(10.0**across.high)]
        straight += [level for _, level in lines.breaks]
        levels += [v for _, v in exact(one.facts, across.low, across.high, False, _DENSITY)]
        undamped |= any(pole.imag and not pole.real for pole in one.facts.poles)
    finite = [v for v in (*straight, *levels) if math.isfinite(v)]
    # Beside an undamped pole the samples are high at will: so much is enough of them.
    ceiling = min(max(finite), max(straight) + _ENDLESS) if undamped else max(finite)
    top = 20.0 * math.ceil(ceiling / 20 + 0.05)
    bottom = max(top - DEEPEST, 20.0 * math.floor(min(finite) / 20 - 0.05))
    bottom = min(bottom, top - 60.0)
    return _stepped(bottom, top, 20.0, tall, "dB")


def _degrees(circuits: Sequence[SlideCircuit], across: SlideAxis, tall: float) -> SlideAxis:
    values: list[float] = []
    for one in circuits:
        values += [v for _, v in phase_stick(one.facts).points]
        values += [v for _, v in exact(one.facts, across.low, across.high, True)]
    bottom = 90.0 * math.floor(min(values) / 90 + 1e-3)
    top = 90.0 * math.ceil(max(values) / 90 - 1e-3)
    if bottom == top:
        bottom, top = bottom - 90, top + 90
    beyond = max(_BEYOND, 0.04 * (top - bottom))
    return _stepped(bottom - beyond, top + beyond, 45.0, tall, "°")


def _stepped(bottom: float, top: float, step: float, tall: float, unit: str) -> SlideAxis:
    """An axis with ticks as near as their letters allow."""
    while (top - bottom) / step * (TICK + 3.0) > tall:
        step *= 2
    first, last = math.ceil(bottom / step - 1e-9), math.floor(top / step + 1e-9)
    ticks = tuple((n * step, signed(n * step, unit)) for n in range(first, last + 1))
    return SlideAxis(bottom, top, ticks)


def step(circuits: Sequence[SlideCircuit], theme: SlideTheme) -> VectorDrawing:
    """The step responses of up to four ``circuits`` in a ``theme``, on one linear time axis.

    Raises:
        ArithmeticError: two poles lie too close together to be told apart.
    """
    title = fill("draw", "step.title")
    pen = sheet(title)
    top = _names(pen, circuits, theme)
    responses = [StepResponse(one.facts.transfer) for one in circuits]
    spans = [r.horizon for r in responses if r.transfer.order] or [1.0]
    end = min(max(spans), _TOO_SLOW * min(spans))
    lines = [_course(one, response, end) for one, response in zip(circuits, responses, strict=True)]
    seen = [0.0, 1.0, *(v for line in lines for _, v in line)]
    gap = nice((max(seen) - min(seen)) / 5)
    low, high = math.floor(min(seen) / gap + 1e-6), math.ceil(max(seen) / gap - 1e-6)
    marks = tuple((n * gap, signed(round(n * gap, 9), "V")) for n in range(low, high + 1))
    every = nice(end / 8)
    count = math.floor(end / every + 1e-9)
    times = tuple((n * every, write_quantity(n * every, "s", 3)) for n in range(count + 1))
    beyond = 0.05 * (high - low) * gap
    up = SlideAxis(low * gap - beyond, high * gap + beyond, marks)
    across = SlideAxis(0, end, times)
    panel = Panel(WIDE - LEFT - RIGHT, TALL - FOOT - top, across, up)
    with pen.group(transform=f"translate({number(LEFT)} {number(top)})", data_role="step"):
        panel.grid(pen)
        chart = _Chart(pen, panel, theme)
        for n, line in enumerate(lines):
            chart.curve(line, n)
    said = [_step_told(one, r) for one, r in zip(circuits, responses, strict=True)]
    values = [("end", write_quantity(end, "s", 3)), ("curves", "; ".join(said))]
    return finished(pen, title, fill("draw", "step.alt", values), theme)


def _course(one: SlideCircuit, response: StepResponse, end: float) -> list[tuple[float, float]]:
    """(seconds, volts) up to the ``end``, denser where a quick mode is at work."""
    spans = {end}
    for pole in one.facts.poles:
        if pole.real < 0:
            spans.add(min(end, SETTLED / -pole.real))
        if pole.imag > 0:
            spans.add(min(end, PERIODS * TWO_PI / pole.imag))
    times = sorted({span * n / _SAMPLES for span in spans for n in range(_SAMPLES + 1)})
    # Before the step there is nothing: what begins high jumps there.
    return [(0.0, 0.0), *zip(times, response.at(times), strict=True)]


def _step_told(one: SlideCircuit, response: StepResponse) -> str:
    values = [("told", one.told), ("start", _volts(response.initial))]
    over = response.overshoot
    if over is not None:
        values += [("v", _volts(over[1])), ("t", write_quantity(over[0], "s", 3))]
        return fill("draw", "step.over", values)
    return fill("draw", "step.to", [*values, ("end", _volts(response.final))])


def _volts(value: float) -> str:
    return fill("draw", "step.volts", [("v", write_quantity(value, "", 3))])
