"""The paper that a sketch of a circuit is drawn on."""

from __future__ import annotations

import math

from ..analysis.response import TWO_PI, Facts
from ..chance import Chance
from ..circuits.write import write_circuit
from .truth import true_gain


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
