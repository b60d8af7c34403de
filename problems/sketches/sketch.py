"""Sketches: the right ones of a circuit, sketches as text, and the paper to draw on.

The text of a sketch is what a learner types and what a drawing is submitted as:

* gain: slopes in dB/decade and breaks by turns, from left to right, and the height at the
  first break: ``+20 to 340 Hz, 0 to 12 kHz, −20; level −6 dB``;
* phase: angles in degrees and the middles of the turns between them by turns,
  ``+90 to 340 Hz, 0 to 12 kHz, −90``; a jump says so: ``−90 to 1 kHz jump, +90``;
* map: ``poles: 2 real; zeros: 1 at the origin``, with pairs counted as pairs.

The parts live in modules of their own; what only compares or writes need not load the readers.
"""

from __future__ import annotations

import math

from ..analysis.response import TWO_PI, Facts
from ..chance import Chance
from ..circuits.write import write_circuit
from .model import (
    MOST_BREAKS,
    GainSketch,
    LineSketch,
    MapSketch,
    PhaseSketch,
    PlotBend,
    PlotKind,
    Region,
    Sketch,
    SketchError,
    SketchPart,
    as_written,
    gain_sketch,
    map_sketch,
    phase_sketch,
    same,
)
from .read import read_gain, read_line, read_phase
from .read_map import read_map
from .truth import true_gain, true_map, true_phase
from .write import decibels, degrees, hertz, region_words, signed, write, write_exactly

__all__ = [
    "MOST_BREAKS", "GainSketch", "LineSketch", "MapSketch", "PhaseSketch", "PlotBend", "PlotKind",
    "Region", "Sketch", "SketchError", "SketchPart", "as_written",
    "decibels", "degrees", "frame", "gain_sketch", "hertz",
    "map_sketch", "phase_sketch", "read_gain", "read_line", "read_map", "read_phase",
    "region_words", "same", "signed", "true_gain", "true_map", "true_phase", "write",
    "write_exactly",
]  # fmt: skip


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
    heights = [lines.level, *lines.heights]
    bottom = min(-80.0, 20.0 * math.floor(min(heights) / 20) - 40)
    top = max(40.0, 20.0 * math.ceil(max(heights) / 20) + 20)
    return 10.0 ** (math.floor(low) - below), 10.0 ** (math.ceil(high) + above), bottom, top
