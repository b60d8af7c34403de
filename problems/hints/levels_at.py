"""Hints for gain and phase at a frequency."""

from __future__ import annotations

from ..quantities.write import write_quantity
from ..questions.model import Rung
from .fill import HINTS, Hint, Named, Scene


@HINTS(Rung.GAIN_AT)
def gain_at(scene: Scene) -> Hint:
    """The magnitude of H there, and its decibels."""
    level = scene.question.figure
    values: Named = (
        ("names", scene.working),
        ("ratio", write_quantity(10 ** (level / 20), "")),
        ("result", write_quantity(level, "dB")),
    )
    return Hint("any", "any", "any", values, scene.working)
