"""Normalised ladder tables of the classic filter handbooks.

Sources: Zverev, "Handbook of Filter Synthesis" (Wiley 1967) and Matthaei, Young & Jones,
"Microwave Filters, Impedance-Matching Networks, and Coupling Structures" (1964), ch. 4, print
these element values; the doubly terminated Butterworth values also follow from
g_k = 2 sin((2k − 1)π/2n).  The singly terminated Butterworth rows are values from memory,
recomputed.  The response side is checked against scipy.signal's own designs.
"""

import math

import numpy as np
import pytest
from rungwise.problems.analysis.response import facts
from scipy import signal

from .circuits import normalised

TWO_PI = 2 * math.pi

BUTTERWORTH_DOUBLY = {
    1: [2.0],
    2: [1.4142, 1.4142],
    3: [1.0, 2.0, 1.0],
    4: [0.7654, 1.8478, 1.8478, 0.7654],
    5: [0.6180, 1.6180, 2.0, 1.6180, 0.6180],
}
# Value from memory (Zverev, tables for Rs = 0); the element nearest the ideal source first.
BUTTERWORTH_SINGLY = {
    1: [1.0],
    2: [1.4142, 0.7071],
    3: [1.5, 1.3333, 0.5],
    4: [1.5307, 1.5772, 1.0824, 0.3827],
    5: [1.5451, 1.6944, 1.3820, 0.8944, 0.3090],
}
BESSEL_DOUBLY = {2: [0.576, 2.148], 3: [0.3374, 0.9705, 2.2034]}
# ripple dB, values, load resistance
CHEBYSHEV = [
    (0.1, [0.8430, 0.6220], 1.3554),
    (0.5, [1.4029, 0.7071], 1.9841),
    (0.5, [1.5963, 1.0967, 1.5963], 1.0),
    (1.0, [2.0236, 0.9941, 2.0236], 1.0),
]


def assert_poles(found, expected, tolerance):
    assert len(found) == len(expected)
    for pole in expected:
        assert min(abs(pole - other) for other in found) < tolerance * abs(pole)


@pytest.mark.parametrize("first", ["series", "shunt"])
@pytest.mark.parametrize("n", BUTTERWORTH_DOUBLY)
def test_doubly_terminated_butterworth(n, first):
    f = facts(normalised(BUTTERWORTH_DOUBLY[n], source=1, load=1, first=first))
    assert f.type == "low-pass"
    assert f.transfer.order == n
    assert f.slope_high == -20 * n
    _, poles, _ = signal.butter(n, 1, analog=True, output="zpk")
    assert_poles(f.poles, poles, 3e-4)
    # −3 dB at ω = 1 by definition.
    assert f.edges_hz[1] * TWO_PI == pytest.approx(1, abs=3e-4)


@pytest.mark.parametrize("n", BUTTERWORTH_SINGLY)
def test_singly_terminated_butterworth(n):
    f = facts(normalised(BUTTERWORTH_SINGLY[n], source=None, load=1, first="series"))
    _, poles, _ = signal.butter(n, 1, analog=True, output="zpk")
    assert_poles(f.poles, poles, 3e-4)
    assert f.edges_hz[1] * TWO_PI == pytest.approx(1, abs=3e-4)
    assert f.gain_low == 1


@pytest.mark.parametrize("n", BESSEL_DOUBLY)
def test_doubly_terminated_bessel(n):
    # The printed values start at the end with the smallest element; both ends are 1 Ω.
    f = facts(normalised(BESSEL_DOUBLY[n], source=1, load=1, first="shunt"))
    _, poles, _ = signal.bessel(n, 1, analog=True, output="zpk", norm="mag")
    assert_poles(f.poles, poles, 1e-3)
    assert f.edges_hz[1] * TWO_PI == pytest.approx(1, abs=1e-3)


@pytest.mark.parametrize(("ripple", "values", "load"), CHEBYSHEV)
def test_doubly_terminated_chebyshev(ripple, values, load):
    # The first printed value is the series arm next to the source; for even order the
    # shunt arm then lies across the larger resistance, the load.
    f = facts(normalised(values, source=1, load=load, first="series"))
    _, poles, _ = signal.cheby1(len(values), ripple, 1, analog=True, output="zpk")
    assert_poles(f.poles, poles, 1e-3)
    # At the ripple edge the gain is the ripple below the peak.
    edge = abs(f.transfer(1j))
    assert 20 * math.log10(f.peak_gain / edge) == pytest.approx(ripple, abs=2e-3)


# Q of the standard pole pairs; any book on active filters prints them, e.g. Williams &
# Taylor, "Electronic Filter Design Handbook" (value from memory, recomputed by scipy below).
PAIRS = [
    ("butter", 2, None, [0.7071]),
    ("butter", 4, None, [0.5412, 1.3066]),
    ("bessel", 2, None, [0.5774]),
    ("bessel", 3, None, [0.6910]),
    ("cheby1", 2, 0.5, [0.8637]),
    ("cheby1", 2, 1.0, [0.9565]),
]


@pytest.mark.parametrize(("design", "n", "ripple", "qs"), PAIRS)
def test_q_of_standard_pairs(design, n, ripple, qs):
    """A series-fed L-section with each pair's ω0 and Q has exactly that Q and those poles."""
    arguments = (n, 1) if ripple is None else (n, ripple, 1)
    _, poles, _ = getattr(signal, design)(*arguments, analog=True, output="zpk")
    pairs = sorted((p for p in poles if p.imag > 1e-9), key=lambda p: -abs(p) / (2 * p.real))
    assert len(pairs) == len(qs)
    for pole, q in zip(pairs, qs, strict=True):
        assert -abs(pole) / (2 * pole.real) == pytest.approx(q, abs=6e-5)
        w = abs(pole)
        # Ideal source, load 1 Ω: ω0 = 1/√(LC), Q = RL·√(C/L).
        f = facts(normalised([1 / (q * w), q / w], source=None, load=1, first="series"))
        assert f.q == pytest.approx(q, rel=1e-9)
        assert_poles(f.poles, [pole, np.conj(pole)], 2e-4)


TWO_POLE_TABLE = [
    # Q, low-pass peak dB, f_peak/f0, low-pass f_3dB/f0, band-pass edges/f0; derived from the
    # standard second-order forms (common practice, no source), 5 digits.
    (0.5, None, None, 0.64359, (0.41421, 2.41421)),
    (math.sqrt(0.5), 0.0, 0.0, 1.0, (0.51764, 1.93185)),
    (1.0, 1.2494, 0.70711, 1.27202, (0.61803, 1.61803)),
    (2.0, 6.3009, 0.93541, 1.48451, (0.78078, 1.28078)),
    (5.0, 14.023, 0.98995, 1.54277, (0.90499, 1.10499)),
]


@pytest.mark.parametrize(("q", "peak_db", "peak", "edge", "band"), TWO_POLE_TABLE)
def test_two_pole_closed_forms(q, peak_db, peak, edge, band):
    from .circuits import C, L, R, ladder

    # Series R-L-C with ω0 = 1 rad/s and R = 1/Q.
    low = facts(ladder(("series", R(1 / q)), ("series", L(1)), ("shunt", C(1))))
    assert low.edges_hz[1] * TWO_PI == pytest.approx(edge, abs=6e-6)
    if peak_db:
        assert 20 * math.log10(low.peak_gain) == pytest.approx(peak_db, abs=6e-4)
        assert low.peak_hz * TWO_PI == pytest.approx(peak, abs=6e-6)
        high = facts(ladder(("series", R(1 / q)), ("series", C(1)), ("shunt", L(1))))
        assert high.peak_hz * TWO_PI == pytest.approx(1 / peak, rel=1e-5)
        assert high.peak_gain == pytest.approx(low.peak_gain, rel=1e-12)
    else:
        assert low.peak_hz == 0
        assert low.peak_gain == 1
    through = facts(ladder(("series", L(1)), ("series", C(1)), ("shunt", R(1 / q))))
    assert [e * TWO_PI for e in through.edges_hz] == pytest.approx(band, abs=6e-6)
    assert through.edges_hz[0] * through.edges_hz[1] * TWO_PI**2 == pytest.approx(1, rel=1e-12)
    assert through.bandwidth_hz * TWO_PI == pytest.approx(1 / q, rel=1e-12)
