"""Hints for the places of poles, and for what a pair or a real pole makes of a step."""

from __future__ import annotations

from ..analysis.response import TWO_PI
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.poles import PolePair, pole_pair
from .fill import HINTS, Hint, Named, Scene


def result(scene: Scene) -> str:
    """The figure asked for, as text."""
    return write_quantity(scene.question.figure, scene.question.unit)


def of_pair(found: PolePair | None) -> Named:
    """The figures of a complex pair, as texts; ``found`` may be none."""
    if found is None:
        return ()
    return (
        ("decay", write_quantity(found.decay, "rad/s")),
        ("height", write_quantity(found.height, "rad/s")),
        ("radius", write_quantity(found.radius, "rad/s")),
        ("quality", write_quantity(found.quality, "")),
        ("ratio", write_quantity(found.decay / found.height, "")),
        ("cosine", write_quantity(found.decay / found.radius, "")),
    )


@HINTS(
    Rung.POLE_RADIUS,
    Rung.POLE_ANGLE,
    Rung.POLE_Q,
    Rung.POLE_DECAY,
    Rung.POLE_RINGING,
    Rung.POLE_PLACE,
)
def of_a_pair(scene: Scene) -> Hint:
    """The triangle of origin, pole and real axis."""
    values = (*of_pair(pole_pair(scene.facts)), ("result", result(scene)))
    asked = scene.question.asked or "any"
    return Hint("any", asked, asked, values)


@HINTS(Rung.POLE_CORNER)
def corner(scene: Scene) -> Hint:
    """A real pole's distance from the origin."""
    size = write_quantity(scene.question.figure * TWO_PI, "rad/s")
    values: Named = (("size", size), ("result", result(scene)))
    return Hint("any", scene.question.asked, "any", values)


@HINTS(Rung.WHICH_MAP)
def which_map(scene: Scene) -> Hint:
    """The cosine that Q makes; real poles below a half."""
    facts = scene.facts
    q = facts.q or 0.0
    half = write_quantity(1 / (2 * q), "") if q else ""
    values: Named = (("quality", write_quantity(q, "")), ("half", half))
    return Hint("any", "any", "complex" if q > _HALF else "real", values)


_HALF = 0.5
