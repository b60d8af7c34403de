"""Hints for what Q does to a curve; of prototypes, whose circuits are not shown."""

from __future__ import annotations

import math

from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.q_curves import FOUR, PEAKED, given_q, level_at_f0
from .fill import HINTS, Hint, Named, Scene
from .off_curve import level_text

_DIGITS = 3


def band_about(q: float) -> tuple[str, str, str]:
    """Where two poles of a ``q`` are 3 dB down or have turned by 45°, and how far that is apart.

    f0·(√(1 + 1/4Q²) ∓ 1/2Q), with f0 = 1 Hz: of a band-pass these are the edges, and of any two
    poles the frequencies where the middle term is as large as the two others.
    """
    half = 1 / (2 * q)
    root = math.sqrt(1 + half * half)
    low, high, width = (f"{f:.{_DIGITS}g} Hz" for f in (root - half, root + half, 2 * half))
    return low, high, width


@HINTS(Rung.WHICH_GAIN_CURVE, Rung.WHICH_PHASE_CURVE)
def which(scene: Scene) -> Hint:
    """What to look at, and what it comes to for the Q that is asked for."""
    wanted = str(dict(scene.question.values)["wanted"])
    q = FOUR[wanted]
    low, high, width = band_about(float(q))
    values: Named = (
        ("wanted", wanted),
        ("level", level_text(level_at_f0(q))),
        ("low", low),
        ("high", high),
        ("width", width),
    )
    if scene.question.rung is Rung.WHICH_PHASE_CURVE:
        return Hint("any", "any", "any", values)
    shape = "sided" if scene.facts.type in PEAKED else "band"
    return Hint("any", shape, shape, values)


@HINTS(Rung.GAIN_OF_Q, Rung.PEAK_OF_Q)
def level(scene: Scene) -> Hint:
    """A ratio, and its decibels."""
    found = scene.question.figure
    values: Named = (
        ("q", write_quantity(given_q(scene.question), "")),
        ("ratio", write_quantity(10 ** (found / 20), "")),
        ("result", level_text(found)),
    )
    return Hint("any", "any", "any", values)


@HINTS(Rung.PEAK_PLACE_OF_Q)
def place(scene: Scene) -> Hint:
    """How far from f0, and on which side."""
    q = float(given_q(scene.question))
    values: Named = (
        ("q", write_quantity(given_q(scene.question), "")),
        ("aside", write_quantity(math.sqrt(1 - 1 / (2 * q * q)), "")),
        ("result", write_quantity(scene.question.figure, "Hz")),
    )
    return Hint("any", "any", scene.facts.type.value, values)


@HINTS(Rung.Q_LIMIT)
def limit(scene: Scene) -> Hint:
    """The condition of what is asked about."""
    return Hint("any", "any", str(dict(scene.question.values)["asked"]))
