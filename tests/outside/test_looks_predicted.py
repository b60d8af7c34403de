"""What looks of the second format call right, against nodal analysis, scipy and closed forms.

No truth is computed as the generator computes it: circuits are analysed with numpy at values that
have nothing to do with theirs, curves are those of scipy for the textbook H(s) in ω0 and Q.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.response import facts
from rungwise.problems.analysis.two_poles import swing
from rungwise.problems.catalogue.prototypes import QUALITIES, TYPES_OF_TWO, prototype
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.look import look_of, make_look
from rungwise.problems.generate.look_draw import HARDEST
from rungwise.problems.generate.look_made import unloaded_look
from rungwise.problems.hints.counterfact_changes import ON
from rungwise.problems.hints.counterfact_curves import level_at_corner, width
from rungwise.problems.questions.looks import PREDICTED, Look, LookKind
from scipy import signal

from tests.support import told_predicted as outside
from tests.support.oracle import Network

LOOKS = 60
"""Looks of a kind; ``tests.studies.explain_every_answer`` takes more."""


def truth_outside(look: Look) -> str | None:
    """What is right by other means than the generator's; ``None`` where they do not reach."""
    kind = look.kind
    plain = outside.near_one(look.ladder, 3)
    if kind in ON:
        pair = outside.pair_of(look, look.ladder, 3)
        found = [outside.figure_of(ON[kind], one, outside.type_of(look.ladder)) for one in pair]
        if None in found:
            return None
        before, after = found
        assert before is not None and after is not None
        same = math.isclose(before, after, rel_tol=1e-7)
        return "same" if same else "up" if after > before else "down"
    match kind:
        case LookKind.DC_OUTPUT:
            found = outside.share(plain, End.LOW)
            return "nothing" if not found else "all" if found > 1 - 1e-6 else "part"
        case LookKind.CORNER_PHASE:
            known = outside.corner(plain)
            if known is None:
                return None
            degrees = round(outside.phase_at(plain, known[0]))
            return f"{degrees:+d}" if degrees else "0"
        case LookKind.LARGER_OUTPUT:
            return _larger(look)
        case LookKind.SAME_TRANSFER:
            return _one(look, lambda ladder: _same_form(look.ladder, ladder))
        case LookKind.STEP_OF_CIRCUIT:
            return _one(look, lambda ladder: _ends(ladder) == _ends(look.ladder))
        case LookKind.STEP_OF_MAP:
            return _one(look, lambda ladder: _map(ladder) == _map(look.ladder))
    wanted = outside.QS[str(dict(look.values)["q"])]
    return _one(look, lambda ladder: math.isclose(_corner(ladder)[1], wanted, rel_tol=1e-6))


def _one(look: Look, fits: Callable[[Ladder], bool]) -> str:
    [place] = [n for n, ladder in enumerate(look.shown) if fits(ladder)]
    return look.answers[place]


def _corner(ladder: Ladder) -> tuple[float, float]:
    found = outside.corner(ladder)
    assert found is not None
    return found


def _ends(ladder: Ladder) -> tuple[bool, bool]:
    plain = outside.near_one(ladder, 3)
    return outside.share(plain, End.LOW) > 0, outside.share(plain, End.HIGH) > 0


def _map(ladder: Ladder) -> tuple[object, ...]:
    return (*_ends(ladder), round(_corner(ladder)[1], 6))


def _larger(look: Look) -> str:
    where = str(dict(look.values)["where"])
    pair = [outside.near_one(ladder, 3) for ladder in look.shown]
    if where == "corner":
        omega = _corner(pair[0])[0]
        first, second = (outside.gain(ladder, omega) for ladder in pair)
    else:
        first, second = (outside.share(ladder, End(where)) for ladder in pair)
    if math.isclose(first, second, rel_tol=1e-6, abs_tol=1e-9):
        return "same"
    return "first" if first > second else "second"


def _same_form(one: Ladder, other: Ladder) -> bool:
    """Whether the responses are the same as they stand: the values of the twin are chosen so."""
    middle = _mean_pole(one)
    places = middle * np.geomspace(1e-2, 1e2, 41) / math.tau
    a, b = Network(one).response(places), Network(other).response(places)
    return bool(np.allclose(a, b, rtol=1e-6, atol=1e-9))


def _mean_pole(ladder: Ladder) -> float:
    """The mean size of the poles in rad/s."""
    known = facts(ladder)
    return float(np.exp(np.mean(np.log(np.abs(known.poles)))))


@cache
def looks(kind: LookKind) -> tuple[Look, ...]:
    return tuple(make_look(seed, kind, hard=seed % (HARDEST + 1)) for seed in range(LOOKS))


@pytest.mark.parametrize("kind", PREDICTED)
def test_what_is_right_is_right_by_other_means(kind: LookKind) -> None:
    reached = 0
    for look in looks(kind):
        truth = truth_outside(look)
        reached += truth is not None
        assert truth in (None, look.truth), (look.seed, look.structure)
    assert reached >= 0.6 * LOOKS


# Prototypes and closed forms


@pytest.mark.parametrize("kind", TYPES_OF_TWO)
def test_prototypes_are_the_textbook_forms_at_one_hertz(kind: str) -> None:
    """scipy.signal.freqs of ω0², s², or s·ω0/Q over s² + s·ω0/Q + ω0² (common practice)."""
    places = np.geomspace(0.1, 10, 61)
    for quality in QUALITIES:
        ladder = prototype(kind, quality)
        top, bottom = outside.textbook(kind, quality.q)
        _, wanted = signal.freqs(top, bottom, worN=math.tau * places)
        assert np.allclose(Network(ladder).response(places), wanted, rtol=1e-6)
        known = facts(ladder)
        assert known.q_squared == quality.squared and math.isclose(known.corner_hz or 0, 1)


def test_swings_are_the_closed_form_of_the_overshoot() -> None:
    """exp(−πζ/√(1−ζ²)) with ζ = 1/2Q; 16.3 % for ζ = ½ in every text on control, from memory."""
    for quality in QUALITIES:
        zeta = 1 / (2 * quality.q)
        if zeta < 1:
            wanted = math.exp(-math.pi * zeta / math.sqrt(1 - zeta**2))
            values = outside.step_of("low-pass", quality.q, 3.0)
            assert math.isclose(swing(quality.q), wanted, rel_tol=1e-12)
            assert math.isclose(max(values) - 1, wanted, abs_tol=1e-3)
    one = next(quality for quality in QUALITIES if quality.text == "1")
    assert math.isclose(swing(one.q), 0.163, abs_tol=5e-4)


def test_the_peak_is_the_closed_form_and_the_gain_at_the_corner_is_q() -> None:
    """Peak Q/√(1 − 1/4Q²) of a low-pass with Q > 1/√2 (common practice, no source)."""
    places = np.geomspace(0.3, 1.2, 8001)
    for quality in QUALITIES:
        q, ladder = quality.q, prototype("low-pass", quality)
        gains = np.abs(Network(ladder).response(places))
        if q > math.sqrt(0.5) + 1e-9:
            assert math.isclose(float(max(gains)), q / math.sqrt(1 - 1 / (4 * q * q)), rel_tol=1e-4)
        assert math.isclose(outside.gain(ladder, math.tau), q, rel_tol=1e-6)
    said = {quality.text: level_at_corner(quality) for quality in QUALITIES}
    assert (said["½"], said["1/√2"], said["2"], said["10"]) == ("−6 dB", "−3 dB", "+6 dB", "+20 dB")
    assert width(next(q for q in QUALITIES if q.text == "2")) == "0.5 Hz"


# Published worked examples


def test_a_series_circuit_of_a_textbook() -> None:
    """Alexander & Sadiku, "Fundamentals of Electric Circuits", ch. 14 (values from memory).

    2 Ω, 1 mH, 0.4 µF in series: 50 krad/s, Q = 25, and so 2 krad/s wide; double the resistance,
    and the band is twice as wide.
    """
    ladder = read_circuit("series L1 = 1 mH + C1 = 0.4 uF; shunt R1 = 2")
    known = facts(ladder)
    assert math.isclose(math.tau * (known.corner_hz or 0), 50e3) and math.isclose(known.q or 0, 25)
    seen = {}
    for seed in range(12):
        for kind in LookKind.CHANGE_BANDWIDTH, LookKind.CHANGE_Q, LookKind.CHANGE_GAIN:
            look = look_of(ladder, kind, seed)
            if look is not None:
                seen[kind, str(dict(look.values)["part"])] = look.truth
    assert seen[LookKind.CHANGE_BANDWIDTH, "R1"] == "up"
    assert seen[LookKind.CHANGE_BANDWIDTH, "L1"] == "down"
    assert seen[LookKind.CHANGE_BANDWIDTH, "C1"] == "same"
    assert seen[LookKind.CHANGE_Q, "R1"] == "down"
    gains = {truth for (kind, _), truth in seen.items() if kind is LookKind.CHANGE_GAIN}
    assert gains == {"same"}


def test_a_loaded_low_pass_of_a_textbook() -> None:
    """Lessons in Electric Circuits, vol. II, ch. 8: 500 Ω and 7 µF, corner 45.473 Hz.

    The book loads it with 1 kΩ: then 30 Hz leave .6102 V, 150 Hz .2760 V of 1 V.
    """
    ladder = read_circuit("series R1 = 500; shunt C1 = 7u; load 1k")
    look = unloaded_look(ladder, LookKind.LOAD_CORNER, 0, Chance(0))
    assert look is not None and look.truth == "down"
    gains = np.abs(Network(ladder).response([30.0, 150.0]))
    assert np.allclose(gains, [0.6102, 0.2760], atol=6e-5)
    assert math.isclose(
        facts(read_circuit("series R1 = 500; shunt C1 = 7u")).corner_hz or 0, 45.473, rel_tol=1e-4
    )
    assert (facts(ladder).corner_hz or 0) > 45.473
    dc = look_of(ladder, LookKind.DC_OUTPUT)
    assert dc is not None and dc.truth == "part"
