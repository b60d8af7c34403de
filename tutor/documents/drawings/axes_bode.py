"""Bode paper: blank, with the right sketch drawn in, with a response, with a given curve."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from ....problems.analysis.asymptotes import PhaseStick, Stick, Sweep, phase_stick, stick
from ....problems.analysis.response import TWO_PI, Facts
from ....problems.quantities.write import write_quantity
from ....problems.questions.curve_reading import value_at
from ....problems.sketches.model import GainSketch, PhaseSketch, same
from ....problems.sketches.write import decibels, hertz, signed
from ....problems.sketches.write import write as write_sketch
from ...figures.bode.chart import default_decades
from ...language.texts import fill
from .axes_grid import MARGIN, LabelPlacer, PlotArea, around, curve, grid, legend
from .svg import TEXT_WIDTH, Label, Pen, Rect, VectorDrawing, symbol, upright

Frame = tuple[float, float, float, float]
"""Lowest and highest Hz, lowest and highest dB."""
ANY = (10.0, 1e6, -80.0, 40.0)
"""A frame where none is given."""
TURN = 360.0
"""Degrees up and down on blank paper: enough for four poles, whichever they are."""
LINES: dict[str, str | float] = {"stroke_width": 1.5}
EXACT: dict[str, str | float] = {"stroke_width": 0.8, "stroke_dasharray": "4 2.4"}
ALONE: dict[str, str | float] = {"stroke_width": 1.3}
PER_DECADE = 40
_STEPS = (20.0, 40.0, 60.0, 100.0, 200.0, 400.0, 1000.0, 10_000.0)
_MOST = 14
"""Labelled lines across at most."""
DEEPEST = 100.0
"""Decibels shown below the top of a given curve."""


def _plot(frame: Frame, phase: bool, room: float, turn: float = TURN) -> PlotArea:
    low, high, bottom, top = frame
    wide = min(room, TEXT_WIDTH) - MARGIN - 17.0
    first, last = math.log10(low), math.log10(high)
    if phase:
        return _phase_plot(first, last, -turn, turn, wide)
    step = next(s for s in _STEPS if (top - bottom) / s <= _MOST)
    count = (top - bottom) / step
    tall = count * max(14.0, min(26.0, 200 / count))
    return PlotArea(first, last, bottom, top, step, step / 4, wide, tall, "dB")


def _phase_plot(first: float, last: float, bottom: float, top: float, wide: float) -> PlotArea:
    step = next(s for s in (90.0, 180.0, 360.0, 1440.0, 7200.0) if (top - bottom) / s <= _MOST)
    tall = max(76.0, min(192.0, (top - bottom) / step * 30.0))
    return PlotArea(first, last, bottom, top, step, step / 2, wide, tall, "°")


def _title(phase: bool) -> str:
    return fill("paper_figures", "bode.phase" if phase else "bode.gain")


def _about(key: str, plot: PlotArea, *more: tuple[str, str]) -> str:
    unit = plot.unit
    ends = [
        ("low", hertz(10.0**plot.low)),
        ("high", hertz(10.0**plot.high)),
        ("bottom", write_quantity(plot.bottom, unit)),
        ("top", write_quantity(plot.top, unit)),
    ]
    return fill("paper_figures", key, [*ends, *more])


def blank(frame: Frame | None, *, phase: bool = False, room: float = TEXT_WIDTH) -> VectorDrawing:
    """Empty paper for a sketch of the gain, or with ``phase`` of the phase.

    It spans a ``frame``, or any, and is at most ``room`` points wide.
    """
    plot = _plot(frame or ANY, phase, room)
    pen = Pen()
    grid(pen, plot, upright(_title(phase)))
    key = "bode.blank-phase" if phase else "bode.blank-gain"
    return pen.drawing(_title(phase), _about(key, plot))


def solved(
    facts: Facts,
    sketch: GainSketch | PhaseSketch,
    frame: Frame | None,
    room: float = TEXT_WIDTH,
) -> VectorDrawing:
    """The same paper with the right straight lines, their breaks, and the exact curve.

    Args:
        facts: of the circuit.
        sketch: the right one.
        frame: what the paper spans, as for :func:`blank`.
        room: points that it may be wide.
    """
    phase = isinstance(sketch, PhaseSketch)
    plot = _plot(frame or ANY, phase, room, _turn(facts) if phase else TURN)
    return _drawn(facts, plot, sketch)


def response(facts: Facts, *, phase: bool = False, room: float = TEXT_WIDTH) -> VectorDrawing:
    """Straight lines and exact curve of ``facts`` on paper at most ``room`` points wide.

    They are of the gain, or with ``phase`` of the phase.
    """
    from ....problems.sketches.truth import true_gain, true_phase

    low, high = default_decades(facts)
    if phase:
        seen = [v for _, v in phase_stick(facts).points] + [facts.phase_low, facts.phase_high]
        bottom = min(-90.0, 90.0 * math.floor(min(seen) / 90 - 1e-6))
        top = max(90.0, 90.0 * math.ceil(max(seen) / 90 + 1e-6))
        plot = _plot((10.0**low, 10.0**high, 0, 0), True, room)
        plot = _phase_plot(plot.low, plot.high, bottom, top, plot.wide)
        return _drawn(facts, plot, true_phase(facts))
    lines, sweep = stick(facts), Sweep(facts)
    levels = [lines.at(10.0**low), lines.at(10.0**high), *(v for _, v in lines.breaks)]
    levels += sweep.gains_db([f for f, _ in lines.breaks])
    finite = [v for v in levels if math.isfinite(v)]
    top = 20.0 * math.ceil(max(finite) / 20 + 0.05)
    bottom = max(top - 160, 20.0 * math.floor(min(finite) / 20 - 0.05), top - 200)
    bottom = min(bottom, top - 60)
    return _drawn(facts, _plot((10.0**low, 10.0**high, bottom, top), False, room), true_gain(facts))


def given(points: Sequence[tuple[float, float]], room: float = TEXT_WIDTH) -> VectorDrawing:
    """A gain that is given by ``points`` (Hz, dB) from left to right, and nothing worked out of it.

    It is at most ``room`` points wide.

    Raises:
        ValueError: there are fewer than two points.
    """
    if len(points) < 2:
        raise ValueError("a curve needs two points")
    finite = [v for _, v in points if math.isfinite(v)] or [0.0]
    top = 20.0 * math.ceil(max(finite) / 20 - 1e-9)
    if top - max(finite) < 1.0:
        top += 20.0
    lowest = max(min(finite), top - DEEPEST)
    bottom = min(top - 60.0, 20.0 * math.floor(lowest / 20 + 1e-9))
    plot = _plot((points[0][0], points[-1][0], bottom, top), False, room)
    pen = Pen()
    title = fill("paper_figures", "bode.given", [("ratio", _RATIO)])
    grid(pen, plot, ratio(title))
    curve(pen, plot, plot.at(points), ALONE)
    said = "; ".join(
        fill(
            "paper_figures",
            "bode.at",
            [("gain", write_quantity(round(level, 1) or 0.0, "dB")), ("f", hertz(place))],
        )
        for place, level in readings(points)
    )
    return pen.drawing(title, _about("bode.given-alt", plot, ("gains", said)))


_RATIO = "Vout/Vs"


def ratio(title: str) -> Label:
    """A title with the two voltages as quantities."""
    before, _, after = title.partition(_RATIO)
    voltages = (*symbol("V", "out"), *upright("/"), *symbol("V", "s"))
    return (*upright(before), *voltages, *upright(after)) if after else upright(title)


def readings(points: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """A given gain at 1, 2 and 5 of each decade, as (Hz, dB), as far as it is given there."""
    low, high = points[0][0], points[-1][0]
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    for frequency in (k * 10.0**e for e in range(first, last + 1) for k in (1, 2, 5)):
        if low * (1 - 1e-9) <= frequency <= high * (1 + 1e-9):
            yield frequency, value_at(tuple(points), frequency)


def _turn(facts: Facts) -> float:
    seen = [abs(v) for _, v in phase_stick(facts).points]
    most = max([*seen, abs(facts.phase_low), abs(facts.phase_high)])
    return max(TURN, 180.0 * math.ceil(most / 180 - 1e-6))


def _drawn(facts: Facts, plot: PlotArea, sketch: GainSketch | PhaseSketch) -> VectorDrawing:
    pen = Pen()
    phase = isinstance(sketch, PhaseSketch)
    grid(pen, plot, upright(_title(phase)))
    sticks = phase_stick(facts) if phase else stick(facts)
    lines = plot.at(straight(sticks, plot.low, plot.high))
    course = plot.at(exact(facts, plot.low, plot.high, phase))
    marks = LabelPlacer(pen, plot.area)
    marks.avoid(lines, 1.6)
    marks.avoid(course, 1.0)
    zero = plot.y(0)
    marks.shy.append(Rect(0, zero, plot.wide, zero))
    curve(pen, plot, course, EXACT)
    curve(pen, plot, lines, LINES)
    if isinstance(sketch, GainSketch):
        _gain_marks(pen, marks, plot, sticks, sketch)
    else:
        _phase_marks(pen, marks, plot, sticks, sketch)
    styles = (("bode.lines", LINES), ("bode.exact", EXACT))
    legend(pen, plot.wide, [(fill("paper_figures", key), style) for key, style in styles])
    key = "bode.solved-phase" if phase else "bode.solved-gain"
    return pen.drawing(_title(phase), _about(key, plot, ("sketch", write_sketch(sketch))))


def straight(sticks: Stick | PhaseStick, low: float, high: float) -> list[tuple[float, float]]:
    """Straight lines, ``sticks``, as (Hz, value) from 10^``low`` to 10^``high`` Hz."""
    first, last = 10.0**low, 10.0**high
    corners = sticks.points if isinstance(sticks, PhaseStick) else sticks.breaks
    bends = [(f, v) for f, v in corners if first < f < last]
    return [(first, sticks.at(first)), *bends, (last, sticks.at(last))]


def exact(
    facts: Facts, low: float, high: float, phase: bool, density: int = PER_DECADE
) -> list[tuple[float, float]]:
    """A response as (Hz, dB), denser where it bends sharply.

    Args:
        facts: of the circuit.
        low: log10 of the first frequency.
        high: log10 of the last.
        phase: degrees instead of dB.
        density: points to a decade at least.
    """
    sweep = Sweep(facts)
    count = round((high - low) * density)
    places = [10 ** (low + (high - low) * n / count) for n in range(count + 1)]
    on_axis = {abs(r) / TWO_PI for r in (*facts.zeros, *facts.poles) if r and not r.real}
    for root in on_axis:
        places += [root * (1 - 1e-9), root * (1 + 1e-9)]
        places += [root * k for d in (0.003, 0.01, 0.02) for k in (1 - d, 1 + d)]
    for one in (*facts.zeros, *facts.poles):
        size, sharp = abs(one), abs(one.real)
        if one.imag and 0 < sharp < 0.2 * size:  # a sharp bend
            near = (-2, -1, -0.5, 0, 0.5, 1, 2)
            places += [(size + sharp * k) / TWO_PI for k in near]
    first, last = 10.0**low, 10.0**high
    places = sorted(f for f in places if first * (1 - 1e-9) <= f <= last * (1 + 1e-9))
    values = sweep.phases_deg(places) if phase else sweep.gains_db(places)
    return list(zip(places, values, strict=True))


def _gain_marks(
    pen: Pen, marks: LabelPlacer, plot: PlotArea, sticks: Stick | PhaseStick, sketch: GainSketch
) -> None:
    places = [(plot.x(f), plot.y(sticks.at(f))) for f in sketch.breaks]
    seen = [0 <= x <= plot.wide and 0 <= y <= plot.tall for x, y in places]
    for x, y in itertools.compress(places, seen):
        pen.circle(x, y, 2.0, fill="#000", stroke="none")
        marks.avoid([(x, y), (x, y)], 2.4)
    for n, (x, y) in enumerate(places):
        f = hertz(sketch.breaks[n])
        if seen[n]:
            marks.label(upright(f if n else f"{f}, {decibels(sketch.level)}"), around(x, y))
    if not sketch.breaks:
        y = plot.y(sketch.level)
        marks.label(upright(decibels(sketch.level)), around(plot.wide / 2, y))
    ends = [0.0, *(x for x, _ in places), plot.wide]
    for (left, right), slope in zip(pairwise(ends), sketch.slopes, strict=False):
        if not slope:
            continue
        text = upright(signed(slope) + " dB/decade")
        at = [left + (right - left) * part for part in (0.5, 0.35, 0.65, 0.2, 0.8)]
        found = []
        for x in at:
            y = plot.y(sticks.at(10 ** (plot.low + x / plot.decade)))
            if 0 < y < plot.tall:
                found += around(x, y)
        marks.label(text, found)


def _phase_marks(
    pen: Pen, marks: LabelPlacer, plot: PlotArea, sticks: Stick | PhaseStick, sketch: PhaseSketch
) -> None:
    jumps = [f for f, _ in sketch.jumps]
    turns = [f for f, _ in sketch.turns if not any(same(f, jump) for jump in jumps)]
    for f in (*turns, *jumps):
        if not 10.0**plot.low < f < 10.0**plot.high:
            continue
        jump = f in jumps
        near = [sticks.at(f * k) for k in (1 - 1e-9, 1 + 1e-9)]
        x, y = plot.x(f), plot.y(sum(near) / 2)
        pen.circle(x, y, 2.0, fill="#000", stroke="none")
        marks.avoid([(x, y), (x, y)], 2.4)
        words = fill("paper_figures", "bode.jump", [("f", hertz(f))]) if jump else hertz(f)
        marks.label(upright(words), around(x, y))
