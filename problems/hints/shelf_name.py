"""Hints for the name of a step in the gain: its ends compared, its poles counted."""

from __future__ import annotations

from ..quantities.write import write_quantity
from ..questions.model import Rung
from .fill import HINTS, Hint, Named, Scene


@HINTS(Rung.SHELF_NAME)
def shelf_name(scene: Scene) -> Hint:
    """The gain at DC, at the high-frequency end, and how many poles lie between."""
    known = scene.facts
    values: Named = (
        ("names", scene.working),
        ("arms", scene.arms),
        ("low", write_quantity(known.gain_low, "")),
        ("high", write_quantity(known.gain_high, "")),
        ("order", str(known.transfer.order)),
    )
    return Hint("any", "any", str(scene.question.truth), values, scene.working)
