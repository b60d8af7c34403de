"""Worked examples that textbooks print, solved by the exact core."""

import math

import pytest
from rungwise.problems.analysis.response import facts

from tests.support.oracle import response

from .circuits import C, L, R, ladder, parallel, series

TWO_PI = 2 * math.pi

# Kuphaldt, "Lessons in Electric Circuits", vol. II (AC), ch. 8 "Filters" (Design Science
# License): the printed analyses, 1 V source, volts across the load.
LESSONS = [
    (ladder(("series", L(3)), load=1000), 1, 0.9998),
    (ladder(("series", L(3)), load=1000), 200, 0.2564),
    (ladder(("series", R(500)), ("shunt", C("7e-6"))), 50, 0.6728),
    (ladder(("series", R(500)), ("shunt", C("7e-6")), load=1000), 30, 0.6102),
    (ladder(("series", R(500)), ("shunt", C("7e-6")), load=1000), 150, 0.2760),
    (ladder(("series", C("0.5e-6")), load=1000), 200, 0.5320),
    (ladder(("series", R(200)), ("shunt", L("0.1")), load=1000), 200, 0.5017),
    (
        ladder(("series", R(200)), ("shunt", C("2.5e-6")), ("series", C("1e-6", "C2")), load=1000),
        226.3,
        0.5882,
    ),
    (ladder(("series", series(L(1), C("1e-6"))), load=1000), 50, 0.3291),
    (ladder(("series", series(L(1), C("1e-6"))), load=1000), 250, 0.7307),
    (ladder(("series", R(500)), ("shunt", series(L("0.1"), C("10e-6"))), load=1000), 70, 0.3213),
    (ladder(("series", parallel(L("0.1"), C("10e-6"))), load=1000), 100, 0.9947),
]


@pytest.mark.parametrize(("circuit", "hz", "volts"), LESSONS)
def test_lessons_in_electric_circuits(circuit, hz, volts):
    exact = abs(facts(circuit).transfer(2j * math.pi * hz))
    assert round(exact, 4) == pytest.approx(volts, abs=1e-9)
    assert abs(response(circuit, [hz])[0]) == pytest.approx(exact, rel=1e-9)


def test_lessons_tank_with_a_rounded_frequency():
    # The printed frequency is itself rounded: 2 in the last digit.
    circuit = ladder(("series", R(500)), ("shunt", parallel(L("0.1"), C("10e-6"))), load=1000)
    assert abs(facts(circuit).transfer(2j * math.pi * 155.3)) == pytest.approx(0.6578, abs=2e-4)


def test_lessons_rc_corner():
    f = facts(ladder(("series", R(500)), ("shunt", C("7e-6"))))
    assert f.corner_hz == pytest.approx(45.473, abs=5e-4)
    assert f.edges_hz[1] == pytest.approx(45.473, abs=5e-4)


def series_rlc(r, inductance, capacitance):
    """Series R-L-C, output across R."""
    return facts(ladder(("series", series(L(inductance), C(capacitance))), ("shunt", R(r))))


# (R, L, C, resonance Hz or None, ω0 rad/s or None, Q or None, bandwidth rad/s or None, source)
RESONANCES = [
    # OpenStax, University Physics vol. 2, ch. 15 (CC BY).
    pytest.param(4, "3e-3", "800e-6", (103, 0.5), None, None, None, id="OpenStax-15-resonance"),
    pytest.param(
        "0.2", "4e-3", "2e-6", None, (1.12e4, 50), (224, 0.5), (50.0, 0.05), id="OpenStax-15-Q"
    ),
    pytest.param(
        100, 2, "5e-6", (50, 0.5), None, (6.32, 0.005), (50, 0.05), id="OpenStax-15-exercise"
    ),
    # Alexander & Sadiku, Fundamentals of Electric Circuits, ch. 14 (value from memory).
    pytest.param(2, "1e-3", "0.4e-6", None, (50e3, 1), (25, 1e-6), None, id="Sadiku-14-series"),
    # Hayt, Engineering Circuit Analysis / Boylestad (value from memory).
    pytest.param(10, "2e-3", "200e-9", None, (50e3, 1), (10, 1e-6), None, id="Hayt"),
    # Bird, Electrical Circuit Theory and Technology, worked examples.
    pytest.param(80, "20e-3", "0.4e-6", (1779.41, 0.005), None, None, None, id="Bird-1"),
]


@pytest.mark.parametrize(("r", "l_", "c", "hz", "w", "q", "band"), RESONANCES)
def test_series_resonance(r, l_, c, hz, w, q, band):
    f = series_rlc(r, l_, c)
    assert f.type == "band-pass"
    if hz:
        assert f.corner_hz == pytest.approx(hz[0], abs=hz[1])
    if w:
        assert f.corner_hz * TWO_PI == pytest.approx(w[0], abs=w[1])
    if q:
        assert f.q == pytest.approx(q[0], abs=q[1])
    if band:
        assert f.bandwidth_hz * TWO_PI == pytest.approx(band[0], abs=band[1])


def test_sadiku_parallel_resonance():
    """Alexander & Sadiku ch. 14 (value from memory): 8 kΩ ∥ 0.2 mH ∥ 8 µF: 25 krad/s, Q 1600.

    A current source into the three is, by Thévenin, a source with 8 kΩ across the tank.
    """
    f = facts(ladder(("shunt", parallel(L("0.2e-3"), C("8e-6"))), source=8000))
    assert f.corner_hz * TWO_PI == pytest.approx(25e3, rel=1e-9)
    assert f.q == pytest.approx(1600, rel=1e-9)
    assert f.bandwidth_hz * TWO_PI == pytest.approx(15.625, rel=1e-9)


def test_nilsson_band_pass():
    """Nilsson & Riedel, Electric Circuits, ch. 14 (value from memory): edges 1 and 10 kHz, 1 µF."""
    f = series_rlc("143.24", "2.533e-3", "1e-6")
    assert f.corner_hz == pytest.approx(3162.28, rel=2e-4)
    assert f.q == pytest.approx(0.3514, abs=1e-4)
    assert f.edges_hz == pytest.approx((1000, 10000), rel=3e-4)


def test_nilsson_notch():
    """Nilsson & Riedel, ch. 14 (value from memory): 750 Hz, 250 Hz wide, 100 nF."""
    inductance = 1 / ((TWO_PI * 750) ** 2 * 100e-9)
    resistance = TWO_PI * 250 * inductance
    assert inductance == pytest.approx(0.450, abs=5e-4)
    assert resistance == pytest.approx(707, abs=0.5)
    circuit = ladder(
        ("series", R(repr(resistance))), ("shunt", series(L(repr(inductance)), C("100e-9")))
    )
    f = facts(circuit)
    assert f.type == "notch"
    assert f.q == pytest.approx(3, rel=1e-9)
    assert f.notch_hz == pytest.approx(750, rel=1e-9)
    assert f.edges_hz == pytest.approx((635.3, 885.3), abs=0.05)
    assert f.bandwidth_hz == pytest.approx(250, rel=1e-9)


def test_bird_design():
    """Bird's design example: 50 Ω, 1200 Hz, Q 30 → 198.94 mH, 88.42 nF, edges 1180.17/1220.17."""
    f = series_rlc(50, "198.94e-3", "88.42e-9")
    assert f.corner_hz == pytest.approx(1200, rel=1e-4)
    assert f.q == pytest.approx(30, rel=1e-4)
    assert f.edges_hz == pytest.approx((1180.17, 1220.17), rel=2e-5)


def test_half_power_and_octave():
    """Half power is −3.0103 dB; 20 dB/decade is 6.0206 dB/octave (definitions)."""
    f = facts(ladder(("series", R(1000)), ("shunt", C("1e-6"))))
    level = 20 * math.log10(abs(f.transfer(2j * math.pi * f.corner_hz)))
    assert level == pytest.approx(-3.0103, abs=5e-5)
    far = 1e4 * f.corner_hz
    octave = abs(f.transfer(2j * math.pi * 2 * far)) / abs(f.transfer(2j * math.pi * far))
    assert 20 * math.log10(octave) == pytest.approx(-6.0206, abs=5e-5)


def test_broadcast_tuning_ratio():
    """Tuning 540 to 1600 kHz with one coil takes Cmax/Cmin = (1600/540)² = 8.779.

    The band is the US AM broadcast band's usual dial (47 CFR 73, section number from memory).
    """

    def tuned(capacitance):
        return facts(
            ladder(("shunt", parallel(L("240e-6"), C(capacitance))), source=100_000)
        ).corner_hz

    low = 1 / ((TWO_PI * 540e3) ** 2 * 240e-6)
    assert tuned(repr(low)) == pytest.approx(540e3, rel=1e-9)
    assert tuned(repr(low / 8.779)) == pytest.approx(1600e3, rel=1e-4)
