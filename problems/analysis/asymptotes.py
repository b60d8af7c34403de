"""Straight-line (stick) approximations of a response, and its exact sweep in decibels.

Everything is computed from the roots in the logarithmic domain, so that neither high
order nor stiff values (poles many decades apart) over- or underflow.

The rules of the straight lines, common practice and in every textbook on Bode plots:

* magnitude: going up in frequency, every pole (zero) turns the slope by −20 (+20)
  dB/decade at f = |root|/2π; a conjugate pair turns it twice at its ω0/2π;
* phase: a real root turns the phase by 90° along a straight line from a decade below to
  a decade above its frequency, a conjugate pair by 180° from f0·10^−ζ to f0·10^ζ, which
  for a pair on the jω axis (ζ = 0) is a jump.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..algebra import log10_fraction
from ..quantities.convert import SAME
from .response import TWO_PI, Response


@dataclass(frozen=True)
class Stick:
    """A magnitude stick plot.

    ``breaks`` are (frequency in Hz, level in dB) in ascending order; ``slopes``, one more
    than the breaks, are the slopes of the pieces in dB/decade.  ``level`` is the height
    in dB of the first piece, prolonged to 1 Hz.
    """

    level: float
    breaks: tuple[tuple[float, float], ...]
    slopes: tuple[int, ...]

    def at(self, frequency: float) -> float:
        """Level in dB at a frequency in Hz."""
        base, level = 1.0, self.level
        slope = self.slopes[0]
        for (start, height), after in zip(self.breaks, self.slopes[1:], strict=True):
            if frequency < start:
                break
            base, level, slope = start, height, after
        return level + slope * math.log10(frequency / base)


@dataclass(frozen=True)
class PhaseStick:
    """A phase stick plot: (frequency in Hz, degrees), straight in log f, flat outside.

    Two points with the same frequency are a jump.
    """

    points: tuple[tuple[float, float], ...]
    start: float

    def at(self, frequency: float) -> float:
        """Phase in degrees at a frequency in Hz (above a jump, at the jump itself)."""
        before: tuple[float, float] | None = None
        for point in self.points:
            if frequency < point[0]:
                if before is None:
                    return self.start
                share = math.log(frequency / before[0]) / math.log(point[0] / before[0])
                return before[1] + share * (point[1] - before[1])
            before = point
        return self.start if before is None else before[1]


def _last_nonzero(coefficients: Sequence[Fraction]) -> tuple[int, Fraction]:
    """(power of s, coefficient) of the lowest term; coefficients descend."""
    power = 0
    while coefficients[-1 - power] == 0:
        power += 1
    return power, coefficients[-1 - power]


def stick(response: Response) -> Stick:
    """The magnitude asymptotes of H(s), joined at the break frequencies."""
    transfer = response.transfer
    top_power, top = _last_nonzero(transfer.numerator)
    bottom_power, bottom = _last_nonzero(transfer.denominator)
    slope = 20 * (top_power - bottom_power)
    # At low frequency |H| → (top/bottom)·ω^n; at 1 Hz, ω is 2π rad/s.
    first = 20 * log10_fraction(abs(top / bottom)) + slope * math.log10(TWO_PI)
    turns = sorted(
        [(abs(z) / TWO_PI, 20) for z in response.zeros if z != 0]
        + [(abs(p) / TWO_PI, -20) for p in response.poles if p != 0]
    )
    merged: list[tuple[float, int]] = []
    for frequency, turn in turns:
        if merged and frequency - merged[-1][0] <= SAME * frequency:
            merged[-1] = (merged[-1][0], merged[-1][1] + turn)
        else:
            merged.append((frequency, turn))
    breaks: list[tuple[float, float]] = []
    slopes = [slope]
    base, level = 1.0, first
    for frequency, turn in merged:
        if turn:
            level += slope * math.log10(frequency / base)
            base = frequency
            slope += turn
            breaks.append((frequency, level))
            slopes.append(slope)
    return Stick(first, tuple(breaks), tuple(slopes))


def phase_stick(response: Response) -> PhaseStick:
    """The straight-line phase of H(s) in degrees."""
    ramps: list[tuple[float, float, int]] = []
    for roots, sign in ((response.zeros, 90), (response.poles, -90)):
        for root in roots:
            if root != 0:
                size = abs(root)
                reach = 10 ** abs(root.real / size)
                f = size / TWO_PI
                ramps.append((f / reach, f * reach, sign))
    start = float(response.phase_low)
    corners = sorted({f for low, high, _ in ramps for f in (low, high)})
    points: list[tuple[float, float]] = []
    for f in corners:
        before, after = start, start
        for low, high, turn in ramps:
            if low == high == f:
                after += turn
                continue
            share = 1.0 if f >= high else 0.0
            if low < f < high:
                share = math.log(f / low) / math.log(high / low)
            before += turn * share
            after += turn * share
        points.append((f, before))
        if after != before:
            points.append((f, after))
    return PhaseStick(tuple(points), start)


class Sweep:
    """|H| in dB and the continuous phase in degrees at any frequency, from the roots."""

    def __init__(self, response: Response) -> None:
        lead = response.transfer.numerator[0]  # the denominator is monic
        self._gain = 20 * log10_fraction(abs(lead))
        self._turn = 0.0 if lead > 0 else 180.0
        self._zeros = [(z.real, z.imag) for z in response.zeros]
        self._poles = [(p.real, p.imag) for p in response.poles]

    def gain_db(self, frequency: float) -> float:
        """20·log10|H| at a frequency in Hz; ±inf on an undamped zero or pole."""
        return self.gains_db((frequency,))[0]

    def gains_db(self, frequencies: Iterable[float]) -> list[float]:
        """20·log10|H| at many frequencies in Hz."""
        hypot, log10 = math.hypot, math.log10
        zeros, poles = self._zeros, self._poles
        gains: list[float] = []
        for frequency in frequencies:
            w = TWO_PI * frequency
            total = 0.0
            for re, im in zeros:
                size = hypot(re, w - im)
                total += log10(size) if size else -math.inf
            for re, im in poles:
                size = hypot(re, w - im)
                total -= log10(size) if size else -math.inf
            gains.append(self._gain + 20 * total)
        return gains

    def phase_deg(self, frequency: float) -> float:
        """Phase of H in degrees at a frequency in Hz."""
        return self.phases_deg((frequency,))[0]

    def phases_deg(self, frequencies: Iterable[float]) -> list[float]:
        """Phase at many frequencies: the sum of the angles of jω − root.

        Each angle is continuous along the jω axis, so the sum needs no unwrapping; it
        jumps by 180° only where a root lies exactly on the axis.
        """
        atan2 = math.atan2
        zeros, poles = self._zeros, self._poles
        phases: list[float] = []
        for frequency in frequencies:
            w = TWO_PI * frequency
            total = 0.0
            for re, im in zeros:
                total += atan2(w - im, 0.0 - re)
            for re, im in poles:
                total -= atan2(w - im, 0.0 - re)
            phases.append(self._turn + math.degrees(total))
        return phases
