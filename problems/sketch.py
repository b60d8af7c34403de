"""Sketches: the right ones of a circuit, and sketches as text.

The text of a sketch is what a learner types and what a drawing is submitted as:

* gain: slopes in dB/decade and breaks by turns, from left to right, and the height at the
  first break: ``+20 to 340 Hz, 0 to 12 kHz, −20; level −6 dB``;
* phase: angles in degrees and the middles of the turns between them by turns,
  ``+90 to 340 Hz, 0 to 12 kHz, −90``; a jump says so: ``−90 to 1 kHz jump, +90``;
* map: ``poles: 2 real; zeros: 1 at the origin``, with pairs counted as pairs.

Rules of the straight lines: see ``asymptotes.py``.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

from .asymptotes import stick
from .chance import Chance
from .notation_write import write_circuit
from .quantities_write import MINUS, write_quantity
from .response import TWO_PI, Facts, Response
from .sketch_form import (
    MOST_BREAKS,
    GainSketch,
    MapSketch,
    PhaseSketch,
    Region,
    Sketch,
    SketchError,
    gain_sketch,
    map_sketch,
    phase_sketch,
    same,
)
from .sketch_read import read_gain, read_phase
from .sketch_read_map import read_map

__all__ = [
    "MOST_BREAKS",
    "GainSketch",
    "MapSketch",
    "PhaseSketch",
    "Region",
    "Sketch",
    "SketchError",
    "decibels",
    "degrees",
    "frame",
    "gain_sketch",
    "hertz",
    "map_sketch",
    "phase_sketch",
    "read_gain",
    "read_map",
    "read_phase",
    "region_words",
    "signed",
    "true_gain",
    "true_map",
    "true_phase",
    "write",
]

_NOTHING = 1e-6
"""A level in dB nearer to 0 than this is 0: what is left of rounding."""


# ---------------------------------------------------------------------- the right ones


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
        Counter(map(_region, response.poles)).items(),
        Counter(map(_region, response.zeros)).items(),
    )


def _region(root: complex) -> Region:
    """The certified roots carry exact zeros, so that nothing hangs on a tolerance."""
    if root == 0:
        return Region.ORIGIN
    if root.imag == 0:
        return Region.REAL
    return Region.AXIS if root.real == 0 else Region.PAIR


# ---------------------------------------------------------------------------- the paper


def frame(facts: Facts) -> tuple[float, float, float, float]:
    """The paper to draw on: lowest and highest Hz, lowest and highest dB.

    Whole decades, one to three of them beyond the outermost roots, drawn by lot from the
    circuit, so that no place on the paper says anything of where the breaks lie.
    """
    places = [abs(root) / TWO_PI for root in (*facts.poles, *facts.zeros) if root]
    chance = Chance(0, "paper", write_circuit(facts.ladder))
    low, high = (math.log10(f) for f in (min(places, default=1e3), max(places, default=1e3)))
    below, above = 1 + chance.below(3), 1 + chance.below(3)
    lines = true_gain(facts)
    heights = [lines.level]
    for k, place in enumerate(lines.breaks[1:], 1):
        heights.append(heights[-1] + lines.slopes[k] * math.log10(place / lines.breaks[k - 1]))
    bottom = min(-80.0, 20.0 * math.floor(min(heights) / 20) - 40)
    top = max(40.0, 20.0 * math.ceil(max(heights) / 20) + 20)
    return 10.0 ** (math.floor(low) - below), 10.0 ** (math.ceil(high) + above), bottom, top


# -------------------------------------------------------------------------------- text


def signed(value: int) -> str:
    """A slope or an angle: +20, 0, −20."""
    return f"{value:+d}".replace("-", MINUS) if value else "0"


def degrees(angle: int) -> str:
    """An angle with its sign and unit: +90°, 0°."""
    return f"{signed(angle)}°"


def hertz(frequency: float) -> str:
    """A frequency of a sketch to four digits."""
    return write_quantity(frequency, "Hz")


def decibels(level: float) -> str:
    """A level of a sketch to a hundredth of a dB."""
    return write_quantity(round(level, 2) or 0.0, "dB", 6)


def write(sketch: Sketch) -> str:
    """The sketch as text; frequencies to four digits, the level to a hundredth of a dB."""
    match sketch:
        case GainSketch():
            line = _line(sketch.slopes, [hertz(f) for f in sketch.breaks])
            return f"{line}; level {decibels(sketch.level)}"
        case PhaseSketch():
            return _phase(sketch)
    return f"poles: {_roots(sketch.poles)}; zeros: {_roots(sketch.zeros)}"


def _line(values: Iterable[int], places: Iterable[str]) -> str:
    first, *rest = map(signed, values)
    return first + "".join(
        f" to {place}, {after}" for place, after in zip(places, rest, strict=True)
    )


def _phase(sketch: PhaseSketch) -> str:
    """A jump within a turn stands in the middle of it: half the turn before, half after."""
    events: list[tuple[float, int, str]] = []
    jumps = list(sketch.jumps)
    for place, turn in sketch.turns:
        within = [jump for jump in jumps if same(jump[0], place)]
        before = turn // 2 if within else turn
        events.append((place, before, ""))
        for jump in within:
            jumps.remove(jump)
            events += [(place, jump[1], " jump"), (place, turn - before, "")]
    events += [(place, jump, " jump") for place, jump in jumps]
    events.sort(key=lambda event: event[0])
    angles = [sketch.start]
    for _, turn, _ in events:
        angles.append(angles[-1] + turn)
    return _line(angles, [hertz(place) + word for place, _, word in events])


_SPOKEN = {
    Region.ORIGIN: "at the origin",
    Region.AXIS: "on the jω axis",
    Region.REAL: "real",
    Region.PAIR: "complex",
}


def _roots(roots: tuple[tuple[Region, int], ...]) -> str:
    return ", ".join(map(region_words, *zip(*roots, strict=True))) if roots else "none"


def region_words(region: Region, count: int) -> str:
    """'2 real', '1 complex pair', '1 pair on the jω axis'."""
    pairs = f"{count // 2} pair{'s' if count > 3 else ''}"
    match region:
        case Region.AXIS:
            return f"{pairs} {_SPOKEN[region]}"
        case Region.PAIR:
            return f"{count // 2} complex {pairs.partition(' ')[2]}"
    return f"{count} {_SPOKEN[region]}"
