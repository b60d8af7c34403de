"""Elements that add no pole are named, with the reason."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.idle import Hidden, Reason, hidden_elements
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.model import Ladder, Place, Stage

from tests.outside.circuits import C, L, R, ladder, parallel, series
from tests.support.oracle import element

C2, L2, R2 = C("2.2e-7", "C2"), L("2e-3", "L2"), R(330, "R2")

CASES = {
    "capacitors in one bank": (
        ladder(("series", R(1000)), ("shunt", parallel(C("1e-7"), C2))),
        [Hidden("C2", Reason.COMBINABLE, "C1")],
    ),
    "capacitors in neighbouring shunt arms": (
        ladder(("series", R(1000)), ("shunt", C("1e-7")), ("shunt", R2), ("shunt", C2)),
        [Hidden("C2", Reason.COMBINABLE, "C1")],
    ),
    "inductors in a chain, a resistor between": (
        ladder(("series", L("1e-3")), ("series", R(1000)), ("series", L2), load=50),
        [Hidden("L2", Reason.COMBINABLE, "L1")],
    ),
    "across an ideal source": (
        ladder(("shunt", C("1e-7")), ("series", R(1000)), ("shunt", C2)),
        [Hidden("C1", Reason.ACROSS_SOURCE)],
    ),
    "across a resistive source": (
        ladder(("shunt", C("1e-7")), ("series", R(1000)), ("shunt", C2), source=50),
        [],
    ),
    "dangling": (
        ladder(("series", R(1000)), ("shunt", C("1e-7")), ("series", L("1e-3"))),
        [Hidden("L1", Reason.DANGLING)],
    ),
    "loaded, so not dangling": (
        ladder(("series", R(1000)), ("shunt", C("1e-7")), ("series", L("1e-3")), load=50),
        [],
    ),
    "a capacitive divider": (
        ladder(("series", C("1e-7")), ("shunt", C2)),
        [Hidden("C1", Reason.DEPENDENT), Hidden("C2", Reason.DEPENDENT)],
    ),
    "a loaded capacitive divider": (
        ladder(("series", C("1e-7")), ("shunt", C2), load=1000),
        [Hidden("C2", Reason.DEPENDENT)],
    ),
    "one current in two inductors, and not in the output": (
        ladder(("series", L("1e-3")), ("shunt", series(L2, C("1e-7")))),
        [Hidden("L2", Reason.DEPENDENT)],
    ),
    "inside a group": (
        ladder(("series", parallel(series(L("1e-3"), L2), C("1e-7"))), load=50),
        [Hidden("L2", Reason.COMBINABLE, "L1")],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_hidden_elements(name):
    circuit, expected = CASES[name]
    assert list(hidden_elements(circuit)) == expected
    f = facts(circuit)
    assert f.seen_count == f.transfer.order


def test_either_side_of_a_buffer():
    stages = (
        Stage(Place.SERIES, element("R", "R1", 1000)),
        Stage(Place.SHUNT, element("C", "C1", "1e-7")),
        Stage(Place.SERIES, element("L", "L1", "1e-3")),
        Stage(Place.BUFFER),
        Stage(Place.SHUNT, element("C", "C2", "1e-7")),
        Stage(Place.SERIES, element("R", "R2", 1000)),
        Stage(Place.SHUNT, element("C", "C3", "1e-7")),
    )
    assert hidden_elements(Ladder(stages)) == (
        Hidden("L1", Reason.DANGLING),
        Hidden("C2", Reason.ACROSS_SOURCE),
    )


def test_a_chance_cancellation_hides_nothing():
    arm = parallel(R(9_000_000), C("10e-12"))
    foot = parallel(R(1_000_000, "R2"), C("90e-12", "C2"))
    f = facts(ladder(("series", arm), ("shunt", foot), load="1e12"))
    balanced = facts(ladder(("series", arm), ("shunt", foot)))
    assert balanced.transfer.order == 0
    assert balanced.hidden == f.hidden


PARTS = st.sampled_from("RLC")


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["series", "shunt"]), PARTS), min_size=1, max_size=7))
def test_parts_that_are_not_hidden_make_a_pole_each(rungs):
    """With values that have nothing to do with each other, every part not hidden is a pole."""
    primes = [101, 103, 107, 109, 113, 127, 131]
    stages = tuple(
        Stage(Place(place), element(kind, f"{kind}{k + 1}", primes[k]))
        for k, (place, kind) in enumerate(rungs)
    )
    f = facts(Ladder(stages, element("R", "Rs", 97), element("R", "RL", 89)))
    assert f.seen_count == f.transfer.order
    assert len({h.name for h in f.hidden}) == len(f.hidden)
