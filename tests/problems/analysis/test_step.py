"""The step response, held against scipy, closed forms and the two value theorems."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.response import facts
from rungwise.problems.analysis.step import StepResponse
from rungwise.problems.analysis.transfer import TransferFunction
from rungwise.problems.catalogue import families
from rungwise.problems.catalogue.draw_values import draw
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from scipy import signal


def step(text: str | Ladder) -> StepResponse:
    ladder = read_circuit(text) if isinstance(text, str) else text
    return StepResponse(facts(ladder).transfer)


def by_scipy(response: StepResponse, times: np.ndarray) -> np.ndarray:
    """The same from scipy: the state equations, integrated by matrix exponentials.

    Time is scaled so that the companion matrix stays well conditioned.
    """
    t = response.transfer
    scale = float(abs(t.denominator[-1])) ** (1 / max(1, t.order))
    top = [float(c) / scale ** (k + t.order - t.zero_count) for k, c in enumerate(t.numerator)]
    bottom = [float(c) / scale**k for k, c in enumerate(t.denominator)]
    size = max(map(abs, top))
    _, values = signal.step(([c / size for c in top], bottom), T=times * scale)
    return np.asarray(values) * size


@pytest.mark.parametrize("family", [f.name for f in families.FAMILIES if f.order])
def test_every_family_against_scipy(family: str) -> None:
    chance = Chance(11, family)
    tried = 0
    while tried < 3:
        ladder = draw(families.find(family), chance)
        if ladder is None:
            continue
        tried += 1
        response = step(ladder)
        times = np.linspace(0, response.horizon, 150)
        expected = by_scipy(response, times)
        got = np.array(response.at(times.tolist()))
        # scipy works in doubles: it loses digits where poles lie decades apart.
        assert np.allclose(got, expected, atol=2e-6 * max(1e-3, np.abs(expected).max()))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 40), st.integers(1, 3)), min_size=1, max_size=3),
    st.lists(st.tuples(st.integers(1, 30), st.integers(1, 60)), max_size=2),
    st.lists(st.integers(-20, 20), min_size=1, max_size=4),
)
def test_repeated_and_paired_poles_against_scipy(
    real: list[tuple[int, int]], pairs: list[tuple[int, int]], top: list[int]
) -> None:
    bottom = np.poly1d([1])
    for pole, order in real:
        for _ in range(order):
            bottom *= np.poly1d([1, pole])
    for damping, frequency in pairs:
        bottom *= np.poly1d([1, 2 * damping, damping**2 + frequency**2])
    while len(top) > 1 and top[0] == 0:
        top = top[1:]
    if top[0] == 0 or len(top) > bottom.order + 1:
        return
    denominator = tuple(Fraction(round(c)) for c in bottom.coeffs)
    response = StepResponse(TransferFunction(tuple(map(Fraction, top)), denominator))
    times = np.linspace(0, min(response.horizon, 3.0), 90)
    expected = by_scipy(response, times)
    size = max(np.abs(expected).max(), 1e-9)
    assert np.allclose(response.at(times.tolist()), expected, atol=1e-5 * size, rtol=1e-5)


def test_one_pole_is_the_exponential_of_the_textbooks() -> None:
    low, high = step("series R 1 kΩ; shunt C 1 µF"), step("series C 1 µF; shunt R 1 kΩ")
    for t in (0.0, 1e-6, 1e-3, 2.5e-3, 0.02):
        assert low.at([t])[0] == pytest.approx(1 - math.exp(-t / 1e-3), abs=1e-15)
        assert high.at([t])[0] == pytest.approx(math.exp(-t / 1e-3), abs=1e-15)
    assert low.at([1e-3])[0] == pytest.approx(0.6321, abs=5e-5)  # 63.2 % after one time constant


def test_two_equal_real_poles_have_the_factor_of_t() -> None:
    response = step("series R1 1 kΩ; shunt C1 1 µF; buffer; series R2 1 kΩ; shunt C2 1 µF")
    for x in (0.1, 1.0, 3.0):
        assert response.at([x * 1e-3])[0] == pytest.approx(1 - (1 + x) * math.exp(-x), abs=1e-14)
    three = step(
        "series R1 1 kΩ; shunt C1 1 µF; buffer; series R2 1 kΩ; shunt C2 1 µF; buffer;"
        "series R3 1 kΩ; shunt C3 1 µF"
    )
    for x in (0.1, 1.0, 3.0):
        expected = 1 - (1 + x + x * x / 2) * math.exp(-x)
        assert three.at([x * 1e-3])[0] == pytest.approx(expected, abs=1e-14)


def test_nearly_equal_poles_lose_no_digits() -> None:
    text = "series R1 1 kΩ; shunt C1 1 µF; buffer; series R2 1 kΩ; shunt C2 {} µF"
    double, near = step(text.format("1")), step(text.format("1.0000000000001"))
    times = [n * 1e-4 for n in range(60)]
    assert near.at(times) == pytest.approx(double.at(times), abs=1e-12)


@pytest.mark.parametrize("q", [1, 2, 5, 20])
def test_overshoot_of_a_pair_is_the_one_of_the_textbooks(q: int) -> None:
    """exp(−πζ/√(1−ζ²)) at π/(ω0·√(1−ζ²)), ζ = 1/2Q; in every text on control."""
    response = step(f"series R 1/{q} kΩ; series L 1 mH; shunt C 1 nF")  # ω0 = 1 Mrad/s, Z0 = 1 kΩ
    damping = 1 / (2 * q)
    root = math.sqrt(1 - damping**2)
    assert response.overshoot is not None
    time, value = response.overshoot
    assert value == pytest.approx(1 + math.exp(-math.pi * damping / root), rel=1e-9)
    assert time == pytest.approx(math.pi / (1e6 * root), rel=1e-4)


@pytest.mark.parametrize(
    "text",
    [
        "series R 1 kΩ; shunt C 1 µF",
        "series R 2 kΩ; series L 1 mH; shunt C 1 nF",  # Q = 1/2
        "series C 1 µF; shunt R 1 kΩ",
        "series L 1 mH; series C 1 nF; shunt R 1 kΩ",
        "series R1 1 kΩ; shunt R2 1 kΩ",
    ],
)
def test_where_nothing_overshoots(text: str) -> None:
    assert step(text).overshoot is None


def test_a_fast_peak_before_a_slow_tail_is_found() -> None:
    response = step(
        "series R1 100 Ω; series L1 1 mH; shunt C1 1 nF; buffer;"
        "shunt C3 1 nF; series R2 10 kΩ; shunt R3 1 MΩ || (R4 100 kΩ + C2 1 µF)"
    )
    assert response.horizon > 0.1  # of the slow tail, a thousand times the ringing
    assert response.overshoot is not None
    time, value = response.overshoot
    damping = 0.05
    assert time == pytest.approx(math.pi / 1e6, rel=0.02)
    ringing = 1 + math.exp(-math.pi * damping / math.sqrt(1 - damping**2))
    # The capacitor C2 is still a short then.
    parallel = 1 / (1 / 1e6 + 1 / 1e5)
    assert value == pytest.approx(ringing * parallel / (parallel + 1e4), rel=1e-3)


def test_the_value_theorems() -> None:
    for row in families.FAMILIES:
        ladder = None
        chance = Chance(5, row.name)
        while ladder is None:
            ladder = draw(row, chance)
        response = step(ladder)
        known = facts(ladder)
        start, end = response.at([0.0, response.horizon * 400])
        assert start == pytest.approx(response.initial, abs=1e-12)
        assert abs(response.initial) == pytest.approx(float(known.gain_high))
        assert abs(response.final) == pytest.approx(float(known.gain_low))
        if all(p.real < 0 for p in known.poles) and response.horizon * 400 > max(
            [5 / -p.real for p in known.poles], default=0
        ):
            assert end == pytest.approx(response.final, abs=0.02)


def test_before_the_step_there_is_nothing() -> None:
    assert step("series C 1 µF; shunt R 1 kΩ").at([-1.0, -1e-12, 0.0]) == [0.0, 0.0, 1.0]


def test_a_band_pass_begins_at_nothing() -> None:
    response = step("series R 1 kΩ; shunt L 1 mH || C 1 nF")
    assert response.at([0.0])[0] == pytest.approx(0, abs=1e-18)
    assert response.final == 0 and response.overshoot is None


def test_stiff_and_ringing_circuits_have_a_sensible_horizon() -> None:
    ringing = step("series R 1 mΩ; series L 1 mH; shunt C 1 nF")  # Q = 10⁶
    assert ringing.horizon == pytest.approx(10 * 2 * math.pi * 1e-6, rel=1e-3)
    lossless = step("series L 1 mH; shunt C 1 nF")
    assert lossless.horizon == pytest.approx(10 * 2 * math.pi * 1e-6, rel=1e-3)
    assert lossless.overshoot is not None and lossless.overshoot[1] == pytest.approx(2)
    assert step("series R1 1; shunt R2 1").horizon == 1.0
    stiff = step("series R 1 MΩ; shunt L 1 nH + C 1 mF")
    assert stiff.at([0, stiff.horizon])[1] == pytest.approx(1 - math.exp(-5), abs=1e-3)
