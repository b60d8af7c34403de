"""Random circuits of each family against scipy.signal and a numpy nodal analysis.

Poles and zeros: scipy.signal's roots of the same polynomials, frequency scaled.  Frequency
response: scipy.signal.freqs of the exact coefficients against tests/oracle.py, which stamps
the elements into a matrix and knows nothing of polynomials.
"""

import itertools
import math

import numpy as np
import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.draw_values import draw
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.chance import Chance
from scipy import signal

from tests.support.oracle import Network
from tests.support.samples import sample

COUNT = sample(50, 500)


def scaled(coefficients, w):
    """Coefficients of p(w·x), descending, as floats near one."""
    n = len(coefficients) - 1
    values = [float(c) * w ** (n - k) for k, c in enumerate(coefficients)]
    biggest = max(abs(v) for v in values)
    return np.array([v / biggest for v in values])


def assert_same_roots(ours, theirs, scale):
    assert len(ours) == len(theirs)
    left = list(ours)
    for root in theirs:
        nearest = min(left, key=lambda z: abs(z - root))
        left.remove(nearest)
        # Double precision root finding loses half the digits at a double root.
        assert abs(nearest - root) <= 1e-5 * scale + 1e-5 * abs(root)


def circuits(family):
    """COUNT circuits of a family, as drawn; a draw that no laboratory part fits is passed over."""
    found = 0
    for seed in itertools.count():
        assert seed < 20 * COUNT, f"{family.name} is hardly ever drawn"
        circuit = draw(family, Chance(seed, "scipy", family.name))
        if circuit is not None:
            yield seed, circuit
            found += 1
            if found == COUNT:
                return


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.name)
def test_random_circuits(family):
    for seed, circuit in circuits(family):
        f = facts(circuit)
        t = f.transfer
        w = math.exp(sum(math.log(abs(p)) for p in f.poles) / len(f.poles)) if f.poles else 1e4
        top, bottom = scaled(t.numerator, w), scaled(t.denominator, w)
        gain = float(t.numerator[0]) * w**t.zero_count / w**t.order
        system = signal.TransferFunction(top * gain / top[0], bottom / bottom[0])
        assert_same_roots([p / w for p in f.poles], list(system.poles), 1)
        assert_same_roots([z / w for z in f.zeros], list(system.zeros), 1)
        x = np.logspace(-2, 2, 7)
        _, exact = signal.freqs(system.num, system.den, worN=x)
        nodal = Network(circuit).response(x * w / (2 * math.pi))
        # A notch's centre is a difference of nearly equal numbers: compare with the passband.
        assert np.all(np.abs(exact - nodal) <= 1e-6 * np.abs(exact) + 1e-8 * f.peak_gain), seed
