"""What a circuit is called by what its gain does, and how near it is to another name.

The rule of the trade, for real parts as for ideal ones:

* M is the highest level of the straight-line gain: that of an end, or of a corner between;
* an end is *blocked* where H is zero there or its level lies 20 dB or more below M, *passed* where
  it lies within 6 dB of M, and else between the two;
* passed and blocked is a low-pass, blocked and passed a high-pass, both blocked a band-pass, both
  passed a notch where a complex pair of zeros pulls the gain 20 dB or more below the lower end;
* whatever else there is has a shape: a step, a dip, a rise between the ends.

The limits are exact: 20 dB is a tenth of the voltage, 6 dB is half of it (6.0206 dB), and what is
on a limit has reached it.  Two levels at the ends are compared as rationals; a corner's level, a
product of roots, is right to some 1e-12 dB and is on a limit within :data:`_SAME_DB`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Protocol

from ..algebra import log10_fraction
from .limits import (
    BLOCKED_DB,
    BLOCKED_FACTOR,
    PASSED_DB,
    PASSED_FACTOR,
)
from .terms import FilterType as FilterType
from .transfer import TransferFunction


class EndState(StrEnum):
    """What the gain does at an end of the frequency axis, against its highest level."""

    PASSED = "passed"  # within 6 dB
    BETWEEN = "between"
    BLOCKED = "blocked"  # 20 dB or more below, or zero


class Shape(StrEnum):
    """What a response of no type looks like, by its true gain."""

    LAG = "lag"  # one pole and one zero: a step down
    LEAD = "lead"  # one zero and one pole: a step up
    SHELF_DOWN = "shelf-down"  # a step down made by more than one pole
    SHELF_UP = "shelf-up"
    LAG_LEAD = "lag-lead"  # down and up again, every zero real
    DIP = "dip"  # down and up again by a complex pair of zeros
    RISE = "rise"  # higher between than at either end
    WAVY = "wavy"  # both
    PEDESTAL = "pedestal"  # one end is blocked, the other neither passed nor blocked


class Limit(StrEnum):
    """A limit of the rule."""

    LOW_PASSED = "low-passed"
    LOW_BLOCKED = "low-blocked"
    HIGH_PASSED = "high-passed"
    HIGH_BLOCKED = "high-blocked"
    NOTCH_DEPTH = "notch-depth"
    TRAP = "trap"


SEEN_DB = 1.0
"""A rise or a dip of less than this is not worth a name beside a greater step between the ends."""

_SAME_DB = 1e-9


@dataclass(frozen=True, slots=True)
class Nearness:
    """How far a circuit is from one limit of the rule.

    Args:
        limit: the limit.
        found_db: what the circuit has: dB below the highest level, below the lower end, or below
            the straight lines.
        limit_db: what the limit is.
        decides: whether the type would be another on the other side of it.
    """

    limit: Limit
    found_db: float
    limit_db: float
    decides: bool = True

    @property
    def distance_db(self) -> float:
        """How far one is from the other, in dB."""
        return abs(self.found_db - self.limit_db)


@dataclass(frozen=True, slots=True)
class Trap:
    """A pair of zeros on or near the jω axis, beyond the pass band.

    Args:
        hz: its frequency, |z|/2π.
        depth_db: how far it takes the gain below the straight lines; ∞ for a null.
    """

    hz: float
    depth_db: float


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the rule says of a response.

    Args:
        type: the type.
        low: the end at DC.
        high: the high-frequency end.
        low_down_db: how far DC lies below the highest level; ∞ where the gain is zero.
        high_down_db: the same of the high-frequency end.
        depth_db: how far a complex pair of zeros takes the gain below the lower end, where both
            ends pass; ∞ for a null, ``None`` without such a pair.
        depth_hz: where it does.
        nearness: how near each limit is that the gain can be measured against.
    """

    type: FilterType
    low: EndState
    high: EndState
    low_down_db: float
    high_down_db: float
    depth_db: float | None = None
    depth_hz: float | None = None
    nearness: tuple[Nearness, ...] = ()


class Judged(Protocol):
    """What the rule looks at of a response."""

    @property
    def transfer(self) -> TransferFunction:
        """H(s)."""

    @property
    def gain_low(self) -> Fraction:
        """|H| at DC."""

    @property
    def gain_high(self) -> Fraction:
        """|H| at the high-frequency end."""

    @property
    def zeros(self) -> tuple[complex, ...]:
        """Finite zeros in rad/s."""

    @property
    def poles(self) -> tuple[complex, ...]:
        """Poles in rad/s."""

    @property
    def all_pass(self) -> bool:
        """Whether |H| is the same at every frequency."""

    @property
    def turning_points(self) -> tuple[tuple[float, float], ...]:
        """(ω², |H|²) where the gain is stationary, between the ends."""


def judge(response: Judged) -> Judgement:
    """The rule applied to a response."""
    transfer = response.transfer
    if transfer.order == 0:
        return Judgement(FilterType.FLAT, EndState.PASSED, EndState.PASSED, 0.0, 0.0)
    low, high = response.gain_low, response.gain_high
    highest = max(low, high)
    # Where the lines only fall, only rise, or end in zeros, no corner needs to be looked at.
    falls = transfer.zero_count == 0
    rises = transfer.zeros_at_origin == transfer.zero_count == transfer.order
    above = 0.0  # dB that a corner lies above both ends
    if highest and not (falls or rises):
        above = max(0.0, 20 * (_highest_corner(response) - log10_fraction(highest)))
        above = above if above > _SAME_DB else 0.0
    states: list[EndState] = []
    downs: list[float] = []
    limits: list[tuple[Limit, float, float]] = []
    for level, passed, blocked in (
        (low, Limit.LOW_PASSED, Limit.LOW_BLOCKED),
        (high, Limit.HIGH_PASSED, Limit.HIGH_BLOCKED),
    ):
        down = math.inf
        if level:
            down = 20 * log10_fraction(highest / level) + above
            limits.append((passed, down, PASSED_DB))
            limits.append((blocked, down, BLOCKED_DB))
        downs.append(down)
        states.append(_state(highest / level if level and not above else None, down))
    low_end, high_end = states
    both = (low_end, high_end) == (EndState.PASSED, EndState.PASSED)
    blocked_end = EndState.BLOCKED in states
    depth, place = (None, None) if blocked_end else _deepest(response)
    if both and depth is not None and depth < math.inf:
        limits.append((Limit.NOTCH_DEPTH, depth, BLOCKED_DB))
    constant = not blocked_end and response.all_pass
    kind = _type_of(low_end, high_end, depth, constant)
    nearness = []
    for limit, found, at in limits:
        ends, deep = [low_end, high_end], depth
        if limit is Limit.NOTCH_DEPTH:
            deep = 0.0 if found >= at - _SAME_DB else math.inf
        else:
            which = 0 if limit in (Limit.LOW_PASSED, Limit.LOW_BLOCKED) else 1
            ends[which] = _beyond(ends[which], limit)
        decides = _type_of(ends[0], ends[1], deep, constant) is not kind
        nearness.append(Nearness(limit, found, at, decides))
    if not both:
        depth, place = None, None
    low_down, high_down = downs
    return Judgement(kind, low_end, high_end, low_down, high_down, depth, place, tuple(nearness))


def _type_of(low: EndState, high: EndState, depth: float | None, constant: bool) -> FilterType:
    if (low, high) != (EndState.PASSED, EndState.PASSED):
        return _TYPES.get((low, high), FilterType.OTHER)
    if depth is not None and depth >= BLOCKED_DB - _SAME_DB:
        return FilterType.NOTCH
    return FilterType.ALL_PASS if constant else FilterType.OTHER


def _beyond(state: EndState, limit: Limit) -> EndState:
    """What an end would be on the other side of a limit."""
    passing = limit in (Limit.LOW_PASSED, Limit.HIGH_PASSED)
    inside = EndState.PASSED if passing else EndState.BLOCKED
    return EndState.BETWEEN if state is inside else inside


_TYPES = {
    (EndState.PASSED, EndState.BLOCKED): FilterType.LOW_PASS,
    (EndState.BLOCKED, EndState.PASSED): FilterType.HIGH_PASS,
    (EndState.BLOCKED, EndState.BLOCKED): FilterType.BAND_PASS,
}


def _state(ratio: Fraction | None, down: float) -> EndState:
    """What an end is: by the exact ``ratio`` of the highest level to its own, or by ``down`` dB."""
    if ratio is not None:
        if ratio <= PASSED_FACTOR:
            return EndState.PASSED
        return EndState.BLOCKED if ratio >= BLOCKED_FACTOR else EndState.BETWEEN
    if down <= PASSED_DB + _SAME_DB:
        return EndState.PASSED
    return EndState.BLOCKED if down >= BLOCKED_DB - _SAME_DB else EndState.BETWEEN


def line_level(response: Judged, omega: float) -> float:
    """log10 of the straight-line gain of a ``response`` at ``omega`` rad/s (``asymptotes.py``)."""
    level = log10_fraction(abs(response.transfer.numerator[0]))
    level += sum(math.log10(max(omega, abs(zero))) for zero in response.zeros)
    return level - sum(math.log10(max(omega, abs(pole))) for pole in response.poles)


def _highest_corner(response: Judged) -> float:
    """log10 of the highest straight-line gain at a corner."""
    corners = {abs(root) for root in (*response.poles, *response.zeros) if root}
    return max(line_level(response, omega) for omega in corners)


def complex_pairs(response: Judged) -> Iterator[complex]:
    """The zeros above the real axis."""
    return (zero for zero in response.zeros if zero.imag > 0)


def _deepest(response: Judged) -> tuple[float | None, float | None]:
    """(dB below the lower end, Hz) of the lowest gain that a complex pair of zeros makes."""
    found: list[tuple[float, float]] = []
    lower = 20 * log10_fraction(min(response.gain_low, response.gain_high))
    for zero in complex_pairs(response):
        if zero.real == 0:
            found.append((math.inf, zero.imag / math.tau))
        elif (bottom := _bottom(response, abs(zero) ** 2)) is not None:
            u, power = bottom
            depth = lower - 10 * math.log10(power) if power else math.inf
            if depth > 0:
                found.append((depth, math.sqrt(u) / math.tau))
    return max(found, default=(None, None))


def _bottom(response: Judged, start: float) -> tuple[float, float] | None:
    """The lowest point of the valley that ω² = ``start`` lies in; ``None`` where it has none."""
    low = (0.0, float(response.gain_low) ** 2)
    points = [low, *response.turning_points, (math.inf, float(response.gain_high) ** 2)]
    # Between two of these the gain only falls or only rises.
    after = next(i for i, (u, _) in enumerate(points) if u > start)
    i = after if points[after][1] < points[after - 1][1] else after - 1
    step = 1 if i == after else -1
    while 0 < i < len(points) - 1 and points[i + step][1] < points[i][1]:
        i += step
    return points[i] if 0 < i < len(points) - 1 else None


@dataclass(frozen=True, slots=True)
class Excursion:
    """How far the true gain goes beyond both ends on its way, as (dB, Hz); ``None`` if nowhere.

    Args:
        rise: above the higher end; ∞ at a pole that nothing damps.
        dip: below the lower end; ∞ at a null.
    """

    rise: tuple[float, float] | None = None
    dip: tuple[float, float] | None = None


def excursion(response: Judged) -> Excursion:
    """How far a response whose ends both come through goes beyond them."""
    low, high = (20 * log10_fraction(gain) for gain in (response.gain_low, response.gain_high))
    levels = [
        (10 * math.log10(power) if power else -math.inf, math.sqrt(u) / math.tau)
        for u, power in response.turning_points
    ]
    levels += [(math.inf, p.imag / math.tau) for p in response.poles if p.real == 0 < p.imag]
    if not levels:
        return Excursion()
    (top, top_hz), (bottom, bottom_hz) = max(levels), min(levels)
    rise, dip = top - max(low, high), min(low, high) - bottom
    seen = max(_SAME_DB, min(SEEN_DB, abs(high - low)))
    return Excursion(
        (rise, top_hz) if rise >= seen else None, (dip, bottom_hz) if dip >= seen else None
    )


def shape(response: Judged, judged: Judgement, course: Excursion) -> Shape:
    """What a response of no type looks like.

    Args:
        response: the response.
        judged: what the rule says of it: ``OTHER``.
        course: how far it goes beyond its ends, where both come through.
    """
    if EndState.BLOCKED in (judged.low, judged.high):
        return Shape.PEDESTAL
    if course.rise and course.dip:
        return Shape.WAVY
    if course.rise:
        return Shape.RISE
    if course.dip:
        return Shape.DIP if any(complex_pairs(response)) else Shape.LAG_LEAD
    up = response.gain_high > response.gain_low
    if response.transfer.order == 1:
        return Shape.LEAD if up else Shape.LAG
    return Shape.SHELF_UP if up else Shape.SHELF_DOWN
