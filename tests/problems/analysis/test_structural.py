"""What holds whatever the values: hand-derived cases, and exact H(s) of random circuits."""

from __future__ import annotations

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.idle import generic
from rungwise.problems.analysis.response import facts
from rungwise.problems.analysis.structural import ends, structural_facts, without_losses
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.questions.looks import TYPES
from rungwise.problems.questions.model import GAIN_NAMES

from tests.support.topologies import random_topology

CERTAIN = [
    ("series R; shunt C", "low-pass", 1, 0, 1),
    ("series L; shunt C; load RL", "low-pass", 2, 0, 2),
    ("series C1; shunt L1; series C2; shunt L2; load RL", "high-pass", 4, 4, 0),
    ("source Rs; shunt L || C", "band-pass", 2, 1, 1),
    ("source Rs; shunt L + C", "notch", 2, 0, 0),
    # A lossy coil leaves a high-pass a high-pass.
    ("source Rs; series C; shunt L + R", "high-pass", 2, 1, 0),
    # A capacitor in series with a resistance still blocks.
    ("series R1 + C; shunt R2", "high-pass", 1, 1, 0),
    ("shunt L || C; load RL", "flat", 0, 0, 0),
]
UNCERTAIN = {
    # exactly a low-pass; for whoever calls R the coil's loss, a tuned circuit
    "lossy tank": "source Rs; shunt (L + R) || C; load RL",
    # exactly a low-pass without a null: the loss fills it
    "lossy trap in a low-pass": "series (L || C1) || R; shunt C2; load RL",
    "low-pass with a trap": "series L || C1; shunt C2; load RL",
    "two notches": "source Rs; shunt L1 + C1; shunt L2 + C2",
    "lag": "series R1; shunt R2 + C",
    # both arms short at high frequency: they divide
    "capacitors divide": "series C1; shunt R || C2",
    "inductors divide": "series L1; shunt L2; load RL",
    # without the loss beside C1 two capacitors divide at DC
    "a leak decides": "source Rs; series C1 || R; shunt L + C2",
}


@pytest.mark.parametrize(("text", "type_", "order", "low", "high"), CERTAIN)
def test_types_that_nobody_disputes(text: str, type_: str, order: int, low: int, high: int) -> None:
    known = structural_facts(read_circuit(text))
    assert known.certain
    assert (known.type.value, known.order) == (type_, order)
    assert (known.ends.low, known.ends.high) == (low, high)


@pytest.mark.parametrize("text", UNCERTAIN.values(), ids=list(UNCERTAIN))
def test_types_that_somebody_may_dispute_are_not_certain(text: str) -> None:
    assert not structural_facts(read_circuit(text)).certain


def test_an_end_may_be_certain_where_the_type_is_not() -> None:
    lag = structural_facts(read_circuit("series R1; shunt R2 + C"))
    assert lag.certain_ends == {End.LOW}  # with R2 = 0 nothing would come out at the other


def test_every_named_type_of_the_catalogue_is_certain() -> None:
    for family in FAMILIES:
        known = structural_facts(family.ladder)
        assert known.order == family.order
        if family.since < GAIN_NAMES:
            assert known.certain == (family.type.value in TYPES), family.name
            assert known.type is family.type
        else:  # of real parts the values decide, and what is certain is what they decide
            assert not known.certain or known.type is family.type, family.name


def test_losses_turn_ideal_arm_by_arm() -> None:
    ladder = read_circuit("source Rs; shunt (L + R1) || C || R2; series R3; load RL")
    ideal = without_losses(ladder, ("R1", "R2"))
    assert write_circuit(ideal, "; ") == "source Rs; shunt L || C; series R3; load RL"
    # Two resistances that make one are one loss: neither 0 alone nor ∞ alone.
    pair = read_circuit("source Rs; shunt (R1 + R2) || C")
    assert write_circuit(without_losses(pair, ("R1",)), "; ") == "source Rs; shunt C"


def test_the_feed_is_told_only_where_the_first_reactive_arm_has_a_say() -> None:
    assert structural_facts(read_circuit("series R; shunt C")).fed == "shunt"
    assert structural_facts(read_circuit("shunt C1; series R; shunt C2")).fed is None


def test_what_is_stored_and_never_seen_is_known() -> None:
    assert structural_facts(
        read_circuit("source Rs; shunt L1; series L2; shunt L3; load RL")
    ).unseen
    # a loop of capacitors with the source holds nothing back: one pole less, and none unseen
    assert not structural_facts(read_circuit("series C1; shunt C2; shunt R")).unseen


def test_ends_are_those_of_exact_transfer_functions() -> None:
    for seed in range(1500):
        ladder = random_topology(Chance(seed, "ends"), 1 + seed % 4)
        known = facts(generic(ladder))
        at = ends(ladder)
        assert 20 * at.low == known.slope_low
        assert -20 * at.high == known.slope_high
        assert (at.low == 0) == (known.gain_low > 0)
