"""The catalogue: every row's claims against exact facts and hand-derived H(s)."""

from __future__ import annotations

import math
import re
import tomllib
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from importlib.resources import files

import pytest
from rungwise.problems.analysis.idle import generic
from rungwise.problems.analysis.letters import letter_transfer
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue import families
from rungwise.problems.catalogue.draw_values import draw
from rungwise.problems.catalogue.families import FAMILIES, Family, UnknownFamily, find, of_level
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Arm, Element, Group, Kind, Ladder
from rungwise.problems.formulas.equal import same
from rungwise.problems.formulas.read import parse
from rungwise.problems.generate.analyse import drawn_circuit
from rungwise.problems.questions.model import GAIN_NAMES
from rungwise.tutor.language.errors import worded

from tests.support.refusals import refused

PAIR = "(R1*R2*C1*C2*s**2 + (R1*C1 + R2*C2 + R1*C2)*s + 1)"
"""Two unbuffered RC sections: the buffered denominator with the cross term R1·C2."""

# H(s) of each family in the letters of its pattern.  Derived by hand by voltage division,
# common practice, no source.  The ladders of three and four poles are held to tabulated
# prototypes below instead.
TRANSFER = {
    "rc-low-pass": "1/(R*C*s + 1)",
    "rl-low-pass": "R/(L*s + R)",
    "rc-high-pass": "R*C*s/(R*C*s + 1)",
    "rl-high-pass": "L*s/(L*s + R)",
    "series-rlc-across-c": "1/(L*C*s**2 + R*C*s + 1)",
    "series-rlc-across-l": "L*C*s**2/(L*C*s**2 + R*C*s + 1)",
    "series-rlc-across-r": "R*C*s/(L*C*s**2 + R*C*s + 1)",
    "series-rlc-across-lc": "(L*C*s**2 + 1)/(L*C*s**2 + R*C*s + 1)",
    "series-fed-low-pass": "RL/(L*C*RL*s**2 + L*s + RL)",
    "shunt-fed-low-pass": "RL/(L*C*Rs*s**2 + (Rs*RL*C + L)*s + Rs + RL)",
    "series-fed-high-pass": "L*C*RL*s**2/(L*C*RL*s**2 + L*s + RL)",
    "shunt-fed-high-pass": "L*C*RL*s**2/(L*C*(Rs + RL)*s**2 + (Rs*RL*C + L)*s + Rs)",
    "series-fed-band-pass": "RL*C*s/(L*C*s**2 + (Rs + RL)*C*s + 1)",
    "shunt-fed-band-pass": "L*RL*s/(L*C*Rs*RL*s**2 + L*(Rs + RL)*s + Rs*RL)",
    "series-fed-notch": "RL*(L*C*s**2 + 1)/(L*C*RL*s**2 + L*s + RL)",
    "shunt-fed-notch": "RL*(L*C*s**2 + 1)/(L*C*(Rs + RL)*s**2 + Rs*RL*C*s + Rs + RL)",
    "loaded-rc-low-pass": "RL/(R*RL*C*s + R + RL)",
    "loaded-rc-high-pass": "R*RL*C*s/(R*RL*C*s + R + RL)",
    "lag-network": "(R2*C*s + 1)/((R1 + R2)*C*s + 1)",
    "loaded-rl-low-pass": "R*RL/(L*(R + RL)*s + R*RL)",
    "loaded-rl-high-pass": "L*RL*s/(L*(R + RL)*s + R*RL)",
    "coupling-capacitor": "RL*C*s/((Rs + RL)*C*s + 1)",
    "bypass-capacitor": "RL/(Rs*RL*C*s + Rs + RL)",
    "series-choke": "RL/(L*s + Rs + RL)",
    "shunt-choke": "L*RL*s/(L*(Rs + RL)*s + Rs*RL)",
    "doubly-terminated-low-pass": "RL/(L*C*RL*s**2 + (L + Rs*RL*C)*s + Rs + RL)",
    "doubly-terminated-high-pass":
        "L*C*RL*s**2/(L*C*(Rs + RL)*s**2 + (Rs*RL*C + L)*s + RL)",
    "buffered-high-pass-low-pass": "R1*C1*s/((R1*C1*s + 1)*(R2*C2*s + 1))",
    "buffered-low-pass-high-pass": "R2*C2*s/((R1*C1*s + 1)*(R2*C2*s + 1))",
    "buffered-low-pass-pair": "1/((R1*C1*s + 1)*(R2*C2*s + 1))",
    "buffered-high-pass-pair": "R1*C1*R2*C2*s**2/((R1*C1*s + 1)*(R2*C2*s + 1))",
    "unbuffered-high-pass-low-pass": f"R1*C1*s/{PAIR}",
    "unbuffered-low-pass-high-pass": f"R2*C2*s/{PAIR}",
    "unbuffered-low-pass-pair": f"1/{PAIR}",
    "unbuffered-high-pass-pair": f"R1*R2*C1*C2*s**2/{PAIR}",
    "buffered-rl-rc-low-pass": "R1/((L*s + R1)*(R2*C*s + 1))",
    "buffered-rc-rl-band-pass": "R1*C*s*R2/((R1*C*s + 1)*(L*s + R2))",
    "receiver-tank": "L*RL*s/(L*C*Rs*RL*s**2 + L*(Rs + RL)*s + Rs*RL)",
    "receiver-tank-with-trimmer":
        "L*RL*s/(L*(C1 + C2)*Rs*RL*s**2 + L*(Rs + RL)*s + Rs*RL)",
    "unloaded-tank": "L*s/(L*C*Rs*s**2 + L*s + Rs)",
    "parallel-capacitors-low-pass": "1/(R*(C1 + C2)*s + 1)",
    "series-capacitors-high-pass": "R*C1*C2*s/(R*C1*C2*s + C1 + C2)",
    "capacitor-across-source": "1/(R*C2*s + 1)",
    "dangling-capacitor": "R*C1*s/(R*C1*s + 1)",
    "series-inductors-low-pass": "R/((L1 + L2)*s + R)",
    "parallel-inductors-high-pass": "L1*L2*s/(L1*L2*s + R*(L1 + L2))",
    "dangling-inductor": "1/(R*C*s + 1)",
    "ideal-source-low-pass": "RL/(L*s + RL)",
    "ideal-source-high-pass": "RL*C*s/(RL*C*s + 1)",
    "ideal-source-tank": "1",
    "ideal-source-pi": "RL/(L*C2*RL*s**2 + L*s + RL)",
    "resistors-only": "R2*RL/(R1*R2 + R1*RL + R2*RL)",
    "buffered-resistors": "R2/(R1 + R2)*RL/(R3 + RL)",
    "series-rlc-two-capacitors": "1/(L*(C1 + C2)*s**2 + R*(C1 + C2)*s + 1)",
    "series-rlc-two-inductors": "1/((L1 + L2)*C*s**2 + R*C*s + 1)",
    "series-rlc-split-capacitor":
        "R*C1*C2*s/(L*C1*C2*s**2 + R*C1*C2*s + C1 + C2)",
    "series-rlc-split-inductor":
        "((L1 + L2)*C*s**2 + 1)/((L1 + L2)*C*s**2 + R*C*s + 1)",
    "t-low-pass-3":
        "RL/(L1*L2*C*s**3 + (L1*C*RL + L2*C*Rs)*s**2 + (L1 + L2 + Rs*RL*C)*s + Rs + RL)",
    "pi-low-pass-3":
        "RL/(L*C1*C2*Rs*RL*s**3 + L*(C1*Rs + C2*RL)*s**2"
        " + (L + (C1 + C2)*Rs*RL)*s + Rs + RL)",
    "tank-with-coil-loss":
        "RL*(L*s + R)/(Rs*RL*(L*C*s**2 + R*C*s + 1) + (Rs + RL)*(L*s + R))",
    "series-resonator-with-coil-loss": "RL*C*s/(L*C*s**2 + (Rs + R + RL)*C*s + 1)",
    "series-notch-with-coil-loss":
        "RL*(L*C*s**2 + R*C*s + 1)/((Rs + RL)*(L*C*s**2 + R*C*s + 1) + L*s + R)",
    "shunt-notch-with-coil-loss":
        "RL*(L*C*s**2 + R*C*s + 1)/((Rs + RL)*(L*C*s**2 + R*C*s + 1) + Rs*RL*C*s)",
    "low-pass-with-trap": "RL*(L*C1*s**2 + 1)/(L*RL*(C1 + C2)*s**2 + L*s + RL)",
    "leaky-high-pass": "R2*(R1*C*s + 1)/(R1*R2*C*s + R1 + R2)",
    "high-pass-with-coil-loss": "(L*s + R2)/(L*s + R1 + R2)",
    "lag-network-with-inductor": "R2*(L*s + R1)/((R1 + R2)*L*s + R1*R2)",
    "lead-network": "R2*(R1*C*s + 1)/(R1*R2*C*s + R1 + R2)",
    "lead-network-with-inductor": "(L*s + R2)/(L*s + R1 + R2)",
    "lag-lead-network":
        "(R1*C1*s + 1)*(R2*C2*s + 1)/((R1*C1*s + 1)*(R2*C2*s + 1) + R1*C2*s)",
    "shelf-up":
        "R2*(R1*C1*s + 1)/(R1*R2*C1*s + R1 + R2)*R4*(R3*C2*s + 1)/(R3*R4*C2*s + R3 + R4)",
    "shelf-down":
        "(R2*C1*s + 1)/((R1 + R2)*C1*s + 1)*(R4*C2*s + 1)/((R3 + R4)*C2*s + 1)",
    "singly-terminated-low-pass-3": "RL/(L1*L2*C*s**3 + L1*C*RL*s**2 + (L1 + L2)*s + RL)",
}  # fmt: skip

each_family = pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)


@pytest.mark.parametrize("name", TRANSFER)
def test_transfer_function_is_the_one_derived_by_hand(name: str) -> None:
    ladder = generic(find(name).ladder)
    letters = {e.name: e.value for e in ladder.elements()}
    transfer = facts(ladder).transfer
    # Two fractions of degree at most 4 that agree at 12 points are the same.
    for s in range(1, 13):
        x = Fraction(s, 700_000)
        expected = eval(TRANSFER[name], {"__builtins__": {}}, {**letters, "s": x})
        assert _at(transfer.numerator, x) / _at(transfer.denominator, x) == expected


@pytest.mark.parametrize("name", TRANSFER)
def test_letters_give_the_transfer_function_derived_by_hand(name: str) -> None:
    ladder = find(name).ladder
    letters = [e.name for e in ladder.elements()]
    derived = parse(TRANSFER[name], letters)
    assert same(parse(letter_transfer(ladder).text, letters), derived)


def _at(descending: tuple[Fraction, ...], x: Fraction) -> Fraction:
    total = Fraction(0)
    for c in descending:
        total = total * x + c
    return total


def test_every_row_of_one_or_two_poles_has_a_derivation() -> None:
    assert {f.name for f in FAMILIES if f.order <= 2} <= set(TRANSFER)


# Doubly terminated Butterworth prototypes, Ω = 1, ω = 1: g_k = 2 sin((2k − 1)π/2n)
# (common tables); singly terminated, the element next to the load last: value from memory.
BUTTERWORTH = {
    "pi-low-pass-3": (1.0, 2.0, 1.0),
    "t-low-pass-3": (1.0, 2.0, 1.0),
    "pi-high-pass-3": (1.0, 2.0, 1.0),
    "t-high-pass-3": (1.0, 2.0, 1.0),
    "singly-terminated-low-pass-3": (1.5, 4 / 3, 0.5),
    "singly-terminated-high-pass-3": (1.5, 4 / 3, 0.5),
    "series-fed-low-pass-4": (0.7654, 1.8478, 1.8478, 0.7654),
    "shunt-fed-low-pass-4": (0.7654, 1.8478, 1.8478, 0.7654),
    "series-fed-high-pass-4": (0.7654, 1.8478, 1.8478, 0.7654),
    "shunt-fed-high-pass-4": (0.7654, 1.8478, 1.8478, 0.7654),
}


@pytest.mark.parametrize("name", BUTTERWORTH)
def test_butterworth_values_put_the_poles_on_the_unit_circle(name: str) -> None:
    family = find(name)
    g = BUTTERWORTH[name]
    # A high-pass takes the reciprocal of each value (reactances swap at ω = 1).
    values = g if family.type is families.LOW else tuple(1 / x for x in g)
    names = [e.name for e in family.ladder.reactive()]
    known = facts(_valued(family.ladder, dict(zip(names, values, strict=True))))
    n = len(g)
    assert len(known.poles) == n
    expected = sorted(math.cos((2 * k + n - 1) * math.pi / (2 * n)) for k in range(1, n + 1))
    assert sorted(p.real for p in known.poles) == pytest.approx(expected, abs=1e-3)
    assert [abs(p) for p in known.poles] == pytest.approx([1] * n, abs=1e-3)


def test_band_pass_ladders_from_a_butterworth_prototype() -> None:
    # The low-pass to band-pass step of centre 1 and bandwidth b divides ωL and ωC of each
    # arm by b and resonates it at 1 (common practice): doubly terminated n = 2 has g = √2,
    # √2, and the −3 dB edges multiply to 1 and differ by b.
    b, g = 0.5, math.sqrt(2)
    for name in ("series-fed-band-pass-4", "shunt-fed-band-pass-4"):
        arms = {"L1": g / b, "C1": b / g, "L2": b / g, "C2": g / b}
        if name.startswith("shunt"):
            arms = {"L1": b / g, "C1": g / b, "L2": g / b, "C2": b / g}
        low, high = facts(_valued(find(name).ladder, arms)).edges_hz
        assert low is not None and high is not None
        assert low * high * math.tau**2 == pytest.approx(1, rel=1e-9)
        assert (high - low) * math.tau == pytest.approx(b, rel=1e-9)


def _valued(ladder: Ladder, values: dict[str, float]) -> Ladder:
    def arm_of(arm: Arm) -> Arm:
        if isinstance(arm, Element):
            return replace(arm, value=Fraction(values.get(arm.name, 1.0)))
        return Group(arm.joint, tuple(arm_of(part) for part in arm.parts))

    def end(element: Element | None) -> Element | None:
        return element and replace(element, value=Fraction(1))

    stages = tuple(replace(s, arm=arm_of(s.arm)) if s.arm else s for s in ladder.stages)
    return Ladder(stages, end(ladder.source), end(ladder.load))


@each_family
def test_what_the_row_says_is_true_of_what_is_drawn(family: Family) -> None:
    drawn = 0
    for seed in range(40):
        ladder = _drawn_as_asked(family, seed)
        if ladder is None:
            continue
        drawn += 1
        known = facts(ladder)
        named = known.type_exact if family.since < GAIN_NAMES else known.type
        assert named is family.type
        assert known.transfer.order == family.order
        assert known.fed is family.fed
        assert tuple(h.reason for h in known.hidden) == family.hidden
        assert _parts(ladder) == _parts(family.ladder)
    assert drawn >= 30


def _drawn_as_asked(family: Family, seed: int) -> Ladder | None:
    """A circuit of the family; of real parts, whose levels decide, one that may be asked about."""
    if not family.levels:
        return draw(family, Chance(seed, family.name))
    found = (drawn_circuit(family, seed, number) for number in range(40))
    return next((ladder for ladder, _ in filter(None, found)), None)


def _parts(ladder: Ladder) -> Counter[tuple[str, Kind]]:
    """How many of each kind there are in series, in shunt, as source and as load."""
    found: Counter[tuple[str, Kind]] = Counter()
    for stage in ladder.stages:
        if stage.arm is not None:
            found.update((stage.place.value, e.kind) for e in _leaves(stage.arm))
    found.update({("source", Kind.R): ladder.source is not None})
    found.update({("load", Kind.R): ladder.load is not None})
    return found


def _leaves(arm: Arm) -> list[Element]:
    if isinstance(arm, Element):
        return [arm]
    return [e for part in arm.parts for e in _leaves(part)]


@each_family
def test_sizes_name_parts_of_the_pattern(family: Family) -> None:
    names = {e.name for e in family.ladder.elements()}
    assert set(family.sizes) <= names
    assert (family.q == families.NONE) == (family.order != 2)


def test_names_are_unique_slugs_and_levels_ascend() -> None:
    names = [f.name for f in FAMILIES]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z]+(-[a-z0-9]+)*", name) for name in names)
    levels = [f.level for f in FAMILIES]
    assert levels == sorted(levels)
    assert set(levels) == set(families.LEVELS)
    assert [f for level in families.LEVELS for f in of_level(level)] == list(FAMILIES)


@each_family
def test_every_family_has_lookalikes_of_the_same_kinds_of_part(family: Family) -> None:
    assert family.lookalikes
    assert family.name not in family.lookalikes
    for name in family.lookalikes:
        assert family.name in find(name).lookalikes


def test_every_type_is_met_and_no_level_is_of_one_type_alone() -> None:
    assert {f.type for f in FAMILIES} == set(families.FilterType) - {
        families.FilterType.ALL_PASS,
    }
    for level in families.LEVELS:
        assert len({f.type for f in of_level(level)}) >= 2


def test_find() -> None:
    assert find("rc-low-pass") is FAMILIES[0]
    with pytest.raises(UnknownFamily) as caught:
        find("rc-lowpass")
    assert "rc-low-pass" in caught.value.near
    assert "did you mean" in worded(caught.value)
    with refused(UnknownFamily, says=r"no family 'xyzzy'$"):
        find("xyzzy")


def test_words_are_there_for_exactly_the_families() -> None:
    words = tomllib.loads(files("rungwise.content").joinpath("families.toml").read_text("utf-8"))
    assert list(words) == [f.name for f in FAMILIES]
    for entry in words.values():
        assert set(entry) == {"title", "say"}
        assert entry["title"].strip() and not entry["title"].endswith(".")
        assert entry["say"].endswith(".") and entry["say"].count(".") == 1
    titles = [entry["title"] for entry in words.values()]
    assert len(set(titles)) == len(titles)
