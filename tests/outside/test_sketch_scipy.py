"""Straight lines against scipy's Bode plots and against stick plots of textbooks."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.sketch import generate
from rungwise.problems.questions.model import Rung
from rungwise.problems.questions.written import plain_truth
from rungwise.problems.sketches.model import GainSketch, PhaseSketch
from rungwise.problems.sketches.read import read_gain, read_phase
from rungwise.problems.sketches.truth import true_gain, true_phase
from scipy import signal


def height(lines: GainSketch, hertz: float) -> float:
    """The lines' level in dB at a frequency: slopes walked from the first break."""
    level, at = lines.level, lines.breaks[0] if lines.breaks else hertz
    if hertz <= at:
        return level + lines.slopes[0] * math.log10(hertz / at)
    for place, slope in zip((*lines.breaks[1:], math.inf), lines.slopes[1:], strict=True):
        level += slope * math.log10(min(place, hertz) / at)
        at = place
        if hertz <= place:
            break
    return level


def scipys(found: Facts, hertz: list[float]) -> tuple[np.ndarray, np.ndarray]:
    """Gain in dB and unwrapped phase in degrees."""
    system = signal.TransferFunction(
        [float(c) for c in found.transfer.numerator], [float(c) for c in found.transfer.denominator]
    )
    _, gain, phase = signal.bode(system, [math.tau * f for f in hertz])
    return gain, phase


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_far_from_the_breaks_the_lines_are_scipys_curve(family: object) -> None:
    problem = generate(11, family=family.name)  # type: ignore[attr-defined]
    found = facts(problem.ladder)
    asked = {q.rung: str(plain_truth(q.truth)) for q in problem.questions}
    roots = [abs(r) / math.tau for r in (*found.poles, *found.zeros) if r] or [1e3]
    ends = [min(roots) / 3000, min(roots) / 1000, max(roots) * 1000, max(roots) * 3000]
    gain, phase = scipys(found, ends)
    if Rung.GAIN_SKETCH in asked:
        lines = read_gain(asked[Rung.GAIN_SKETCH])
        assert [height(lines, f) for f in ends] == pytest.approx(gain, abs=0.05)
    if Rung.PHASE_SKETCH in asked:
        turns = read_phase(asked[Rung.PHASE_SKETCH])
        for drawn, exact in (turns.start, phase[0]), (turns.end, phase[-1]):
            assert (exact - drawn + 180) % 360 - 180 == pytest.approx(0, abs=1)


def test_between_breaks_far_apart_the_lines_are_scipys_curve_as_well() -> None:
    chance = random.Random(3)
    for _ in range(40):
        slow, fast = 10 ** chance.uniform(0, 2), 10 ** chance.uniform(6.5, 8.5)
        # Buffered: high-pass at ``slow``, low-pass at ``fast``, of 1 kΩ each.
        c1, c2 = (1 / (math.tau * f * 1000) for f in (slow, fast))
        circuit = (
            f"series C1 {c1:.12g} F; shunt R1 1 kΩ; buffer; series R2 1 kΩ; shunt C2 {c2:.12g} F"
        )
        found = facts(read_circuit(circuit))
        lines, turns = true_gain(found), true_phase(found)
        middle = math.sqrt(slow * fast)
        gain, phase = scipys(found, [slow / 100, middle, fast * 100])
        assert [height(lines, f) for f in (slow / 100, middle, fast * 100)] == pytest.approx(
            gain, abs=0.01
        )
        angles = (turns.start, turns.start + turns.turns[0][1], turns.end)
        assert angles == pytest.approx(phase, abs=1.5)
        # A real pole: 3.01 dB below the lines at its break, and halfway through its turn.
        (at_break,), (halfway,) = scipys(found, [lines.breaks[0]])
        assert height(lines, lines.breaks[0]) - at_break == pytest.approx(3.0103, abs=1e-3)
        assert halfway == pytest.approx((angles[0] + angles[1]) / 2, abs=0.1)


def test_a_pair_is_twenty_log_q_off_the_lines_at_its_break() -> None:
    for resistance in (20, 100, 316.2, 500):
        found = facts(read_circuit(f"series R {resistance} Ω; series L 10 mH; shunt C 100 nF"))
        lines = true_gain(found)
        (exact,), (halfway,) = scipys(found, [lines.breaks[0]])
        q = math.sqrt(10e-3 / 100e-9) / resistance
        assert exact - height(lines, lines.breaks[0]) == pytest.approx(20 * math.log10(q), abs=1e-6)
        assert halfway == pytest.approx(-90, abs=1e-6)


def asymptotes(circuit: str) -> tuple[GainSketch, PhaseSketch]:
    found = facts(read_circuit(circuit))
    return true_gain(found), true_phase(found)


def test_stick_plots_of_a_textbook() -> None:
    """Nilsson & Riedel, Electric Circuits, appendix on Bode diagrams (value from memory).

    A series R-L-C with the output across R: 100 mH, 10 mF, 11 Ω gives 110 s/((s + 10)(s + 100)).
    The straight line rises by 20 dB/decade, is level from 10 to 100 rad/s and falls again; the
    level is 20·log(110/100) = 0.83 dB.  The angle starts at 90°, turns about 10 and 100 rad/s.
    """
    gain, phase = asymptotes("series L 100 mH + C 10 mF; shunt R 11 Ω")
    assert gain.slopes == (20, 0, -20)
    assert [f * math.tau for f in gain.breaks] == pytest.approx((10, 100))
    assert gain.level == pytest.approx(20 * math.log10(110 / 100), abs=1e-9)
    assert phase.start == 90
    assert phase.turns == pytest.approx([(f / math.tau, -90) for f in (10, 100)])
    assert phase.end == -90


def test_a_butterworth_ladder_breaks_once() -> None:
    """All poles of a Butterworth low-pass lie on one circle: one break by 20·n dB/decade.

    Doubly terminated, n = 3, 1 Ω, 1 rad/s: 1, 2, 1 (standard tables); six dB lost at DC.
    """
    gain, phase = asymptotes("source 1 Ω; series L1 1 H; shunt C 2 F; series L2 1 H; load 1 Ω")
    assert gain.slopes == (0, -60)
    assert gain.breaks == pytest.approx([1 / math.tau])
    assert gain.level == pytest.approx(-6.0206, abs=1e-4)
    assert phase.turns == pytest.approx([(1 / math.tau, -270)])
