"""Slips about what comes out.

That direct current passes whatever there is, that what is nearer to the source gets more, and that
one current means one voltage, is documented in Coppens, Van den Bossche & De Cock, Am. J. Phys. 85
(2017) 937 (from memory); the others are common practice, no source.
"""

from __future__ import annotations

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
from .case import Case, Topic, instead

TOPIC = Topic("outputs", as_asked=True)

AT_ENDS = (Rung.DC_OUTPUT, Rung.HIGH_OUTPUT)
RANKED = (Rung.TAPS_RANKED, Rung.CIRCUITS_RANKED)


_SOME = ("all", "part")
# Direct current is thought to get through whatever there is.
TOPIC.answer("dc-always-passes", Rung.DC_OUTPUT, by=instead({"nothing": _SOME}))
# Wherever a capacitor stands, it is thought to block direct current.
TOPIC.answer(
    "capacitor-blocks-dc", Rung.DC_OUTPUT, by=lambda c: "nothing" if c.capacitors else None
)
# Something is thought to be left of every frequency.
TOPIC.answer("high-always-passes", Rung.HIGH_OUTPUT, by=instead({"nothing": _SOME}))
# Wherever a coil stands, it is thought to block high frequencies.
TOPIC.answer("coil-blocks-high", Rung.HIGH_OUTPUT, by=lambda c: "nothing" if c.inductors else None)
# Wherever a coil stands, it is thought to short direct current.
TOPIC.answer("coil-takes-dc", Rung.DC_OUTPUT, by=lambda c: "nothing" if c.inductors else None)
# Wherever a capacitor stands, it is thought to short high frequencies.
TOPIC.answer(
    "capacitor-takes-high", Rung.HIGH_OUTPUT, by=lambda c: "nothing" if c.capacitors else None
)
# What conducts is thought to pass all there is.
TOPIC.answer("divider-overlooked", *AT_ENDS, by=instead({"part": "all"}))
# A resistance in the way is thought to take a part, current or none.
TOPIC.answer(
    "resistor-always-costs", *AT_ENDS,
    by=lambda c: "part" if c.question.truth == "all" and c.resistors else None,
)  # fmt: skip

# ------------------------------------------------------------------- orders

_OTHER = {DC: HIGH, HIGH: DC, TENTH: TEN, TEN: TENTH}


def _ranked(case: Case, place: str | None, outputs: tuple[Output, ...] = ()) -> str | None:
    """The order of the outputs of the question, or of others, at a place."""
    if place is None:
        return None
    omega = resonance_squared(case.ladder)
    if case.rung is Rung.TAPS_RANKED:
        omega = case.facts.corner_squared
    return rank(outputs or _outputs(case), place, omega or Fraction(1))


def _outputs(case: Case) -> tuple[Output, ...]:
    return outputs_of(case.ladder, case.question.values, case.rung)


# What L and C do at low and at high frequency exchanged.
TOPIC.answer("other-end-ranked", *RANKED, by=lambda c: _ranked(c, _OTHER.get(c.question.asked)))


def _pair_silent(case: Case) -> str | None:
    if case.question.asked != AT_F0:
        return None
    squares = [Fraction(not output.across.kind.reactive) for output in _outputs(case)]
    return order_of(squares) if sum(squares) == 1 else None


# L and C together drop nothing at f0, so that neither is thought to have a voltage.
TOPIC.answer("resonance-leaves-nothing", Rung.TAPS_RANKED, by=_pair_silent)
# What is nearer to the source is thought to get more.
TOPIC.answer("first-gets-most", Rung.TAPS_RANKED, by=lambda c: IN_TURN)
# The same current, so the same voltage.
TOPIC.answer("one-current-one-voltage", Rung.TAPS_RANKED, by=lambda c: ALIKE)


def _turned(case: Case) -> str | None:
    turned = (Output(o.parts, next(p for p in o.parts if p != o.across)) for o in _outputs(case))
    return _ranked(case, case.question.asked, tuple(turned))


# The voltage across the part in series is taken for the output.
TOPIC.answer("series-part-read", Rung.CIRCUITS_RANKED, by=_turned)
# One source, so one output.
TOPIC.answer("source-on-all", Rung.CIRCUITS_RANKED, by=lambda c: ALIKE)
# The order at an end given for that at f0.
TOPIC.answer(
    "ranked-at-dc", *RANKED,
    by=lambda c: (_ranked(c, DC), _ranked(c, HIGH)) if c.question.asked == AT_F0 else (),
)  # fmt: skip
