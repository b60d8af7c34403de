"""The straight-line plot of a worked solution, growing break by break, and the exact curve.

The rules are those of `asymptotes`: common practice, in every textbook on Bode plots.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..analysis.asymptotes import Stick, Sweep, stick
from ..analysis.response import TWO_PI, Facts, Response
from ..quantities.convert import SAME
from ..quantities.write import write_quantity
from ..sketches.truth import true_phase
from .step import Step, View, added, seen, step

MOST = 6
"""Break frequencies up to which the lines grow one at a time."""
NOTHING = 1e-6
"""Decibels that are only the rounding of a logarithm."""
ON = 0.05
"""Decibels below which the curve is said to pass through a corner of the lines."""


@dataclass(frozen=True)
class Break:
    """The poles and zeros of one break frequency in Hz; pairs are complex conjugates."""

    frequency: float
    poles: int = 0
    zeros: int = 0
    pole_pairs: int = 0
    zero_pairs: int = 0

    @property
    def turn(self) -> int:
        """By how many dB/decade the slope changes."""
        return 20 * (self.zeros - self.poles) + 40 * (self.zero_pairs - self.pole_pairs)

    @property
    def kind(self) -> str:
        """Which words tell what happens here."""
        up, down = self.zeros + self.zero_pairs, self.poles + self.pole_pairs
        if up and down:
            return "both" if self.turn else "cancel"
        what = "pole" if down else "zero"
        if up + down > 1:
            return f"{what}s"
        return f"{what}-pair" if self.pole_pairs or self.zero_pairs else what


def break_frequencies(response: Response) -> list[Break]:
    """Every break, upwards, also those where poles and zeros cancel each other's turn."""
    roots = [(abs(p) / TWO_PI, -1, p) for p in response.poles if p != 0]
    roots += [(abs(z) / TWO_PI, 1, z) for z in response.zeros if z != 0]
    found: list[Break] = []
    for frequency, sign, root in sorted(roots, key=lambda r: (r[0], r[1])):
        if not found or frequency - found[-1].frequency > SAME * frequency:
            found.append(Break(frequency))
        last = found.pop()
        real = not root.imag
        pair = root.imag > 0
        found.append(
            Break(
                last.frequency,
                last.poles + (sign < 0 and real),
                last.zeros + (sign > 0 and real),
                last.pole_pairs + (sign < 0 and pair),
                last.zero_pairs + (sign > 0 and pair),
            )
        )
    return found


def growing(facts: Facts) -> Iterator[Step]:
    """The line at the low end, each break, the phase, and the exact curve over it all."""
    lines, breaks = stick(facts), break_frequencies(facts)
    if not breaks:
        return
    yield _start(lines, breaks[0].frequency)
    if len(breaks) > MOST:
        yield _at(
            step("sticks-many", count=len(breaks), slope=_slope(lines.slopes[-1])),
            len(lines.breaks),
        )
    else:
        yield from _bends(lines, breaks)
    yield seen(_phase(facts), View.PHASE_LINES)
    yield seen(_curve(facts, lines, breaks), View.CURVE)


def _at(told: Step, breaks: int) -> Step:
    return seen(told, View.GAIN_LINES, breaks)


def _slope(slope: int) -> str:
    return write_quantity(slope, "dB/decade")


def _start(lines: Stick, first: float) -> Step:
    slope = lines.slopes[0]
    level = lines.at(first)
    if abs(level) < NOTHING:
        level = 0.0
    at = {"level": write_quantity(level, "dB"), "frequency": write_quantity(first, "Hz")}
    if not slope:
        return _at(step("sticks-start-level", **at), 0)
    return _at(step("sticks-start-rising", slope=_slope(slope), zeros=slope // 20, **at), 0)


def _bends(lines: Stick, breaks: list[Break]) -> Iterator[Step]:
    drawn = 0
    for one in breaks:
        before = lines.slopes[drawn]
        drawn += bool(one.turn)
        values = {
            "frequency": write_quantity(one.frequency, "Hz"),
            "before": _slope(before),
            "after": _slope(before + one.turn),
            "count": one.poles + one.zeros + 2 * (one.pole_pairs + one.zero_pairs),
            "down": _slope(20 * one.poles + 40 * one.pole_pairs),
            "up": _slope(20 * one.zeros + 40 * one.zero_pairs),
            "turn": _slope(abs(one.turn)),
        }
        yield _at(step(f"sticks-{one.kind}", **values), drawn)


def _phase(facts: Facts) -> Step:
    """The phase as a sum: where it starts, what every break adds, and where it ends."""
    lines = true_phase(facts)
    low_phase, high_phase = (write_quantity(at, "°") for at in (lines.start, lines.end))
    if not lines.bends:
        return step("sticks-phase-none", low_phase=low_phase)
    sums, angle = list[str](), lines.start
    for bend in lines.bends:
        sums.append(added(write_quantity(bend.frequency, "Hz"), angle, bend.value, "°"))
        angle += bend.value
    jump = any(root.real == 0 and root != 0 for root in (*facts.poles, *facts.zeros))
    return step(
        f"sticks-phase{'-jump' if jump else ''}",
        sums,
        origin=facts.transfer.zeros_at_origin,
        low_phase=low_phase,
        high_phase=high_phase,
    )


def _curve(facts: Facts, lines: Stick, breaks: list[Break]) -> Step:
    """How far the curve passes from the lines where they bend."""
    sweep = Sweep(facts)
    if any(pole.real == 0 and pole != 0 for pole in facts.poles):
        return step("curve-undamped")
    if facts.notch_hz is not None:
        return step("curve-notch", frequency=write_quantity(facts.notch_hz, "Hz"))
    if facts.axis_zero_pairs:
        return step("curve-notches")
    far, frequency = max(
        ((sweep.gain_db(one.frequency) - lines.at(one.frequency), one.frequency) for one in breaks),
        key=lambda pair: abs(pair[0]),
    )
    how = "on" if abs(far) < ON else "above" if far > 0 else "below"
    distance = write_quantity(math.fabs(far), "dB", 3)
    return step(f"curve-{how}", distance=distance, frequency=write_quantity(frequency, "Hz"))
