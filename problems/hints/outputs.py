"""Hints for what comes out."""

from __future__ import annotations

from ..quantities.write import write_quantity
from ..questions.model import Rung
from .fill import HINTS, Hint, Named, Scene


@HINTS(Rung.DC_OUTPUT)
def dc_output(scene: Scene) -> Hint:
    """What opens and shorts leave, and what resistances divide."""
    values: Named = (
        ("names", scene.working),
        ("ratio", write_quantity(scene.facts.gain_low, "")),
    )
    return Hint("any", "any", str(scene.question.truth), values, scene.working)
