"""Hints for what Q does to a curve; of prototypes, whose circuits are not shown."""

from __future__ import annotations

from ..analysis.two_poles import band_edges, peak
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.q_curves import FOUR, given_q, level_at_f0
from .fill import HINTS, Hint, Named, Scene
from .off_curve import level_text

_DIGITS = 3


def band_about(q: float) -> tuple[str, str, str]:
    """Where two poles of a ``q`` are 3 dB down or have turned by 45°, and how far that is apart.

    With f0 = 1 Hz; of two poles of any type the phase turns so between the edges of a band-pass.
    """
    low, high, width = (f"{f:.{_DIGITS}g} Hz" for f in (*band_edges(q), 1 / q))
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
    shape = "sided" if scene.facts.type.one_sided else "band"
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
        ("aside", write_quantity(peak(q), "")),
        ("result", write_quantity(scene.question.figure, "Hz")),
    )
    return Hint("any", "any", scene.facts.type.value, values)


@HINTS(Rung.Q_LIMIT)
def limit(scene: Scene) -> Hint:
    """The condition of what is asked about."""
    return Hint("any", "any", scene.question.asked)
