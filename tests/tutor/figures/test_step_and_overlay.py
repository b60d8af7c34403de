"""The step chart and curves on top of each other: dots are read back as numbers."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from rungwise.problems.analysis.asymptotes import Sweep
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.analysis.step import StepResponse
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.tutor.figures import splane, step
from rungwise.tutor.figures.bode import chart as bode
from rungwise.tutor.figures.bode import overlay
from rungwise.tutor.figures.canvas.braille import BASE, BITS
from rungwise.tutor.figures.canvas.paper import CURVE, PlottedPicture
from rungwise.tutor.figures.step import rounded_up, volts
from scipy import signal

from tests.support.strategies import ladders

RLC = "series R {} Ω; series L 10 mH; shunt C 100 nF"
SIZES = [(40, 10), (60, 14), (120, 30)]


def of(text: str) -> Facts:
    return facts(read_circuit(text))


def roles(chart: PlottedPicture) -> dict[tuple[int, int], str]:
    return {(s.row, s.col + n): s.role for s in chart.spans for n in range(s.length)}


def dots(chart: PlottedPicture, *wanted: str) -> dict[int, list[int]]:
    """Dot column → dot rows lit in cells of these roles, counted inside the axes."""
    left, top, _, _ = chart.plot
    found: dict[int, list[int]] = {}
    for (row, col), role in roles(chart).items():
        bits = ord(chart.lines[row][col]) - BASE
        if role in wanted and 0 <= bits < 256 and row >= top:
            for (y, pair), x in itertools.product(enumerate(BITS), (0, 1)):
                if bits & pair[x]:
                    found.setdefault(2 * (col - left) + x, []).append(4 * (row - top) + y)
    return found


# --- the step chart -----------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "text",
    [
        RLC.format(100),
        RLC.format(1000),
        "series C 1 µF; shunt R 1 kΩ",
        "source 1 kΩ; shunt L 1 mH || C 1 nF; load 1 kΩ",
        "series R 9 kΩ; shunt C 1 nF; load 10 Ω",
    ],
)
def test_the_curve_lies_where_scipy_puts_it(text: str, size: tuple[int, int]) -> None:
    response = of(text)
    chart = step.chart(StepResponse(response.transfer), *size)
    assert chart.time is not None and chart.level is not None
    w = math.sqrt(float(response.corner_squared or 1))
    t = response.transfer
    top = [float(c) / w ** (k + t.order - t.zero_count) for k, c in enumerate(t.numerator)]
    bottom = [float(c) / w**k for k, c in enumerate(t.denominator)]
    scale = max(map(abs, top))
    system = signal.TransferFunction([c / scale for c in top], bottom)
    tried = 0
    drawn = dots(chart, CURVE)
    # Twenty and more moments a column.
    times = np.linspace(0, chart.time.at_dot(max(drawn) + 1) * w, 20 * (max(drawn) + 2))
    _, values = signal.step(system, T=times)
    for x, rows in drawn.items():
        # The curve runs through the column's time span: it must touch these values.
        span = [max(0.0, chart.time.at_dot(x + d)) for d in (-1, -0.5, 0, 0.5, 1)]
        near = [float(np.interp(s * w, times, values)) * scale / chart.factor for s in span]
        if x <= 2:
            near.append(0.0)  # the jump of the step itself
        highest, lowest = chart.level.dot(max(near)), chart.level.dot(min(near))
        assert highest - 2 <= min(rows) and max(rows) <= lowest + 2, (x, rows, near)
        tried += 1
    assert tried > size[0]


def test_ticks_and_legend_of_the_step_chart() -> None:
    chart = step.chart(StepResponse(of(RLC.format(100)).transfer), 90, 20)
    text = chart.text
    assert "settles to 1 V" in text and "overshoot 60.5 % at 101 µs" in text
    assert chart.time is not None and chart.time.end == pytest.approx(1e-3)
    last = chart.lines[-1]
    assert last.split()[:4] == ["ms", "0", "0.2", "0.4"]
    base = chart.lines[-2]
    for cell, _ in chart.time.ticks()[2]:
        assert base[chart.plot[0] + cell] == "┴"


@pytest.mark.parametrize(
    ("value", "text"), [(1, "1 V"), (0.5, "500 mV"), (-0.25, "−250 mV"), (0, "0 V"), (2e-6, "2 µV")]
)
def test_volts(value: float, text: str) -> None:
    if value in (0.5, -0.25):
        text = f"{value} V".replace("-", "−")
    assert volts(value) == text


def test_a_circuit_without_poles_leaves_the_time_to_the_others() -> None:
    flat, low = (StepResponse(of(t).transfer) for t in ("series R1 1; shunt R2 1", RLC.format(100)))
    chart = step.chart(flat, 60, 14, also=[low])
    assert chart.time is not None and chart.time.end == pytest.approx(1e-3)


def test_round_ends_of_the_time_axis() -> None:
    for value in (1e-9, 3.14e-5, 0.99, 1.0, 1.01, 7.9, 8.1, 123.0):
        end = rounded_up(value)
        assert value * 0.999 <= end <= value * 1.5


@settings(max_examples=60, deadline=None)
@given(ladders(max_stages=4))
def test_any_circuit_any_size(ladder: Ladder) -> None:
    response = StepResponse(facts(ladder).transfer)
    for (width, height), ascii_only in itertools.product([(19, 6), (20, 6), (70, 13)], (0, 1)):
        chart = step.chart(response, width, height, ascii=bool(ascii_only))
        assert len(chart.lines) == height
        assert all(len(line) == width for line in chart.lines)
        assert chart.text.isascii() or not ascii_only


# --- curves on top of each other -----------------------------------------------------------


def stacked(
    width: int, height: int, *, phase: bool = False, ascii_only: bool = False
) -> PlottedPicture:
    known = [of(RLC.format(r)) for r in (30, 300, 1500)]
    chart = bode.chart(known[0], width, height, phase=phase, also=known[1:], ascii=ascii_only)
    assert chart.frequency is not None
    traces = []
    for n in (1, 2):
        sweep = Sweep(known[n])
        if phase:
            values = sweep.phases_deg(overlay.frequencies(chart.frequency))
        else:
            values = overlay.gains(known[n], sweep, chart.frequency)
        traces.append(overlay.Trace("ABC"[n], n, values, jumps=phase))
    return overlay.over(chart, traces, letter="A", marker=2e3, ascii=ascii_only)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("phase", [False, True])
def test_every_curve_lies_where_its_numbers_are(size: tuple[int, int], phase: bool) -> None:
    chart = stacked(*size, phase=phase)
    assert chart.frequency is not None and chart.level is not None
    seen: dict[str, dict[int, list[int]]] = {}
    for letter in "bc":
        seen[letter] = dots(chart, f"other-{letter}")
        assert seen[letter]
    # Cells that two curves share bear the name of one of them.
    for letter, x in [(name, x) for name in "bc" for x in seen[name]]:
        reach: list[float] = []
        for resistance in (300, 1500):
            for d in (-1.0, -0.5, 0.0, 0.5, 1.0):
                s = 2j * math.pi * chart.frequency.at_dot(x + d)
                h = 1 / (10e-3 * 100e-9 * s * s + resistance * 100e-9 * s + 1)
                reach.append(math.degrees(np.angle(h)) if phase else 20 * math.log10(abs(h)))
        low, high = chart.level.dot(min(reach)), chart.level.dot(max(reach))
        assert all(high - 2 <= y <= low + 2 for y in seen[letter][x]), (letter, x)
    if size[0] > 100:
        assert len(seen["b"]) > 4 and len(seen["c"]) > 10


def test_patterns_differ_and_solid_has_no_gaps() -> None:
    samples = [overlay.sample(n) for n in range(3)]
    assert len(set(samples)) == 3 and "⠤⠤⠤⠤" in samples
    lit = [sum((ord(c) - BASE).bit_count() for c in s if c != " ") for s in samples]
    assert lit[0] > lit[1] > lit[2] > 0
    assert not any(overlay.sample(n, ascii=True).strip("*'. ") for n in range(3))


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("size", SIZES)
def test_letters_name_the_curves(size: tuple[int, int], ascii_only: bool) -> None:
    chart = stacked(*size, ascii_only=ascii_only)
    named = {
        chart.lines[row][col]: role
        for (row, col), role in roles(chart).items()
        if role in ("hand", "other-b", "other-c") and chart.lines[row][col] in "ABC"
    }
    assert named == {"A": "hand", "B": "other-b", "C": "other-c"}
    assert chart.text.isascii() or not ascii_only
    assert all(len(line) == size[0] for line in chart.lines)


@pytest.mark.parametrize("size", SIZES)
def test_the_marker_stands_at_its_frequency(size: tuple[int, int]) -> None:
    chart = stacked(*size)
    assert chart.frequency is not None
    columns = {col for (_, col), role in roles(chart).items() if role == "marker"}
    assert columns == {chart.plot[0] + int(chart.frequency.cell(2e3))}
    signs = [chart.lines[row][col] for (row, col), r in roles(chart).items() if r == "marker"]
    assert signs.count("●") == 1 and set(signs) == {"┃", "●"}


def test_a_marker_on_an_edge_shows_its_point() -> None:
    known = of(RLC.format(1500))
    chart = bode.chart(known, 60, 14)
    assert known.edges_hz[1] is not None
    marked = overlay.over(chart, marker=known.edges_hz[1])
    assert marked.text.count("●") == 1


@pytest.mark.parametrize("marker", [1e-9, 1e15])
def test_a_marker_off_the_chart_is_not_drawn(marker: float) -> None:
    chart = bode.chart(of(RLC.format(100)), 60, 14)
    assert overlay.over(chart, marker=marker) == chart


def test_a_chart_without_room_stays_as_it_is() -> None:
    chart = bode.chart(of(RLC.format(100)), 10, 3)
    assert overlay.over(chart, marker=1e3) is chart


def test_a_phase_jump_is_not_joined() -> None:
    notch = of("series R 1 kΩ; shunt L 1 mH + C 1 nF")
    base = of("series R 1 kΩ; shunt C 1 nF")
    chart = bode.chart(base, 80, 24, phase=True, also=[notch])
    assert chart.frequency is not None
    values = Sweep(notch).phases_deg(overlay.frequencies(chart.frequency))
    joined = overlay.over(chart, [overlay.Trace("B", 1, values)])
    broken = overlay.over(chart, [overlay.Trace("B", 1, values, jumps=True)])
    tallest = {
        name: max(max(ys) - min(ys) for ys in dots(c, "other-b").values())
        for name, c in (("joined", joined), ("broken", broken))
    }
    assert tallest["broken"] < tallest["joined"] / 2


def test_poles_of_other_versions_are_letters_on_the_map() -> None:
    known = [of(RLC.format(r)) for r in (100, 400, 401)]
    chart = splane.map(known[0], 70, 21, also={"B": known[1], "C": known[2]})
    text = chart.text
    # B and C nearly fall together: they stand side by side.
    assert text.count("×") == 3 and text.count("B") == 2 and text.count("C") == 2
    alone = splane.map(known[0], 70, 21)
    assert "B" not in alone.text
