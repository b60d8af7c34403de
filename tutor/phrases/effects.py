"""What a change does to a circuit, asked and told: the questions, and the exact reason of each."""

from __future__ import annotations

import math

from ...problems.analysis.arms import arm_text
from ...problems.analysis.response import Facts, FilterType, decibels
from ...problems.circuits.model import Kind, Ladder
from ...problems.circuits.rearrange import output_arm
from ...problems.circuits.step_value import USUAL
from ...problems.hints.fill import written
from ...problems.quantities.write import write_quantity
from ...problems.questions.effects import Effect, EffectOn, changed_value
from ..language.texts import speaker

_LONGEST = 90
"""Characters of a formula that is read at a glance."""
_PAIR = 44
"""Characters of each of two."""
_DIGITS = (3, 4, 5, 6, 8, 10, 15)

_say = speaker("bench", "ask.")


def figure(effect: Effect) -> str:
    """The short name of what is asked about."""
    return _say(f"figure.{effect.on.value}")


def question(effect: Effect) -> str:
    """The question."""
    return _say(f"question.{effect.on.value}")


def answer(choice: str) -> str:
    """The words of a choice; "" is an answer that was left out."""
    return _say(f"answer.{choice or 'skipped'}")


def turned_value(before: Ladder, after: Ladder) -> str:
    """Which part has which value ``before`` and ``after``; "" where more than a value differs."""
    name = changed_value(before, after)
    if not name:
        return ""
    values = []
    for ladder in (before, after):
        part = ladder.part(name)
        values.append(write_quantity(part.amount, part.kind.unit))
    return _say("change.value", part=name, before=values[0], after=values[1])


def about_tap(ladder: Ladder) -> str:
    """Where the output is to be taken, in a ``ladder``."""
    arm = output_arm(ladder)
    return _say("change.tap-open") if arm is None else _say("change.tap", arm=arm_text(arm))


def about_load(ladder: Ladder) -> str:
    """What putting a usual load on a ``ladder``, or taking its load off, is."""
    if ladder.load is not None:
        return _say("change.no-load")
    return _say("change.load", value=write_quantity(USUAL[Kind.R], "Ω"))


def why(effect: Effect, after: Facts) -> str:
    """Why a change does what it does, exactly.

    Args:
        effect: what it does to one figure.
        after: the facts of the circuit after the change.
    """
    if effect.on is EffectOn.TYPE:
        return _why_type(after)
    old, new = (text and written(text) for text in effect.formulas)
    before_text, after_text = _values(effect)
    told = {"figure": figure(effect), "before": before_text, "after": after_text}
    way = effect.truth
    if effect.part and new:
        if not effect.holds and way == "same":
            return _say("why.absent", **told, formula=new, part=effect.part)
        if len(new) <= _LONGEST:
            return _say(f"why.formula-{way}", **told, formula=new, part=effect.part)
    elif old and new:
        if old == new and way == "same" and len(new) <= _LONGEST:
            return _say("why.kept-same", **told, formula=new)
        if old != new and max(len(old), len(new)) <= _PAIR:
            if (old, new) == (before_text, after_text):  # figures are their own formulas
                return _say(f"why.figure-{way}", **told)
            if way != "same":
                old, new = _worth(old, before_text), _worth(new, after_text)
            return _say(f"why.formulas-{way}", **told, old=old, new=new)
    return _say(f"why.figure-{way}", **told)


def _worth(formula: str, value: str) -> str:
    """A formula and its value; a value alone where it is its own formula."""
    return value if formula == value else _say("why.worth", formula=formula, value=value)


def _values(effect: Effect) -> tuple[str, str]:
    """Before and after, in as many digits as tell them apart."""
    texts = "", ""
    for digits in _DIGITS:
        texts = _value(effect, effect.before, digits), _value(effect, effect.after, digits)
        if effect.truth == "same" or texts[0] != texts[1]:
            break
    return texts


def _value(effect: Effect, value: float, digits: int) -> str:
    if effect.on is EffectOn.GAIN:
        return write_quantity(value, "", digits)
    return write_quantity(value, "" if effect.on is EffectOn.Q else "Hz", digits)


def _why_type(after: Facts) -> str:
    from_dc, from_top = level(float(after.gain_low)), level(float(after.gain_high))
    told = {"low": from_dc, "high": from_top, "type": _called(after)}
    if after.type in (FilterType.FLAT, FilterType.ALL_PASS):
        return _say("why.type-level", **told)
    if after.type is FilterType.BAND_PASS and after.peak_hz and after.peak_gain:
        peak, frequency = level(after.peak_gain), write_quantity(after.peak_hz, "Hz", 3)
        return _say("why.type-peak", **told, peak=peak, frequency=frequency)
    if after.type is FilterType.NOTCH:
        if after.notch_hz:
            return _say("why.type-null", **told, frequency=write_quantity(after.notch_hz, "Hz", 3))
        if after.depth_hz:
            return _say("why.type-dip", **told, frequency=write_quantity(after.depth_hz, "Hz", 3))
    return _say("why.type", **told)


def _called(known: Facts) -> str:
    return speaker("bench", "said.type.")(known.called)


def level(gain: float) -> str:
    """A gain in decibels, to one place; zero in words."""
    found = decibels(gain)
    if found is None or not math.isfinite(found):
        return _say("why.zero")
    return f"{round(found, 1) + 0.0:.1f} dB".replace("-", "−")
