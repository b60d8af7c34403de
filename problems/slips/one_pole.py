"""Slips about frequencies in general and the corner of one pole."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from ..analysis.idle import Reason
from ..analysis.response import TWO_PI, FilterType
from ..circuits.altered import (
    flips,
    recombined,
    resistance,
    seen_by,
    with_value,
    without,
    without_load,
    without_source,
)
from ..circuits.model import Joint, Kind, leaves
from ..questions.model import Rung
from .case import Case, Guess, Topic, names_of
from .counts import HIDDEN

TOPIC = Topic("one-pole corner")

EDGES = (Rung.LOWER_EDGE, Rung.UPPER_EDGE)
FREQUENCIES = (Rung.CORNER, Rung.BANDWIDTH, *EDGES)
NUMBERS = (*FREQUENCIES, Rung.Q)


@TOPIC.slip("radians-as-hertz", *FREQUENCIES)
def radians_as_hertz(case: Case) -> Iterator[Guess]:
    """ω in rad/s given as a frequency in Hz."""
    yield Guess(case.truth * TWO_PI, typed_unit="Hz")


@TOPIC.slip("hertz-as-radians", *FREQUENCIES)
def hertz_as_radians(case: Case) -> Iterator[Guess]:
    """A frequency in Hz given as an angular frequency in rad/s."""
    yield Guess(case.truth / TWO_PI, typed_unit="rad/s")


@TOPIC.slip("two-pi-twice", *FREQUENCIES)
def two_pi_twice(case: Case) -> Iterator[Guess]:
    """A frequency in Hz divided by 2π once more."""
    yield Guess(case.truth / TWO_PI, typed_unit="Hz")


@TOPIC.slip("load-ignored", Rung.CORNER, Rung.GAIN, *EDGES)
def load_ignored(case: Case) -> Iterator[Guess]:
    """The circuit worked out with an open output."""
    yield from case.altered(without_load(case.ladder))


@TOPIC.slip("source-ignored", Rung.CORNER, Rung.GAIN, *EDGES)
def source_ignored(case: Case) -> Iterator[Guess]:
    """A resistance on the source's side left out, as if the source were ideal."""
    yield from case.altered(without_source(case.ladder))
    if case.order == 1 and case.facts.type is FilterType.HIGH_PASS:
        for element in case.series_resistors:
            yield from case.altered(without(case.ladder, element.name), source=element.name)


def _joined_wrongly(case: Case, *, true_joint: Joint) -> Iterator[Guess]:
    """Resistances that the reactive element sees in one joint taken for the other."""
    reactive = case.ladder.reactive()
    if case.order != 1 or len(reactive) != 1:
        return
    (element,) = reactive
    seen = seen_by(case.ladder, element.name)
    if seen is None or any(e.kind is not Kind.R for e in leaves(seen)):
        return
    true = resistance(seen)
    for group, wrong in flips(seen):
        if group.joint is true_joint:
            factor = float(resistance(wrong) / true)
            corner = case.truth * factor if element.kind is Kind.L else case.truth / factor
            yield Guess(corner, (("resistances", names_of(leaves(group))),))


TOPIC.slip("series-for-parallel", Rung.CORNER)(partial(_joined_wrongly, true_joint=Joint.PARALLEL))
TOPIC.slip("parallel-for-series", Rung.CORNER)(partial(_joined_wrongly, true_joint=Joint.SERIES))


def _recombined(case: Case, *, kind: Kind) -> Iterator[Guess]:
    """Parts in series combined as parallel ones, and the other way round."""
    for names, wrong in recombined(case.ladder, kind):
        yield from case.altered(wrong, elements=" and ".join(names))


TOPIC.slip("capacitors-combined-wrongly", *NUMBERS)(partial(_recombined, kind=Kind.C))
TOPIC.slip("inductors-combined-wrongly", *NUMBERS)(partial(_recombined, kind=Kind.L))


@TOPIC.slip("one-part-only", *NUMBERS)
def one_part_only(case: Case) -> Iterator[Guess]:
    """One of two combinable parts used, and the other forgotten."""
    for hidden in case.facts.hidden:
        if hidden.reason is Reason.COMBINABLE and hidden.partner:
            for left in hidden.name, hidden.partner:
                yield from case.altered(
                    without(case.ladder, left), names=hidden.name, partner=hidden.partner
                )


def _taken(case: Case, *, reason: Reason) -> Iterator[Guess]:
    """A hidden part used for a working one of its kind, or added to it."""
    reactive = {e.name: e for e in case.ladder.reactive()}
    hidden = {h.name for h in case.facts.hidden}
    for found in case.facts.hidden:
        part = reactive[found.name]
        for working in reactive.values():
            if found.reason is reason and working.kind is part.kind and working.name not in hidden:
                assert part.value is not None and working.value is not None
                for value in part.value, part.value + working.value:
                    yield from case.altered(
                        with_value(case.ladder, working.name, value), names=found.name
                    )


for _id in ("across-source-counted", "dangling-counted"):
    TOPIC.slip(_id, Rung.CORNER)(partial(_taken, reason=HIDDEN[_id]))


def _other_form(case: Case, *, kind: Kind) -> Iterator[Guess]:
    """1/(2πRL) for an R-L circuit, R/(2πC) for an R-C circuit."""
    reactive = case.ladder.reactive()
    if case.order == 1 and len(reactive) == 1 and reactive[0].kind is kind:
        value = reactive[0].value
        assert value is not None
        # R = ωL, so 1/(2πRL) = 1/(2πωL²); R = 1/(ωC), so R/(2πC) = 1/(2πωC²).
        omega = case.truth * TWO_PI
        yield Guess(1 / (TWO_PI * omega * float(value) ** 2))


TOPIC.slip("rc-form-on-rl", Rung.CORNER)(partial(_other_form, kind=Kind.L))
TOPIC.slip("rl-form-on-rc", Rung.CORNER)(partial(_other_form, kind=Kind.C))


@TOPIC.slip("l-over-r", Rung.CORNER)
def l_over_r(case: Case) -> Iterator[Guess]:
    """L/(2πR) for R/(2πL)."""
    if case.order == 1 and case.inductors and not case.capacitors:
        yield Guess(1 / (TWO_PI * TWO_PI * case.truth))


@TOPIC.slip("corner-inverted", Rung.CORNER)
def corner_inverted(case: Case) -> Iterator[Guess]:
    """2πRC, or the time constant itself, for 1/(2πRC); likewise with L/R."""
    if case.order == 1:
        yield Guess(1 / case.truth)
        yield Guess(1 / (TWO_PI * case.truth))
        if case.capacitors:
            yield Guess(1 / (TWO_PI * TWO_PI * case.truth))


@TOPIC.slip("half-power-from-input", Rung.CORNER)
def half_power_from_input(case: Case) -> Iterator[Guess]:
    """The frequency where |H| itself is √½, with a pass-band gain g below 1.

    From g/√(1 + x²) = √½ follows x = √(2g² − 1), x = f/f0 for a low-pass, f0/f for a
    high-pass; there is none below g = √½.
    """
    if case.order != 1:
        return
    low = case.facts.type is FilterType.LOW_PASS
    gain = float(case.facts.gain_low if low else case.facts.gain_high)
    if math.sqrt(0.5) < gain < 1:
        x = math.sqrt(2 * gain * gain - 1)
        yield Guess(case.truth * x if low else case.truth / x)


@TOPIC.slip("prefix-lost", *NUMBERS)
def prefix_lost(case: Case) -> Iterator[Guess]:
    """One prefix a step of three (or two) away; under a root half as many decades."""
    if case.order == 1:
        steps: tuple[float, ...] = (3, -3, 6, -6)
    elif case.rung is Rung.CORNER or case.rung is Rung.Q:
        steps = (1.5, -1.5, 3, -3)
    else:
        steps = (3, -3)
    for step in steps:
        yield Guess(case.truth * 10.0**step)


@TOPIC.slip("rounded-too-far", *NUMBERS, Rung.GAIN)
def rounded_too_far(case: Case) -> Iterator[Guess]:
    """The truth itself, rounded to one digit or two and so driven out of the tolerance."""
    for digits in (2, 1):
        rounded = float(f"{case.truth:.{digits}g}")
        yield Guess(rounded, near=True, exact=True)
