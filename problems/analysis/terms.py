"""What circuits are called: type, feed, and why a part adds no pole; names alone, no analysis.

The catalogue and the plan need only these, and not what finds them.
"""

from __future__ import annotations

from enum import StrEnum


class FilterType(StrEnum):
    """The type of a response; steps, dips and the like are ``OTHER`` and have a shape."""

    LOW_PASS = "low-pass"
    HIGH_PASS = "high-pass"
    BAND_PASS = "band-pass"
    NOTCH = "notch"
    ALL_PASS = "all-pass"
    FLAT = "flat"
    OTHER = "other"

    @property
    def banded(self) -> bool:
        """Whether it has two edges: a band-pass, or a notch."""
        return self in (FilterType.BAND_PASS, FilterType.NOTCH)

    @property
    def one_sided(self) -> bool:
        """Whether it has one edge: a low-pass, or a high-pass."""
        return self in (FilterType.LOW_PASS, FilterType.HIGH_PASS)


class Feed(StrEnum):
    """By the first reactive arm met from the source that affects the output."""

    SERIES = "series"
    SHUNT = "shunt"


class Reason(StrEnum):
    """Why a reactive element adds no pole of its own."""

    ACROSS_SOURCE = "across-source"
    DANGLING = "dangling"
    COMBINABLE = "combinable"
    DEPENDENT = "dependent"
    UNSEEN = "unseen"
