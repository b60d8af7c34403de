"""Types by what the gain does: real circuits by name, limits to the hair, independent judges.

The judges are a modified nodal analysis (numpy), roots by mpmath, and scipy's searches for peaks
and dips; none of them shares code with the rule.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from rungwise.problems.analysis.asymptotes import stick
from rungwise.problems.analysis.gain_type import EndState, FilterType, Limit, Shape
from rungwise.problems.analysis.limits import BLOCKED_DB, CLEAR_DB, PASSED_DB
from rungwise.problems.analysis.response import Facts, Feed, drawn_feed, facts, generic_facts
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from scipy.optimize import brentq, minimize_scalar

from tests.outside.real_circuits import NAMED
from tests.support.oracle import response
from tests.support.strategies import ladders

CRYSTAL_SET = "source 100 kΩ; shunt (L1 = 250 µH + R1 = 5 Ω) || C1 = 100 pF; load 1 MΩ"


def of(text: str) -> Facts:
    return facts(read_circuit(text))


def decibels(ladder: Ladder) -> Callable[[float], float]:
    """The gain in dB at 10^x Hz, by nodal analysis."""
    return lambda x: 20 * math.log10(max(abs(response(ladder, [10**x])[0]), 1e-300))


# ------------------------------------------------------------------ names


@pytest.mark.parametrize(("text", "called"), NAMED.items())
def test_real_circuits_have_the_name_a_professor_gives(text: str, called: str) -> None:
    known = of(text)
    assert known.called == called
    if called in [kind.value for kind in Shape]:
        assert (known.type, known.shape) == (FilterType.OTHER, called)
    else:
        assert called.startswith(known.type.value) and known.shape is None


def roots(coefficients: tuple[Fraction, ...]) -> list[complex]:
    if len(coefficients) < 2:
        return []
    with mpmath.workdps(60):
        exact = [mpmath.mpf(c.numerator) / c.denominator for c in coefficients]
        while exact[-1] == 0:
            exact.pop()
        found = mpmath.polyroots(exact, maxsteps=500, extraprec=600) if len(exact) > 1 else []
        nothing = [0j] * (len(coefficients) - len(exact))
        return nothing + [complex(z) for z in found]


class Judge:
    """The rule by dense sweeps in floating point."""

    def __init__(self, known: Facts) -> None:
        ladder, transfer = known.ladder, known.transfer
        zeros, poles = roots(transfer.numerator), roots(transfer.denominator)
        sizes = [abs(r) for r in (*zeros, *poles) if r]
        self.low_hz, self.high_hz = min(sizes) / math.tau / 1e5, max(sizes) / math.tau * 1e5
        gain = decibels(ladder)
        self.span = math.log10(self.low_hz), math.log10(self.high_hz)
        ends = []
        for x, out in (self.span[0], -2), (self.span[1], 2):
            here, beyond = gain(x), gain(x + out)
            ends.append(here if abs(here - beyond) < 0.1 else -math.inf)
        grid = np.logspace(math.log10(min(sizes)) - 1, math.log10(max(sizes)) + 1, 40001)
        lines = np.full(grid.shape, math.log10(abs(transfer.numerator[0])))
        for sign, some in (1, zeros), (-1, poles):
            for root in some:
                lines += sign * np.log10(np.maximum(grid, abs(root)))
        self.highest = max(20 * lines.max(), *ends)
        self.downs = [self.highest - end for end in ends]
        self.states = [
            "passed" if d <= 6.03 else "blocked" if d >= 19.99 else "" for d in self.downs
        ]
        self.complex_zeros = any(z.imag > 1e-9 * abs(z) for z in zeros)
        self.lower = min(ends)
        self.ladder, self.gain = ladder, gain

    def extreme(self, sign: int) -> tuple[float, float]:
        """(dB, log10 Hz) of the greatest gain between the ends (−1), or the least (+1)."""
        grid = np.linspace(*self.span, 4001)
        k = int(np.argmin(sign * np.abs(response(self.ladder, 10**grid))))
        around = grid[max(k - 1, 0)], grid[min(k + 1, len(grid) - 1)]
        found = minimize_scalar(
            lambda x: sign * self.gain(x), bounds=around, method="bounded", options={"xatol": 1e-12}
        )
        return sign * found.fun, found.x

    @property
    def type(self) -> str:
        match self.states:
            case ["passed", "blocked"]:
                return "low-pass"
            case ["blocked", "passed"]:
                return "high-pass"
            case ["blocked", "blocked"]:
                return "band-pass"
            case ["passed", "passed"] if self.complex_zeros:
                return "notch" if self.lower - self.extreme(1)[0] >= 20 else "other"
        return "other"


@pytest.mark.parametrize("text", [t for t, called in NAMED.items() if called != "flat"])
def test_levels_peak_and_depth_agree_with_independent_judges(text: str) -> None:
    known = of(text)
    judge = Judge(known)
    assert known.type == judge.type
    for down, found in zip(
        (known.judgement.low_down_db, known.judgement.high_down_db), judge.downs, strict=True
    ):
        assert down == pytest.approx(found, abs=0.02)
    if known.peak_hz and known.peak_gain:
        level, x = judge.extreme(-1)
        assert 20 * math.log10(known.peak_gain) == pytest.approx(level, abs=1e-6)
        assert math.log10(known.peak_hz) == pytest.approx(x, abs=1e-4)
    if known.depth_db is not None and math.isfinite(known.depth_db):
        level, x = judge.extreme(1)
        assert known.depth_db == pytest.approx(judge.lower - level, abs=1e-3)
        assert math.log10(known.depth_hz) == pytest.approx(x, abs=1e-3)
    if known.floor_db is not None:
        passing = {"low-pass": 0, "high-pass": 1}.get(known.type.value)
        top = judge.extreme(-1)[0] if passing is None else judge.highest - judge.downs[passing]
        floor = top - (judge.highest - min(d for d in judge.downs if d >= 19.99))
        assert known.floor_db == pytest.approx(floor, abs=0.02)
    for trap in known.traps:
        beside = min(judge.gain(math.log10(trap.hz) + d) for d in (-0.05, 0.05))
        assert judge.gain(math.log10(trap.hz)) < beside - 3


@pytest.mark.parametrize("text", [t for t, called in NAMED.items() if "pass" in called])
def test_edges_lie_half_a_power_below_the_pass_band_of_the_type(text: str) -> None:
    known = of(text)
    gain = decibels(known.ladder)
    match known.type:
        case FilterType.LOW_PASS:
            top = 20 * math.log10(known.gain_low)
        case FilterType.HIGH_PASS:
            top = 20 * math.log10(known.gain_high)
        case _:
            top = 20 * math.log10(known.peak_gain)
    low, high = known.edges_hz
    assert (low is None) == (known.type is FilterType.LOW_PASS)
    assert (high is None) == (known.type is FilterType.HIGH_PASS)
    for edge in (low, high):
        if edge is not None:
            assert gain(math.log10(edge)) == pytest.approx(top - 10 * math.log10(2), abs=1e-4)


def test_the_crystal_set() -> None:
    """The tuned circuit by hand: G across L-R ∥ C, f0² and Q of LC·s² + (RC + GL)s + 1 + GR."""
    known = of(CRYSTAL_SET)
    inductance, loss, capacitance = 250e-6, 5.0, 100e-12
    across = 1 / 100e3 + 1 / 1e6
    omega = math.sqrt((1 + across * loss) / (inductance * capacitance))
    damping = loss * capacitance + across * inductance
    q = omega * inductance * capacitance / damping
    assert known.type is FilterType.BAND_PASS and known.type_exact is FilterType.LOW_PASS
    assert known.corner_hz == pytest.approx(omega / math.tau, rel=1e-12)
    assert known.corner_hz == pytest.approx(1.007e6, rel=5e-4)
    assert known.q == pytest.approx(q, rel=1e-12) and known.q == pytest.approx(48.65, abs=5e-3)
    assert known.bandwidth_hz == pytest.approx(20.7e3, rel=1e-3)
    gain = decibels(known.ladder)
    peak = minimize_scalar(lambda x: -gain(x), bounds=(5.9, 6.1), method="bounded")
    half = -peak.fun - 10 * math.log10(2)
    low = brentq(lambda x: gain(x) - half, 5.9, peak.x)
    high = brentq(lambda x: gain(x) - half, peak.x, 6.1)
    assert known.edges_hz == (pytest.approx(10**low, rel=1e-6), pytest.approx(10**high, rel=1e-6))
    assert known.bandwidth_hz == pytest.approx(10**high - 10**low, rel=1e-4)
    assert known.floor_db > 80 and not known.borderline


# ------------------------------------------------------------------ limits, to the hair


def lag(tenth: str) -> Facts:
    """A step down: of the voltage, what R2 of 1 kΩ leaves beside R1."""
    return of(f"series R1 = {tenth} kΩ; shunt R2 = 1 kΩ + C1 = 100 nF")


@pytest.mark.parametrize(
    ("resistance", "state", "type_"),
    [
        ("9", EndState.BLOCKED, "low-pass"),  # exactly a tenth
        ("8.999999999999", EndState.BETWEEN, "other"),
        ("9.000000000001", EndState.BLOCKED, "low-pass"),
        ("1", EndState.PASSED, "other"),  # exactly half
        ("1.000000000001", EndState.BETWEEN, "other"),
        ("0.999999999999", EndState.PASSED, "other"),
    ],
)
def test_two_ends_are_compared_exactly(resistance: str, state: EndState, type_: str) -> None:
    known = lag(resistance)
    assert (known.high_end, known.low_end) == (state, EndState.PASSED)
    assert known.type == type_
    assert known.borderline and known.margin_db < 1e-6


def test_a_corner_on_a_limit_has_reached_it() -> None:
    """Corners at 1, 10 and 100 rad/s: DC lies 20 dB below the level between, exactly."""
    text = (
        "series R1 = 9 Ω || C1 = 1/9 F; shunt R2 = 1 Ω; buffer; series R3 = 1 Ω; shunt C2 = 0.01 F"
    )
    known = of(text.replace("1/9 F", "111.1111111111111 mF"))
    assert known.judgement.low_down_db == pytest.approx(20, abs=1e-9)
    assert known.type is FilterType.BAND_PASS and known.margin_db < 1e-9


@pytest.mark.parametrize(
    ("resistance", "borderline"),
    [("9", True), ("6.2", True), ("6.0", False), ("13", True), ("14", False), ("0.41", False),
     ("0.43", True), ("1.8", True), ("1.9", False)],
)  # fmt: skip
def test_nearer_than_three_decibels_is_borderline(resistance: str, borderline: bool) -> None:
    known = lag(resistance)
    down = 20 * math.log10(float(resistance) + 1)
    expected = min(abs(down - BLOCKED_DB), abs(down - PASSED_DB), PASSED_DB)
    assert known.margin_db == pytest.approx(expected, abs=1e-9)
    assert known.borderline is borderline is (expected < CLEAR_DB)


@pytest.mark.parametrize(
    ("loss", "called", "near"),
    [
        (110, "notch-finite", True),
        (112, "dip", True),
        (40, "notch-finite", False),
        (470, "dip", False),
    ],
)
def test_the_depth_of_a_notch_has_a_limit(loss: int, called: str, near: bool) -> None:
    """At resonance a coil's R lies across half of 1 kΩ twice: R ∥ 500 Ω against 500 Ω."""
    known = of(f"source 1 kΩ; shunt L1 = 10 mH + R1 = {loss / 2} Ω + C1 = 1 nF; load 1 kΩ")
    depth = 20 * math.log10((500 + loss / 2) / (loss / 2))
    assert known.called == called
    assert known.depth_db == pytest.approx(depth, abs=1e-9)
    found = next(n for n in known.nearness if n.limit is Limit.NOTCH_DEPTH)
    assert found.distance_db == pytest.approx(abs(depth - 20), abs=1e-9) and found.decides
    assert known.borderline is near


def test_what_decides_and_what_does_not() -> None:
    """A lag network stays one at 6 dB; a low-pass becomes one at 20 dB."""
    at_six, at_twenty = lag("1.1"), lag("9.5")
    assert at_six.borderline and not any(n.decides for n in at_six.nearness[:1])
    assert at_twenty.borderline and at_twenty.nearest.decides


# ------------------------------------------------------------------ against a dense sweep


@settings(max_examples=150, deadline=None)
@given(ladders(laboratory=True, max_stages=4))
def test_the_rule_agrees_with_a_dense_sweep_of_the_straight_lines(ladder: Ladder) -> None:
    known = facts(ladder)
    if not known.transfer.order:
        assert known.type is FilterType.FLAT and known.margin_db == math.inf
        return
    lines = stick(known)
    corners = [abs(r) / math.tau for r in (*known.poles, *known.zeros) if r]
    sweep = np.logspace(math.log10(min(corners)) - 1, math.log10(max(corners)) + 1, 3001)
    ends = [20 * math.log10(g) if g else -math.inf for g in (known.gain_low, known.gain_high)]
    highest = max(*(lines.at(f) for f in (*sweep, *corners)), *ends)
    downs = [highest - end for end in ends]
    found = known.judgement.low_down_db, known.judgement.high_down_db
    states = []
    for down, own in zip(downs, found, strict=True):
        assert own == pytest.approx(down, abs=1e-6) if math.isfinite(down) else own == math.inf
        states.append("passed" if down <= PASSED_DB else "blocked" if down >= 20 else "between")
    if min((abs(d - at) for d in downs for at in (PASSED_DB, 20.0)), default=1.0) < 1e-6:
        return  # the sweep cannot tell
    assert [known.low_end, known.high_end] == states
    named = {("passed", "blocked"): "low-pass", ("blocked", "passed"): "high-pass"}
    named["blocked", "blocked"] = "band-pass"
    if states == ["passed", "passed"]:
        deep = known.judgement.depth_db is not None and known.judgement.depth_db >= 20
        assert (known.type is FilterType.NOTCH) is deep
        return
    assert known.type == named.get((states[0], states[1]), "other")
    limits = [abs(d - at) for d in downs for at in (PASSED_DB, 20.0) if math.isfinite(d)]
    own = [n.distance_db for n in known.nearness if n.limit is not Limit.TRAP]
    assert sorted(own) == pytest.approx(sorted(limits), abs=1e-6)


@settings(max_examples=80, deadline=None)
@given(ladders(laboratory=True, max_stages=3))
def test_the_lowest_gain_between_passed_ends_is_no_higher_than_a_sweep_finds(
    ladder: Ladder,
) -> None:
    known = facts(ladder)
    depth = known.judgement.depth_db
    if depth is None or not math.isfinite(depth):
        return
    lower = 20 * math.log10(min(known.gain_low, known.gain_high))
    place = math.log10(known.judgement.depth_hz)
    gain = decibels(ladder)
    assert gain(place) == pytest.approx(lower - depth, abs=1e-3)
    assert all(gain(place + d) >= gain(place) - 1e-6 for d in (-0.01, -0.001, 0.001, 0.01))


# ------------------------------------------------------------------ what goes with it


def test_without_values_exact_zeros_name_it() -> None:
    ladder = read_circuit("source Rs; shunt (L1 + R1) || C1; load RL")
    known = generic_facts(ladder)
    assert known.exact and known.type is known.type_exact is FilterType.LOW_PASS
    band_pass = of("source 1 kΩ; shunt L1 = 1 mH || C1 = 1 nF")
    assert known.is_alike(of(CRYSTAL_SET)) and not known.is_alike(band_pass)
    assert of(CRYSTAL_SET).is_alike(band_pass) and band_pass.is_alike(of(CRYSTAL_SET))


@pytest.mark.parametrize(
    ("text", "fed", "drawn"),
    [
        ("shunt C1 = 1 nF; series L1 = 1 mH; load 1 kΩ", Feed.SERIES, Feed.SHUNT),
        ("source 1 Ω; shunt C1 = 1 nF; series L1 = 1 mH; load 1 kΩ", Feed.SHUNT, Feed.SHUNT),
        ("shunt L1 = 1 mH || C1 = 1 nF; load 1 kΩ", None, Feed.SHUNT),
        (
            "series R1 = 1 kΩ; buffer; shunt C1 = 1 nF; series C2 = 1 nF; load 1 kΩ",
            Feed.SERIES,
            Feed.SHUNT,
        ),
        ("series R1 = 1 kΩ; shunt R2 = 1 kΩ; series L1 = 1 mH", None, Feed.SERIES),
        (CRYSTAL_SET, Feed.SHUNT, Feed.SHUNT),
        ("series R1 = 1 kΩ; load 1 kΩ", None, None),
    ],
)
def test_fed_by_what_has_a_say(text: str, fed: Feed | None, drawn: Feed | None) -> None:
    assert (of(text).fed, drawn_feed(read_circuit(text))) == (fed, drawn)


def test_an_arm_without_a_say_changes_nothing_at_the_output() -> None:
    """The feed is that of the circuit with the idle arm taken out."""
    with_it = read_circuit("shunt C1 = 1 nF; series L1 = 1 mH; load 1 kΩ")
    without = read_circuit("series L1 = 1 mH; load 1 kΩ")
    places = np.logspace(2, 8, 13)
    assert response(with_it, places) == pytest.approx(response(without, places))
    assert facts(with_it).fed is facts(without).fed


@settings(max_examples=200, deadline=None)
@given(ladders(max_stages=5))
def test_any_circuit_has_a_name_and_a_margin(ladder: Ladder) -> None:
    """Values from 10⁻²⁹ to 10²⁹ over- or underflow nowhere."""
    known = facts(ladder)
    assert known.called and known.margin_db >= 0
    assert (known.shape is None) is (known.type is not FilterType.OTHER)
    for figure in (known.depth_db, known.floor_db):
        assert figure is None or figure > 0
    if known.type_exact is FilterType.BAND_PASS:
        assert known.type is FilterType.BAND_PASS, "exact zeros at both ends leave no doubt"
    nearest = known.nearest
    assert nearest is None or nearest.distance_db == known.margin_db
