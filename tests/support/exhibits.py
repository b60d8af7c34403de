"""Exhibits for tests of what shows them: of two poles and nothing else."""

from __future__ import annotations

from fractions import Fraction

from rungwise.problems.analysis.response import FilterType
from rungwise.problems.chance import Chance
from rungwise.problems.questions import plotted
from rungwise.problems.questions.exhibit import Chart, Exhibit, Plot

QS = (Fraction(1, 2), Fraction(7071, 10_000), Fraction(2), Fraction(10))
OMEGA = Fraction(20_000)


def gain(q: Fraction = Fraction(4), *, measured: bool = False) -> Exhibit:
    """The gain of a band-pass about 3183 Hz, over a decade."""
    response = plotted.prototype(FilterType.BAND_PASS, q, OMEGA)
    points = plotted.gain_points(response, 1e3, 1e4)
    if measured:
        points = plotted.measured(points, Chance(1, "test"))
    return Exhibit(Chart.GAIN, (Plot(points),), measured=measured)


def four(chart: Chart, *, together: bool = False) -> Exhibit:
    """Low-passes of four Qs: curves about 1 Hz, steps about 1 kHz, or maps in multiples of ω0."""
    plots = []
    for q in QS:
        match chart:
            case Chart.GAIN:
                response = plotted.prototype(FilterType.LOW_PASS, q)
                plots.append(Plot(plotted.gain_points(response, 0.1, 10)))
            case Chart.PHASE:
                response = plotted.prototype(FilterType.LOW_PASS, q)
                plots.append(Plot(plotted.phase_points(response, 0.1, 10)))
            case Chart.STEP:
                response = plotted.prototype(FilterType.LOW_PASS, q, Fraction(6283))
                plots.append(Plot(plotted.step_points(response, 6e-3)))
            case Chart.MAP:
                response = plotted.prototype(FilterType.LOW_PASS, q, Fraction(1))
                plots.append(plotted.map_plot(response))
    unit = {Chart.STEP: "s", Chart.MAP: ""}.get(chart, "Hz")
    return Exhibit(chart, tuple(plots), unit, together=together)


def notch_map() -> Exhibit:
    """Poles and zeros of a notch of Q 2 at 20 krad/s."""
    response = plotted.prototype(FilterType.NOTCH, Fraction(2), OMEGA)
    return Exhibit(Chart.MAP, (plotted.map_plot(response),), "rad/s")
