"""Slips about the gain of the pass band."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import FilterType
from ..questions.model import Rung
from .case import Case, Guess, Topic, many

TOPIC = Topic("gain")

GAIN = Rung.GAIN


@TOPIC.slip("gain-q-at-resistor", GAIN)
def gain_q_at_resistor(case: Case) -> Iterator[Guess]:
    """The gain Q of the L and C taps claimed for a band-pass."""
    if case.facts.type is FilterType.BAND_PASS and len(case.inductors) and len(case.capacitors):
        yield from many(case.facts.q, near=True)


# The pass band taken to lie at 0 dB.
TOPIC.answer("unity-gain", GAIN, by=lambda c: 1.0, near=True)
# The share of the other resistance of the divider, where there is one.
TOPIC.answer("divider-inverted", GAIN, by=lambda c: 1 - c.truth if c.truth < 1 - 1e-09 else None)


@TOPIC.slip("gain-at-corner", GAIN)
def gain_at_corner(case: Case) -> Iterator[Guess]:
    """The −3 dB of the corner given for the pass band: counted from it, or from the source."""
    if case.order:
        yield Guess(case.truth * math.sqrt(0.5), near=True)
        yield Guess(math.sqrt(0.5), near=True)


@TOPIC.slip("q-for-gain", GAIN)
def q_for_gain(case: Case) -> Iterator[Guess]:
    """Q given for the gain of a low-pass's or high-pass's pass band."""
    if case.order == 2 and case.facts.type.one_sided:
        yield from many(case.facts.q, near=True)


# The divider upside down, or decibels without their minus sign.
TOPIC.answer("loss-as-gain", GAIN, by=lambda c: 1 / c.truth, near=True)


@TOPIC.slip("ten-log", GAIN)
def ten_log(case: Case) -> Iterator[Guess]:
    """10·log of a voltage ratio."""
    yield Guess(math.sqrt(case.truth), near=True, typed_unit="dB")
