"""Exhibits on paper: curves on a grid fine enough to read by, maps to scale, alone or four at once.

The plot's upper left corner is the origin; lengths are points.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ....problems.questions.exhibit import Chart, Exhibit, Plot
from ...figures.canvas.scales import nice, prefix_of
from ...figures.exhibit import LETTERS, log_ticks, tick_label
from ...language.texts import fill
from ...phrases.exhibits import told
from .axes_bode import ratio
from .axes_grid import MARGIN, TICK, LabelPlacer, around, clipped, inside, ruled
from .axes_grid import PlotArea as Paper
from .axes_plane import WIDE as PLANE_WIDE
from .axes_plane import RootMap, legend, plane
from .slide import PATTERNS
from .svg import (
    MINUS,
    TEXT_WIDTH,
    Label,
    Pen,
    Rect,
    VectorDrawing,
    number,
    polyline,
    upright,
    width,
)

ALONE, PLANE, SMALL = 172.0, 150.0, 88.0
"""How high a plot is that figures are read off, such a map, and one of several to choose from."""
DEEPEST = 80.0
"""Decibels shown below the top."""
_HEAD, _FOOT, _BETWEEN = 15.0, 24.0, 6.0
_SIDE = 24.0
"""Points left of a small plot."""
_FINEST = 3.4
"""Points between two of the finest lines, at least."""
_LABELLED = 15.0
"""Points between two labelled lines, at least."""
_STEPS = {
    Chart.GAIN: (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0),
    Chart.PHASE: (10.0, 15.0, 30.0, 45.0, 90.0, 180.0),
}
_HAIR = 0.004


def drawing(shown: Exhibit, room: float = TEXT_WIDTH) -> VectorDrawing:
    """An exhibit that is ``shown`` at most ``room`` points wide."""
    pen = Pen()
    room = min(room, TEXT_WIDTH)
    apart = len(shown.plots) > 1 and not shown.together
    if apart:
        area = _pictures(pen, shown, room)
    elif shown.chart is Chart.MAP:
        wide = min(PLANE_WIDE, room - 20.0)
        legend(pen, wide, _map(pen, shown, shown.plots[0], wide, PLANE))
        area = None
    else:
        _curves(pen, shown, shown.plots, room - MARGIN - 10.0, ALONE)
        area = None
    return pen.drawing(_title(shown), " ".join(told(shown)), area=area)


def _title(shown: Exhibit) -> str:
    values = [("unit", "V"), ("ratio", "Vout/Vs")]
    title = fill("exhibits", f"paper.{shown.chart}", values)
    return f"{title}, {fill('exhibits', 'paper.measured')}" if shown.measured else title


def _pictures(pen: Pen, shown: Exhibit, room: float) -> Rect:
    """A picture for each choice, up to four beside each other, each under its letter."""
    is_map = shown.chart is Chart.MAP
    across = min(4, len(shown.plots))
    left = 6.0 if is_map else _SIDE
    right = 16.0 if is_map else 6.0
    step = (room + _BETWEEN) / across
    wide = step - _BETWEEN - left - right
    down = _HEAD + SMALL + (8.0 if is_map else _FOOT)
    for n, plot in enumerate(shown.plots):
        x, y = left + n % across * step, _HEAD + n // across * down
        with pen.group(transform=f"translate({number(x)} {number(y)})"):
            letter = upright(f"{LETTERS[n]})")
            pen.text(-left, -6.0, letter, font_weight="bold")
            if is_map:
                scale = _map(pen, shown, plot, wide, SMALL)
                pen.text(-left + 12.0, -6.0, upright(scale), size=TICK)
            else:
                _curves(pen, shown, (plot,), wide, SMALL, small=True)
    rows = math.ceil(len(shown.plots) / across)
    return Rect(-2.0, -2.0, room, rows * down)


def _map(pen: Pen, shown: Exhibit, plot: Plot, wide: float, tall: float) -> str:
    among = [root for one in shown.plots for root in (*one.poles, *one.zeros)]
    maps = [RootMap(plot.poles, plot.zeros)]
    return plane(pen, maps, wide, tall, unit=shown.unit, circled=False, among=among)


@dataclass(frozen=True)
class _Axis:
    """Where places along a chart fall, and which lines are drawn at them."""

    at: Callable[[float], float]
    labelled: Sequence[tuple[float, str]]
    fine: Sequence[float]


def _curves(
    pen: Pen,
    shown: Exhibit,
    plots: Sequence[Plot],
    wide: float,
    tall: float,
    *,
    small: bool = False,
) -> None:
    every = [plot.points for plot in shown.plots]
    low = max(points[0][0] for points in every)
    high = min(points[-1][0] for points in every)
    values = [y for points in every for _, y in points]
    if shown.chart is Chart.STEP:
        factor, prefix = prefix_of(max(map(abs, values)) or 1.0, 0.0999, 1.0)
        axis, named = _linear(shown, high, wide)
    else:
        factor, prefix = 1.0, ""
        axis, named = _log(shown, low, high, wide)
    paper = _paper(shown.chart, [v / factor for v in values], tall, wide)
    _grid(pen, paper, axis, shown.chart)
    end = upright(named)
    pen.text(wide, tall + _FOOT - 3.0, end, size=TICK, anchor="end")
    lines = []
    for plot in plots:
        line = [(axis.at(x), paper.y(y / factor)) for x, y in plot.points if low <= x <= high]
        # What is as if measured shows that each of its points is off by something.
        lines.append(clipped(line if shown.measured else list(_smooth(line)), tall))
    many = len(plots) > 1
    for n, line in enumerate(lines):
        style: dict[str, str | float] = {"stroke_width": 1.1 if many else 1.3}
        if many and PATTERNS[n % 4]:
            style["stroke_dasharray"] = PATTERNS[n % 4]
        for run in inside(line, tall):
            pen.path(polyline(run), (), **style)
    if small:
        unit = {Chart.GAIN: "dB", Chart.PHASE: ""}.get(shown.chart, f"{prefix}V")
        pen.text(-_SIDE + 14.0, -6.0, upright(unit), size=TICK)
        return
    pen.text(-MARGIN + 2.0, -5.0, _headline(shown, prefix))
    if many:
        _lettered(pen, paper, lines)


def _smooth(line: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """A line through the same points without corners, and without a swing of its own.

    Monotone piecewise cubic interpolation (Fritsch and Butland, SIAM Journal on Scientific and
    Statistical Computing 5, 1984).
    """
    steps = [(x2 - x, (y2 - y) / (x2 - x)) for (x, y), (x2, y2) in pairwise(line) if x2 > x]
    if len(steps) != len(line) - 1:
        yield from line
        return
    slopes = [steps[0][1]]
    for (h, d), (h2, d2) in pairwise(steps):
        w, w2 = 2 * h2 + h, h2 + 2 * h
        slopes.append((w + w2) / (w / d + w2 / d2) if d * d2 > 0 else 0.0)
    slopes.append(steps[-1][1])
    for ((x, y), (_, y2)), (h, _), (m, m2) in zip(
        pairwise(line), steps, pairwise(slopes), strict=True
    ):
        count = max(1, math.ceil(h / 3.0))
        for n in range(count):
            t = n / count
            bend = h * t * (1 - t) * (m * (1 - t) - m2 * t)
            yield x + h * t, y + (y2 - y) * t * t * (3 - 2 * t) + bend
    yield line[-1]


def _headline(shown: Exhibit, prefix: str) -> Label:
    values = [("unit", f"{prefix}V")]
    if shown.chart is Chart.GAIN:
        head = ratio(fill("exhibits", "paper.gain", [("ratio", "Vout/Vs")]))
    else:
        head = upright(fill("exhibits", f"paper.{shown.chart}", values))
    note = f", {fill('exhibits', 'paper.measured')}" if shown.measured else ""
    return (*head, *upright(note)) if note else head


def _lettered(pen: Pen, paper: Paper, lines: Sequence[Sequence[tuple[float, float]]]) -> None:
    """The letter of each curve beside it, where it lies farthest from the others."""
    marks = LabelPlacer(pen, paper.area)
    for line in lines:
        marks.avoid(line)
    for n, line in enumerate(lines):
        others = [point for k, other in enumerate(lines) if k != n for point in other]

        def free(point: tuple[float, float], others: list[tuple[float, float]] = others) -> float:
            edge = min(point[0], paper.wide - point[0], point[1], paper.tall - point[1])
            return min([math.dist(point, other) for other in others] + [max(0.0, edge)])

        best = sorted(line[::3], key=free, reverse=True)[:12]
        places = [place for x, y in best for place in around(x, y, 2.5)]
        marks.label(upright(LETTERS[n]), places, font_weight="bold")


def _paper(chart: Chart, values: Sequence[float], tall: float, wide: float) -> Paper:
    """The levels: labelled lines as near as can be read, finer ones between them."""
    low, high = min(values), max(values)
    unit = "°" if chart is Chart.PHASE else "dB" if chart is Chart.GAIN else "V"
    if chart is Chart.STEP:
        low, high = min(0.0, low), max(0.0, high)
        least = nice((high - low or 1.0) / 14)
        steps: Sequence[float] = (least, nice(least * 1.01), nice(least * 2.01), nice(least * 4.1))
    else:
        steps = _STEPS[chart]
    if chart is Chart.GAIN:
        low = min(max(low, high - DEEPEST), high - 3.0)
    hair = _HAIR * (high - low)
    low, high = low + hair, high - hair
    step = top = bottom = 0.0
    for step in steps:
        top, bottom = math.ceil(high / step) * step, math.floor(low / step) * step
        if tall / ((top - bottom) / step) >= _LABELLED:
            break
    gap = tall * step / (top - bottom)
    minor = next((step / n for n in _parts(step) if gap / n >= _FINEST), step)
    return Paper(0.0, 1.0, bottom, top, step, minor, wide, tall, unit)


def _parts(step: float) -> tuple[int, ...]:
    """Into how many a step can be divided, the finest first: into round shares of it."""
    lead = float(f"{step:e}"[0])
    return (10, 5, 2) if lead in (1.0, 5.0) else (4, 2) if lead in (2.0, 4.0) else (3,)


def _log(shown: Exhibit, low: float, high: float, wide: float) -> tuple[_Axis, str]:
    decade = wide / math.log10(high / low)

    def at(place: float) -> float:
        return math.log10(place / low) * decade

    labelled: list[tuple[float, str]] = []
    taken: list[tuple[float, float]] = []
    for place, _ in log_ticks(low, high):
        text = tick_label(place, shown.unit)
        half = width(upright(text), TICK) / 2 + 3.0
        x = at(place)
        if all(x + half <= start or x - half >= end for start, end in taken):
            labelled.append((x, text))
            taken.append((x - half, x + half))
    named = fill("exhibits", "paper.hertz" if shown.unit else "paper.multiples")
    return _Axis(at, labelled, [at(place) for place in _fine(low, high, decade)]), named


def _fine(low: float, high: float, decade: float) -> Iterator[float]:
    """Lines of logarithmic paper, as near to each other as can be told apart."""
    for power in range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1):
        for digit in range(1, 10):
            gap = decade * math.log10((digit + 1) / digit)
            parts = next((n for n in (20, 10, 5, 2) if gap / n >= _FINEST), 1)
            for n in range(parts):
                place = (digit + n / parts) * 10.0**power
                if low <= place <= high:
                    yield place


def _linear(shown: Exhibit, high: float, wide: float) -> tuple[_Axis, str]:
    step = nice(high * (34.0 if wide > 200.0 else 20.0) / wide)
    count = math.floor(high / step + 1e-9)
    factor, prefix = prefix_of(step * count, largest=1.0) if shown.unit else (1.0, "")
    gap = wide * step / high
    parts = next((n for n in _parts(step) if gap / n >= _FINEST), 1)
    labelled = [(n * step / high * wide, f"{n * step / factor:.4g}") for n in range(count + 1)]
    last = math.floor(high / step * parts + 1e-9)
    fine = [n * step / parts / high * wide for n in range(last + 1)]
    named = fill("exhibits", "paper.radians")
    if shown.unit:
        named = fill("exhibits", "paper.seconds", [("unit", f"{prefix}s")])
    return _Axis(lambda place: place / high * wide, labelled, fine), named


def _grid(pen: Pen, paper: Paper, axis: _Axis, chart: Chart) -> None:
    count = round((paper.top - paper.bottom) / paper.step)
    levels = []
    for n in range(count + 1):
        value = round(paper.bottom + n * paper.step, 9) + 0.0
        text = f"{MINUS if value < 0 else ''}{abs(value):.6g}{'°' * (chart is Chart.PHASE)}"
        levels.append((value, text))
    thick = [x for x, _ in axis.labelled if 0 < x < paper.wide]
    ruled(pen, paper, axis.fine, thick, levels, [(x, upright(t)) for x, t in axis.labelled])
