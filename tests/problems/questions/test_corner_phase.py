"""The phase at the corner against numpy and scipy, and its slips."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rungwise.problems.analysis.response import Facts, FilterType, facts
from rungwise.problems.catalogue.families import FAMILIES, Family
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import drawn_circuit, typed
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.corner_phase import corner_phase
from rungwise.problems.questions.model import GAIN_NAMES, Problem, Question, Rung, Verdict
from rungwise.problems.solutions.solution import worked_solution
from rungwise.tutor.language.texts import Words
from scipy import signal

LOW_1 = "series R = 1 kΩ; shunt C = 100 nF"
HIGH_1 = "series C = 100 nF; shunt R = 1 kΩ"
LOW_2 = "series R = 100 Ω; series L = 10 mH; shunt C = 100 nF"
HIGH_2 = "series R = 100 Ω; series C = 100 nF; shunt L = 10 mH"
BAND_2 = "series L = 10 mH; series C = 100 nF; shunt R = 100 Ω"


def followed(known: Facts) -> float:
    """The phase at ω0 in degrees, followed from far below by scipy and unwrapped by numpy."""
    top = [float(c) for c in known.transfer.numerator]
    bottom = [float(c) for c in known.transfer.denominator]
    assert known.corner_hz is not None
    omega = np.geomspace(1e-7, 1, 4001) * known.corner_hz * math.tau
    _, response = signal.freqs(top, bottom, omega)
    turned = np.degrees(np.unwrap(np.angle(response)))
    # Far below, what the roots leave is a small fraction of a degree.
    start = turned[0] + 360 * round((known.phase_low - turned[0]) / 360)
    assert abs(start - known.phase_low) < 0.1
    return float(turned[-1] - turned[0] + start)


def asked(problem: Problem) -> Question | None:
    return next((q for q in problem.questions if q.rung is Rung.CORNER_PHASE), None)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_it_is_the_phase_that_scipy_finds_and_asked_where_that_is_plain(family: Family) -> None:
    found = 0
    for seed in range(8):
        drawn = next(filter(None, (drawn_circuit(family, seed, n) for n in range(40))))
        ladder, known = drawn
        question = asked(typed(ladder))
        named = family.type in (FilterType.LOW_PASS, FilterType.HIGH_PASS, FilterType.BAND_PASS)
        at_origin = known.transfer.zero_count == known.transfer.zeros_at_origin
        assert (question is not None) == (family.order in (1, 2) and named and at_origin)
        assert at_origin or not named or family.since >= GAIN_NAMES
        if question is not None:
            found += 1
            assert isinstance(question.truth, int) and question.truth % 45 == 0
            assert question.truth == pytest.approx(followed(known), abs=1e-3)
        elif family.type is FilterType.OTHER and family.order == 1:
            # A zero beside the pole: no multiple of 45° at the corner.
            assert min(followed(known) % 45, -followed(known) % 45) > 0.1
    assert found in (0, 8)


@pytest.mark.parametrize(
    ("circuit", "truth", "slips"),
    [
        (LOW_1, -45, {0: "asymptote-at-corner", -90: "asymptote-at-corner", 45: "phase-sign"}),
        (
            HIGH_1,
            45,
            {90: "asymptote-at-corner", 0: "asymptote-at-corner", -45: "zeros-left-out-of-phase"},
        ),
        (LOW_2, -90, {-180: "asymptote-at-corner", -45: "half-for-two", 90: "phase-sign"}),
        (
            HIGH_2,
            90,
            {180: "asymptote-at-corner", 135: "half-for-two", -90: "zeros-left-out-of-phase"},
        ),
        (BAND_2, 0, {90: "asymptote-at-corner", 45: "half-for-two", -90: "asymptote-at-corner"}),
    ],
)
def test_by_hand(circuit: str, truth: int, slips: dict[int, str]) -> None:
    problem = typed(read_circuit(circuit))
    question = asked(problem)
    assert question is not None and question.truth == truth
    assert grade(problem, question, f"{truth}°").verdict is Verdict.RIGHT
    assert grade(problem, question, f"{math.radians(truth)} rad").verdict is Verdict.RIGHT
    for answer, slip in slips.items():
        mark = grade(problem, question, f"{answer}°")
        assert mark.verdict is Verdict.WRONG
        assert mark.slips[0].slip == slip
    words = Words.load()
    said = words.hint(problem, question, 3)
    assert said.endswith(f": {truth}°.".replace("-", "−"))


def test_where_there_is_none() -> None:
    lossless = facts(read_circuit("series L = 10 mH; shunt C = 100 nF"))
    assert lossless.corner_hz and corner_phase(lossless) is None
    assert corner_phase(facts(read_circuit("series R1 = 1 kΩ; shunt R2 = 1 kΩ"))) is None


def test_it_is_worked_where_it_is_asked() -> None:
    ladder = read_circuit(LOW_2)
    plain = [step.id for step in worked_solution(ladder)]
    told = [step.id for step in worked_solution(ladder, asked={Rung.CORNER_PHASE})]
    assert "corner-phase-two" not in plain
    assert [id_ for id_ in told if id_ not in plain] == ["corner-phase-two"]
    assert told.index("corner-phase-two") > told.index("corner-two")
