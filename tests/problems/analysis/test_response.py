"""Facts of the exact core: types, feeds, ends, and what does not exist."""

import math
from fractions import Fraction

import numpy as np
import pytest
from flint import ctx, fmpq_poly
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.algebra import axis_pairs, positive_roots, roots, square_root
from rungwise.problems.analysis.response import Facts, Feed, FilterType, Response, decibels, facts
from rungwise.problems.analysis.transfer import TransferFunction, transfer_function
from rungwise.problems.circuits.model import (
    CircuitError,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
)

from tests.outside.circuits import C, L, R, ladder, parallel, series
from tests.support.oracle import element, response
from tests.support.refusals import refused

# Every row: stages, source, load, type, order, zeros at the origin, slopes, phases.  The
# expectations are read off the circuits by hand (common practice, no source).
CIRCUITS = [
    (ladder(("series", R(1000)), ("shunt", C("1e-7"))), "low-pass", 1, 0, (0, -20), (0, -90)),
    (ladder(("series", C("1e-7")), ("shunt", R(1000))), "high-pass", 1, 1, (20, 0), (90, 0)),
    (ladder(("series", L("1e-3")), ("shunt", R(1000))), "low-pass", 1, 0, (0, -20), (0, -90)),
    (ladder(("series", R(1000)), ("shunt", L("1e-3"))), "high-pass", 1, 1, (20, 0), (90, 0)),
    (
        ladder(("series", L("1e-3")), ("shunt", C("1e-7")), load=1000),
        "low-pass",
        2,
        0,
        (0, -40),
        (0, -180),
    ),
    (
        ladder(("series", C("1e-7")), ("shunt", L("1e-3")), load=1000),
        "high-pass",
        2,
        2,
        (40, 0),
        (180, 0),
    ),
    (
        ladder(("shunt", parallel(L("1e-3"), C("1e-7"))), source=1000, load=1000),
        "band-pass",
        2,
        1,
        (20, -20),
        (90, -90),
    ),
    (
        ladder(("series", parallel(L("1e-3"), C("1e-7"))), load=1000),
        "notch",
        2,
        0,
        (0, 0),
        (0, 0),
    ),
    (
        ladder(("shunt", series(L("1e-3"), C("1e-7"))), source=1000, load=1000),
        "notch",
        2,
        0,
        (0, 0),
        (0, 0),
    ),
    # A shelf of 10.4 dB passes one end and does not block the other.
    (
        ladder(("series", R(1000)), ("shunt", series(R(430, "R2"), C("1e-7")))),
        "other",
        1,
        0,
        (0, 0),
        (0, 0),
    ),
    # A damped trap that takes 60 dB is a notch, of finite depth.
    (
        ladder(("series", R(1000)), ("shunt", series(R(1, "R2"), L("1e-3"), C("1e-7")))),
        "notch",
        2,
        0,
        (0, 0),
        (0, 0),
    ),
    (ladder(("series", R(1000)), load=1000), "flat", 0, 0, (0, 0), (0, 0)),
]


@pytest.mark.parametrize(("circuit", "type_", "order", "origin", "slopes", "phases"), CIRCUITS)
def test_type_and_asymptotes(circuit, type_, order, origin, slopes, phases):
    f = facts(circuit)
    assert f.type == type_
    assert f.transfer.order == order == len(f.poles)
    assert f.transfer.zeros_at_origin == origin
    assert (f.slope_low, f.slope_high) == slopes
    assert (f.phase_low, f.phase_high) == phases
    # The asymptotes against the nodal oracle, five decades out on either side.
    w = abs(np.prod([abs(p) for p in f.poles])) ** (1 / order) if order else 1e4
    for factor, slope, phase in ((1e-5, slopes[0], phases[0]), (1e5, slopes[1], phases[1])):
        hz = w * factor / (2 * math.pi)
        near, far = response(circuit, [hz, hz * 10])
        assert 20 * math.log10(abs(far) / abs(near)) == pytest.approx(slope, abs=0.01)
        difference = math.degrees(np.angle(near)) - phase
        assert (difference + 180) % 360 - 180 == pytest.approx(0, abs=1)


def test_fed_by_the_first_reactive_arm():
    assert facts(CIRCUITS[0][0]).fed is Feed.SHUNT
    assert facts(CIRCUITS[4][0]).fed is Feed.SERIES
    assert facts(CIRCUITS[-1][0]).fed is None


def test_all_pass_needs_equal_magnitude_everywhere():
    """(a − s)/(a + s), which no ladder makes, is recognised; a ladder's shelf is not."""
    all_pass = Response(TransferFunction((Fraction(-1), Fraction(5)), (Fraction(1), Fraction(5))))
    assert all_pass.type is FilterType.ALL_PASS
    assert all_pass.peak_hz is None


def test_low_pass_notch_with_unequal_ends():
    """An L with a tuned trap: zeros off the poles' ω0; the larger end is the reference."""
    circuit = ladder(
        ("series", L("1e-3")),
        ("shunt", parallel(C("100e-9"), series(L("1e-3", "L2"), C("10e-9", "C2")))),
        source=100,
        load=100,
    )
    f = facts(circuit)
    assert f.type is FilterType.LOW_PASS
    bridge = ladder(
        ("series", parallel(L("1e-3"), C("10e-9"))), ("shunt", C("10e-9", "C2")), load=1000
    )
    g = facts(bridge)
    assert g.type is FilterType.NOTCH
    assert (g.gain_low, g.gain_high) == (1, Fraction(1, 2))
    assert g.notch_hz == pytest.approx(1 / (2 * math.pi * math.sqrt(1e-11)))
    low, high = g.edges_hz
    assert low < g.notch_hz
    assert high is None  # −3 dB below the end at DC is never reached again above the notch
    assert g.bandwidth_hz is None


def test_symbolic_circuits_have_no_numbers():
    circuit = Ladder((Stage(Place.SERIES, Element(Kind.R, "R1")), Stage(Place.SHUNT, C("1e-6"))))
    with refused(CircuitError, says="R1 has no value"):
        transfer_function(circuit)


def test_decibels():
    assert decibels(0) is None
    assert decibels(10) == 20


@given(st.fractions(min_value=Fraction(1, 10**30), max_value=10**30))
def test_square_root_is_correct_to_the_last_bits(value):
    root = Fraction(square_root(value))
    assert abs(root * root - value) <= value * Fraction(1, 2**51)


@pytest.mark.parametrize("value", [Fraction(10) ** 600, Fraction(1, 10**600), Fraction(0)])
def test_square_root_beyond_floats(value):
    assert abs(Fraction(square_root(value)) ** 2 - value) <= value * Fraction(1, 2**51)


def test_square_root_of_a_negative_number():
    with pytest.raises(ValueError, match="negative"):
        square_root(Fraction(-1))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(1, 50), min_size=0, max_size=3),
    st.lists(st.integers(1, 50), min_size=0, max_size=3),
    st.integers(0, 2),
)
def test_roots_come_with_multiplicity(real, axis, origin):
    p = fmpq_poly([1])
    for a in real:
        p *= fmpq_poly([a, 1])
    for w in axis:
        p *= fmpq_poly([w * w, 0, 1])
    p *= fmpq_poly([0] * origin + [1])
    expected = [complex(-a) for a in real] + [0j] * origin
    expected += [sign * 1j * w for w in axis for sign in (1, -1)]
    found = roots(p)
    assert sorted(found, key=lambda z: (z.real, z.imag)) == sorted(
        expected, key=lambda z: (z.real, z.imag)
    )
    assert axis_pairs(p) == len(axis)


def test_axis_roots_are_not_confused_with_near_ones():
    near = fmpq_poly([10**20, 1, 10**8])  # Q of 10^14
    assert axis_pairs(near) == 0
    assert all(z.real < 0 for z in roots(near))
    found = [float(x) for x in positive_roots(fmpq_poly([6, -5, 1]))]
    assert found == pytest.approx([2, 3], rel=1e-15)


def test_more_than_one_axis_pair():
    p = fmpq_poly([1, 0, 1]) * fmpq_poly([4, 0, 1]) * fmpq_poly([3, 1])
    assert axis_pairs(p) == 2
    assert roots(p) == (1j, -1j, 2j, -2j, -3 + 0j)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_series_arm_may_be_in_any_order(data):
    """Swapping the parts of a series arm, or of a parallel one, changes nothing."""
    parts = [element("R", "R1", 470), element("L", "L1", "10e-3"), element("C", "C1", "47e-9")]
    joint = data.draw(st.sampled_from(list(Joint)))
    mixed = data.draw(st.permutations(parts))
    place = data.draw(st.sampled_from([Place.SERIES, Place.SHUNT]))
    ends = (element("R", "Rs", 600), element("R", "RL", 600))
    one = Ladder((Stage(place, join(joint, *parts)),), *ends)
    other = Ladder((Stage(place, join(joint, *mixed)),), *ends)
    assert transfer_function(one) == transfer_function(other)


def test_facts_are_a_response_with_its_circuit():
    circuit = CIRCUITS[0][0]
    assert isinstance(facts(circuit), Facts)
    assert facts(circuit).reactive_count == facts(circuit).independent_count == 1


def test_facts_do_not_hang_on_the_precision_another_thread_works_with() -> None:
    # flint keeps one working precision for the whole process.
    resonator = series(L("2.2e-2"), C("3.3e-8", "C1"))
    circuit = ladder(("series", resonator), ("shunt", C("1e-9", "C2")), source=47, load=820)
    quiet = facts(circuit)
    found = (quiet.type, quiet.edges_hz, quiet.bandwidth_hz, quiet.peak_hz, quiet.peak_gain)
    for bits in (2, 30, 1000):
        with ctx.workprec(bits):
            f = facts(circuit)
            assert (f.type, f.edges_hz, f.bandwidth_hz, f.peak_hz, f.peak_gain) == found
    assert quiet.type is FilterType.BAND_PASS


@pytest.mark.parametrize("power", [22, 60, 120])
def test_a_peak_so_sharp_that_it_is_a_difference_of_huge_numbers(power: int) -> None:
    # A tank has nothing across the source at resonance, however sharp: the peak is 1.
    tank = parallel(L("1e-8"), C(Fraction(10) ** power))
    f = facts(ladder(("shunt", tank), source=10_000))
    assert f.peak_gain == 1
    assert f.peak_hz == pytest.approx(1e4 / (2 * math.pi) / math.sqrt(10**power), rel=1e-12)
