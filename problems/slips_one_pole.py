"""Slips about the corner of one pole, and those about frequencies in general."""

from __future__ import annotations

from collections.abc import Iterator

from .problem import Rung
from .response import TWO_PI
from .slips_case import Case, Guess, Topic

TOPIC = Topic("one-pole corner")

FREQUENCIES = (Rung.CORNER, Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE)


@TOPIC.slip("radians-as-hertz", *FREQUENCIES)
def radians_as_hertz(case: Case) -> Iterator[Guess]:
    """ω in rad/s given as a frequency in Hz."""
    yield Guess(case.truth * TWO_PI)
