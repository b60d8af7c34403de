"""Hints for the phase at the corner: where it starts, and what the poles have turned by there."""

from __future__ import annotations

from ..quantities.write import write_quantity
from ..questions.model import Rung
from .fill import HINTS, Hint, Named, Scene


@HINTS(Rung.CORNER_PHASE)
def corner_phase(scene: Scene) -> Hint:
    """Half of what the poles turn in all, from where the zeros at the origin start."""
    transfer = scene.facts.transfer
    poles = "one" if transfer.order == 1 else "two"
    values: Named = (
        ("names", scene.working),
        ("origin", str(transfer.zeros_at_origin)),
        ("start", write_quantity(scene.facts.phase_low, "°")),
        ("turned", write_quantity(45 * transfer.order, "°")),
        ("total", write_quantity(int(scene.question.figure), "°")),
    )
    return Hint(poles, "any", poles, values, scene.working)
