"""The right sketches of a response.  Rules of the straight lines: see ``asymptotes.py``."""

from __future__ import annotations

from collections import Counter

from ..analysis.asymptotes import stick
from ..analysis.response import TWO_PI, Response
from .model import GainSketch, MapSketch, PhaseSketch, Region, map_sketch, phase_sketch

_NOTHING = 1e-6
"""A level in dB nearer to 0 than this is 0: what is left of rounding."""


def true_gain(response: Response) -> GainSketch:
    """The straight lines of the gain, joined at the break frequencies.

    Without a break the line is flat: a filter that only rises has no ladder.
    """
    lines = stick(response)
    level = lines.breaks[0][1] if lines.breaks else lines.level
    return GainSketch(
        lines.slopes,
        tuple(frequency for frequency, _ in lines.breaks),
        0.0 if abs(level) < _NOTHING else level,
    )


def true_phase(response: Response) -> PhaseSketch:
    """The straight lines of the phase: 90° for a real root, 180° for a pair.

    A pair of zeros on the jω axis makes a jump by +180°, which stands apart from the turn of
    poles at the same frequency.
    """
    turns: list[tuple[float, int]] = []
    jumps: list[tuple[float, int]] = []
    for roots, sign in ((response.zeros, 90), (response.poles, -90)):
        for root in roots:
            if root:
                (turns if root.real else jumps).append((abs(root) / TWO_PI, sign))
    return phase_sketch(response.phase_low, turns, jumps)


def true_map(response: Response) -> MapSketch:
    """How many poles and finite zeros lie in each region."""
    return map_sketch(
        Counter(map(region_of, response.poles)).items(),
        Counter(map(region_of, response.zeros)).items(),
    )


def region_of(root: complex) -> Region:
    """Where a root lies; certified ones carry exact zeros, so no tolerance decides."""
    if root == 0:
        return Region.ORIGIN
    if root.real > 0:
        return Region.RIGHT
    if root.imag == 0:
        return Region.REAL
    return Region.AXIS if root.real == 0 else Region.PAIR
