"""Plots as plain points: those of the exact H(s), by scipy, and noise of a tenth of a decibel."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from rungwise.problems.analysis.response import FilterType, facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.questions import plotted
from scipy import signal

LP, HP, BP, NOTCH = (
    FilterType.LOW_PASS,
    FilterType.HIGH_PASS,
    FilterType.BAND_PASS,
    FilterType.NOTCH,
)
TWO_PI = 2 * math.pi


def tops(q: float) -> dict[FilterType, list[float]]:
    return {LP: [1], HP: [1, 0, 0], BP: [1 / q, 0], NOTCH: [1, 0, 1]}


@pytest.mark.parametrize("type_", tops(1))
@pytest.mark.parametrize("q", [Fraction(1, 2), Fraction(2), Fraction(10)])
def test_points_are_those_of_h(type_: FilterType, q: Fraction) -> None:
    response = plotted.prototype(type_, q)
    system = (tops(float(q))[type_], [1, 1 / float(q), 1])  # of s/ω0
    gain = plotted.gain_points(response, 0.01, 100)
    phase = plotted.phase_points(response, 0.01, 100)
    places = [f for f, _ in gain]
    assert places == sorted(places) and (places[0], places[-1]) == (0.01, 100)
    _, h = signal.freqs(*system, places)
    for (f, level), true in zip(gain, h, strict=True):
        if type_ is NOTCH and abs(f - 1) < 0.01:
            assert level < -35 or f != 1
        else:  # five digits of the frequency, two decimals of the level
            assert level == pytest.approx(20 * math.log10(abs(true)), abs=0.012)
    turned = np.angle(h, deg=True)
    for (f, angle), true in zip(phase, turned, strict=True):
        off = (angle - true + 180) % 360 - 180
        assert abs(off) < 0.1 or (type_ is NOTCH and f == 1)
    times, volts = zip(*plotted.step_points(response, 3.0), strict=True)
    _, out = signal.step(system, T=[TWO_PI * t for t in times])
    assert np.allclose(volts, out, atol=6e-4)
    roots = plotted.map_plot(response)
    z, p, _ = signal.tf2zpk(*system)
    for found, right in ((roots.poles, p), (roots.zeros, z)):
        ours = sorted((r.real / TWO_PI, r.imag / TWO_PI) for r in found)
        theirs = sorted((r.real, r.imag) for r in right)
        assert np.allclose(ours, theirs, atol=2e-3)


def test_a_peak_has_points_near_it_wherever_the_paper_ends() -> None:
    sharp = plotted.prototype(BP, Fraction(50))
    points = plotted.gain_points(sharp, 0.37, 2.9)
    assert points[0][0] == 0.37 and points[-1][0] == 2.9
    assert max(level for _, level in points) == 0
    assert sum(abs(f - 1) < 0.02 for f, _ in points) >= 7


def test_noise_is_a_tenth_of_a_decibel_and_repeats() -> None:
    known = facts(read_circuit("source 50; series L1 = 1 mH; shunt C1 = 10 nF; load 600"))
    points = plotted.gain_points(known, 1e3, 1e6)
    noisy = plotted.measured(points, Chance(1, "noise"))
    assert noisy == plotted.measured(points, Chance(1, "noise"))
    off = [b - a for (_, a), (_, b) in zip(points, noisy, strict=True)]
    assert max(map(abs, off)) <= 0.1001 and np.std(off) > 0.03 and abs(np.mean(off)) < 0.02


def test_what_has_no_prototype() -> None:
    with pytest.raises(ValueError, match="no prototype of a flat"):
        plotted.prototype(FilterType.FLAT, Fraction(1))
