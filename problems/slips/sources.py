"""Slips about current sources and duals.

Common practice, no source; the formulas are those of ``analysis/resonator.py`` and
``circuits/dual.py``.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from ..analysis.resonator import resonator_of
from ..circuits.model import Kind
from ..quantities.units import Quantity
from ..questions.model import Rung
from ..questions.sources import chosen_circuit, half_duals, plan_of
from ..questions.values import value_of
from .case import Case, Guess, Topic
from .energy import ON_CURRENT, by_ohms
from .reverse import prefix_lost

TOPIC = Topic("current sources and duals")


@TOPIC.slip("current-through-load", Rung.SOURCE_CURRENT)
def current_through_load(case: Case) -> Iterator[Guess]:
    """Vs/(Rs + RL): the current into the load, for that into a short."""
    source, load = case.ladder.source, case.ladder.load
    if source is not None and load is not None:
        share = float(source.amount / (source.amount + load.amount))
        yield Guess(case.truth * share, (("load", load.name),))


@TOPIC.slip("load-for-source", Rung.SOURCE_CURRENT)
def load_for_source(case: Case) -> Iterator[Guess]:
    """Vs/RL."""
    source, load = case.ladder.source, case.ladder.load
    if source is not None and load is not None:
        yield Guess(case.truth * float(source.amount / load.amount), (("load", load.name),))


@TOPIC.slip("voltage-times-resistance", Rung.SOURCE_CURRENT)
def voltage_times_resistance(case: Case) -> Iterator[Guess]:
    """Vs·Rs, which is no current."""
    source = case.ladder.source
    assert source is not None
    yield Guess(case.truth * float(source.amount) ** 2)


@TOPIC.slip("source-resistance-dropped", *ON_CURRENT)
def source_resistance_dropped(case: Case) -> Iterator[Guess]:
    """The source's resistance gone with the voltage source."""
    found = resonator_of(case.ladder)
    values = (("source", found.source.name if found.source else ""),)
    yield Guess(by_ohms(case, found.ohms(found.behind)), values)


@TOPIC.slip("load-ignored", *ON_CURRENT)
def load_ignored(case: Case) -> Iterator[Guess]:
    """The load left out."""
    found = resonator_of(case.ladder)
    if found.load is not None:
        yield Guess(by_ohms(case, found.ohms(found.without_load)))


# √(L/C), the reactance of L and of C, for what the tank is at resonance.
TOPIC.answer(
    "reactance-for-tank",
    Rung.SEEN_RESISTANCE,
    by=lambda c: resonator_of(c.ladder).reactance,
    near=True,
)


# ------------------------------------------------------------------------- duals


def _scaled(case: Case, power: int) -> float:
    """The dual's value with a power of R too many, of L over R² and C times R²."""
    factor = float(value_of(case.question.values, "ohms", Quantity).value) ** power
    return case.truth * factor if case.question.asked == Kind.L.value else case.truth / factor


# L/R or C·R for L/R² or C·R².
TOPIC.answer("dual-not-squared", Rung.DUAL_VALUE, by=lambda c: _scaled(c, 1))
# L·R² or C/R².
TOPIC.answer("dual-upside-down", Rung.DUAL_VALUE, by=lambda c: _scaled(c, 4))
# The number of henries taken for farads, or the reverse.
TOPIC.answer("dual-same-number", Rung.DUAL_VALUE, by=lambda c: _scaled(c, 2))
TOPIC.slip("prefix-lost", Rung.DUAL_VALUE)(prefix_lost)


def _half_dual(case: Case, *, slip: str) -> Iterator[Guess]:
    """The circuits to choose from in which a step to the dual was forgotten."""
    offered = {plan_of(chosen_circuit(choice)): choice.id for choice in case.question.choices}
    for forgotten, circuit in half_duals(case.ladder):
        place = offered.get(plan_of(circuit))
        if forgotten == slip and place not in (None, case.question.truth):
            yield Guess(str(place))


for _id in ("arms-kept", "parts-kept", "joints-kept", "one-part-kept"):
    TOPIC.slip(_id, Rung.WHICH_DUAL)(partial(_half_dual, slip=_id))
