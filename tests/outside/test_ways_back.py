"""The way back to the circuit, against nodal analysis in numpy and worked examples of textbooks.

The textbook figures are values from memory, each consistent in itself: J. W. Nilsson and
S. A. Riedel, Electric Circuits, ch. 14; J. Bird, Electrical Circuit Theory and Technology,
ch. on resonance.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from rungwise.problems.analysis.design import for_corner, for_q, pair_of
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.catalogue.groups import LEVELS
from rungwise.problems.circuits.altered import with_value
from rungwise.problems.circuits.gaps import with_arm
from rungwise.problems.circuits.model import Arm, Element, Group, Joint, Kind, Ladder, mapped
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.proof import wanted_figure
from rungwise.problems.generate.reverse import generate
from rungwise.problems.questions.model import Face, Problem, Rung
from rungwise.problems.questions.reverse import sizes_for
from rungwise.problems.questions.values import texts
from scipy.linalg import eigvals
from scipy.optimize import brentq

from tests.support.oracle import Network, response
from tests.support.samples import sample

TAU = 2 * np.pi
PLAIN = {f.name for f in FAMILIES if not f.hidden and f.order}
"""Families in which every inductor and capacitor makes a pole."""


EACH = sample(30, 60)
"""Problems of each level."""


@pytest.fixture(scope="module")
def problems() -> list[Problem]:
    return [generate(seed, level=level) for level in LEVELS for seed in range(100, 100 + EACH)]


def decibels(ladder: Ladder, frequencies: np.ndarray) -> np.ndarray:
    try:
        found = response(ladder, frequencies)
    except np.linalg.LinAlgError:  # exactly on an undamped resonance
        found = response(ladder, frequencies * (1 + 1e-7))
    return 20 * np.log10(np.maximum(np.abs(found), 1e-12))


def poles(ladder: Ladder) -> np.ndarray:
    """The finite eigenvalues of the network, worked out near 1: ohms and rad/s are scaled."""
    values = {e: float(e.value or 0) for e in ladder.elements()}
    ohms = _mean([v for e, v in values.items() if e.kind is Kind.R])
    omega = _mean(
        [
            ohms / v if e.kind is Kind.L else 1 / (ohms * v)
            for e, v in values.items()
            if e.kind.reactive
        ]
    )
    factors = {Kind.R: 1 / ohms, Kind.L: omega / ohms, Kind.C: omega * ohms}
    scaled = mapped(ladder, lambda e: replace(e, value=Fraction(values[e] * factors[e.kind])))
    g, c, _ = Network(scaled).pencil()
    above, below = eigvals(-g, c, homogeneous_eigvals=True)
    finite = np.abs(below) > 1e-9 * np.abs(above)
    return above[finite] / below[finite] * omega


def _mean(values: list[float]) -> float:
    return float(np.exp(np.mean(np.log(values)))) if values else 1.0


def corner_and_q(ladder: Ladder) -> tuple[float, float]:
    found = poles(ladder)
    omega = float(np.prod(np.abs(found))) ** (1 / len(found))
    return omega / TAU, omega / abs(float(np.sum(found).real)) if len(found) == 2 else 0.0


def middle(ladder: Ladder) -> float:
    found = np.abs(poles(ladder))
    found = found[(found > 0) & (found > 1e-6 * found.max(initial=0))]
    return _mean(list(found)) / TAU if len(found) else 1000.0


def test_one_circuit_in_four_has_the_response_shown(problems: list[Problem]) -> None:
    tried = 0
    for problem in problems:
        question = problem.questions[0]
        if question.rung is not Rung.WHICH_CIRCUIT:
            continue
        tried += 1
        grid = middle(problem.ladder) * np.logspace(-2, 2, 161)
        shown = decibels(problem.ladder, grid)
        for choice in question.choices:
            drawn = decibels(read_circuit(dict(texts(choice.values))["valued"]), grid)
            apart = np.abs(np.maximum(drawn, -80) - np.maximum(shown, -80)).max()
            if choice.id == question.truth:
                assert apart < 1e-3, (problem.family, problem.seed)
            elif problem.face is Face.GAIN:
                assert apart > 5.5, (problem.family, problem.seed, choice.id)
            else:
                assert apart > 0.5, (problem.family, problem.seed, choice.id)
    assert tried > EACH


def _arm(kind: str, like: Arm) -> Arm:
    """An arm of a kind; its parts have the impedance of what was there, at about 1 kHz."""
    r = Element(Kind.R, "R_x", Fraction(1000))
    coil = Element(Kind.L, "L_x", Fraction(1, 10))
    capacitor = Element(Kind.C, "C_x", Fraction(1, 10**7))
    joints = {"in-series": Joint.SERIES, "in-parallel": Joint.PARALLEL}
    if kind in joints:
        return Group(joints[kind], (coil, capacitor))
    return {"resistor": r, "inductor": coil, "capacitor": capacitor}[kind]


def _ends(ladder: Ladder) -> tuple[int, int, int]:
    """Slopes at both ends in steps of 20 dB/decade, and the pole count."""
    low, high = _span(ladder)
    ends = decibels(ladder, np.array([low, low * 10, high / 10, high]))
    slopes = round((ends[1] - ends[0]) / 20), round((ends[3] - ends[2]) / 20)
    return (*slopes, len(poles(ladder)))


def _span(ladder: Ladder) -> tuple[float, float]:
    sizes = np.abs(poles(ladder)) / TAU
    sizes = sizes[(sizes > 0) & (sizes > 1e-6 * sizes.max(initial=0))]
    sizes = sizes if len(sizes) else np.array([1000.0])
    return float(sizes.min() * 1e-3), float(sizes.max() * 1e3)


def _has_null(ladder: Ladder) -> bool:
    """Whether there is a frequency at which nothing comes through: every dip is looked into."""
    grid = np.geomspace(*_span(ladder), 1201)
    line = decibels(ladder, grid)
    inner = line[1:-1]
    for k in np.flatnonzero((inner < line[:-2]) & (inner < line[2:])) + 1:
        a, b = grid[k - 1], grid[k + 1]
        for _ in range(24):
            fine = np.linspace(a, b, 9)
            deepest = int(np.clip(np.argmin(decibels(ladder, fine)), 1, 7))
            a, b = fine[deepest - 1], fine[deepest + 1]
        if decibels(ladder, np.array([(a + b) / 2]))[0] < line.max() - 120:
            return True
    return False


def test_one_arm_alone_makes_what_is_wanted(problems: list[Problem]) -> None:
    tried = 0
    for problem in problems:
        question = problem.questions[0]
        if question.rung is not Rung.MISSING_ARM or problem.family not in PLAIN:
            continue
        tried += 1
        index = int(dict(texts(question.values))["stage"])
        here = problem.ladder.stages[index].arm
        assert here is not None
        wanted, null = _ends(problem.ladder), _has_null(problem.ladder)
        fit = []
        for choice in question.choices:
            arm = here if choice.id == question.truth else _arm(choice.id, here)
            put = with_arm(problem.ladder, index, arm)
            if _ends(put) == wanted and _has_null(put) is null:
                fit.append(choice.id)
        assert fit == [question.truth], (problem.family, problem.seed, fit)
    assert tried > EACH // 2


def test_one_value_alone_gives_what_is_wanted(problems: list[Problem]) -> None:
    tried = 0
    for problem in problems:
        for question in problem.questions:
            values = dict(texts(question.values))
            name, asked = values.get("element"), values.get("asked")
            if name is None or problem.family not in PLAIN or asked == "both":
                continue
            key = {"corner": "f0", "q": "q"}.get(str(asked))
            if key is None:
                key = "f2" if question.rung is Rung.LEAST_VALUE else "f1"
            wanted, which = float(wanted_figure(question, key)), int(key == "q")
            truth = float(question.truth)

            def miss(
                log: float,
                ladder: Ladder = problem.ladder,
                name: str = name,
                wanted: float = wanted,
                which: int = which,
            ) -> float:
                turned = with_value(ladder, name, Fraction(10.0**log))
                return float(np.log(corner_and_q(turned)[which] / wanted))

            grid = np.log10(truth) + np.linspace(-3, 3, 61) + 0.013
            signs = [miss(log) for log in grid]
            roots = [
                brentq(miss, a, b, xtol=1e-12)
                for a, b, x, y in zip(grid, grid[1:], signs, signs[1:], strict=False)
                if x * y < 0
            ]
            assert len(roots) == 1, (problem.family, problem.seed, name)
            assert 10 ** roots[0] == pytest.approx(truth, rel=1e-4), (problem.family, problem.seed)
            tried += 1
    assert tried > EACH


# ------------------------------------------------------------------------- textbooks


def test_a_notch_of_nilsson_and_riedel() -> None:
    """Notch at 750 Hz, bandwidth 250 Hz, 100 nF: 450 mH, 707 Ω, Q 3."""
    ladder = read_circuit("series R 1 kΩ; shunt L 1 H + C 100 nF")
    henries = for_corner(ladder, "L", TAU * 750)
    assert henries == pytest.approx(0.450, rel=2e-3)
    assert henries is not None
    sized = with_value(ladder, "L", Fraction(henries))
    assert for_q(sized, "R", Fraction(3)) == pytest.approx((707,), rel=1e-3)


def test_a_band_pass_of_nilsson_and_riedel() -> None:
    """Edges at 1 and 10 kHz with 1 µF: f0 3162.28 Hz, 2.533 mH, 143.24 Ω, Q 0.3514."""
    ladder = read_circuit("series L 1 mH; series C 1 µF; shunt R 100 Ω")
    henries = for_corner(ladder, "L", TAU * 3162.28)
    assert henries == pytest.approx(2.533e-3, rel=1e-3)
    assert henries is not None
    sized = with_value(ladder, "L", Fraction(henries))
    assert for_q(sized, "R", Fraction("0.3514")) == pytest.approx((143.24,), rel=1e-3)


def test_a_series_resonance_of_bird() -> None:
    """50 Ω, 1200 Hz, Q 30: 198.94 mH and 88.42 nF."""
    pair = pair_of(read_circuit("series L 1 mH; series C 1 µF; shunt R 50 Ω"))
    assert pair is not None
    sizes = sizes_for(pair, Fraction(1200), Fraction(30))
    assert sizes["L"] == pytest.approx(0.19894, rel=1e-4)
    assert sizes["C"] == pytest.approx(88.42e-9, rel=1e-4)


def test_a_dial_from_540_to_1600_khz() -> None:
    """One inductor, and capacitors in the ratio (1600/540)² = 8.779."""
    ladder = read_circuit("source 100 kΩ; shunt L 250 µH || C 100 pF; load 100 kΩ")
    ends = [for_corner(ladder, "C", TAU * f) for f in (540e3, 1600e3)]
    assert ends[0] is not None and ends[1] is not None
    assert ends[0] / ends[1] == pytest.approx(8.779, rel=1e-4)
