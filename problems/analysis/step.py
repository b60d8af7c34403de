"""The step response: the output after the source jumps from 0 to 1 V at t = 0.

The output is the inverse Laplace transform of H(s)/s, found by partial fractions.  About
a pole p of order m,

    H(s)/s = c₀/(s−p) + c₁/(s−p)² + … + c₍ₘ₋₁₎/(s−p)ᵐ + (regular at p),

where c₍ₘ₋₁₋ₖ₎ is the k-th Taylor coefficient of (s−p)ᵐ·H(s)/s at p, and 1/(s−p)ʳ⁺¹ is the
transform of tʳ·e^(pt)/r!.  The value at t = 0+ is H(∞) and the value it settles to is
H(0) (initial and final value theorems).  In every text on circuit analysis; e.g. Van
Valkenburg, "Network Analysis", 3rd ed., chapters 7 and 8 (citation from memory).

Nearly equal poles have huge coefficients that cancel.  So everything is done in ball
arithmetic (flint), with as many bits as make each sample right to about 12 digits of
the largest value at hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from flint import acb, arb, fmpq_poly

from ..algebra import precision, root_balls
from .response import TWO_PI
from .transfer import TransferFunction, polynomial

SETTLED = 5.0
"""Time constants after which a mode has died away: e⁻⁵ is 0.7 %."""
PERIODS = 10.0
"""Most periods of a ringing pair that are worth looking at."""

_STEPS = (128, 256, 512, 1024, 2048, 4096)
_DIGITS = 1e-12
_LEAST = 1e-18
"""Volts that are as good as nothing, for one volt at the source."""
_SAMPLES = 240
_CLOSER = 26
"""Steps of the search for the highest point: its value is then right to 1e-9 and better."""


@dataclass(frozen=True)
class _Mode:
    """Σ cᵣ·tʳ/r!·e^(pt), twice its real part for the upper of a conjugate pair."""

    pole: acb
    coefficients: tuple[acb, ...]
    twice: bool

    def at(self, t: arb) -> arb:
        total, *further = self.coefficients
        power = acb(1)
        for r, c in enumerate(further, 1):
            power = power * t / r
            total = total + c * power
        value = (total * (self.pole * t).exp()).real
        return value + value if self.twice else value


@dataclass(frozen=True)
class StepResponse:
    """The unit step response of H(s), in volts at the output for one volt at the source."""

    transfer: TransferFunction

    @property
    def initial(self) -> float:
        """The value just after the step: H at infinite frequency."""
        t = self.transfer
        return float(t.numerator[0]) if t.zero_count == t.order else 0.0

    @property
    def final(self) -> float:
        """The value it settles to (where it does): H at DC."""
        return float(self.transfer.numerator[-1] / self.transfer.denominator[-1])

    @cached_property
    def _orders(self) -> dict[complex, int]:
        """The distinct poles with Im ≥ 0, in rad/s, each with its multiplicity."""
        denominator = polynomial(self.transfer.denominator)
        found = root_balls(denominator, 64) if denominator.degree() > 0 else []
        return {
            complex(float(p.real.mid()), float(p.imag.mid())): n
            for p, n in found
            if p.imag == 0 or p.imag > 0
        }

    @property
    def _poles(self) -> tuple[complex, ...]:
        return tuple(self._orders)

    @cached_property
    def _reaches(self) -> tuple[float, ...]:
        """For each pole the seconds after which its mode is over, ascending.

        A mode is over when it has settled, and uninteresting after ten periods of ringing.
        Poles that decay alike settle later than either alone.
        """
        found: list[float] = []
        for pole in self._poles:
            times: list[float] = []
            if pole.real < 0:
                alike = sum(0.5 < p.real / pole.real < 2 for p in self._poles) - 1
                alike += self._orders[pole] - 1
                times.append((SETTLED + 2 * alike) / -pole.real)
            if pole.imag > 0:
                times.append(PERIODS * TWO_PI / pole.imag)
            found += [min(times)] if times else []
        return tuple(sorted(found))

    @property
    def horizon(self) -> float:
        """Seconds after which there is nothing more to see; 1 for a circuit without poles."""
        return self._reaches[-1] if self._reaches else 1.0

    def at(self, times: Iterable[float]) -> list[float]:
        """The output in volts at times in seconds; 0 before the step.

        Raises:
            ArithmeticError: the poles lie too close together to be told apart.
        """
        wanted = tuple(times)
        known = self._sampled.get(wanted)
        if known is None:
            known = self._computed(wanted)
            # The screen asks for the same times again and again, and for many single ones.
            if len(wanted) > 8:
                self._sampled.clear()
                self._sampled[wanted] = known
        return list(known)

    @cached_property
    def _sampled(self) -> dict[tuple[float, ...], list[float]]:
        return {}

    def _computed(self, wanted: tuple[float, ...]) -> list[float]:
        for bits in _STEPS:
            modes = _modes(self.transfer, bits)
            with precision(bits):
                balls = [_total(modes, t) for t in wanted]
                values = [float(b.mid()) for b in balls]
                doubt = max((float(b.rad()) for b in balls), default=0.0)
            size = max((abs(v) for v in values), default=0.0)
            if doubt <= max(_LEAST, _DIGITS * max(size, abs(self.final), abs(self.initial))):
                return values
        raise ArithmeticError("the poles lie too close together")  # pragma: no cover

    @cached_property
    def overshoot(self) -> tuple[float, float] | None:
        """(seconds, volts) of the highest point, where it lies above the value settled to.

        ``None`` where the output never rises above it, is highest at once, or settles to 0.
        """
        end, size = self.final, abs(self.final)
        if size == 0 or not self._poles:
            return None
        sign = 1.0 if end > 0 else -1.0
        found: tuple[float, float] | None = None
        # Each mode on its own scale, so that a fast peak before a slow tail is not missed.
        for reach in self._reaches:
            times = [reach * n / _SAMPLES for n in range(_SAMPLES + 1)]
            values = [sign * v for v in self.at(times)]
            n = max(range(len(values)), key=values.__getitem__)
            if 0 < n < _SAMPLES and values[n] > size * (1 + 1e-9):
                time, value = self._climb(sign, times[n - 1], times[n + 1])
                if value > size * (1 + 1e-9) and (found is None or value > sign * found[1]):
                    found = time, sign * value
        return found

    def _climb(self, sign: float, low: float, high: float) -> tuple[float, float]:
        """The top between two times: a golden-section search."""
        golden = (math.sqrt(5) - 1) / 2
        inner, outer = high - golden * (high - low), low + golden * (high - low)
        first, second = (sign * v for v in self.at((inner, outer)))
        for _ in range(_CLOSER):
            if first > second:
                high, outer, second = outer, inner, first
                inner = high - golden * (high - low)
                first = sign * self.at((inner,))[0]
            else:
                low, inner, first = inner, outer, second
                outer = low + golden * (high - low)
                second = sign * self.at((outer,))[0]
        return ((low + high) / 2, max(first, second))


def _total(modes: tuple[_Mode, ...], time: float) -> arb:
    total = arb(0)
    if time >= 0:
        t = arb(time)
        for mode in modes:
            total = total + mode.at(t)
    return total


@lru_cache(maxsize=32)
def _modes(transfer: TransferFunction, bits: int) -> tuple[_Mode, ...]:
    """The partial fractions of H(s)/s at this precision."""
    top = polynomial(transfer.numerator)
    bottom = polynomial(transfer.denominator) * fmpq_poly([0, 1])
    origin = 0
    while bottom[0] == 0:
        bottom, origin = fmpq_poly(bottom.coeffs()[1:]), origin + 1
    poles = [(acb(0), origin), *(root_balls(bottom, bits) if bottom.degree() > 0 else [])]
    with precision(bits):
        found: list[_Mode] = []
        for pole, order in poles:
            upper = pole.imag != 0
            if upper and not pole.imag > 0:
                continue  # the lower of a pair is counted with the upper
            series = _taylor(top, pole, order)
            for other, times in poles:
                if other is not pole:
                    for _ in range(times):
                        series = _divided(series, pole - other)
            # bottom is monic, as the denominator is.
            found.append(_Mode(pole, tuple(reversed(series)), upper))
        return tuple(found)


def _taylor(p: fmpq_poly, at: acb, count: int) -> list[acb]:
    """The first Taylor coefficients of a polynomial about a point."""
    series: list[acb] = []
    factorial = 1
    for k in range(count):
        total = acb(0)
        for c in reversed(p.coeffs()):
            total = total * at + acb(arb(c))
        series.append(total / factorial)
        p = p.derivative()
        factorial *= k + 1
    return series


def _divided(series: list[acb], a: acb) -> list[acb]:
    """A power series in x divided by (a + x), to the same number of terms."""
    quotient: list[acb] = []
    previous = acb(0)
    for c in series:
        previous = (c - previous) / a
        quotient.append(previous)
    return quotient
