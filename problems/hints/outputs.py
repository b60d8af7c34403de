"""Hints for what comes out."""

from __future__ import annotations

import math
from fractions import Fraction

from ..analysis.arms import End
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.outputs import (
    AT_F0,
    DC,
    HIGH,
    Output,
    outputs_of,
    resonance_squared,
)
from .fill import HINTS, Hint, Named, Scene, Text, phrase

_DIGITS = 3


@HINTS(Rung.DC_OUTPUT, Rung.HIGH_OUTPUT)
def end_output(scene: Scene) -> Hint:
    """What opens and shorts leave, and what resistances divide."""
    low = scene.question.rung is Rung.DC_OUTPUT
    gain = scene.facts.gain_low if low else scene.facts.gain_high
    values: Named = (("names", scene.working), ("ratio", write_quantity(gain, "")))
    look = "any" if scene.working else "resistive"
    end = End.LOW if low else End.HIGH
    return Hint("any", look, str(scene.question.truth), values, scene.working, (end,))


def shares(scene: Scene) -> list[tuple[Output, str]]:
    """Each output that is compared, and its share of the source's voltage as a text."""
    ranked = outputs_of(scene.ladder, scene.question.values, scene.question.rung)
    if scene.question.rung is Rung.TAPS_RANKED:
        omega = scene.facts.corner_squared
    else:
        omega = resonance_squared(scene.ladder)
    found = []
    for output in ranked:
        square = output.squared(scene.question.asked, omega or Fraction(1))
        assert square is not None
        found.append((output, write_quantity(math.sqrt(square), "", _DIGITS)))
    return found


@HINTS(Rung.TAPS_RANKED)
def taps_ranked(scene: Scene) -> Hint:
    """One current, and the impedance of each part."""
    told = tuple(
        phrase("share-of", part=output.across.name, share=share) for output, share in shares(scene)
    )
    names = tuple(output.across.name for output, _ in shares(scene))
    values: Named = (("names", names), ("shares", told))
    place = scene.question.asked
    return Hint("any", place if place in (DC, HIGH, AT_F0) else "off", "any", values, names)


@HINTS(Rung.CIRCUITS_RANKED)
def circuits_ranked(scene: Scene) -> Hint:
    """The share of the source's voltage in each circuit."""
    told: Text = tuple(
        phrase("share-in", circuit=f"({number})", share=share)
        for number, (_, share) in enumerate(shares(scene), 1)
    )
    names = tuple(dict.fromkeys(part.name for output, _ in shares(scene) for part in output.parts))
    return Hint("any", scene.question.asked, "any", (("names", names), ("shares", told)), names)
