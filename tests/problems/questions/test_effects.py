"""What a change does: held against closed forms of R-L-C, scipy, and brute force."""

from __future__ import annotations

import math
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.altered import with_value
from rungwise.problems.circuits.model import CircuitError, Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.questions.effects import ANOTHER, WAYS, EffectOn, changed_value, effects
from rungwise.problems.questions.looks import TYPES
from rungwise.tutor.phrases.effects import why
from scipy import signal

from tests.support.strategies import ladders

ACROSS = {
    "C1": "series R1 = {r} Ω; series L1 = {l} mH; shunt C1 = {c} nF",
    "L1": "series R1 = {r} Ω; series C1 = {c} nF; shunt L1 = {l} mH",
    "R1": "series L1 = {l} mH; series C1 = {c} nF; shunt R1 = {r} Ω",
    "LC": "series R1 = {r} Ω; shunt L1 = {l} mH + C1 = {c} nF",
}
"""A series R-L-C with its output in four places."""
SERIES = {
    "r": {"corner": "same", "q": "down", "bandwidth": "up", "gain": "same"},
    "l": {"corner": "down", "q": "up", "bandwidth": "down", "gain": "same"},
    "c": {"corner": "down", "q": "down", "bandwidth": "same", "gain": "same"},
}
"""ω0 = 1/√(LC), Q = √(L/C)/R, B = R/(2πL), gain 1: what doubling does (common practice)."""


def told(before: str, after: str) -> dict[str, str]:
    one, other = facts(read_circuit(before)), facts(read_circuit(after))
    return {effect.on.value: effect.truth for effect in effects(one, other)}


@pytest.mark.parametrize("tap", ACROSS)
@pytest.mark.parametrize("part", "rlc")
def test_doubling_a_part_of_a_series_rlc(tap: str, part: str) -> None:
    for seed in range(6):
        chance = Random(f"{tap} {part} {seed}")
        values = {name: chance.randint(1, 999) for name in "rlc"}
        doubled = values | {part: 2 * values[part]}
        found = told(ACROSS[tap].format(**values), ACROSS[tap].format(**doubled))
        expected = dict(SERIES[part])
        if tap in ("C1", "L1"):  # a low-pass or a high-pass has no band
            del expected["bandwidth"]
        assert found == expected


def test_a_parallel_rlc_fed_through_a_resistance() -> None:
    """Q = R·√(C/L) and B = 1/(2π·R·C): the other way round."""
    circuit = "source {r} Ω; shunt L1 = {l} mH || C1 = {c} nF"
    values = {"r": 1000, "l": 10, "c": 100}
    ways = {
        "r": {"corner": "same", "q": "up", "bandwidth": "down", "gain": "same"},
        "l": {"corner": "down", "q": "down", "bandwidth": "same", "gain": "same"},
        "c": {"corner": "down", "q": "up", "bandwidth": "down", "gain": "same"},
    }
    for part, expected in ways.items():
        doubled = values | {part: 2 * values[part]}
        assert told(circuit.format(**values), circuit.format(**doubled)) == expected


def test_the_tap_moves_the_type_and_nothing_of_the_poles() -> None:
    values = {"r": 100, "l": 10, "c": 100}
    types = {"C1": "low-pass", "L1": "high-pass", "R1": "band-pass", "LC": "notch"}
    start = ACROSS["C1"].format(**values)
    for tap, kind in types.items():
        if tap == "C1":
            continue
        assert told(start, ACROSS[tap].format(**values)) == {
            "type": kind, "corner": "same", "q": "same", "gain": "same",
        }  # fmt: skip


def test_a_load_lowers_the_gain_and_a_step_of_one_per_cent_is_told() -> None:
    loaded = "source 1 kΩ; shunt C1 = 100 nF; load 1 kΩ"
    assert told("source 1 kΩ; shunt C1 = 100 nF", loaded) == {
        "type": "low-pass", "corner": "up", "gain": "down",
    }  # fmt: skip
    finer = facts(read_circuit("series R1 = 1.00001 kΩ; shunt C1 = 100 nF"))
    effect = effects(facts(read_circuit("series R1 = 1 kΩ; shunt C1 = 100 nF")), finer)[0]
    assert effect.truth == "down"
    before, after = why(effect, finer).partition("from ")[2].rstrip(".").split(" to ")
    assert before != after  # as many digits as tell them apart


def by_scipy(ladder: Ladder) -> dict[str, float]:
    """f0, Q, B and gain by the poles and the response that scipy makes of H(s)."""
    transfer = facts(ladder).transfer
    top = [float(c) for c in transfer.numerator]
    bottom = [float(c) for c in transfer.denominator]
    _, poles, _ = signal.tf2zpk(top, bottom)
    omega = math.sqrt(abs(poles[0] * poles[1]))
    q = omega / abs(poles[0] + poles[1])
    return {"corner": omega / math.tau, "q": q, "bandwidth": omega / q / math.tau}


@pytest.mark.parametrize("seed", range(40))
def test_directions_are_those_of_the_poles_by_scipy(seed: int) -> None:
    chance = Random(seed)
    circuit = chance.choice(
        (
            *ACROSS.values(),
            "source {r} Ω; shunt L1 = {l} mH || C1 = {c} nF; load 470 Ω",
            "source {r} Ω; series L1 = {l} mH; shunt C1 = {c} nF; load 1 kΩ",
            "source {r} Ω; shunt C1 = {c} nF || (L1 = {l} mH + R2 = 3 Ω)",
        )
    )
    values = {"r": chance.randint(10, 9999), "l": chance.randint(1, 99), "c": chance.randint(1, 99)}
    part = chance.choice("rlc")
    other = values | {part: values[part] * chance.choice((2, 3, 10))}
    one, two = (read_circuit(circuit.format(**each)) for each in (values, other))
    first, second = by_scipy(one), by_scipy(two)
    found = [e for e in effects(facts(one), facts(two)) if e.on.value in first]
    assert {EffectOn.CORNER, EffectOn.Q} <= {e.on for e in found}
    for effect in found:
        before, after = first[effect.on.value], second[effect.on.value]
        same = math.isclose(before, after, rel_tol=1e-9)
        assert effect.truth == ("same" if same else "up" if after > before else "down"), effect
        assert effect.before == pytest.approx(before) and effect.after == pytest.approx(after)


@settings(max_examples=60, deadline=None)
@given(ladders(laboratory=True, max_stages=3), ladders(laboratory=True, max_stages=3))
def test_every_answer_of_any_change_has_an_exact_reason(one: Ladder, other: Ladder) -> None:
    try:
        before, after = facts(one), facts(other)
    except CircuitError:
        return
    for effect in effects(before, after):
        assert effect.truth in effect.choices
        reason = why(effect, after)
        assert reason.endswith(".") and "{" not in reason
        if effect.on is EffectOn.TYPE:
            kind = after.type.value
            assert effect.truth == (kind if kind in TYPES else ANOTHER)
        else:
            # The sentence says the way that the figures went, and so refutes any other.
            way = {"up": "goes up", "down": "goes down", "same": "stays"}
            said = {key for key, words in way.items() if words in reason}
            assert said == {effect.truth}, reason
            assert effect.choices == WAYS
    own = effects(before, before)
    assert {e.truth for e in own if e.on is not EffectOn.TYPE} <= {"same"}


def test_only_a_value_that_differs_names_its_part() -> None:
    ladder = read_circuit("series R1 = 1 kΩ; shunt C1 = 100 nF")
    assert changed_value(ladder, with_value(ladder, "R1", Fraction(7))) == "R1"
    assert changed_value(ladder, ladder) == ""
    assert changed_value(ladder, read_circuit("shunt R1 = 2 kΩ; series C1 = 100 nF")) == ""
    assert changed_value(ladder, read_circuit("series R1 = 2 kΩ; shunt C1 = 10 nF")) == ""
