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
from .case import Case, Guess, Topic

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


def _ohms(case: Case) -> float:
    """The impedance that the scaling goes to, or comes from."""
    found = dict(case.question.values)
    if isinstance(ohms := found.get("ohms"), Quantity):
        return float(ohms.value)
    named = str(found["resistor"])
    return next(float(e.value) for e in case.resistors if e.name == named and e.value)


def _power(case: Case) -> int:
    """Which power of the impedance is right: 1 up the scale for coils, −1 for capacitors."""
    up = 1 if case.question.unit == "H" else -1
    return up if case.rung is SCALED else -up


@TOPIC.slip("hertz-for-radians", SCALED, PROTOTYPE)
def hertz_for_radians(case: Case) -> Iterator[Guess]:
    """Scaled by f0, and not by ω0 = 2πf0."""
    up = case.rung is SCALED
    yield Guess(case.truth * TWO_PI if up else case.truth / TWO_PI)


@TOPIC.slip("impedance-not-scaled", SCALED, PROTOTYPE)
def impedance_not_scaled(case: Case) -> Iterator[Guess]:
    """Only the frequency scaled."""
    yield Guess(case.truth / _ohms(case) ** _power(case), near=True)


@TOPIC.slip("impedance-the-wrong-way", SCALED, PROTOTYPE)
def impedance_the_wrong_way(case: Case) -> Iterator[Guess]:
    """A coil divided by the resistance, or a capacitor multiplied by it."""
    yield Guess(case.truth / _ohms(case) ** (2 * _power(case)), near=True)


def _asked(case: Case) -> str:
    return str(dict(case.question.values)["asked"])


# f0 thought to go with the size of L and C, whatever their product does.
TOPIC.answer(
    "impedance-moves-the-corner", EFFECT, by=lambda c: "f0-up" if _asked(c) != "frequency" else None
)
# Q thought to follow one part alone, where its ratio to the others decides.
TOPIC.answer("scaling-moves-q", EFFECT, by=lambda c: ("q-up", "q-down"))
# Everything changed alike, so nothing is thought to change.
TOPIC.answer("all-scaling-changes-nothing", EFFECT, by=lambda c: "both-stay")


def _before(case: Case) -> tuple[float, float]:
    """The figure with the part as it should be, and by what its value is multiplied."""
    figure = figure_of(case.facts, "f0" if case.rung is F0 else "q")
    assert figure is not None
    off = OFF[value_of(case.question.values, "off", str)]
    return figure, float(1 + Fraction(off, 100))


def _of(figure: float) -> Iterator[Guess]:
    yield Guess(figure, near=True)


@TOPIC.slip("tolerance-without-effect", F0, Q)
def tolerance_without_effect(case: Case) -> Iterator[Guess]:
    """The figure as it was."""
    yield from _of(_before(case)[0])


@TOPIC.slip("tolerance-the-other-way", F0, Q)
def tolerance_the_other_way(case: Case) -> Iterator[Guess]:
    """Up where it goes down, by the same factor."""
    yield from _of(_before(case)[0] ** 2 / case.truth)


@TOPIC.slip("tolerance-without-root", F0, Q)
def tolerance_without_root(case: Case) -> Iterator[Guess]:
    """The whole factor, where the figure goes with its root."""
    figure, factor = _before(case)
    which, part = "f0" if case.rung is F0 else "q", value_of(case.question.values, "part", str)
    power = sensitivity(case.facts, which, part)
    if power is not None and abs(abs(power) - 0.5) < WHOLE:
        yield from _of(figure * factor if power > 0 else figure / factor)


@TOPIC.slip("per-cents-taken-over", F0, Q)
def per_cents_taken_over(case: Case) -> Iterator[Guess]:
    """So many per cent of the part, so many of the figure."""
    figure, factor = _before(case)
    rises = (case.truth > figure) == (factor > 1)
    yield from _of(figure * (factor if rises else 2 - factor))


_VALUES = {id_: value for value, id_ in SENSITIVITIES.items()}


@TOPIC.slip("sensitivity-of-the-other-sign", SENSITIVITY)
def sensitivity_of_the_other_sign(case: Case) -> Iterator[Guess]:
    """Up for down."""
    yield Guess(SENSITIVITIES[-_VALUES[str(case.question.truth)]])


@TOPIC.slip("sensitivity-without-root", SENSITIVITY)
def sensitivity_without_root(case: Case) -> Iterator[Guess]:
    """A whole per cent where the figure goes with a root."""
    value = _VALUES[str(case.question.truth)]
    if abs(value) == 0.5:
        yield Guess(SENSITIVITIES[2 * value])
        yield Guess(SENSITIVITIES[-2 * value])


@TOPIC.slip("sensitivity-with-a-root", SENSITIVITY)
def sensitivity_with_a_root(case: Case) -> Iterator[Guess]:
    """Half a per cent where the figure goes with the part itself."""
    value = _VALUES[str(case.question.truth)]
    if abs(value) == 1:
        yield Guess(SENSITIVITIES[value / 2])
        yield Guess(SENSITIVITIES[-value / 2])


@TOPIC.slip("no-part-of-the-figure", SENSITIVITY)
def no_part_of_the_figure(case: Case) -> Iterator[Guess]:
    """A part thought to have no say, or one that has none thought to have a say."""
    if case.question.truth != "none":
        yield Guess("none")
        return
    for other in SENSITIVITIES.values():
        yield Guess(other)
