"""TransferFunction → Facts: what an exact H(s) means to an engineer.

Exact facts (type, counts, slopes, phases, ω0², Q²) are computed at once from exact
rational arithmetic.  Roots, peak and −3 dB edges are computed when first asked for.

Conventions (the trade's usual ones):

* corner: one pole |p|; two poles ω0 = √(a0/a2) of a2·s² + a1·s + a0;
* Q = √(a0·a2)/a1 of the same denominator;
* the −3 dB level is half power (20·log10 √½ = −3.0103 dB) below the pass band: the
  gain at DC for a low-pass, at high frequency for a high-pass, the peak for a
  band-pass, the larger of the two end gains for a notch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property, lru_cache

from flint import arb, fmpq_poly

from ..algebra import (
    axis_pairs,
    ball,
    log10_fraction,
    positive_roots,
    roots,
    square_root,
    squared_magnitude,
    stationary,
)
from ..circuits.model import Ladder
from ..isolation import midpoint
from .arms import is_reactive, working_rails
from .gain_type import (
    EndState,
    Excursion,
    Judgement,
    Limit,
    Nearness,
    Shape,
    Trap,
    complex_pairs,
    excursion,
    judge,
    shape,
)
from .idle import Hidden, Reason, generic, hidden_elements
from .limits import CLEAR_DB, TRAP_DB
from .terms import Feed as Feed
from .terms import FilterType as FilterType
from .ties import Stores, stores
from .transfer import TransferFunction, polynomial, to_flint, transfer_function

TWO_PI = 2 * math.pi

_NEAR_THE_CENTRE = 0.05
"""As a share of its frequency: as near a notch with equal ends lies to the poles' ω0."""
_WITH_STOP_BAND = (FilterType.LOW_PASS, FilterType.HIGH_PASS, FilterType.BAND_PASS)


class PoleNature(StrEnum):
    """The character of a pair of poles, decided exactly by the discriminant."""

    REAL = "real"
    DOUBLE = "double"
    COMPLEX = "complex"


def decibels(gain: float) -> float | None:
    """20·log10 of a gain; ``None`` for a gain of zero."""
    return 20 * math.log10(gain) if gain > 0 else None


def drawn_feed(ladder: Ladder) -> Feed | None:
    """By the first reactive arm drawn, whether or not it affects the output."""
    for stage in ladder.stages:
        if stage.arm is not None and is_reactive(stage.arm):
            return Feed(stage.place.value)
    return None


def feed(ladder: Ladder) -> Feed | None:
    """Series-fed or shunt-fed; ``None`` where no reactive arm affects the output.

    An arm does not across an ideal source or a buffer's output, or towards an open end.
    """
    first = next((rail for rail in working_rails(ladder) if rail.reactive), None)
    return None if first is None else Feed(first.place.value)


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
        """|H| at high frequency, exact."""
        t = self.transfer
        return abs(t.numerator[0]) if t.zero_count == t.order else Fraction(0)

    @cached_property
    def axis_zero_pairs(self) -> int:
        """Pairs of zeros exactly on the jω axis, away from the origin."""
        return axis_pairs(self._top) if self.transfer.zero_count >= 2 else 0

    @cached_property
    def type_exact(self) -> FilterType:
        """The type by exact zeros at the ends, as it is of ideal parts.

        It holds whatever the values where opens and shorts alone decide it.
        """
        if self.transfer.order == 0:
            return FilterType.FLAT
        low, high = self.gain_low > 0, self.gain_high > 0
        if low and high:
            if self.axis_zero_pairs:
                return FilterType.NOTCH
            if self.all_pass:
                return FilterType.ALL_PASS
            return FilterType.OTHER
        if low:
            return FilterType.LOW_PASS
        return FilterType.HIGH_PASS if high else FilterType.BAND_PASS

    @cached_property
    def all_pass(self) -> bool:
        """Whether |H| is exactly the same at every frequency."""
        top, bottom = self._power
        return bool(top * bottom[0] == bottom * top[0])

    @cached_property
    def judgement(self) -> Judgement:
        """What the rule of ``gain_type.py`` says: type, ends, depth and how near each limit is."""
        return judge(self)

    @property
    def type(self) -> FilterType:
        """The type by what the gain does; steps, dips and the like are ``OTHER``."""
        return self.judgement.type

    @property
    def low_end(self) -> EndState:
        """Whether DC is passed, blocked, or neither."""
        return self.judgement.low

    @property
    def high_end(self) -> EndState:
        """Whether the high-frequency end is passed, blocked, or neither."""
        return self.judgement.high

    @property
    def called(self) -> str:
        """The key of its name: the type, with a trap or of finite depth, or the shape."""
        if self.shape is not None:
            return self.shape.value
        if self.type is FilterType.NOTCH and not self.axis_zero_pairs:
            return f"{self.type.value}-finite"
        return f"{self.type.value}-trap" if self.traps else self.type.value

    @cached_property
    def shape(self) -> Shape | None:
        """What it looks like where it has no type; else ``None``."""
        if self.type is not FilterType.OTHER:
            return None
        return shape(self, self.judgement, self.excursion)

    @cached_property
    def excursion(self) -> Excursion:
        """How far the gain rises above both ends, and dips below both; nowhere if one is zero."""
        return excursion(self) if self.gain_low and self.gain_high else Excursion()

    @cached_property
    def _depth(self) -> tuple[float | None, float | None]:
        if self.type is FilterType.NOTCH:
            return self.judgement.depth_db, self.judgement.depth_hz
        return (self.shape and self.excursion.dip) or (None, None)

    @property
    def depth_db(self) -> float | None:
        """How far a notch, or a dip where there is no type, goes below the lower end, in dB.

        ∞ for a null; ``None`` where there is neither.
        """
        return self._depth[0]

    @property
    def depth_hz(self) -> float | None:
        """Where that lowest gain lies, in Hz."""
        return self._depth[1]

    @cached_property
    def floor_db(self) -> float | None:
        """How far below the pass band the nearer blocked end stays; ``None`` where both are zero.

        In dB; the pass band's level is that of the passed end, or a band-pass's peak.
        """
        match self.type:
            case FilterType.LOW_PASS:
                pairs = [(self.gain_high, self.gain_low)]
            case FilterType.HIGH_PASS:
                pairs = [(self.gain_low, self.gain_high)]
            case FilterType.BAND_PASS if self.peak_gain is not None:
                peak = Fraction(self.peak_gain)
                pairs = [(self.gain_low, peak), (self.gain_high, peak)]
            case _:
                return None
        return min((20 * log10_fraction(top / end) for end, top in pairs if end), default=None)

    @cached_property
    def traps(self) -> tuple[Trap, ...]:
        """Pairs of zeros on or near the jω axis beyond the pass band, by frequency."""
        found = (Trap(hz, depth) for hz, depth in self._dips if depth >= TRAP_DB)
        return tuple(sorted(found, key=lambda trap: trap.hz))

    @cached_property
    def _dips(self) -> tuple[tuple[float, float], ...]:
        """(Hz, dB below the straight lines) of each complex pair of zeros beyond the pass band."""
        if self.type not in _WITH_STOP_BAND:
            return ()
        found = []
        for zero in complex_pairs(self):
            size = abs(zero)
            depth = 20 * math.log10(size / (2 * abs(zero.real))) if zero.real else math.inf
            found.append((size / TWO_PI, depth))
        if not found:
            return ()
        low, high = self.edges_hz
        return tuple((f, d) for f, d in found if (low and f < low) or (high and f > high))

    @cached_property
    def nearness(self) -> tuple[Nearness, ...]:
        """How far it is from each limit of the rule, nearest first."""
        traps = (Nearness(Limit.TRAP, d, TRAP_DB) for _, d in self._dips if d < math.inf)
        return tuple(sorted((*self.judgement.nearness, *traps), key=lambda near: near.distance_db))

    @property
    def nearest(self) -> Nearness | None:
        """The limit it is nearest to."""
        return self.nearness[0] if self.nearness else None

    @property
    def margin_db(self) -> float:
        """How far it is from the nearest limit, in dB; ∞ where none applies."""
        return self.nearness[0].distance_db if self.nearness else math.inf

    @property
    def borderline(self) -> bool:
        """Whether it is so near to a limit that one may call it otherwise."""
        return self.margin_db < CLEAR_DB

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
    def centred(self) -> bool:
        """Whether the corner frequency is a centre frequency: of a band, or where a notch is."""
        if self.corner_hz is None or self.transfer.order != 2:
            return False
        if self.type is FilterType.NOTCH:
            return self.depth_hz is not None and math.isclose(
                self.depth_hz, self.corner_hz, rel_tol=_NEAR_THE_CENTRE
            )
        return self.type is FilterType.BAND_PASS

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
    def _stationary(self) -> list[tuple[arb, arb]]:
        """(u, |H|²) where the gain is stationary."""
        return stationary(*self._power)

    @cached_property
    def turning_points(self) -> tuple[tuple[float, float], ...]:
        """(ω², |H|²) where the gain is stationary, between the ends."""
        return tuple((float(u.mid()), float(value.mid())) for u, value in self._stationary)

    @cached_property
    def _peak(self) -> tuple[arb | None, arb | None]:
        """(u, |H|²) of the maximum; u is ``None`` where no finite frequency attains it."""
        if axis_pairs(self._bottom):
            return None, None  # an undamped resonance has no maximum
        best: tuple[arb | None, arb] = (None, ball(to_flint(self.gain_high**2)))
        if not self.all_pass and self.gain_low >= self.gain_high:
            best = (arb(0), ball(to_flint(self.gain_low**2)))
        for u, value in self._stationary:
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
        if not crossings:
            return nothing
        match self.type:
            case FilterType.LOW_PASS:
                return None, crossings[-1]
            case FilterType.HIGH_PASS:
                return crossings[0], None
            case FilterType.BAND_PASS:
                centre = self.peak_hz
            case _:
                centre = self.notch_hz or self.judgement.depth_hz
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
        if not self.type.banded or not (low and high):
            return None
        # Two poles: ω0/Q = a1 exactly, without the rounding of a difference of edges.
        ideal = self.type is self.type_exact and self.gain_low == self.gain_high
        exact = ideal and self.transfer.order == 2
        return float(self.transfer.denominator[1]) / TWO_PI if exact else high - low


@dataclass(frozen=True)
class Facts(Response):
    """A response together with what is true of the circuit that makes it.

    Args:
        transfer: its H(s).
        ladder: the circuit.
        exact: whether its type is that of exact zeros at the ends: of a circuit whose values
            have nothing to do with each other, and of problems of the first formats.
    """

    ladder: Ladder
    exact: bool = False

    @property
    def type(self) -> FilterType:
        """The type by what the gain does, or by exact zeros at the ends."""
        return self.type_exact if self.exact else self.judgement.type

    def is_alike(self, other: Facts) -> bool:
        """Whether the ``other`` circuit is of this one's type, by the rule that named this one."""
        return self.type is (other.type_exact if self.exact else other.judgement.type)

    @cached_property
    def fed(self) -> Feed | None:
        """By the first reactive arm met from the source that affects the output."""
        return feed(self.ladder)

    @cached_property
    def hidden(self) -> tuple[Hidden, ...]:
        """Reactive elements that add no pole of their own, each with the reason."""
        return hidden_elements(self.ladder)

    @property
    def reactive_count(self) -> int:
        """Number of inductors and capacitors drawn."""
        return len(self.ladder.reactive())

    @cached_property
    def stores(self) -> Stores:
        """The stores of energy, whatever the values."""
        return stores(self.ladder)

    @property
    def unseen(self) -> bool:
        """Whether a part stores energy on its own of which nothing is seen at the output."""
        return any(hidden.reason is Reason.UNSEEN for hidden in self.hidden)

    @property
    def independent_count(self) -> int:
        """How many inductors and capacitors store energy independently: Bryant's count."""
        return self.stores.independent

    @property
    def seen_count(self) -> int:
        """How many make a pole of H(s), whatever the values: those that are not hidden."""
        return self.reactive_count - len(self.hidden)


def facts(ladder: Ladder, *, exact: bool = False) -> Facts:
    """Exact facts of a valued ladder.

    Args:
        ladder: the circuit.
        exact: whether its type is to be that of exact zeros at the ends.

    Raises:
        CircuitError: an element has no value.
    """
    return _facts(ladder, exact)


@lru_cache(maxsize=64)
def _facts(ladder: Ladder, exact: bool) -> Facts:
    """Of the latest circuits: what was worked out of one serves all that is asked about it."""
    return Facts(transfer_function(ladder), ladder, exact)


def generic_facts(ladder: Ladder) -> Facts:
    """What holds of a circuit whatever its values, as facts of unrelated ones."""
    return facts(generic(ladder), exact=True)
