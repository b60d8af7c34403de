"""Against wrong slopes and phases: 20 dB/decade, or a quarter turn, for each arm at an end.

Towards DC only the zeros at the origin act; at the high-frequency end every pole and zero does.
At the corner, of one pole or two, the poles together have turned the phase by half of that.
Common practice, no source.
"""

from __future__ import annotations

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..questions.model import Rung
from .against_counts import end_count, what_blocks
from .ends import end_phrase
from .explanation import FACTS, REASONS, Explanation, WrongAnswer, fact, of_looks, says

_STEP = {
    Rung.LOW_SLOPE: 20,
    Rung.HIGH_SLOPE: 20,
    Rung.LOW_PHASE: 90,
    Rung.HIGH_PHASE: 90,
}
"""What one zero at the origin, or one pole more than zeros, is worth."""
_NEAR = 1
"""A slope typed per octave comes out this near the one per decade."""


@FACTS(Rung.LOW_SLOPE, Rung.HIGH_SLOPE, Rung.LOW_PHASE, Rung.HIGH_PHASE)
def asymptote(wrong: WrongAnswer) -> Explanation:
    """Against a slope, or the phase, of an end."""
    table, step = wrong.rung.value, _STEP[wrong.rung]
    end, number = wrong.end, wrong.number
    whole = round(number / step)
    happens = end_fact(wrong.ladder, end)
    text = of_looks(end_phrase(happens))
    if abs(number - whole * step) > _NEAR:
        return fact(says(f"{table}.no-multiple"))
    if (whole < 0) if end is End.LOW else (whole > 0):
        passes = "passes" if happens.passes else "blocked"
        return fact(says(f"{table}.wrong-way-{passes}", fact=text), end=end, marked=happens.parts)
    claimed, transfer = abs(whole), wrong.facts.transfer
    if end is End.HIGH and claimed > transfer.order:
        parts = wrong.reactive
        return fact(says(f"{table}.too-many"), end=end, marked=parts)
    if end is End.HIGH and claimed == transfer.order and transfer.zero_count and not happens.passes:
        return fact(says(f"{table}.zeros-give-back"), end=end, marked=wrong.working)
    return end_count(wrong, end, claimed, table)


@REASONS(Rung.LOW_PHASE, Rung.HIGH_PHASE)
def turning(wrong: WrongAnswer) -> Explanation:
    """Every arm that blocks the end, and what each does to the phase."""
    end = wrong.end
    slope = "low-slope" if end is End.LOW else "high-slope"
    found = what_blocks(wrong, end, f"{slope}.hints")
    law = says(f"{wrong.rung.value}.{'level-law' if found.passes else 'law'}")
    return fact(*found.says, law, end=end, marked=found.marked, passes=found.passes)


@FACTS(Rung.CORNER_PHASE)
def corner_phase(wrong: WrongAnswer) -> Explanation:
    """Where the phase starts and ends, and that at the corner it is halfway."""
    known, number = wrong.facts, wrong.number
    if number >= known.phase_low:
        return fact(says("corner-phase.not-started"), end=End.LOW)
    if number <= known.phase_high:
        return fact(says("corner-phase.gone-too-far"), end=End.HIGH)
    return fact(says("corner-phase.halfway"))


@REASONS(Rung.CORNER_PHASE)
def corner_phase_step(wrong: WrongAnswer) -> Explanation:
    """What blocks DC sets where the phase starts; each pole then takes half of its quarter turn."""
    found = what_blocks(wrong, End.LOW, "low-slope.hints")
    level = "level-start" if found.passes else "start"
    poles = "one" if wrong.facts.transfer.order == 1 else "many"
    return fact(
        *found.says,
        says(f"corner-phase.{level}"),
        says(f"corner-phase.turned-{poles}"),
        end=End.LOW,
        marked=found.marked,
        passes=found.passes,
    )
