"""Against wrong counts (independent stores, poles, zeros), and which part adds no pole.

A count is contradicted by as many parts as show that there are more, or by those that do not count;
the right number is not told.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..algebra import axis_pairs
from ..analysis.arms import End, PlacedArm, making
from ..analysis.ends import end_fact, stoppers
from ..analysis.idle import generic
from ..analysis.transfer import TransferFunction, transfer_function
from ..questions.model import Rung
from .counterfact_counts import against_slope, innocents, placed, pole_count, why_hidden
from .counterfact_ends import at_end
from .counts import numerator_text, origin_zeros_of
from .ends import at, counted, end_phrase
from .explanation import (
    FACTS,
    REASONS,
    Explanation,
    WrongAnswer,
    fact,
    of_looks,
    says,
    sentence_of_looks,
)
from .fill import Text, clauses

# ------------------------------------------------------------------- stores of energy


def _cancelled(wrong: WrongAnswer) -> bool:
    """Whether these values make a pole meet a zero."""
    return wrong.facts.transfer.order < pole_count(wrong.ladder)


@FACTS(Rung.INDEPENDENT, Rung.POLES)
def stores(wrong: WrongAnswer) -> Explanation:
    """Against a count of independent stores, or of poles."""
    what = "store" if wrong.rung is Rung.INDEPENDENT else "pole"
    return count_of_stores(wrong, int(wrong.number), what)


def count_of_stores(wrong: WrongAnswer, claimed: int, what: str) -> Explanation:
    """Parts that do not count, or more parts that do than were counted.

    Args:
        wrong: the answer.
        claimed: how many it takes there to be.
        what: the table of the words.
    """
    drawn = wrong.reactive
    if claimed > len(drawn):
        key = f"{what}.no-more-drawn-{counted(drawn)}" if drawn else f"{what}.none-drawn"
        return fact(says(key, parts=drawn), marked=drawn)
    hidden = wrong.facts.hidden
    independent = wrong.rung is Rung.INDEPENDENT
    if claimed > (wrong.question.figure if independent else wrong.facts.transfer.order):
        if not independent and _cancelled(wrong):
            return fact(says("pole.cancelled"), marked=drawn)
        names = tuple(h.name for h in hidden)
        return fact(
            says(f"{what}.hidden", reasons=of_looks(why_hidden(wrong.ladder, hidden))), marked=names
        )
    kept = tuple(n for n in drawn if n not in {h.name for h in hidden})[: claimed + 1]
    return fact(says(f"{what}.each-{counted(kept)}", parts=kept), marked=kept)


@REASONS(Rung.INDEPENDENT, Rung.POLES, Rung.NO_POLE)
def stores_one_by_one(wrong: WrongAnswer) -> Explanation:
    """Which parts merge, are held or lead nowhere, and that each of the others counts."""
    hidden, drawn = wrong.facts.hidden, wrong.reactive
    what = "store" if wrong.rung is Rung.INDEPENDENT else "pole"
    if not drawn:
        return fact(says(f"{what}.none-drawn"))
    if not hidden:
        key = f"{what}.all-count-{counted(drawn)}"
        return fact(says(key, names=drawn), marked=drawn)
    names = tuple(h.name for h in hidden)
    rest = "others-count" if len(hidden) < len(drawn) else "nothing-else"
    reasons = of_looks(why_hidden(wrong.ladder, hidden))
    return fact(says(f"{what}.{rest}", reasons=reasons), marked=names)


# ------------------------------------------------------------------- which part adds no pole


@FACTS(Rung.NO_POLE)
def no_pole(wrong: WrongAnswer) -> Explanation:
    """That a part which was said to add none adds one, tried out; or why one adds none."""
    choice = wrong.choice
    values = dict(choice.values)
    names = tuple(str(values[key]) for key in ("a", "b") if key in values)
    hidden = {h.name: h for h in wrong.facts.hidden}
    if choice.id == "each-adds" or (names and names[0] in hidden):
        part = hidden[names[0]] if names else next(iter(hidden.values()))
        reason = of_looks(why_hidden(wrong.ladder, (part,)))
        if choice.id == "too-small":
            return fact(
                says("no-pole.whatever-its-value", part=part.name, reason=reason),
                marked=(part.name,),
            )
        return fact(says("no-pole.hidden", reason=reason), marked=(part.name,))
    if choice.id == "pair-is-one":
        first, second = (_merged_with(wrong, name) for name in names)
    else:
        first = second = names[:1]
    if not (_add(wrong, first) and _add(wrong, second)):
        # Of parts that are tied to each other any may be the one that adds none.
        tied = next(iter(hidden.values()))
        reason = of_looks(why_hidden(wrong.ladder, (tied,)))
        return fact(says("no-pole.hidden", reason=reason), marked=(tied.name,))
    if choice.id == "pair-is-one":
        sentence = says("no-pole.adds-both", first=first, second=second)
        return fact(sentence, marked=(*first, *second))
    return fact(says("no-pole.adds", part=names[0]), marked=names[:1])


def _add(wrong: WrongAnswer, names: Sequence[str]) -> bool:
    """Whether there is a pole less with resistances in the place of some parts."""
    with_all, without = generic(wrong.ladder), generic(wrong.ladder, names)
    return transfer_function(without).order < transfer_function(with_all).order


def _merged_with(wrong: WrongAnswer, name: str) -> tuple[str, ...]:
    """A part, and those that merge with it into one."""
    return (name, *(h.name for h in wrong.facts.hidden if h.partner == name))


# ------------------------------------------------------------------- finite zeros


def _finite(arm: PlacedArm) -> int:
    """At how many finite s an arm stops the signal."""
    return int(arm.stopping().degree())


def _deed(arm: PlacedArm) -> Text:
    """How an arm stops the signal at finite s."""
    p = arm.stopping()
    origin, pairs = origin_zeros_of(p), axis_pairs(p)
    found: list[Text] = []
    if origin:
        found.append(says("zero.at-origin", arm=arm.text))
    if pairs:
        found.append(says("zero.pair" if pairs == 1 else "zero.pairs", arm=arm.text))
    if int(p.degree()) > origin + 2 * pairs:
        found.append(says("zero.decay", arm=arm.text))
    return clauses(found)


@FACTS(Rung.ZEROS)
def zeros(wrong: WrongAnswer) -> Explanation:
    """Arms that stop the signal at a finite s, more than were counted; or that stop it at none."""
    claimed, transfer = int(wrong.number), wrong.facts.transfer
    if claimed > transfer.order:
        high = end_fact(wrong.ladder, End.HIGH)
        sentence = says("zero.bounded", fact=of_looks(end_phrase(high)))
        return fact(sentence, end=End.HIGH, marked=high.parts, passes=high.passes)
    if claimed == transfer.order and not wrong.passes(End.HIGH):
        high = end_fact(wrong.ladder, End.HIGH)
        sentence = says("zero.falls", fact=of_looks(end_phrase(high)))
        return fact(sentence, end=End.HIGH, marked=high.parts)
    exact = sum(map(_finite, wrong.rails)) == transfer.zero_count
    if exact and claimed < transfer.zero_count:
        return _stopping_arms(wrong, claimed)
    idle = [arm for arm in wrong.reactive_rails if not _finite(arm)]
    if exact and idle:
        names = tuple(name for arm in idle for name in arm.names)
        arms = tuple(arm.text for arm in idle)
        return fact(says(f"zero.never-{counted(arms)}", arms=arms), marked=names)
    if exact:
        return fact(
            says("zero.no-more", deeds=clauses([_deed(a) for a in wrong.rails if _finite(a)]))
        )
    return _numerator(wrong)


def _stopping_arms(wrong: WrongAnswer, claimed: int) -> Explanation:
    """Arms that make more zeros than were counted."""
    arms: list[PlacedArm] = []
    found = 0
    for arm in wrong.rails:
        if found <= claimed and _finite(arm):
            arms.append(arm)
            found += _finite(arm)
    names = tuple(name for arm in arms for name in arm.names)
    return fact(says("zero.deeds", deeds=clauses([_deed(arm) for arm in arms])), marked=names)


@REASONS(Rung.ZEROS)
def zeros_one_by_one(wrong: WrongAnswer) -> Explanation:
    """What each arm gives to the zeros; the numerator where that misleads."""
    if sum(map(_finite, wrong.rails)) != wrong.facts.transfer.zero_count:
        return _numerator(wrong)
    arms = [arm for arm in wrong.rails if _finite(arm)]
    if not arms:
        return fact(says("zero.nowhere"))
    names = tuple(name for arm in arms for name in arm.names)
    deeds = clauses([_deed(arm) for arm in arms])
    return fact(says("zero.all-deeds", deeds=deeds), marked=names)


def _numerator(wrong: WrongAnswer) -> Explanation:
    """The numerator in letters: what the arms do does not add up here."""
    text = numerator_text(wrong)
    if not text:
        return fact(says("zero.multiply-out"))
    if len(wrong.numerator) - 1 != wrong.facts.transfer.zero_count:
        return fact(says("zero.numerator-cancelled", numerator=text))
    return fact(says("zero.numerator", numerator=text))


# ------------------------------------------------------------------- zeros at the origin


@FACTS(Rung.ORIGIN_ZEROS)
def origin_zeros(wrong: WrongAnswer) -> Explanation:
    """What lets DC pass, the arms that block it, or what does not."""
    return end_count(wrong, End.LOW, int(wrong.number), "origin")


def end_count(wrong: WrongAnswer, end: End, claimed: int, what: str) -> Explanation:
    """Against a wrong count of what blocks an end: of zeros, slopes or quarter turns.

    Args:
        wrong: the answer.
        end: the end.
        claimed: how many arms the answer takes to block it.
        what: the table of the words.
    """
    happens = end_fact(wrong.ladder, end)
    text = of_looks(end_phrase(happens))
    if happens.passes:
        found = at_end(wrong.ladder, happens)
        level = says(f"{what}.level", fact=of_looks(dict(found.values)["fact"]))
        return fact(level, end=end, marked=found.marked, passes=True)
    if not claimed:
        return fact(says(f"{what}.not-level", fact=text), end=end, marked=happens.parts)
    arms = stoppers(wrong.ladder, end)
    count = power_at(wrong.facts.transfer, end)
    if len(arms) != count:
        return fact(says(f"{what}.power", fact=text), end=end, marked=happens.parts)
    if claimed < count:
        some = arms[: claimed + 1]
        marked = tuple(name for arm in some for name in making(arm.arm, end))
        told = says(f"{what}.stops-{counted(some)}", arms=of_looks(placed(some, end)))
        return fact(told, end=end, marked=marked)
    marked = tuple(name for arm in arms for name in making(arm.arm, end))
    innocent = innocents(wrong.ladder, end)
    if innocent:
        others = clauses([of_looks(each) for each in innocent])
        told = says(f"{what}.innocent", innocent=others, at=of_looks(at(end)))
        return fact(told, end=end, marked=marked)
    told = says(f"{what}.no-other-{counted(arms)}", arms=of_looks(placed(arms, end)))
    return fact(told, end=end, marked=marked)


def power_at(transfer: TransferFunction, end: End) -> int:
    """By which power of frequency |H| of a ``transfer`` falls at an ``end``; below 0: it grows."""
    if end is End.HIGH:
        return transfer.order - transfer.zero_count
    poles = next(n for n, c in enumerate(reversed(transfer.denominator)) if c)
    return transfer.zeros_at_origin - poles


@REASONS(Rung.ORIGIN_ZEROS, Rung.LOW_SLOPE, Rung.HIGH_SLOPE)
def blocking(wrong: WrongAnswer) -> Explanation:
    """Every arm that blocks the end, as a look's hint has it."""
    end = End.HIGH if wrong.rung is Rung.HIGH_SLOPE else End.LOW
    return what_blocks(wrong, end, f"{wrong.rung.value}.hints")


def what_blocks(wrong: WrongAnswer, end: End, table: str) -> Explanation:
    """Every arm that blocks an end.

    Args:
        wrong: the answer.
        end: the end.
        table: the table of ``content/looks.toml`` that says so.
    """
    found = against_slope(wrong.ladder, end, 0)
    step = {"level": "step-level", "power": "step-power"}.get(found.key, "step")
    sentence = sentence_of_looks(step, found.values, table)
    return fact(sentence, end=end, marked=found.marked, passes=found.passes)
