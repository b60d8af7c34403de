"""Slips about the gain of the pass band."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import FilterType
from ..questions.model import Rung
from .case import Case, Guess, Topic, of_type

TOPIC = Topic("gain")

GAIN = Rung.GAIN


# The gain Q of the L and C taps claimed for a band-pass.
TOPIC.answer(
    "gain-q-at-resistor", GAIN, near=True,
    by=of_type(
        FilterType.BAND_PASS, lambda c: c.facts.q if c.inductors and c.capacitors else None
    ),
)  # fmt: skip
# The pass band taken to lie at 0 dB.
TOPIC.answer("unity-gain", GAIN, by=lambda c: 1.0, near=True)
# The share of the other resistance of the divider, where there is one.
TOPIC.answer("divider-inverted", GAIN, by=lambda c: 1 - c.truth if c.truth < 1 - 1e-09 else None)
# The −3 dB of the corner given for the pass band: counted from it, or from the source.
TOPIC.answer(
    "gain-at-corner", GAIN, near=True,
    by=lambda c: (c.truth * math.sqrt(0.5), math.sqrt(0.5)) if c.order else (),
)  # fmt: skip
# Q given for the gain of a low-pass's or high-pass's pass band.
TOPIC.answer(
    "q-for-gain", GAIN,
    by=lambda c: c.facts.q if c.order == 2 and c.facts.type.one_sided else None, near=True,
)  # fmt: skip
# The divider upside down, or decibels without their minus sign.
TOPIC.answer("loss-as-gain", GAIN, by=lambda c: 1 / c.truth, near=True)


@TOPIC.slip("ten-log", GAIN)
def ten_log(case: Case) -> Iterator[Guess]:
    """10·log of a voltage ratio."""
    yield Guess(math.sqrt(case.truth), near=True, typed_unit="dB")
