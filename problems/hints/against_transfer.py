"""Against a wrong H(s): what it does at the two ends, its counts, then its terms one by one."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from ..algebra import axis_pairs
from ..analysis.arms import End, limbs_of
from ..analysis.ends import end_fact
from ..analysis.transfer import TransferFunction, polynomial
from ..formulas.dimension import Dimensions, measure
from ..formulas.work import Work
from ..questions.model import Rung
from .against_counts import count_of_stores, end_count, power_at
from .counterfact_ends import null_arms, null_phrase
from .ends import at, end_phrase
from .explanation import FACTS, REASONS, Explanation, WrongAnswer, fact, of_hint, of_looks, says
from .fill import Phrase
from .numbers import impedance_text

_SAME = Fraction(5, 1000)
"""Relative distance up to which two coefficients are one and the same, typed with few digits."""
_EXACT = Fraction(1, 10**9)
"""The same of coefficients in letters: π and roots are rational numbers near them."""


@FACTS(Rung.TRANSFER)
def transfer(wrong: WrongAnswer) -> Explanation:
    """The first thing in which the H(s) typed parts from the circuit's."""
    reading, right = wrong.reading, wrong.facts.transfer
    if reading is None or reading.transfer is None or reading.formula is None:
        return transfer_step(wrong)
    typed = reading.transfer
    measured = Dimensions(Work()).of(reading.formula)
    if reading.lettered and measured not in (None, measure(0, 0)):
        return fact(says("transfer.unit"))
    if typed.numerator[0] * right.numerator[0] < 0:
        return fact(says("transfer.sign"))
    return (
        _ends(wrong, typed)
        or _powers(wrong, typed, right)
        or _counts(wrong, typed, right)
        or _terms(wrong, typed, right)
    )


def _ends(wrong: WrongAnswer, typed: TransferFunction) -> Explanation | None:
    """An end that the H(s) typed passes and the circuit blocks, or the reverse."""
    for end in End:
        power, happens = power_at(typed, end), end_fact(wrong.ladder, end)
        text = of_looks(end_phrase(happens))
        marked, passes = happens.parts, happens.passes
        if power < 0:
            key = f"transfer.{end.value}-grows"
        elif (power == 0) is happens.passes:
            continue
        else:
            key = f"transfer.{end.value}-{'passes' if power == 0 else 'blocked'}"
        return fact(says(key, fact=text), end=end, marked=marked, passes=passes)
    return None


def _powers(
    wrong: WrongAnswer, typed: TransferFunction, right: TransferFunction
) -> Explanation | None:
    """An end that is blocked by more, or by fewer, than the H(s) typed has it."""
    for end in End:
        if (power := power_at(typed, end)) != power_at(right, end):
            table = "origin" if end is End.LOW else "high-slope"
            return _after(says(f"transfer.{end.value}-power"), end_count(wrong, end, power, table))
    return None


def _counts(
    wrong: WrongAnswer, typed: TransferFunction, right: TransferFunction
) -> Explanation | None:
    """Poles, and zeros on the jω axis."""
    if typed.order != right.order:
        return _after(says("transfer.poles"), count_of_stores(wrong, typed.order, "pole"))
    pairs, own = (axis_pairs(polynomial(t.numerator)) for t in (typed, right))
    if bool(pairs) is bool(own):
        return None
    if pairs:
        return fact(says("transfer.no-null"), marked=wrong.working)
    arms = null_arms(wrong.ladder)
    if not arms:
        return fact(says("transfer.null"), marked=wrong.working)
    text, names = null_phrase(arms[0])
    return fact(says("transfer.null-of", fact=of_looks(text)), marked=names)


def _after(first: Phrase, found: Explanation) -> Explanation:
    """What is found, after a first sentence."""
    return replace(found, says=(first, *found.says))


def _terms(wrong: WrongAnswer, typed: TransferFunction, right: TransferFunction) -> Explanation:
    """Which term of H(s) to look at: everything else has been seen to fit."""
    # Letters are compared exactly, figures as far as they were typed.
    reading = wrong.reading
    within = _EXACT if reading is not None and reading.lettered else _SAME

    def apart(a: Fraction, b: Fraction) -> bool:
        return abs(a - b) > within * max(abs(a), abs(b))

    # The level at an end that passes, then the middle terms of the denominator.
    for end, index in (End.LOW, -1), (End.HIGH, 0):
        if power_at(right, end) == 0 and apart(_level(typed, index), _level(right, index)):
            happens = end_fact(wrong.ladder, end)
            sentence = says(f"transfer.level-{end.value}", at=of_looks(at(end)))
            return fact(sentence, end=end, marked=happens.parts, passes=True)
    if right.order == 2 and not apart(typed.denominator[2], right.denominator[2]):
        if apart(typed.denominator[1], right.denominator[1]):
            return fact(says("transfer.damping"), marked=wrong.resistors)
    elif apart(typed.denominator[-1], right.denominator[-1]):
        return fact(says("transfer.outer"), marked=wrong.working)
    return fact(says("transfer.numerator"), marked=wrong.working)


def _level(t: TransferFunction, index: int) -> Fraction:
    return t.numerator[index] / t.denominator[index]


@REASONS(Rung.TRANSFER)
def transfer_step(wrong: WrongAnswer) -> Explanation:
    """The two impedances of a divider; of any other circuit, how to go through it."""
    names = tuple(e.name for e in wrong.elements)
    limbs = limbs_of(wrong.sections[0]) if len(wrong.sections) == 1 else []
    if len(limbs) == 2:
        upper, lower = (impedance_text(limb.arm) for limb in limbs)
        return fact(says("transfer.divider", upper=upper, lower=lower), marked=names)
    return replace(of_hint(wrong, 2), marked=names)
