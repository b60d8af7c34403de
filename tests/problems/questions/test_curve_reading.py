"""Curves read between their points, and told by few of them: numpy and the points themselves."""

from __future__ import annotations

import numpy as np
import pytest
from rungwise.problems.questions.curve_reading import MOST, telling, value_at
from rungwise.problems.questions.exhibit import Chart, Exhibit, Points

from tests.support.exhibits import four, gain


def interpolated(points: Points, places: list[float], *, log: bool) -> np.ndarray:
    xs, ys = np.array(points).T
    return np.interp(np.log(places), np.log(xs), ys) if log else np.interp(places, xs, ys)


@pytest.mark.parametrize("log", [True, False])
def test_values_between_points_are_those_of_straight_lines(log: bool) -> None:
    points = gain().plots[0].points
    places = [points[0][0] * 0.9, *np.geomspace(1e3, 1e4, 50).tolist(), points[-1][0] * 1.1]
    ours = [value_at(points, place, log=log) for place in places]
    assert np.allclose(ours, interpolated(points, places, log=log))


@pytest.mark.parametrize("shown", [gain(), gain(measured=True), *map(four, list(Chart)[:3])])
def test_a_few_points_draw_a_curve_again(shown: Exhibit) -> None:
    for plot in shown.plots:
        told = telling(plot.points, shown.chart)
        assert set(told) <= set(plot.points) and len(told) <= MOST
        places, values = (list(one) for one in zip(*plot.points, strict=True))
        off = np.abs(interpolated(told, places, log=shown.chart is not Chart.STEP) - values)
        most = {Chart.GAIN: 0.2, Chart.PHASE: 3.0}.get(shown.chart, 0.12)
        assert off.max() <= most + 1e-9
        # The highest and the lowest point are always among them.
        assert {max(values), min(values)} <= {value for _, value in told}
