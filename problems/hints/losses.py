"""Hints for what losses come to: Q unloaded and loaded, insertion loss, depth of a notch."""

from __future__ import annotations

from ..analysis.losses import LossyArm, lossy_arm
from ..circuits.model import Joint
from ..quantities.write import write_quantity
from ..questions.model import Rung
from .fill import HINTS, Hint, Named, Scene, in_letters, put_in
from .numbers import calculated


def _arm(scene: Scene) -> LossyArm:
    found = lossy_arm(scene.ladder)
    if found is None:
        raise LookupError("the circuit has no resonator with losses")
    return found


def _ends(scene: Scene) -> tuple[str, ...]:
    """The resistances that load the resonator."""
    losses = {loss.name for loss in _arm(scene).resistors}
    return tuple(name for name in scene.resistors if name not in losses)


def _parts(scene: Scene) -> Named:
    arm = _arm(scene)
    losses = tuple(loss.name for loss in arm.resistors)
    return (
        ("arm", arm.placed.text),
        ("losses", losses),
        ("ends", _ends(scene)),
        ("unloaded", write_quantity(arm.unloaded_q, "")),
        ("loaded", write_quantity(scene.facts.q or 0.0, "")),
    )


def _focus(scene: Scene) -> tuple[str, ...]:
    return (*_arm(scene).placed.names, *_ends(scene))


def _is_tank(arm: LossyArm) -> bool:
    """Whether L and C lie in parallel."""
    return getattr(arm.placed.arm, "joint", Joint.SERIES) is Joint.PARALLEL


@HINTS(Rung.UNLOADED_Q)
def unloaded(scene: Scene) -> Hint:
    """The resonator on its own."""
    formula = _arm(scene).formula
    values = (*_parts(scene), ("result", write_quantity(scene.question.figure, "")))
    if formula is None:
        return Hint("any", "any", "number", values, _focus(scene))
    numbers = in_letters(put_in(formula, scene.ladder))
    values += (("formula", in_letters(formula)), ("numbers", numbers))
    return Hint("any", "any", "formula", values, _focus(scene))


@HINTS(Rung.LOADED_Q)
def loaded(scene: Scene) -> Hint:
    """The resonator with source and load."""
    step, told = calculated(scene, "q", scene.question.figure, "")
    look = "tank" if _is_tank(_arm(scene)) else "series"
    return Hint("any", look, step, (*_parts(scene), *told), _focus(scene))


@HINTS(Rung.INSERTION_LOSS, Rung.NOTCH_DEPTH)
def level(scene: Scene) -> Hint:
    """What the losses cost at resonance, or leave at the bottom of a notch."""
    look = "tank" if _is_tank(_arm(scene)) else "series"
    values = (*_parts(scene), ("result", write_quantity(scene.question.figure, "dB")))
    return Hint("any", look, "any", values, _focus(scene))
