"""Slips about current sources and duals.

Common practice, no source; the formulas are those of ``analysis/resonator.py`` and
``circuits/dual.py``.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from ..circuits.model import Kind
from ..quantities.units import Quantity
from ..questions.model import Rung
from ..questions.sources import chosen_circuit, half_duals, plan_of
from ..questions.values import value_of
from .case import Case, Guess, Topic
from .energy import ON_CURRENT, by_ohms, resonator

TOPIC = Topic("current sources and duals")


@TOPIC.slip("current-through-load", Rung.SOURCE_CURRENT)
def current_through_load(case: Case) -> Iterator[Guess]:
    """Vs/(Rs + RL): the current into the load, for that into a short."""
    source, load = case.ladder.source, case.ladder.load
    if source is not None and load is not None:
        assert source.value is not None and load.value is not None
        share = float(source.value / (source.value + load.value))
        yield Guess(case.truth * share, (("load", load.name),))


@TOPIC.slip("load-for-source", Rung.SOURCE_CURRENT)
def load_for_source(case: Case) -> Iterator[Guess]:
    """Vs/RL."""
    source, load = case.ladder.source, case.ladder.load
    if source is not None and load is not None:
        assert source.value is not None and load.value is not None
        yield Guess(case.truth * float(source.value / load.value), (("load", load.name),))


@TOPIC.slip("voltage-times-resistance", Rung.SOURCE_CURRENT)
def voltage_times_resistance(case: Case) -> Iterator[Guess]:
    """Vs·Rs, which is no current."""
    source = case.ladder.source
    assert source is not None and source.value is not None
    yield Guess(case.truth * float(source.value) ** 2)


@TOPIC.slip("source-resistance-dropped", *ON_CURRENT)
def source_resistance_dropped(case: Case) -> Iterator[Guess]:
    """The source's resistance gone with the voltage source."""
    found = resonator(case)
    values = (("source", found.source.name if found.source else ""),)
    yield Guess(by_ohms(case, found.ohms(found.behind)), values)


@TOPIC.slip("load-ignored", *ON_CURRENT)
def load_ignored(case: Case) -> Iterator[Guess]:
    """The load left out."""
    found = resonator(case)
    if found.load is not None:
        yield Guess(by_ohms(case, found.ohms(found.without_load)))


# √(L/C), the reactance of L and of C, for what the tank is at resonance.
TOPIC.answer(
    "reactance-for-tank", Rung.SEEN_RESISTANCE, by=lambda c: resonator(c).reactance, near=True
)


# ------------------------------------------------------------------------- duals


def _ohms(case: Case) -> float:
    return float(value_of(case.question.values, "ohms", Quantity).value)


def _from_coil(case: Case) -> bool:
    return case.question.asked == Kind.L.value


@TOPIC.slip("dual-not-squared", Rung.DUAL_VALUE)
def dual_not_squared(case: Case) -> Iterator[Guess]:
    """L/R or C·R for L/R² or C·R²."""
    yield Guess(case.truth * _ohms(case) if _from_coil(case) else case.truth / _ohms(case))


@TOPIC.slip("dual-upside-down", Rung.DUAL_VALUE)
def dual_upside_down(case: Case) -> Iterator[Guess]:
    """L·R² or C/R²."""
    squared = _ohms(case) ** 2
    yield Guess(case.truth * squared**2 if _from_coil(case) else case.truth / squared**2)


@TOPIC.slip("dual-same-number", Rung.DUAL_VALUE)
def dual_same_number(case: Case) -> Iterator[Guess]:
    """The number of henries taken for farads, or the reverse."""
    squared = _ohms(case) ** 2
    yield Guess(case.truth * squared if _from_coil(case) else case.truth / squared)


@TOPIC.slip("prefix-lost", Rung.DUAL_VALUE)
def prefix_lost(case: Case) -> Iterator[Guess]:
    """One prefix too many or too few."""
    for factor in 1e3, 1e-3, 1e6, 1e-6:
        yield Guess(case.truth * factor)


def _half_dual(case: Case, *, slip: str) -> Iterator[Guess]:
    """The circuits to choose from in which a step to the dual was forgotten."""
    offered = {plan_of(chosen_circuit(choice)): choice.id for choice in case.question.choices}
    for forgotten, circuit in half_duals(case.ladder):
        place = offered.get(plan_of(circuit))
        if forgotten == slip and place not in (None, case.question.truth):
            yield Guess(str(place))


for _id in ("arms-kept", "parts-kept", "joints-kept", "one-part-kept"):
    TOPIC.slip(_id, Rung.WHICH_DUAL)(partial(_half_dual, slip=_id))
