"""Looks against modified nodal analysis with numpy, which shares no code with the core.

The type, the zeros at the origin and the slopes are read off the gain far below and far above
everything the circuit does, and a null off the depth of the gain between.  The pole count is the
least degree of a quotient of polynomials that fits samples of H(jω).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.generate.look import make_look
from rungwise.problems.generate.look_draw import HARDEST
from rungwise.problems.questions.looks import Look, LookKind

from tests.support.oracle import Network

LOOKS = 200
_FAR = 1e5
_NULL = 1e-3


def _span(ladder: Ladder) -> tuple[float, float]:
    """Where the circuit does what it does, in Hz: the least and greatest of R/L, 1/RC, 1/√LC."""
    values = {
        kind: [float(e.value or 0) for e in ladder.elements() if e.kind == kind] for kind in "RLC"
    }
    places = [r / x for r in values["R"] for x in values["L"]]
    places += [1 / (r * c) for r in values["R"] for c in values["C"]]
    places += [1 / math.sqrt(x * c) for x in values["L"] for c in values["C"]]
    places = places or [math.tau * 1000]
    return min(places) / math.tau, max(places) / math.tau


def _slope(network: Network, low: float) -> int:
    """dB/decade over one decade, to the nearest 20."""
    one, two = np.abs(network.response([low, 10 * low]))
    return 20 * round(math.log10(two / one))


def _ends(ladder: Ladder) -> tuple[int, int]:
    low, high = _span(ladder)
    network = Network(ladder)
    return _slope(network, low / _FAR), _slope(network, high * _FAR / 10)


def _depth(ladder: Ladder) -> float:
    """The least gain between the ends, by the gain at DC: a null is found by narrowing down."""
    low, high = _span(ladder)
    network = Network(ladder)
    least = 1.0
    for _ in range(6):
        f = np.geomspace(low / 30, high * 30, 400) if least == 1.0 else np.geomspace(low, high, 60)
        gains = np.abs(network.response(f))
        k = int(np.argmin(gains))
        least = min(least, float(gains[k] / np.abs(network.response([_span(ladder)[0] / _FAR]))[0]))
        low, high = f[max(k - 1, 0)], f[min(k + 1, len(f) - 1)]
    return least


def _type(ladder: Ladder) -> str:
    low, high = _ends(ladder)
    if low and high:
        return "band-pass"
    if low or high:
        return "high-pass" if low else "low-pass"
    return "notch" if _depth(ladder) < _NULL else "flat"


def _looks(kind: LookKind, count: int) -> list[Look]:
    met: set[str] = set()
    found = []
    for seed in range(count):
        look = make_look(seed, kind, hard=seed % (HARDEST + 1), avoid=met)
        met.add(look.structure)
        found.append(look)
    assert len(met) == count
    return found


def test_types_of_200_structures() -> None:
    for look in _looks(LookKind.TYPE, LOOKS):
        assert _type(look.ladder) == look.truth, look.structure


@pytest.mark.parametrize("kind", [LookKind.LOW_SLOPE, LookKind.HIGH_SLOPE, LookKind.ORIGIN_ZEROS])
def test_slopes_and_zeros_at_the_origin_of_200_structures(kind: LookKind) -> None:
    for look in _looks(kind, LOOKS):
        low, high = _ends(look.ladder)
        answer = {
            LookKind.LOW_SLOPE: f"{low:+d}" if low else "0",
            LookKind.HIGH_SLOPE: str(high),
            LookKind.ORIGIN_ZEROS: str(low // 20),
        }[kind]
        assert answer == look.truth, look.structure


def test_pictures_and_pairs_have_the_types_they_are_told_apart_by() -> None:
    for kind in (LookKind.WHICH_RESPONSE, LookKind.WHICH_CIRCUIT):
        for look in _looks(kind, 20):
            seen = {(_type(ladder), *_ends(ladder)) for ladder in look.shown}
            assert len(seen) == 4
    for look in _looks(LookKind.WHICH_ONE, 40):
        asked = dict(look.values)["asked"]
        fit = [_type(ladder) == asked for ladder in look.shown]
        assert fit == ([True, False] if look.truth == "first" else [False, True])


def test_the_pole_count_is_the_degree_that_fits() -> None:
    for look in _looks(LookKind.POLES, 60):
        order = int(look.truth)
        assert _fits(look.ladder, order), look.structure
        assert order == 0 or not _fits(look.ladder, order - 1), look.structure


def _fits(ladder: Ladder, order: int) -> bool:
    """Whether samples of H(jω) lie on a quotient of two polynomials of a degree."""
    known = facts(ladder)
    sizes = [abs(root) for root in (*known.poles, *known.zeros) if root] or [math.tau * 1000]
    middle = math.exp(sum(map(math.log, sizes)) / len(sizes))
    reach = max(3.0, max(sizes) / middle, middle / min(sizes))
    x = np.geomspace(1 / reach, reach, 40)
    h = Network(ladder).response(x * middle / math.tau)
    powers = (1j * x[:, None]) ** np.arange(order + 1)
    rows = np.hstack([powers, -h[:, None] * powers])
    rows /= np.linalg.norm(rows, axis=1, keepdims=True)
    rows = rows / np.linalg.norm(rows, axis=0, keepdims=True)
    singular = np.linalg.svd(np.vstack([rows.real, rows.imag]), compute_uv=False)
    return bool(singular[-1] < 1e-9 * singular[0])
