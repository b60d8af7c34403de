"""Slips of design: the standard form, scaling, tolerances.  Common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from ..analysis.response import TWO_PI, FilterType
from ..quantities.units import Quantity
from ..questions.analyse import pass_band_gain
from ..questions.model import Rung
from ..questions.scaling import (
    OFF,
    SENSITIVITIES,
    TURNED,
    WHOLE,
    figure_of,
    sensitivity,
    standard_form,
)
from ..questions.values import value_of
from .case import Case, Guess, Topic, instead

TOPIC = Topic("scaling")

_TOLD_APART = 0.05
"""Of logarithms: two factors nearer than that make one H(s) within its tolerance."""

FORM, WHICH = Rung.STANDARD_FORM, Rung.WHICH_FORM
SCALED, PROTOTYPE, EFFECT = Rung.SCALED_VALUE, Rung.PROTOTYPE_VALUE, Rung.SCALING_EFFECT
F0, Q, SENSITIVITY = Rung.TOLERANCE_F0, Rung.TOLERANCE_Q, Rung.SENSITIVITY


def _forms(case: Case, of: FilterType, *, turned: bool) -> Iterator[Guess]:
    gain = pass_band_gain(case.facts) != 1
    yield Guess(standard_form(of, gain=gain, turned=turned))


@TOPIC.slip("q-multiplies-damping", FORM, WHICH)
def q_upside_down(case: Case) -> Iterator[Guess]:
    """ω0·Q for ω0/Q."""
    if case.rung is WHICH:
        yield Guess(f"{case.question.truth}{TURNED}")
    elif abs(math.log(case.facts.q or 1.0)) > _TOLD_APART:
        yield from _forms(case, case.facts.type, turned=True)


@TOPIC.slip("pass-band-gain-left-out", FORM)
def pass_band_gain_left_out(case: Case) -> Iterator[Guess]:
    """The standard form alone, though the pass band lies lower."""
    gain = pass_band_gain(case.facts)
    if gain and abs(math.log(gain)) > _TOLD_APART:
        yield Guess(standard_form(case.facts.type, gain=False))


@TOPIC.slip("numerator-of-another-type", FORM, WHICH)
def numerator_of_another_type(case: Case) -> Iterator[Guess]:
    """The numerator of another filter over the right denominator."""
    for of in (FilterType.LOW_PASS, FilterType.HIGH_PASS, FilterType.BAND_PASS, FilterType.NOTCH):
        if of is case.facts.type:
            continue
        if case.rung is FORM:
            yield from _forms(case, of, turned=False)
        else:
            yield Guess(of.value)
            yield Guess(f"{of.value}{TURNED}")


def _scaled(case: Case, times: int = 1) -> float:
    """What the impedance scales by: R up the scale for coils, 1/R for capacitors; so many times."""
    found = dict(case.question.values)
    ohms = found.get("ohms")
    given = ohms.value if isinstance(ohms, Quantity) else None
    impedance = float(given or case.ladder.part(str(found["resistor"])).amount)
    up = 1 if case.question.unit == "H" else -1
    return impedance ** (times * (up if case.rung is SCALED else -up))


# Scaled by f0, and not by ω0 = 2πf0.
TOPIC.answer(
    "hertz-for-radians", SCALED, PROTOTYPE,
    by=lambda c: c.truth * TWO_PI if c.rung is SCALED else c.truth / TWO_PI,
)  # fmt: skip
# Only the frequency scaled.
TOPIC.answer(
    "impedance-not-scaled", SCALED, PROTOTYPE, by=lambda c: c.truth / _scaled(c), near=True
)
# A coil divided by the resistance, or a capacitor multiplied by it.
TOPIC.answer(
    "impedance-the-wrong-way", SCALED, PROTOTYPE, by=lambda c: c.truth / _scaled(c, 2), near=True
)
# f0 thought to go with the size of L and C, whatever their product does.
TOPIC.answer(
    "impedance-moves-the-corner", EFFECT,
    by=lambda c: "f0-up" if c.question.asked != "frequency" else None,
)  # fmt: skip
# Q thought to follow one part alone, where its ratio to the others decides.
TOPIC.answer("scaling-moves-q", EFFECT, by=lambda c: ("q-up", "q-down"))
# Everything changed alike, so nothing is thought to change.
TOPIC.answer("all-scaling-changes-nothing", EFFECT, by=lambda c: "both-stay")


def _which(case: Case) -> str:
    """The figure that a part which is off moves."""
    return "f0" if case.rung is F0 else "q"


def _before(case: Case) -> float:
    """The figure with the part as it should be."""
    figure = figure_of(case.facts, _which(case))
    assert figure is not None
    return figure


def _factor(case: Case) -> float:
    """By what the part's value is multiplied."""
    return float(1 + Fraction(OFF[value_of(case.question.values, "off", str)], 100))


# The figure as it was.
TOPIC.answer("tolerance-without-effect", F0, Q, by=_before, near=True)
# Up where it goes down, by the same factor.
TOPIC.answer("tolerance-the-other-way", F0, Q, by=lambda c: _before(c) ** 2 / c.truth, near=True)


def _without_root(case: Case) -> float | None:
    power = sensitivity(case.facts, _which(case), value_of(case.question.values, "part", str))
    if power is None or abs(abs(power) - 0.5) >= WHOLE:
        return None
    return _before(case) * _factor(case) if power > 0 else _before(case) / _factor(case)


# The whole factor, where the figure goes with its root.
TOPIC.answer("tolerance-without-root", F0, Q, by=_without_root, near=True)


def _per_cents(case: Case) -> float:
    rises = (case.truth > _before(case)) == (_factor(case) > 1)
    return _before(case) * (_factor(case) if rises else 2 - _factor(case))


# So many per cent of the part, so many of the figure.
TOPIC.answer("per-cents-taken-over", F0, Q, by=_per_cents, near=True)

_VALUES = {id_: value for value, id_ in SENSITIVITIES.items()}
_MINUS_ONE, _MINUS_HALF, _NONE, _HALF, _ONE = SENSITIVITIES.values()
# Up for down.
TOPIC.answer(
    "sensitivity-of-the-other-sign", SENSITIVITY,
    by=lambda c: SENSITIVITIES[-_VALUES[str(c.question.truth)]],
)  # fmt: skip
# A whole per cent where the figure goes with a root.
TOPIC.answer(
    "sensitivity-without-root", SENSITIVITY,
    by=instead({_HALF: (_ONE, _MINUS_ONE), _MINUS_HALF: (_MINUS_ONE, _ONE)}),
)  # fmt: skip
# Half a per cent where the figure goes with the part itself.
TOPIC.answer(
    "sensitivity-with-a-root", SENSITIVITY,
    by=instead({_ONE: (_HALF, _MINUS_HALF), _MINUS_ONE: (_MINUS_HALF, _HALF)}),
)  # fmt: skip
# A part thought to have no say, or one that has none thought to have a say.
TOPIC.answer(
    "no-part-of-the-figure", SENSITIVITY,
    by=lambda c: (*SENSITIVITIES.values(),) if c.question.truth == _NONE else _NONE,
)  # fmt: skip
