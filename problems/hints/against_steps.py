"""Against wrong answers about places of poles and step responses."""

from __future__ import annotations

import math

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..quantities.write import write_quantity
from ..questions.model import PLACES, Form, Rung
from ..questions.poles import q_of_map
from ..questions.steps import SAME_LEVEL, StepSeen, seen
from .against_figures import checked
from .explanation import FACTS, REASONS, Explanation, WrongAnswer, as_hinted, fact, of_hint, says
from .fill import Named, Text
from .steps import moment

POLES = (
    Rung.POLE_RADIUS,
    Rung.POLE_ANGLE,
    Rung.POLE_Q,
    Rung.POLE_DECAY,
    Rung.POLE_RINGING,
    Rung.POLE_CORNER,
    Rung.POLE_PLACE,
)
STEPS = (
    Rung.TIME_CONSTANT,
    Rung.RISE_TIME,
    Rung.OVERSHOOT,
    Rung.STEP_RINGING,
    Rung.SWINGS,
    Rung.READ_OVERSHOOT,
    Rung.READ_RINGING,
    Rung.READ_STEP_Q,
    Rung.READ_TAU,
)
WHICH = (Rung.WHICH_STEP, Rung.MAP_STEP)


@FACTS(*POLES, *STEPS)
def figure(wrong: WrongAnswer) -> Explanation:
    """Whether unit and order of magnitude can be right, and where to look."""
    (look,) = of_hint(wrong, 2).says
    return checked(wrong, look, look) if wrong.question.form is not Form.LEVEL else fact(look)


REASONS(*POLES, *STEPS, *WHICH, Rung.WHICH_MAP)(as_hinted(1))


# ------------------------------------------------------------------- the first moment, and the last


@FACTS(Rung.STEP_FIRST, Rung.STEP_LAST)
def at_that_moment(wrong: WrongAnswer) -> Explanation:
    """What the redrawn circuit does then, as far as it contradicts the answer."""
    first = wrong.rung is Rung.STEP_FIRST
    end = End.HIGH if first else End.LOW
    gain = wrong.facts.gain_high if first else wrong.facts.gain_low
    when = "first" if first else "last"
    how = "blocked" if not gain else "undivided" if gain == 1 else "divided"
    if gain and wrong.answered == "nothing":
        how = "passes"
    found = end_fact(wrong.ladder, end)
    told = says(f"moment.{when}-{how}", **dict(moment(wrong, end)))
    return fact(told, end=end, marked=found.parts, passes=found.passes)


REASONS(Rung.STEP_FIRST, Rung.STEP_LAST)(as_hinted(2))


# ------------------------------------------------------------------- which of four


@FACTS(Rung.WHICH_MAP)
def chosen_map(wrong: WrongAnswer) -> Explanation:
    """The Q that the map chosen shows."""
    assert wrong.question.exhibit is not None
    plot = wrong.question.exhibit.plots[PLACES.index(str(wrong.answered))]
    q = write_quantity(q_of_map(plot), "", 2)
    if not plot.poles[0].imag:
        return fact(says("pole-map.real", q=q))
    cosine = write_quantity(-plot.poles[0].real / abs(plot.poles[0]), "", 2)
    return fact(says("pole-map.complex", q=q, cosine=cosine))


@FACTS(*WHICH)
def chosen_step(wrong: WrongAnswer) -> Explanation:
    """Where the curve chosen first parts from what the circuit does: start, end, swings, pace."""
    assert wrong.question.exhibit is not None
    plots = wrong.question.exhibit.plots
    its = seen(plots[PLACES.index(str(wrong.answered))].points)
    own = seen(plots[PLACES.index(str(wrong.question.truth))].points)
    for moment_name, end, volts, right in (
        ("start", End.HIGH, its.start, own.start),
        ("end", End.LOW, its.end, own.end),
    ):
        if abs(volts - right) > SAME_LEVEL * max(its.size, own.size):
            return _level(wrong, moment_name, end, volts)
    return _swings(its, own)


def _level(wrong: WrongAnswer, when: str, end: End, volts: float) -> Explanation:
    """A start or an end that is not the circuit's."""
    how = "zero" if volts == 0 else "volts"
    told: dict[str, Text] = {"volts": write_quantity(volts, "", 2)}
    if wrong.rung is Rung.MAP_STEP:
        return fact(says(f"step-curve.{when}-{how}-map", **told))
    found: Named = moment(wrong, end)
    shown = end_fact(wrong.ladder, end)
    sentence = says(f"step-curve.{when}-{how}", **told, **dict(found))
    return fact(sentence, end=end, marked=shown.parts, passes=shown.passes)


def _swings(its: StepSeen, own: StepSeen) -> Explanation:
    """How the curve chosen swings, or how long it takes, where its ends are right."""
    if its.swings < 1 and own.swings < 1:
        return fact(says("step-curve.pace"))
    if its.swings < 1:
        return fact(says("step-curve.calm"))
    count = math.floor(its.swings + 0.5)
    return fact(says(f"step-curve.swings-{'one' if count == 1 else 'many'}", count=str(count)))
