"""Current sources and duals: a voltage source turned into a current source, and circuits' duals.

A source of Vs behind Rs does to everything outside what a source of the current Vs/Rs does with Rs
beside it (Norton's theorem; OpenStax and every text on circuits).  For the sources of the formulas
see ``analysis/resonator.py`` and ``circuits/dual.py``.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import partial

from ..analysis.idle import generic
from ..analysis.resonator import PlainResonator
from ..analysis.response import Facts, facts
from ..circuits.dual import dual, dual_value, has_dual, rebuilt
from ..circuits.model import Arm, CircuitError, Element, Group, Ladder, merged, valueless
from ..quantities.units import Quantity
from ..quantities.write import rounded
from .asking import Asking, quantity
from .energy import AMPS, VOLTS, named, resonator_of
from .kind_row import NAMED
from .kinds import MAKERS
from .model import PLACES, Choice, Form, Question, Rung, Values
from .values import value_of


@MAKERS(Rung.SOURCE_CURRENT)
def _source_current(asking: Asking) -> Question | None:
    source = asking.facts.ladder.source
    if source is None or source.value is None:
        return None
    volts = asking.chance.pick(VOLTS)
    values = (("volts", Quantity(volts, "V")), ("source", source.name))
    return quantity(Rung.SOURCE_CURRENT, float(volts / source.value), "A", values)


def _tank(asking: Asking) -> PlainResonator | None:
    """The tank of a source with its resistance beside it, which something else damps too."""
    found = resonator_of(asking)
    if found is None or found.series or found.source is None or not found.behind:
        return None
    return found


def _on_current(found: PlainResonator) -> Values:
    assert found.source is not None
    return (*named(found), ("source", found.source.name))


@MAKERS(Rung.CURRENT_OUTPUT)
def _output(asking: Asking) -> Question | None:
    found = _tank(asking)
    if found is None:
        return None
    amps = asking.chance.pick(AMPS)
    values = (*_on_current(found), ("amps", Quantity(amps, "A")))
    return quantity(Rung.CURRENT_OUTPUT, float(amps) * found.ohms(), "V", values)


_OF_TANKS: tuple[tuple[Rung, str, Callable[[PlainResonator], float]], ...] = (
    (Rung.SEEN_RESISTANCE, "Ω", PlainResonator.ohms),
    (Rung.PARALLEL_Q, "", PlainResonator.q),
    (Rung.PARALLEL_BAND, "Hz", PlainResonator.bandwidth_hz),
)
"""Figures of the parallel circuit, with their units."""


def _of_tank(
    rung: Rung, unit: str, figure: Callable[[PlainResonator], float], asking: Asking
) -> Question | None:
    found = _tank(asking)
    return None if found is None else quantity(rung, figure(found), unit, _on_current(found))


for _rung, _unit, _figure in _OF_TANKS:
    MAKERS(_rung)(partial(_of_tank, _rung, _unit, _figure))


# ------------------------------------------------------------------------- duals


def ends_product(ladder: Ladder) -> Fraction:
    """Rs·RL in Ω², with which the dual has the two ends exchanged."""
    assert ladder.source is not None and ladder.load is not None
    return ladder.source.amount * ladder.load.amount


@MAKERS(Rung.DUAL_VALUE)
def _dual_value(asking: Asking) -> Question | None:
    ladder = asking.facts.ladder
    if not has_dual(ladder) or not ladder.reactive():
        return None
    part = asking.chance.pick(ladder.reactive())
    ohms = rounded(float(ends_product(ladder)) ** 0.5, 2)
    truth = dual_value(part, ohms**2)
    assert truth is not None
    values = (("asked", part.kind.value), ("element", part.name), ("ohms", Quantity(ohms, "Ω")))
    return quantity(Rung.DUAL_VALUE, float(truth), part.kind.dual.unit, values)


def half_duals(ladder: Ladder) -> Iterator[tuple[str, Ladder]]:
    """Circuits that are no dual, each with the slip that leads to it, the likeliest first.

    ``ladder`` is one that has a dual.
    """
    squared = ends_product(ladder)

    def none(_: Element) -> bool:
        return False

    ways: list[tuple[str, Ladder]] = [
        ("arms-kept", rebuilt(ladder, squared=squared, places=False, joints=False)),
        ("parts-kept", rebuilt(ladder, squared=squared, parts=none)),
    ]
    if any(isinstance(stage.arm, Group) for stage in ladder.stages):
        ways += [
            ("joints-kept", rebuilt(ladder, squared=squared, joints=False)),
            ("parts-kept", rebuilt(ladder, squared=squared, joints=False, parts=none)),
            ("arms-kept", rebuilt(ladder, squared=squared, places=False)),
        ]
    for kept in ladder.reactive():
        one = rebuilt(ladder, squared=squared, parts=partial(operator.ne, kept))
        ways.append(("one-part-kept", one))
    yield from ways


def plan_of(ladder: Ladder) -> tuple[object, ...]:
    """What is the same for circuits that differ in names, values and the order within an arm."""

    def of(arm: Arm) -> str:
        if isinstance(arm, Element):
            return arm.kind.value
        return f"{arm.joint}({','.join(sorted(map(of, arm.parts)))})"

    return tuple((s.place, s.arm and of(s.arm)) for s in merged(ladder).stages)


def shape(known: Facts) -> tuple[object, ...]:
    """What no choice of values can change, so that circuits that differ in it are no duals."""
    slopes = known.slope_low, known.slope_high
    return (known.type_exact, known.transfer.order, *slopes, known.axis_zero_pairs > 0)


def _alike(one: Facts, other: Facts) -> bool:
    """Whether two responses are the same but for a constant factor, exactly."""
    a, b = one.transfer, other.transfer
    tops = zip(a.numerator, b.numerator, strict=True) if a.zero_count == b.zero_count else ()
    ratios = {Fraction(y) / x if x else None for x, y in tops if x or y}
    return a.denominator == b.denominator and len(ratios) == 1 and None not in ratios


def _shape(ladder: Ladder) -> tuple[object, ...] | None:
    try:
        found = facts(generic(ladder))
    except CircuitError:
        return None
    return shape(found) if found.type_exact.value in NAMED else None


@MAKERS(Rung.WHICH_DUAL)
def _which_dual(asking: Asking) -> Question | None:
    known = asking.facts
    ladder = known.ladder
    if not has_dual(ladder) or len(ladder.reactive()) < 2 or known.type_exact.value not in NAMED:
        return None
    if _shape(ladder) != shape(known):
        return None  # these values do what others do not
    right = dual(ladder, ends_product(ladder))
    if not _alike(known, facts(right)):
        raise ArithmeticError(f"{right} is no dual")  # pragma: no cover - it always is
    drawn = [plan_of(right)]
    wrong: list[Ladder] = []
    for _, other in half_duals(ladder):
        seen, picture = _shape(other), plan_of(other)
        if seen is not None and seen != shape(known) and picture not in drawn:
            drawn.append(picture)
            wrong.append(other)
    if len(wrong) < len(PLACES) - 1:
        return None
    # The two usual mistakes are always there, and one of the others.
    kept = [*wrong[:2], asking.chance.pick(wrong[2:])]
    order = asking.chance.shuffled([right, *kept])
    # Without values: they would tell the value of a part in the dual, which may be asked beside.
    choices = tuple(
        Choice(place, (("circuit", valueless(merged(one))),))
        for place, one in zip(PLACES, order, strict=True)
    )
    truth = PLACES[order.index(right)]
    return Question(Rung.WHICH_DUAL, Form.CHOICE, truth, choices)


def chosen_circuit(choice: Choice) -> Ladder:
    """The circuit, without values, that is offered as a ``choice``."""
    return value_of(choice.values, "circuit", Ladder)
