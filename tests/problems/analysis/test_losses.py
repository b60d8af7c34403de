"""Losses of a resonator against scipy, nodal analysis and worked formulas of textbooks."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from rungwise.problems.analysis.losses import (
    insertion_loss_db,
    lossy_arm,
    notch_depth_db,
    shifted_slightly,
    unloaded_q,
)
from rungwise.problems.analysis.nodal import Network
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES, Family, find
from rungwise.problems.circuits.model import Element, Ladder, mapped
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.losses import tolerance_of
from rungwise.problems.questions.model import Rung
from scipy.optimize import minimize_scalar
from scipy.signal import TransferFunction

LOSSY = [row for row in FAMILIES if row.group == "coil-loss"]
each_lossy = pytest.mark.parametrize("row", LOSSY, ids=lambda row: row.name)


def circuits(row: Family, count: int = 8) -> list[Ladder]:
    return [generate(seed, family=row.name).ladder for seed in range(count)]


def poles_q(ladder: Ladder) -> float:
    """Q of the upper of the pair of poles that scipy finds: |p|/(2·|Re p|)."""
    transfer = facts(ladder).transfer
    system = TransferFunction(
        [float(c) for c in transfer.numerator], [float(c) for c in transfer.denominator]
    )
    pole = max(system.poles, key=lambda p: p.imag)
    return float(abs(pole) / (-2 * pole.real))


def gain_at(ladder: Ladder, hertz: float) -> float:
    return abs(Network(ladder).response(math.tau * hertz))


def with_ends(ladder: Ladder, factor: Fraction) -> Ladder:
    """The circuit with source and load so many times what they are."""
    ends = {e.name for e in (ladder.source, ladder.load) if e is not None}

    def turned(e: Element) -> Element:
        assert e.value is not None
        return Element(e.kind, e.name, e.value * factor) if e.name in ends else e

    return mapped(ladder, turned)


@each_lossy
def test_the_loaded_q_is_that_of_the_poles_and_the_unloaded_that_without_load(row: Family) -> None:
    # A tank is left alone by ends of very many ohms, L and C in series by ends of none.
    alone = Fraction(10**12) if "||" in row.pattern else Fraction(1, 10**12)
    for ladder in circuits(row):
        known, arm = facts(ladder), lossy_arm(ladder)
        assert arm is not None and known.q is not None
        assert known.q == pytest.approx(poles_q(ladder), rel=1e-6)
        # A tank across an ideal short, or in an open loop, would be no filter: the arm that lies
        # in the way of the signal is left alone by the same ends.
        assert arm.unloaded_q == pytest.approx(poles_q(with_ends(ladder, alone)), rel=1e-4)
        assert arm.unloaded_q > known.q
        coil, capacitor = float(arm.inductor.value or 0), float(arm.capacitor.value or 0)
        (loss,) = arm.resistors
        assert arm.unloaded_q == pytest.approx(math.sqrt(coil / capacitor) / float(loss.value or 0))


def peak_or_bottom(ladder: Ladder, sign: int) -> float:
    """The largest (+1) or smallest (−1) gain about the corner, by a search on nodal analysis."""
    known = facts(ladder)
    assert known.corner_hz is not None and known.q is not None
    middle = math.log(known.corner_hz)
    found = minimize_scalar(
        lambda x: -sign * gain_at(ladder, math.exp(x)),
        bounds=(middle - 0.3 / known.q, middle + 0.3 / known.q),
        method="bounded",
        options={"xatol": 1e-10},
    )
    return sign * -float(found.fun)


@pytest.mark.parametrize("name", ["tank-with-coil-loss", "series-resonator-with-coil-loss"])
def test_insertion_loss_is_what_the_load_lacks_at_the_peak(name: str) -> None:
    for ladder in circuits(find(name)):
        known = facts(ladder)
        assert ladder.source is not None and ladder.load is not None
        rs, rl = float(ladder.source.value or 0), float(ladder.load.value or 0)
        loss = insertion_loss_db(known)
        assert loss is not None
        straight = rl / (rs + rl)
        assert loss == pytest.approx(
            20 * math.log10(straight / peak_or_bottom(ladder, 1)), abs=1e-5
        )
        # By hand: 20·log10(QU/(QU − QL)), a formula of every text on radio filters
        # (Hayward, "Introduction to Radio Frequency Design"; from memory).
        qu = unloaded_q(known)
        assert qu is not None and known.q is not None
        assert loss == pytest.approx(20 * math.log10(qu / (qu - known.q)), abs=0.05)


@pytest.mark.parametrize("name", ["series-notch-with-coil-loss", "shunt-notch-with-coil-loss"])
def test_a_notch_is_as_deep_as_nodal_analysis_finds(name: str) -> None:
    for ladder in circuits(find(name)):
        known = facts(ladder)
        depth, qu = notch_depth_db(known), unloaded_q(known)
        assert depth is not None and qu is not None and known.q is not None
        lower = min(float(known.gain_low), float(known.gain_high))
        found = 20 * math.log10(lower / peak_or_bottom(ladder, -1))
        assert depth == pytest.approx(found, abs=1e-5)
        assert depth == pytest.approx(20 * math.log10(qu / known.q), abs=0.1)
        assert depth >= 23


def test_a_crystal_set() -> None:
    # 250 µH with 5 Ω, 100 pF, between 100 kΩ and 1 MΩ: f0 ≈ 1.007 MHz, loaded Q 48.65.
    known = facts(
        read_circuit("source 100 kΩ; shunt (L = 250 µH + R = 5 Ω) || C = 100 pF; load 1 MΩ")
    )
    assert known.type.value == "band-pass"
    assert known.q == pytest.approx(48.65, abs=0.01)
    assert unloaded_q(known) == pytest.approx(math.sqrt(250e-6 / 100e-12) / 5)
    assert known.bandwidth_hz == pytest.approx(20.7e3, rel=2e-3)
    # What is left: Rp = L/(C·R) = 500 kΩ across 90.9 kΩ, so 20·log10(1 + 90.9/500).
    assert insertion_loss_db(known) == pytest.approx(20 * math.log10(1 + 1 / 5.5), abs=0.01)


def test_worked_example_of_a_parallel_circuit_with_a_real_coil() -> None:
    # OpenStax University Physics 2, ch. 15: 0.2 Ω, 4 mH, 2 µF: 1.12e4 rad/s, Q 224.
    # Its series circuit, seen between ends of no resistance to speak of, has that Q alone.
    known = facts(read_circuit("source 1 mΩ; series R = 0.2 Ω + L = 4 mH + C = 2 µF; load 1 mΩ"))
    assert unloaded_q(known) == pytest.approx(224, abs=0.5)
    assert (known.corner_hz or 0) * math.tau == pytest.approx(1.12e4, rel=5e-3)
    # Bird, worked example (from memory): a coil of 80 Ω and 20 mH tuned by 0.4 µF.
    known = facts(read_circuit("series R = 80 Ω + L = 20 mH + C = 0.4 µF; load 1 mΩ"))
    assert known.corner_hz == pytest.approx(1779.41, abs=0.01)
    assert unloaded_q(known) == pytest.approx(math.tau * 1779.41 * 20e-3 / 80, rel=1e-4)


def test_resistances_across_a_tank_are_its_losses_too() -> None:
    # Alexander & Sadiku, ch. 14 (from memory): 8 kΩ, 0.2 mH, 8 µF in parallel: 25 krad/s, Q 1600.
    known = facts(read_circuit("source 1 MΩ; shunt R = 8 kΩ || L = 0.2 mH || C = 8 µF"))
    arm = lossy_arm(known.ladder)
    assert arm is not None and arm.unloaded_q == pytest.approx(1600)
    assert arm.formula is not None
    assert not shifted_slightly(known.ladder)


@pytest.mark.parametrize(
    "text",
    [
        "source 1 kΩ; shunt L 1 mH || C 1 nF; load 1 kΩ",  # no losses
        "series R 1 kΩ; series L 1 mH; shunt C 1 nF",  # no arm holds all three
        "shunt L 1 mH + R 1 Ω + C 1 nF; series R2 = 1 kΩ; load 1 kΩ",  # it does nothing
        "source 1 kΩ; shunt (L 1 mH + R 10 Ω) || C 1 nF || C2 = 1 nF; load 1 kΩ",  # another C
        "source 1 kΩ; shunt (L 1 mH + R 10 kΩ) || C 1 nF; load 1 kΩ",  # it does not ring
    ],
)
def test_what_is_no_resonator_with_losses(text: str) -> None:
    known = facts(read_circuit(text))
    assert lossy_arm(known.ladder) is None
    assert unloaded_q(known) is insertion_loss_db(known) is notch_depth_db(known) is None


def test_levels_are_right_within_a_quarter_of_a_decibel_at_least() -> None:
    for level in (1.0, 2.3, 5.0, 12.4, 12.6, 40.0):
        within = float(tolerance_of(level)) * level
        assert within >= 0.02 * level - 1e-12
        assert level >= 12.5 or 0.12 <= within <= 0.2501


@each_lossy
def test_q_is_asked_once_and_by_its_name(row: Family) -> None:
    for seed in range(6):
        rungs = {q.rung for q in generate(seed, family=row.name).questions}
        assert Rung.Q not in rungs
        assert {Rung.LOADED_Q, Rung.UNLOADED_Q} <= rungs


def test_numbers_agree_with_numpy() -> None:
    # An independent solution of the tank: node equation at the output.
    w = np.linspace(0.9, 1.1, 2001) * 1e6 * math.tau
    z = 1 / (1j * w * 100e-12 + 1 / (5 + 1j * w * 250e-6) + 1 / 1e6)
    gain = np.abs(z / (z + 100e3))
    known = facts(
        read_circuit("source 100 kΩ; shunt (L = 250 µH + R = 5 Ω) || C = 100 pF; load 1 MΩ")
    )
    assert known.peak_gain == pytest.approx(float(gain.max()), rel=1e-4)
