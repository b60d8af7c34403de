"""Hints for gain and phase at a frequency, and for arithmetic with decibels."""

from __future__ import annotations

from ..quantities.units import Quantity
from ..quantities.write import write_quantity
from ..questions.levels_at import LEFT, stages
from ..questions.model import Rung
from ..questions.values import value_of
from .fill import HINTS, Hint, Named, Scene


@HINTS(Rung.GAIN_AT, Rung.PHASE_AT)
def at_a_place(scene: Scene) -> Hint:
    """H at that frequency: its magnitude in decibels, or its angle."""
    level, unit = scene.question.figure, scene.question.unit
    values: Named = (
        ("names", scene.working),
        ("ratio", write_quantity(10 ** (level / 20) if unit == "dB" else 1.0, "")),
        ("result", write_quantity(level, unit)),
    )
    look = scene.question.asked
    return Hint("any", "corner" if look == "corner" else "away", "any", values, scene.working)


@HINTS(Rung.CASCADE_LEVEL)
def cascade(scene: Scene) -> Hint:
    """The two levels, and their sum."""
    found = stages(scene.facts, scene.question)
    assert found is not None
    one, other = (write_quantity(level, "dB") for level in found)
    values: Named = (
        ("one", one),
        ("other", other),
        ("result", write_quantity(scene.question.figure, "dB")),
    )
    given = scene.question.asked == "given"
    return Hint("any", "given" if given else "own", "any", values)


@HINTS(Rung.LEVEL_OF_RATIO)
def level_of_ratio(scene: Scene) -> Hint:
    """20·log₁₀ of the ratio."""
    values: Named = (("result", write_quantity(scene.question.figure, "dB")),)
    return Hint("any", "any", "any", values)


@HINTS(Rung.RATIO_OF_LEVEL)
def ratio_of_level(scene: Scene) -> Hint:
    """Ten to the power of a twentieth of the level."""
    level = value_of(scene.question.values, "first_level", Quantity).value
    values: Named = (
        ("level", write_quantity(level, "dB")),
        ("result", write_quantity(scene.question.figure, "")),
    )
    return Hint("any", "any", "any", values)


@HINTS(Rung.HALF_POWER)
def half_power(scene: Scene) -> Hint:
    """What is left of the voltage; the power is its square."""
    left = LEFT[str(scene.question.truth)]
    values: Named = (
        ("voltage", write_quantity(left, "", 3)),
        ("power", write_quantity(left * left, "", 3)),
    )
    return Hint("any", "any", "any", values)
