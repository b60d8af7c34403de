"""Exhibits told in words: enough to answer by, and no more than can be seen."""

from __future__ import annotations

import re

import numpy as np
import pytest
from rungwise.problems.questions.exhibit import Chart
from rungwise.tutor.language.ascii import ascii_form
from rungwise.tutor.phrases.exhibits import told

from tests.support.exhibits import four, gain, notch_map

_FACTORS = {"": 1.0, "k": 1e3}


def points(line: str) -> list[tuple[float, float]]:
    """The points of a line: (Hz, dB)."""
    found = re.findall(r"(−?[\d.]+) dB at ([\d.]+) (k?)Hz", line)
    return [(float(f) * _FACTORS[p], float(v.replace("−", "-"))) for v, f, p in found]


@pytest.mark.parametrize("measured", [False, True])
def test_who_hears_a_curve_finds_its_figures(measured: bool) -> None:
    """f0, and Q from the two −3 dB edges, by straight lines between the points that are told."""
    lines = told(gain(measured=measured))
    assert ("measured" in " ".join(lines)) == measured
    places, levels = zip(*points(" ".join(lines)), strict=True)
    grid = np.geomspace(places[0], places[-1], 20_001)
    level = np.interp(np.log(grid), np.log(places), levels)
    inside = grid[level >= level.max() - 3.01]
    low, high = inside[0], inside[-1]
    assert np.sqrt(low * high) == pytest.approx(3183, rel=0.02)
    assert np.sqrt(low * high) / (high - low) == pytest.approx(4, rel=0.1)


@pytest.mark.parametrize("chart", Chart)
def test_of_several_each_is_told_by_its_letter_and_never_by_its_q(chart: Chart) -> None:
    lines = told(four(chart))
    assert [line[:2] for line in lines[1:5]] == ["a:", "b:", "c:", "d:"]
    assert len({line[2:] for line in lines[1:5]}) == 4
    assert not re.search(r"\bQ\b|√|½", " ".join(lines))


def test_a_map_is_told_by_its_roots() -> None:
    text = " ".join(told(notch_map()))
    assert "Poles: (−5 ± j·19.4) krad/s." in text and "Finite zeros: ±j·20 krad/s." in text


def test_all_can_be_told_in_ascii() -> None:
    for shown in (gain(), notch_map(), *map(four, Chart)):
        assert ascii_form(" ".join(told(shown))).isascii()
