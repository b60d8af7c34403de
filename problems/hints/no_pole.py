"""Hints for which part adds no pole: those of the independent parts, since they are what counts."""

from __future__ import annotations

from ..questions.model import Rung
from .counts import independent
from .fill import HINTS, Hint, Scene


@HINTS(Rung.NO_POLE)
def no_pole(scene: Scene) -> Hint:
    """The parts that store energy on their own, and why the others do not."""
    return independent(scene)
