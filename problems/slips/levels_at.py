"""Slips about levels at a frequency: decibels, asymptotes, the corner.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..questions.model import Rung
from .case import Case, Guess, Topic

TOPIC = Topic("levels_at")


@TOPIC.slip("level-power-decibels", Rung.GAIN_AT)
def level_power_decibels(case: Case) -> Iterator[Guess]:
    """10·log₁₀ of a ratio of voltages."""
    yield Guess(case.truth / 2, near=True)
