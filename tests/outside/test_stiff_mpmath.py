"""Certified roots against mpmath's polynomial roots at 50 digits, for hard cases."""

from fractions import Fraction

import mpmath
import pytest
from rungwise.problems.analysis.response import FilterType, PoleNature, facts
from rungwise.problems.circuits.model import Joint, Ladder, Place, Stage, join

from tests.support.oracle import element

from .circuits import C, L, R, ladder, parallel, series

STIFF = {
    "1 pF with 1 kH": ladder(("series", L(1000)), ("shunt", C("1e-12")), source=50, load="1e9"),
    "1 kH with 1 pF and 1 mΩ": ladder(
        ("series", series(R("1e-3"), L(1000), C("1e-12"))), load="1e-3"
    ),
    "twelve decades apart": ladder(
        ("series", R(1)), ("shunt", C("1e-12")), ("series", R("1e6", "R2")), ("shunt", C(1, "C2"))
    ),
    "nearly double": ladder(
        ("series", R(1000)),
        ("series", L("0.25000000001")),
        ("shunt", C("1e-6")),
    ),
    "Q of ten thousand millions": ladder(("shunt", parallel(L("1e-3"), C("1e-3"))), source="1e10"),
    "four poles, two crowded": ladder(
        ("series", L("1e-3")),
        ("shunt", C("1e-9")),
        ("series", L("1.0000001e-3", "L2")),
        ("shunt", C("1.0000001e-9", "C2")),
        source=1000,
        load=1000,
    ),
}


def mpmath_roots(descending):
    with mpmath.workdps(50):
        coefficients = [mpmath.mpf(c.numerator) / c.denominator for c in descending]
        return mpmath.polyroots(coefficients, maxsteps=500, extraprec=400)


@pytest.mark.parametrize("name", STIFF)
def test_poles_and_zeros_of_stiff_circuits(name):
    f = facts(STIFF[name])
    for ours, coefficients in (
        (f.poles, f.transfer.denominator),
        (f.zeros, f.transfer.numerator),
    ):
        if len(coefficients) < 2:
            assert ours == ()
            continue
        theirs = mpmath_roots(coefficients)
        assert len(ours) == len(theirs)
        for root in theirs:
            nearest = min(ours, key=lambda z, root=root: abs(z - complex(root)))
            with mpmath.workdps(50):
                # Each part on its own: a tiny real part beside a large imaginary one counts.
                assert abs(nearest.real - root.real) <= 1e-13 * abs(root.real)
                assert abs(nearest.imag - root.imag) <= 1e-13 * abs(root.imag)


def buffered_poles(count):
    """``count`` identical buffered RC sections: one pole, ``count`` times."""
    stages = []
    for k in range(1, count + 1):
        if k > 1:
            stages.append(Stage(Place.BUFFER))
        stages += [
            Stage(Place.SERIES, element("R", f"R{k}", 4700)),
            Stage(Place.SHUNT, element("C", f"C{k}", "33e-9")),
        ]
    return Ladder(tuple(stages))


@pytest.mark.parametrize("count", [2, 3, 7])
def test_repeated_poles_are_exactly_equal(count):
    f = facts(buffered_poles(count))
    exact = -1 / (4700 * Fraction("33e-9"))
    assert f.poles == (complex(float(exact), 0.0),) * count
    if count == 2:
        assert f.pole_nature is PoleNature.DOUBLE
        assert f.q_squared == Fraction(1, 4)


def test_double_poles_differ_from_nearly_double_ones():
    f = facts(STIFF["nearly double"])
    assert f.pole_nature is PoleNature.COMPLEX
    assert f.poles[0] == f.poles[1].conjugate() != f.poles[1]


def test_exact_cancellation_leaves_a_flat_divider():
    """A compensated attenuator: R1·C1 = R2·C2 cancels the pole exactly (common practice)."""
    arm = parallel(R(9_000_000, "R1"), C("10e-12", "C1"))
    foot = parallel(R(1_000_000, "R2"), C("90e-12", "C2"))
    f = facts(ladder(("series", arm), ("shunt", foot)))
    assert f.type is FilterType.FLAT
    assert f.transfer.order == 0
    assert f.gain_low == Fraction(1, 10)
    off = parallel(R(1_000_000, "R2"), C("91e-12", "C2"))
    assert facts(ladder(("series", arm), ("shunt", off))).type is FilterType.OTHER


def test_resistors_only():
    f = facts(ladder(("series", R(3000)), load=1000))
    assert f.type is FilterType.FLAT
    assert (f.poles, f.zeros, f.corner_hz, f.q) == ((), (), None, None)
    assert f.gain_low == f.gain_high == Fraction(1, 4)
    assert f.peak_gain == 0.25
    assert f.peak_hz is None


def test_undamped_resonance_has_no_peak_and_no_q():
    f = facts(ladder(("series", L("1e-3")), ("shunt", C("1e-9"))))
    assert f.type is FilterType.LOW_PASS
    assert f.poles == (1e6j, -1e6j)
    assert (f.q, f.peak_gain, f.peak_hz, f.edges_hz) == (None, None, None, (None, None))


def test_forty_elements():
    """The largest circuit allowed: poles still certified, each conjugate pair exact."""
    stages = []
    for k in range(1, 20):
        stages += [
            Stage(Place.SERIES, element("L", f"L{k}", f"{k}e-3")),
            Stage(Place.SHUNT, join(Joint.PARALLEL, element("C", f"C{k}", f"{k}e-9"))),
        ]
    f = facts(Ladder(tuple(stages), element("R", "Rs", 600), element("R", "RL", 600)))
    assert f.transfer.order == 38
    assert f.slope_high == -760
    assert all(p.real < 0 for p in f.poles)
    assert {p.conjugate() for p in f.poles} == set(f.poles)
