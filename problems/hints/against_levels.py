"""Against wrong answers about levels, standard forms, scaling and sensitivities."""

from __future__ import annotations

import math
from fractions import Fraction

from ..analysis.arms import End
from ..circuits.model import Kind
from ..quantities.write import write_quantity
from ..questions.levels_at import LEFT
from ..questions.model import Rung
from ..questions.scaling import TURNED, figure_of, with_part
from ..questions.values import value_of
from .explanation import FACTS, REASONS, Explanation, WrongAnswer, as_hinted, fact, says

_PASSES = {
    "low-pass": (True, False),
    "high-pass": (False, True),
    "band-pass": (False, False),
    "notch": (True, True),
}
"""Whether each type passes the lower and the upper end."""

_LEVELS = (
    Rung.GAIN_AT,
    Rung.PHASE_AT,
    Rung.CASCADE_LEVEL,
    Rung.LEVEL_OF_RATIO,
    Rung.RATIO_OF_LEVEL,
)
_DESIGNED = (
    Rung.STANDARD_FORM,
    Rung.SCALED_VALUE,
    Rung.PROTOTYPE_VALUE,
    Rung.TOLERANCE_F0,
    Rung.TOLERANCE_Q,
)


FACTS(*_LEVELS, *_DESIGNED)(as_hinted(1))
REASONS(*_LEVELS, *_DESIGNED, Rung.HALF_POWER, Rung.WHICH_FORM, Rung.SCALING_EFFECT)(as_hinted(2))


@FACTS(Rung.HALF_POWER)
def half_power(wrong: WrongAnswer) -> Explanation:
    """How many decibels what was answered comes to."""
    left = LEFT[str(wrong.answered)]
    level = write_quantity(20 * math.log10(left), "dB", 2)
    return fact(says("half-power.level", voltage=write_quantity(left, "", 3), level=level))


@FACTS(Rung.WHICH_FORM)
def which_form(wrong: WrongAnswer) -> Explanation:
    """An end at which the form does what the circuit does not; else what a larger Q would do."""
    own, its = str(wrong.question.truth), str(wrong.answered).removesuffix(TURNED)
    for end, passes, wanted in zip(End, _PASSES[its], _PASSES[own], strict=True):
        if passes != wanted:
            key = f"which-form.{end.value}-{'passes' if passes else 'blocks'}"
            return fact(says(key), end=end)
    return fact(says("which-form.turned"))


@FACTS(Rung.SCALING_EFFECT)
def scaling_effect(wrong: WrongAnswer) -> Explanation:
    """What becomes of the products and ratios that f0 and Q are made of."""
    how = wrong.question.asked
    kinds = {e.kind for e in wrong.ladder.reactive()}
    of = "" if Kind.L in kinds else "-capacitors"
    return fact(says(f"scaling-effect.{how}{of}"))


@FACTS(Rung.SENSITIVITY)
def sensitivity(wrong: WrongAnswer) -> Explanation:
    """What the figure does when the part doubles."""
    which = wrong.question.asked
    part = value_of(wrong.question.values, "part", str)
    other = with_part(wrong.facts, part, Fraction(2))
    before, after = figure_of(wrong.facts, which), other and figure_of(other, which)
    assert before and after
    times = write_quantity(after / before, "", 3)
    return fact(says(f"sensitivity.{which}", part=part, times=times), marked=(part,))


REASONS(Rung.SENSITIVITY)(as_hinted(1))
