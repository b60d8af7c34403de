"""Hints for tuning a resonator along its band."""

from __future__ import annotations

import math

from ..analysis.response import Facts
from ..quantities.units import Quantity
from ..quantities.write import write_quantity
from ..questions.effects import exact_bandwidth
from ..questions.model import Rung, Values
from ..questions.tuning import LOWER, SHARP, Tuning, farads, tuned
from ..questions.values import texts, value_of
from .fill import HINTS, Hint, Named, Scene, phrase, written


def _limits(values: Values) -> tuple[Quantity, Quantity]:
    return value_of(values, "f1", Quantity), value_of(values, "f2", Quantity)


@HINTS(Rung.TUNING_RATIO)
def tuning_ratio(scene: Scene) -> Hint:
    """The square of the ratio of the frequencies."""
    low, high = _limits(scene.question.values)
    values: Named = (
        *texts(scene.question.values),
        ("ratio", write_quantity(high.value / low.value, "")),
        ("result", write_quantity(scene.question.figure, "")),
    )
    return Hint("any", "any", "any", values, _part(scene))


def _part(scene: Scene) -> tuple[str, ...]:
    return (value_of(scene.question.values, "part", str),)


def tuning_in(scene: Scene) -> Tuning:
    """How the circuit is tuned, by the question."""
    return tuned(scene.ladder, scene.question.values)


def _course(found: Tuning) -> str:
    """Which of the four cases it is: how the resistance lies, and which part is turned."""
    return f"{'series' if found.pair.series else 'parallel'}-{found.part.kind.value}"


def other_end(scene: Scene) -> Named:
    """The part's value, f0 and Q at both ends, and what fills the other sentences."""
    found = tuning_in(scene)
    after = found.after
    value = after.ladder.part(found.part.name).amount
    other = found.pair.capacitor if found.part is found.pair.inductor else found.pair.inductor
    formula = scene.formulas.q
    return (
        ("part", found.part.name),
        ("other", other.name),
        ("value", write_quantity(value, found.part.kind.unit)),
        ("f0", write_quantity(after.corner_hz or 0.0, "Hz")),
        ("q", write_quantity(after.q or 0.0, "")),
        ("drawn", write_quantity(scene.facts.q or 0.0, "")),
        ("formula", written(formula) if formula else "ω₀/(a₁)"),
        ("course", phrase(f"course-{_course(found)}", other=other.name)),
    )


@HINTS(Rung.TUNED_Q)
def tuned_q(scene: Scene) -> Hint:
    """Q with the new value of the part."""
    return Hint("any", "any", "any", other_end(scene), _part(scene))


@HINTS(Rung.TUNED_BAND)
def tuned_band(scene: Scene) -> Hint:
    """f0 and Q at the other end, and the bandwidth of both."""
    values = (*other_end(scene), ("result", write_quantity(scene.question.figure, "Hz")))
    return Hint("any", "any", "any", values, _part(scene))


@HINTS(Rung.TUNED_END)
def tuned_end(scene: Scene) -> Hint:
    """How Q and bandwidth go with f0."""
    found = tuning_in(scene)
    ends = (scene.facts, found.after) if found.here == LOWER else (found.after, scene.facts)
    sharp = scene.question.asked == SHARP
    low, high = ((_q if sharp else _band)(known) for known in ends)
    values = (*other_end(scene), ("low", low), ("high", high))
    return Hint("any", "any", "q" if sharp else "band", values, _part(scene))


def _q(known: Facts) -> str:
    return write_quantity(known.q or 0.0, "")


def _band(known: Facts) -> str:
    return write_quantity(float(exact_bandwidth(known) or 0) / math.tau, "Hz")


@HINTS(Rung.HALF_IN)
def half_in(scene: Scene) -> Hint:
    """Halfway between the smallest and the largest value."""
    low, high = _limits(scene.question.values)
    least = (low.value / high.value) ** 2
    values: Named = (
        *texts(scene.question.values),
        ("least", write_quantity(least, "")),
        ("half", write_quantity((1 + least) / 2, "")),
        ("result", write_quantity(scene.question.figure, "Hz")),
    )
    return Hint("any", "any", "any", values, _part(scene))


@HINTS(Rung.STRAY_RANGE)
def stray_range(scene: Scene) -> Hint:
    """Added at both ends."""
    values = scene.question.values
    least, most, stray = (farads(values, key) for key in ("least", "most", "stray"))
    told: Named = (
        *texts(values),
        ("lowest", write_quantity(least + stray, "F")),
        ("highest", write_quantity(most + stray, "F")),
        ("result", write_quantity(scene.question.figure, "")),
    )
    return Hint("any", "any", "any", told, _part(scene))
