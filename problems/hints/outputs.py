"""Hints for what comes out."""

from __future__ import annotations

import math
from fractions import Fraction

from ..analysis.arms import End
from ..circuits.model import Element, Kind
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.outputs import (
    AT_F0,
    DC,
    HIGH,
    Output,
    impedance_squared,
    loop_of,
    outputs_of,
    resonance_squared,
)
from ..questions.values import value_of
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


def place_of(scene: Scene) -> str:
    """Where outputs are compared."""
    return value_of(scene.question.values, "asked", str)


def shares(scene: Scene) -> list[tuple[Output, str]]:
    """Each output that is compared, and its share of the source's voltage as a text."""
    ranked = outputs_of(scene.ladder, scene.question.values, scene.question.rung)
    if scene.question.rung is Rung.TAPS_RANKED:
        omega = scene.facts.corner_squared
    else:
        omega = resonance_squared(scene.ladder)
    found = []
    for output in ranked:
        square = output.squared(place_of(scene), omega or Fraction(1))
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
    place = place_of(scene)
    return Hint("any", place if place in (DC, HIGH, AT_F0) else "off", "any", values, names)


@HINTS(Rung.CIRCUITS_RANKED)
def circuits_ranked(scene: Scene) -> Hint:
    """The share of the source's voltage in each circuit."""
    told: Text = tuple(
        phrase("share-in", circuit=f"({number})", share=share)
        for number, (_, share) in enumerate(shares(scene), 1)
    )
    names = tuple(dict.fromkeys(part.name for output, _ in shares(scene) for part in output.parts))
    return Hint("any", place_of(scene), "any", (("names", names), ("shares", told)), names)


def at_resonance(scene: Scene) -> tuple[Element, str, str, str]:
    """(the part asked about, its reactance at f0, the loop's resistance, names of resistances)."""
    loop, omega = loop_of(scene.ladder), scene.facts.corner_squared
    assert omega is not None
    part = next(p for p in loop if p.name == value_of(scene.question.values, "part", str))
    resistors = [p for p in loop if p.kind is Kind.R]
    total = sum((p.value or Fraction(0) for p in resistors), Fraction(0))
    reactance = write_quantity(math.sqrt(impedance_squared(part, omega)), "Ω")
    names = " + ".join(p.name for p in resistors)
    return part, reactance, write_quantity(total, "Ω"), names


@HINTS(Rung.TIMES_SOURCE)
def times_source(scene: Scene) -> Hint:
    """The current at resonance, times a reactance."""
    part, reactance, resistance, names = at_resonance(scene)
    values: Named = (
        ("part", part.name),
        ("reactance", reactance),
        ("resistance", resistance),
        ("resistors", names),
        ("result", write_quantity(scene.question.figure, "")),
    )
    return Hint("any", "any", "any", values, (part.name,))
