"""TransferFunction → Facts: what an exact H(s) means to an engineer.

Exact facts (type, counts, slopes, phases, ω0², Q²) are computed at once from exact
rational arithmetic.  Roots, peak and −3 dB edges are computed when first asked for.

Conventions (the trade's usual ones):

* corner: one pole |p|; two poles ω0 = √(a0/a2) of a2·s² + a1·s + a0;
* Q = √(a0·a2)/a1 of the same denominator;
* the −3 dB level is half power (20·log10 √½ = −3.0103 dB) below the pass band: the
  gain at DC for a low-pass, at very high frequency for a high-pass, the peak for a
  band-pass, the larger of the two end gains for a notch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from flint import arb, fmpq_poly

from ..algebra import (
    axis_pairs,
    ball,
    positive_roots,
    roots,
    square_root,
    squared_magnitude,
    stationary,
)
from ..circuits.model import Ladder, Place, leaves
from ..isolation import midpoint
from .idle import Hidden, hidden_elements
from .transfer import TransferFunction, polynomial, to_flint, transfer_function

TWO_PI = 2 * math.pi


class FilterType(StrEnum):
    """The type of H(s) after cancelling."""

    LOW_PASS = "low-pass"
    HIGH_PASS = "high-pass"
    BAND_PASS = "band-pass"
    NOTCH = "notch"
    ALL_PASS = "all-pass"
    FLAT = "flat"
    OTHER = "other"


class Feed(StrEnum):
    """By the first reactive arm met from the source."""

    SERIES = "series"
    SHUNT = "shunt"


class PoleNature(StrEnum):
    """The character of a pair of poles, decided exactly by the discriminant."""

    REAL = "real"
    DOUBLE = "double"
    COMPLEX = "complex"


def decibels(gain: float) -> float | None:
    """20·log10 of a gain; ``None`` for a gain of zero."""
    return 20 * math.log10(gain) if gain > 0 else None


def feed(ladder: Ladder) -> Feed | None:
    """Series-fed or shunt-fed; ``None`` without a reactive arm."""
    for stage in ladder.stages:
        if stage.arm is not None and any(e.kind.reactive for e in leaves(stage.arm)):
            return Feed.SERIES if stage.place is Place.SERIES else Feed.SHUNT
    return None


@dataclass(frozen=True)
class Response:
    """Everything that follows from H(s) alone.  Frequencies in Hz unless named ω (rad/s)."""

    transfer: TransferFunction

    @cached_property
    def _top(self) -> fmpq_poly:
        return polynomial(self.transfer.numerator)

    @cached_property
    def _bottom(self) -> fmpq_poly:
        return polynomial(self.transfer.denominator)

    @cached_property
    def gain_low(self) -> Fraction:
        """|H| at DC, exact."""
        t = self.transfer
        return abs(t.numerator[-1] / t.denominator[-1])

    @cached_property
    def gain_high(self) -> Fraction:
        """|H| at very high frequency, exact."""
        t = self.transfer
        return abs(t.numerator[0]) if t.zero_count == t.order else Fraction(0)

    @cached_property
    def axis_zero_pairs(self) -> int:
        """Pairs of zeros exactly on the jω axis, away from the origin."""
        return axis_pairs(self._top) if self.transfer.zero_count >= 2 else 0

    @cached_property
    def type(self) -> FilterType:
        """The filter's type; shelves and dips are ``OTHER``."""
        if self.transfer.order == 0:
            return FilterType.FLAT
        low, high = self.gain_low > 0, self.gain_high > 0
        if low and high:
            if self.axis_zero_pairs:
                return FilterType.NOTCH
            if self._is_all_pass():
                return FilterType.ALL_PASS
            return FilterType.OTHER
        if low:
            return FilterType.LOW_PASS
        return FilterType.HIGH_PASS if high else FilterType.BAND_PASS

    def _is_all_pass(self) -> bool:
        top, bottom = squared_magnitude(self._top), squared_magnitude(self._bottom)
        return bool(top * bottom[0] == bottom * top[0])

    @cached_property
    def poles(self) -> tuple[complex, ...]:
        """Poles in rad/s with multiplicity, by magnitude."""
        return roots(self._bottom)

    @cached_property
    def zeros(self) -> tuple[complex, ...]:
        """Finite zeros in rad/s with multiplicity, by magnitude."""
        return roots(self._top)

    @property
    def slope_low(self) -> int:
        """Asymptotic slope towards DC, dB/decade: +20 for each zero at the origin."""
        return 20 * self.transfer.zeros_at_origin

    @property
    def slope_high(self) -> int:
        """Asymptotic slope at high frequency, dB/decade: 20·(zeros − poles)."""
        return 20 * (self.transfer.zero_count - self.transfer.order)

    @property
    def phase_low(self) -> int:
        """Phase towards DC in degrees: +90 for each zero at the origin."""
        return 90 * self.transfer.zeros_at_origin

    @property
    def phase_high(self) -> int:
        """Phase at high frequency in degrees: 90·(zeros − poles), no right-half-plane roots."""
        return 90 * (self.transfer.zero_count - self.transfer.order)

    @cached_property
    def corner_squared(self) -> Fraction | None:
        """ω0² in (rad/s)², exact; ``None`` unless there are one or two poles."""
        d = self.transfer.denominator
        if self.transfer.order == 1:
            return d[1] * d[1]
        return d[2] if self.transfer.order == 2 else None

    @cached_property
    def q_squared(self) -> Fraction | None:
        """Q², exact; ``None`` unless there are two poles, with some damping."""
        d = self.transfer.denominator
        if self.transfer.order != 2 or d[1] == 0:
            return None
        return d[2] / (d[1] * d[1])

    @property
    def pole_nature(self) -> PoleNature | None:
        """Real, double or complex; ``None`` unless there are two poles."""
        d = self.transfer.denominator
        if self.transfer.order != 2:
            return None
        discriminant = d[1] * d[1] - 4 * d[2]
        if discriminant == 0:
            return PoleNature.DOUBLE
        return PoleNature.REAL if discriminant > 0 else PoleNature.COMPLEX

    @property
    def maximally_flat(self) -> bool:
        """Whether it is a low-pass or high-pass of two poles with Q exactly 1/√2: Butterworth's.

        Then 1 − |H|²/|H|²max grows as the fourth power of ω (or of 1/ω) alone: the gain is as flat
        in the pass band as two poles can make it.  Common practice, no source.
        """
        t = self.transfer
        plain = t.zeros_at_origin == t.zero_count and t.zero_count in (0, 2)
        return plain and self.q_squared == Fraction(1, 2)

    @cached_property
    def corner_hz(self) -> float | None:
        """Corner frequency in Hz."""
        return None if self.corner_squared is None else square_root(self.corner_squared) / TWO_PI

    @cached_property
    def q(self) -> float | None:
        """Quality factor."""
        return None if self.q_squared is None else square_root(self.q_squared)

    @cached_property
    def notch_hz(self) -> float | None:
        """Where a single pair of jω-axis zeros lies, in Hz."""
        if self.axis_zero_pairs != 1:
            return None
        return next(z.imag for z in self.zeros if z.real == 0 and z.imag > 0) / TWO_PI

    @cached_property
    def _power(self) -> tuple[fmpq_poly, fmpq_poly]:
        """|H|² as a fraction of polynomials in u = ω²."""
        return squared_magnitude(self._top), squared_magnitude(self._bottom)

    @cached_property
    def _peak(self) -> tuple[arb | None, arb | None]:
        """(u, |H|²) of the maximum; u is ``None`` where no finite frequency attains it."""
        if axis_pairs(self._bottom):
            return None, None  # an undamped resonance has no maximum
        top, bottom = self._power
        best: tuple[arb | None, arb] = (None, ball(to_flint(self.gain_high**2)))
        constant = top * bottom[0] == bottom * top[0]
        if not constant and self.gain_low >= self.gain_high:
            best = (arb(0), ball(to_flint(self.gain_low**2)))
        for u, value in stationary(top, bottom):
            if float(value) > float(best[1]):  # a rise that no float can tell is no peak
                best = (u, value)
        return best

    @cached_property
    def peak_gain(self) -> float | None:
        """Largest |H| (a limit counts); ``None`` where an undamped pole makes it infinite."""
        value = self._peak[1]
        return None if value is None else math.sqrt(float(value.mid()))

    @cached_property
    def peak_hz(self) -> float | None:
        """Where |H| is largest; ``None`` if no single finite frequency attains it."""
        u = self._peak[0]
        return None if u is None else math.sqrt(float(u.mid())) / TWO_PI

    @cached_property
    def edges_hz(self) -> tuple[float | None, float | None]:
        """The −3 dB edges; an edge that does not exist is ``None``."""
        nothing = (None, None)
        if axis_pairs(self._bottom):
            return nothing
        top, bottom = self._power
        match self.type:
            case FilterType.LOW_PASS:
                reference = to_flint(self.gain_low**2)
            case FilterType.HIGH_PASS:
                reference = to_flint(self.gain_high**2)
            case FilterType.BAND_PASS:
                assert self._peak[1] is not None
                reference = midpoint(self._peak[1])
            case FilterType.NOTCH:
                reference = to_flint(max(self.gain_low, self.gain_high) ** 2)
            case _:
                return nothing
        crossings = [
            math.sqrt(float(u.mid())) / TWO_PI for u in positive_roots(top * 2 - bottom * reference)
        ]
        match self.type:
            case FilterType.LOW_PASS:
                return None, crossings[-1]
            case FilterType.HIGH_PASS:
                return crossings[0], None
            case FilterType.BAND_PASS:
                centre = self.peak_hz
            case _:
                centre = self.notch_hz
        if centre is None:
            return nothing
        below = [f for f in crossings if f < centre]
        above = [f for f in crossings if f > centre]
        return (below[-1] if below else None), (above[0] if above else None)

    @cached_property
    def bandwidth_hz(self) -> float | None:
        """−3 dB bandwidth: f0/Q for two poles; a low-pass's reaches down to DC."""
        low, high = self.edges_hz
        if self.type is FilterType.LOW_PASS:
            return high
        if self.type not in (FilterType.BAND_PASS, FilterType.NOTCH) or not (low and high):
            return None
        # Two poles: ω0/Q = a1 exactly, without the rounding of a difference of edges.
        exact = self.transfer.order == 2 and self.gain_low == self.gain_high
        return float(self.transfer.denominator[1]) / TWO_PI if exact else high - low


@dataclass(frozen=True)
class Facts(Response):
    """A response together with what is true of the circuit that makes it."""

    ladder: Ladder

    @cached_property
    def fed(self) -> Feed | None:
        """By the first reactive arm met from the source."""
        return feed(self.ladder)

    @cached_property
    def hidden(self) -> tuple[Hidden, ...]:
        """Reactive elements that add no pole of their own, each with the reason."""
        return hidden_elements(self.ladder)

    @property
    def reactive_count(self) -> int:
        """Number of inductors and capacitors drawn."""
        return len(self.ladder.reactive())

    @property
    def independent_count(self) -> int:
        """Number of inductors and capacitors that store energy independently."""
        return self.reactive_count - len(self.hidden)


def facts(ladder: Ladder) -> Facts:
    """Exact facts of a valued ladder.

    Raises:
        CircuitError: an element has no value.
    """
    return Facts(transfer_function(ladder), ladder)
