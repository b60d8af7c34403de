"""Counter-facts of curves: what Q is read off a gain, a phase, a step response; and twins.

Of two poles at f0 with a Q, and all zeros at the origin (``analysis/two_poles.py``):

* a low-pass and a high-pass have Q times the gain of their pass band at f0; a band-pass is f0/Q
  wide between its −3 dB edges;
* between those same two frequencies the phase turns by 90°, whatever the type;
* above Q = ½ a step response rings.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..analysis.response import FilterType, decibels, facts
from ..analysis.two_poles import angle, swing
from ..catalogue.prototypes import Quality, prototype_type, quality_of
from ..quantities.write import write_quantity
from ..questions.looks import Look, LookKind
from .counterfact_ends import CounterFact, at_end
from .counterfact_pictures import apart, chosen
from .fill import Named, Phrase, phrase

_DIGITS = 3


def level_at_corner(q: Quality) -> str:
    """The gain at f0 against that of the pass band, of a low-pass or a high-pass."""
    level = decibels(q.q)
    assert level is not None
    return f"{level:+.0f} dB".replace("-", "\N{MINUS SIGN}")


def width(q: Quality) -> str:
    """f0/Q for f0 = 1 Hz."""
    return f"{1 / q.q:.3g} Hz"


def percent(q: Quality) -> str:
    """What each swing is of the one before it, in per cent."""
    return f"{100 * swing(q.q):.0f} %"


def of_q(look: Look, q: Quality) -> tuple[str, str]:
    """(which fact, its figure) that shows a Q in the curves of ``look``.

    Args:
        look: four curves.
        q: that of one of them.
    """
    if look.kind is LookKind.PHASE_OF_Q:
        return "turn", width(q)
    if look.kind is LookKind.GAIN_OF_Q:
        band = prototype_type(look.ladder) == FilterType.BAND_PASS.value
        return ("width", width(q)) if band else ("level", level_at_corner(q))
    return ("rings", percent(q)) if swing(q.q) else ("calm", "")


def wrong_curve(look: Look, answered: str) -> CounterFact:
    """Which Q the curve ``answered`` of ``look`` has."""
    other = chosen(look, answered)
    its, own = quality_of(other), quality_of(look.ladder)
    (first, figure), (second, right) = of_q(look, its), of_q(look, own)
    key = first if first == second else f"{first}-{second}"
    values: Named = (
        ("its", figure), ("own", right), ("other", its.text), ("q", own.text),
    )  # fmt: skip
    return CounterFact(key, values, lookalike=other)


def wrong_step_of_map(look: Look, answered: str) -> CounterFact:
    """Where the step response ``answered`` of ``look`` parts from its map: start, end, or Q."""
    other = chosen(look, answered)
    its, own = facts(other), facts(look.ladder)
    if bool(its.gain_high) is not bool(own.gain_high):
        key = "starts-jump" if its.gain_high else "starts-zero"
        return CounterFact(key, lookalike=other)
    if bool(its.gain_low) is not bool(own.gain_low):
        key = "ends-level" if its.gain_low else "ends-zero"
        return CounterFact(key, lookalike=other)
    theirs, mine = quality_of(other), quality_of(look.ladder)
    values: Named = (("other", theirs.text), ("q", mine.text), ("angle", pole_angle(mine)))
    return CounterFact(
        "rings" if swing(theirs.q) > swing(mine.q) else "calmer", values, lookalike=other
    )


def pole_angle(q: Quality) -> Phrase:
    """How far a pole lies off the negative real axis, by its angle: cos φ = 1/(2Q)."""
    if q.squared == Fraction(1, 4):
        return phrase("angle.double")
    return phrase("angle.off", angle=write_quantity(angle(q.q), "°", _DIGITS))


def wrong_step(look: Look, answered: str) -> CounterFact:
    """Where the step response ``answered`` parts from the circuit of ``look``: start, or end."""
    other = chosen(look, answered)
    shown = facts(other)
    for end in End.HIGH, End.LOW:
        fact = end_fact(look.ladder, end)
        passes = (shown.gain_low if end is End.LOW else shown.gain_high) > 0
        if passes is not fact.passes:
            claim = phrase(f"steps.{end.value}-{'passes' if passes else 'blocked'}")
            found = at_end(look.ladder, fact, values=(("claim", claim),))
            return replace(found, lookalike=other)
    raise AssertionError("the four differ in their ends")


def wrong_twin(look: Look, answered: str) -> CounterFact:
    """Where the circuit ``answered`` cannot be what the circuit of ``look`` is."""
    other = chosen(look, answered)
    found = apart(look.ladder, other, "circuit-above")
    return replace(found, circuit=other, lookalike=chosen(look, look.truth))
