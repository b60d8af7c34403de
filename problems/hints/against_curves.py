"""Against wrong answers about curves: figures read off one, and what Q does to them."""

from __future__ import annotations

from ..quantities.write import write_quantity
from ..questions.model import Form, Rung
from ..questions.q_curves import FOUR, LIMITS, drawn_q, level_at_f0
from .against_figures import checked
from .explanation import FACTS, REASONS, Explanation, WrongAnswer, as_hinted, fact, says
from .off_curve import FIGURES, level_text
from .q_curves import band_about

_NO_PLACE = (Rung.READ_Q, Rung.READ_BANDWIDTH)
"""Figures read off a curve that are no place on its axis."""
OF_Q = (Rung.GAIN_OF_Q, Rung.PEAK_OF_Q, Rung.PEAK_PLACE_OF_Q)
COUNTED = {Rung.READ_POLES: (20, "dB/decade"), Rung.READ_TURN: (90, "°")}


@FACTS(*FIGURES, *OF_Q)
def figure(wrong: WrongAnswer) -> Explanation:
    """What to read, or to work out, first."""
    asked = wrong.question.asked
    key = f"{wrong.rung.value}-{asked}" if wrong.rung in FIGURES and asked else wrong.rung.value
    first = says(f"curve.first.{key}")
    if wrong.question.form is Form.LEVEL:
        return fact(first)
    place = wrong.rung in FIGURES and wrong.rung not in _NO_PLACE
    return checked(wrong, first, says("curve.first.axis") if place else first)


@FACTS(Rung.READ_SLOPE)
def slope(wrong: WrongAnswer) -> Explanation:
    """What a slope of that many dB/decade would do over one decade."""
    claimed = round(wrong.number)
    if claimed == 0:
        return fact(says("curve.slope-flat"))
    way = "up" if claimed > 0 else "down"
    return fact(says(f"curve.slope-{way}", size=write_quantity(abs(claimed), "dB")))


@FACTS(*COUNTED)
def counted(wrong: WrongAnswer) -> Explanation:
    """By how much that many poles would turn the curve from end to end."""
    each, unit = COUNTED[wrong.rung]
    claimed = round(wrong.number)
    turn = write_quantity(claimed * each, unit)
    what = "slope" if wrong.rung is Rung.READ_POLES else "phase"
    poles = {0: "none", 1: "one"}.get(claimed, "many")
    return fact(says(f"curve.{what}-turn-{poles}", count=str(claimed), turn=turn))


@FACTS(Rung.WHICH_GAIN_CURVE, Rung.WHICH_PHASE_CURVE)
def which(wrong: WrongAnswer) -> Explanation:
    """What the curve chosen shows, and the Q that this is."""
    q = drawn_q(wrong.facts, wrong.question, str(wrong.answered))
    if wrong.rung is Rung.WHICH_GAIN_CURVE and wrong.facts.type.one_sided:
        return fact(says("curve.chosen-level", level=level_text(level_at_f0(FOUR[q])), q=q))
    low, high, _ = band_about(float(FOUR[q]))
    key = "chosen-band" if wrong.rung is Rung.WHICH_GAIN_CURVE else "chosen-phase"
    return fact(says(f"curve.{key}", low=low, high=high, q=q))


@FACTS(Rung.Q_LIMIT)
def limit(wrong: WrongAnswer) -> Explanation:
    """A Q at which it is otherwise than the answer says."""
    asked = wrong.question.asked
    order = list(_LIMITS)
    early = order.index(str(wrong.answered)) < order.index(LIMITS[asked])
    return fact(says(f"curve.limit.{asked}{'-not-yet' if early else '-already'}"))


_LIMITS = ("any", "half", "root-half", "one")
"""From the lowest on."""


REASONS(*FIGURES, *OF_Q, Rung.READ_SLOPE, *COUNTED)(as_hinted(1))
REASONS(Rung.WHICH_GAIN_CURVE, Rung.WHICH_PHASE_CURVE, Rung.Q_LIMIT)(as_hinted(1))
