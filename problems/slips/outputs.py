"""Slips about what comes out.

That direct current passes whatever there is, that what is nearer to the source gets more, and that
one current means one voltage, is documented in Coppens, Van den Bossche & De Cock, Am. J. Phys. 85
(2017) 937 (from memory); the others are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..questions.model import Rung
from ..questions.outputs import (
    ALIKE,
    AT_F0,
    DC,
    HIGH,
    IN_TURN,
    TEN,
    TENTH,
    Output,
    order_of,
    outputs_of,
    rank,
    resonance_squared,
)
from ..questions.values import value_of
from .case import Case, Guess, Topic

TOPIC = Topic("outputs")

RANKED = (Rung.TAPS_RANKED, Rung.CIRCUITS_RANKED)


@TOPIC.slip("dc-always-passes", Rung.DC_OUTPUT)
def dc_always_passes(case: Case) -> Iterator[Guess]:
    """Direct current is thought to get through whatever there is."""
    if case.question.truth == "nothing":
        yield Guess("all")
        yield Guess("part")


@TOPIC.slip("capacitor-blocks-dc", Rung.DC_OUTPUT)
def capacitor_blocks_dc(case: Case) -> Iterator[Guess]:
    """Wherever a capacitor stands, it is thought to block direct current."""
    if case.capacitors:
        yield Guess("nothing")


@TOPIC.slip("high-always-passes", Rung.HIGH_OUTPUT)
def high_always_passes(case: Case) -> Iterator[Guess]:
    """Something is thought to be left of every frequency."""
    if case.question.truth == "nothing":
        yield Guess("all")
        yield Guess("part")


@TOPIC.slip("coil-blocks-high", Rung.HIGH_OUTPUT)
def coil_blocks_high(case: Case) -> Iterator[Guess]:
    """Wherever a coil stands, it is thought to block high frequencies."""
    if case.inductors:
        yield Guess("nothing")


@TOPIC.slip("coil-takes-dc", Rung.DC_OUTPUT)
def coil_takes_dc(case: Case) -> Iterator[Guess]:
    """Wherever a coil stands, it is thought to short direct current."""
    if case.inductors:
        yield Guess("nothing")


@TOPIC.slip("capacitor-takes-high", Rung.HIGH_OUTPUT)
def capacitor_takes_high(case: Case) -> Iterator[Guess]:
    """Wherever a capacitor stands, it is thought to short high frequencies."""
    if case.capacitors:
        yield Guess("nothing")


@TOPIC.slip("divider-overlooked", Rung.DC_OUTPUT, Rung.HIGH_OUTPUT)
def divider_overlooked(case: Case) -> Iterator[Guess]:
    """What conducts is thought to pass all there is."""
    if case.question.truth == "part":
        yield Guess("all")


@TOPIC.slip("resistor-always-costs", Rung.DC_OUTPUT, Rung.HIGH_OUTPUT)
def resistor_always_costs(case: Case) -> Iterator[Guess]:
    """A resistance in the way is thought to take a part, current or none."""
    if case.question.truth == "all" and case.resistors:
        yield Guess("part")


# ------------------------------------------------------------------- orders

_OTHER = {DC: HIGH, HIGH: DC, TENTH: TEN, TEN: TENTH}


def _place(case: Case) -> str:
    return value_of(case.question.values, "asked", str)


def _outputs(case: Case) -> tuple[Output, ...]:
    return outputs_of(case.ladder, case.question.values, case.rung)


def _omega_squared(case: Case) -> Fraction:
    if case.rung is Rung.TAPS_RANKED:
        return case.facts.corner_squared or Fraction(1)
    return resonance_squared(case.ladder) or Fraction(1)


def _order(case: Case, order: str | None) -> Iterator[Guess]:
    if order is not None:
        yield Guess(order, case.question.values)


@TOPIC.slip("other-end-ranked", *RANKED)
def other_end_ranked(case: Case) -> Iterator[Guess]:
    """What L and C do at low and at high frequency exchanged."""
    other = _OTHER.get(_place(case))
    if other is not None:
        yield from _order(case, rank(_outputs(case), other, _omega_squared(case)))


@TOPIC.slip("resonance-leaves-nothing", Rung.TAPS_RANKED)
def resonance_leaves_nothing(case: Case) -> Iterator[Guess]:
    """L and C together drop nothing at f0, so that neither is thought to have a voltage."""
    if _place(case) == AT_F0:
        found = _outputs(case)
        squares = [Fraction(not output.across.kind.reactive) for output in found]
        yield from _order(case, order_of(squares) if sum(squares) == 1 else None)


@TOPIC.slip("first-gets-most", Rung.TAPS_RANKED)
def first_gets_most(case: Case) -> Iterator[Guess]:
    """What is nearer to the source is thought to get more."""
    yield from _order(case, IN_TURN)


@TOPIC.slip("one-current-one-voltage", Rung.TAPS_RANKED)
def one_current_one_voltage(case: Case) -> Iterator[Guess]:
    """The same current, so the same voltage."""
    yield from _order(case, ALIKE)


@TOPIC.slip("series-part-read", Rung.CIRCUITS_RANKED)
def series_part_read(case: Case) -> Iterator[Guess]:
    """The voltage across the part in series is taken for the output."""
    turned = [Output(o.parts, next(p for p in o.parts if p != o.across)) for o in _outputs(case)]
    yield from _order(case, rank(turned, _place(case), _omega_squared(case)))


@TOPIC.slip("source-on-all", Rung.CIRCUITS_RANKED)
def source_on_all(case: Case) -> Iterator[Guess]:
    """One source, so one output."""
    yield from _order(case, ALIKE)


@TOPIC.slip("ranked-at-dc", *RANKED)
def ranked_at_dc(case: Case) -> Iterator[Guess]:
    """The order at an end given for that at f0."""
    if _place(case) == AT_F0:
        for end in DC, HIGH:
            yield from _order(case, rank(_outputs(case), end, _omega_squared(case)))
