"""Against a wrong name of a step in the gain: which way it goes, its poles, what lies between."""

from __future__ import annotations

from ..analysis.gain_type import Shape
from ..questions.model import Rung
from .counterfact_counts import kept_parts
from .ends import counted
from .explanation import FACTS, REASONS, Explanation, WrongAnswer, fact, says

_DOWN = (Shape.LAG, Shape.SHELF_DOWN)
_ONE_POLE = (Shape.LAG, Shape.LEAD)


@FACTS(Rung.SHELF_NAME)
def shelf_name(wrong: WrongAnswer) -> Explanation:
    """The first thing in which a step of that name is another."""
    known, claimed = wrong.facts, Shape(str(wrong.answered))
    claim, parts = says(f"step.{claimed.value}"), kept_parts(wrong.ladder)
    dips = known.shape is Shape.LAG_LEAD
    if claimed is Shape.LAG_LEAD or dips:
        return fact(says("step.dips" if dips else "step.returns"), marked=wrong.working)
    up = known.gain_high > known.gain_low
    if up is (claimed in _DOWN):
        return fact(says(f"step.{'down' if up else 'up'}", claim=claim), marked=wrong.working)
    if claimed in _ONE_POLE:
        told = says(f"step.adds-{counted(parts)}", parts=parts)
        return fact(says("step.one-pole", claim=claim, fact=told), marked=parts)
    told = says("step.only-one", parts=parts)
    return fact(says("step.more-poles", claim=claim, fact=told), marked=parts)


@REASONS(Rung.SHELF_NAME)
def compare_ends(wrong: WrongAnswer) -> Explanation:
    """What to compare, in which order."""
    return fact(says("step.compare"), marked=wrong.working)
