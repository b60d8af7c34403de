"""Hints for sketches: straight-line gain and phase, and the map of poles and zeros."""

from __future__ import annotations

import math

from ..analysis.response import TWO_PI, FilterType, PoleNature
from ..quantities.write import MINUS, write_quantity
from ..questions.model import Rung
from ..questions.written import plain_truth
from ..sketches.model import GainSketch, PhaseSketch, Region
from ..sketches.truth import true_gain, true_map, true_phase
from ..sketches.write import decibels, degrees, hertz, region_words, signed
from .fill import HINTS, Hint, Named, Scene, Text, clauses, phrase


def _look(scene: Scene) -> str:
    """What sort of circuit it is, as far as the place of breaks goes."""
    if not scene.reactive_rails:
        return "none"
    order = scene.facts.transfer.order
    return {0: "none", 1: "one", 2: "two"}.get(order, "given")


def _common(scene: Scene) -> Named:
    return (
        ("names", scene.working),
        ("arms", scene.arms),
        ("origin", str(scene.facts.transfer.zeros_at_origin)),
        ("answer", str(plain_truth(scene.question.truth))),
        ("poles", _poles(scene)),
    )


def _poles(scene: Scene) -> Text:
    """Where the poles lie, and why."""
    f = scene.facts
    match f.transfer.order:
        case 0:
            return phrase("sketch.no-pole")
        case 1:
            return phrase("sketch.one-pole", place=hertz(f.corner_hz or 0))
        case 2:
            values = {"f0": hertz(f.corner_hz or 0), "q": write_quantity(f.q or 0, "")}
            if f.q is None:
                return phrase("sketch.undamped", **values)
            nature = f.pole_nature or PoleNature.COMPLEX
            low, high = (hertz(abs(pole) / TWO_PI) for pole in f.poles)
            return phrase(f"sketch.{nature.value}", low=low, high=high, **values)
    return phrase("sketch.given")


# ------------------------------------------------------------------------------- gain


@HINTS(Rung.GAIN_SKETCH)
def gain(scene: Scene) -> Hint:
    """The straight lines of the gain: start, bends, and a height that is known."""
    lines = true_gain(scene.facts)
    values: Named = (*_common(scene), ("level", decibels(lines.level)))
    if not lines.breaks:
        return Hint("any", _look(scene), "flat", values, scene.working)
    bends = tuple(
        phrase("sketch.bend", turn=signed(after - before), place=hertz(place))
        for place, before, after in zip(
            lines.breaks, lines.slopes[:-1], lines.slopes[1:], strict=True
        )
    )
    values += (
        ("first", signed(lines.slopes[0])),
        ("bends", bends),
        ("height", _height(scene, lines)),
    )
    return Hint("any", _look(scene), "lines", values, scene.working)


def _height(scene: Scene, lines: GainSketch) -> Text:
    """How the level at the first break is found."""
    f = scene.facts
    level = decibels(lines.level)
    if lines.slopes[0] == 0:
        return phrase("sketch.height-low", level=level)
    if lines.slopes[-1] == 0:
        high = decibels(20 * math.log10(f.gain_high))
        key = "sketch.height-high" if len(lines.breaks) == 1 else "sketch.height-back"
        return phrase(key, level=level, high=high)
    if f.type is FilterType.BAND_PASS and f.q is not None and f.peak_gain is not None:
        # The outer lines of k·s/(s² + a1·s + a0) meet at ω0 at k/ω0 = (k/a1)/Q.
        crossing = decibels(20 * math.log10(f.peak_gain / f.q))
        values = {"f0": hertz(f.corner_hz or 0), "crossing": crossing, "level": level}
        peak = decibels(20 * math.log10(f.peak_gain))
        key = "sketch.height-meet" if len(lines.breaks) == 1 else "sketch.height-apart"
        return phrase(key, peak=peak, q=write_quantity(f.q, ""), **values)
    return phrase("sketch.height-asymptote", level=level)


# ------------------------------------------------------------------------------ phase


@HINTS(Rung.PHASE_SKETCH)
def phase(scene: Scene) -> Hint:
    """The straight lines of the phase: start, turns and jumps."""
    lines = true_phase(scene.facts)
    turns: list[Text] = [
        phrase(
            f"sketch.{'jump' if bend.jump else 'turn'}",
            turn=degrees(bend.value),
            place=hertz(bend.frequency),
        )
        for bend in lines.bends
    ]
    values: Named = (
        *_common(scene),
        ("first", degrees(lines.start)),
        ("turns", tuple(turns)),
        ("end", degrees(lines.end)),
        ("sum", _sum(lines)),
    )
    look = _look(scene)
    if lines.jumps and look != "none":
        look = "jump"
    return Hint("any", look, "lines", values, scene.working)


def _sum(lines: PhaseSketch) -> str:
    """Start, every turn and jump, and end: '+90° − 180° = −90°'."""
    turns = (f" {'+' if bend.value > 0 else MINUS} {abs(bend.value)}°" for bend in lines.bends)
    return f"{degrees(lines.start)}{''.join(turns)} = {degrees(lines.end)}"


# -------------------------------------------------------------------------------- map


@HINTS(Rung.MAP_SKETCH)
def roots(scene: Scene) -> Hint:
    """Where poles and zeros lie."""
    found = true_map(scene.facts)
    look = _look(scene)
    if look == "two":
        if not scene.resistors:
            look = "lossless"
        elif len({name[0] for name in scene.working}) == 1:
            look = "one-kind"  # a complex pair asks for two kinds of store to swing between
    alone = scene.facts.transfer.order == 1
    poles = phrase("sketch.lone-pole") if alone else _poles(scene)
    return Hint(
        "any",
        look,
        "roots",
        (*_common(scene), ("poles", poles), ("zeros", _zeros(found.zeros))),
        scene.working,
    )


def _zeros(zeros: tuple[tuple[Region, int], ...]) -> Text:
    if not zeros:
        return phrase("sketch.no-zero")
    return clauses(
        phrase(f"sketch.zeros-{region.value}", count=region_words(region, count))
        for region, count in zeros
    )
