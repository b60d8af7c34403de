"""Hints for the step response: where it starts and ends, how it swings, how long it takes."""

from __future__ import annotations

import math

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..analysis.response import Facts
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.poles import pole_pair
from ..questions.steps import overshoot
from .ends import end_phrase
from .fill import HINTS, Hint, Named, Scene, borrowed
from .poles import of_pair, result


def moment(scene: Scene, end: End) -> Named:
    """What the circuit does at an end of the frequency axis, as a clause.

    Args:
        scene: the circuit.
        end: high frequency for the first moment, DC for the last.
    """
    return (("fact", borrowed(end_phrase(end_fact(scene.ladder, end), table="at-end"), "looks")),)


@HINTS(Rung.STEP_FIRST, Rung.STEP_LAST)
def share(scene: Scene) -> Hint:
    """The end of the frequency axis that a moment belongs to."""
    end = End.HIGH if scene.question.rung is Rung.STEP_FIRST else End.LOW
    gain = scene.facts.gain_high if end is End.HIGH else scene.facts.gain_low
    values: Named = (
        ("names", scene.working),
        ("ratio", write_quantity(gain, "")),
        *moment(scene, end),
    )
    step = str(scene.question.truth)
    return Hint("any", "any", step, values, scene.working, (end,))


@HINTS(Rung.WHICH_STEP, Rung.MAP_STEP)
def which(scene: Scene) -> Hint:
    """Start, end, and how it swings."""
    facts = scene.facts
    pair = pole_pair(facts)
    values: Named = (
        ("names", scene.working),
        ("start", write_quantity(facts.gain_high, "")),
        ("end", write_quantity(facts.gain_low, "")),
        ("time", write_quantity(_slowest(facts), "s")),
        *of_pair(pair),
    )
    shown = scene.working if scene.question.rung is Rung.WHICH_STEP else ()
    return Hint("any", "any", "pair" if pair is not None else "real", values, shown)


def _slowest(facts: Facts) -> float:
    """The longest time constant, in seconds."""
    return 1 / min(-pole.real for pole in facts.poles)


@HINTS(Rung.TIME_CONSTANT, Rung.RISE_TIME)
def of_one_pole(scene: Scene) -> Hint:
    """τ from what the one reactive part sees."""
    tau = write_quantity(_slowest(scene.facts), "s")
    values: Named = (
        ("names", scene.kept),
        ("resistors", scene.resistors),
        ("tau", tau),
        ("result", result(scene)),
    )
    kind = "capacitor" if scene.kept[:1] and scene.kept[0][0] == "C" else "inductor"
    alone = scene.question.rung is Rung.TIME_CONSTANT and len(scene.resistors) == 1
    return Hint("any", f"{kind}-alone" if alone else kind, "any", values, scene.working)


@HINTS(Rung.OVERSHOOT, Rung.STEP_RINGING, Rung.SWINGS)
def of_ringing(scene: Scene) -> Hint:
    """Decay and height of the pair, from ω0 and Q."""
    values: Named = (
        ("names", scene.working),
        ("result", result(scene)),
        *of_pair(pole_pair(scene.facts)),
    )
    return Hint("any", "any", "any", values, scene.working)


@HINTS(Rung.READ_OVERSHOOT, Rung.READ_RINGING, Rung.READ_STEP_Q, Rung.READ_TAU)
def reading(scene: Scene) -> Hint:
    """What to read off the curve."""
    facts = scene.facts
    last, part = facts.gain_low, overshoot(facts)
    values: list[tuple[str, str]] = [
        ("end", write_quantity(last, "")),
        ("result", result(scene)),
    ]
    if part is not None:
        values += [
            ("peak", write_quantity(float(last) * (1 + part), "", 3)),
            ("part", write_quantity(part, "", 3)),
            ("log", write_quantity(-math.log(part), "", 3)),
        ]
    if scene.question.rung is Rung.READ_RINGING:
        values.append(("period", write_quantity(1 / scene.question.figure, "s", 3)))
    falls = "falls" if last == 0 else "rises"
    shape = falls if scene.question.rung is Rung.READ_TAU else "any"
    return Hint("any", shape, shape, tuple(values))
