"""Against wrong answers about the feed, the two ends and the type, and about the reasons for them.

The facts are those that looks tell (``counterfact_ends``).  Of a wrong reason it is told what the
arms it names are and do at that end, or a circuit near this one is named that refutes it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial

from ..analysis.arms import End, PlacedArm, state
from ..analysis.ends import end_fact, end_facts, stoppers
from ..analysis.gain_type import EndState
from ..analysis.response import FilterType, facts
from ..circuits.altered import without_load
from ..circuits.model import Kind, Ladder, Place, leaves, valueless
from ..circuits.write import write_circuit
from ..generate.contrast import answer_of, lookalikes, nearest
from ..questions.looks import LookKind
from ..questions.model import Choice, Rung
from ..questions.naming import decibels
from .counterfact_counts import feed_fact, pole_count
from .counterfact_ends import ENDS_OF, against_type, at_end, flatness, null_arms, null_phrase
from .ends import at, counted, end_phrase, states_phrase
from .explanation import (
    FACTS,
    REASONS,
    Explanation,
    WrongAnswer,
    as_hinted,
    counterfact_fact,
    fact,
    of_looks,
    says,
    sentence_of_looks,
)
from .fill import Named, Phrase

_SEPARATOR = re.compile(r", | and ")
_MOVES = re.compile(r"(series|shunt)-(grows|falls)")
_RESONATES = re.compile(r"(series|shunt)-(least|greatest)")
_END_LOOK = {End.LOW: LookKind.LOW_END, End.HIGH: LookKind.HIGH_END}


# ------------------------------------------------------------------- feed, ends, type


@FACTS(Rung.FED)
def fed(wrong: WrongAnswer) -> Explanation:
    """The first reactive arm met from the source, and how it lies."""
    key, values, names = feed_fact(wrong.ladder)
    return fact(sentence_of_looks(key, values, "fed.counter"), marked=names)


@FACTS(Rung.LOW_END, Rung.HIGH_END)
def one_end(wrong: WrongAnswer) -> Explanation:
    """What stops the signal at the end, or lets it through."""
    found = at_end(wrong.ladder, end_fact(wrong.ladder, wrong.end))
    return counterfact_fact(found, f"{wrong.rung.value}.counter")


@FACTS(Rung.TYPE)
def filter_type(wrong: WrongAnswer) -> Explanation:
    """The end at which a circuit of the type answered does something else, or what lies between."""
    if wrong.by_levels:
        return _by_level(wrong, str(wrong.answered))
    return counterfact_fact(against_type(wrong.ladder, str(wrong.answered), ""), "type.counter")


def _by_level(wrong: WrongAnswer, claimed: str) -> Explanation:
    """How far an end, or what lies between, is below the highest level: real parts leave a little.

    Args:
        wrong: the answer.
        claimed: the type that the circuit is not.
    """
    judged = wrong.facts.judgement
    claim = of_looks(Phrase(f"claim.{claimed}"))
    downs = (judged.low_down_db, judged.high_down_db)
    does = (judged.low, judged.high)
    for end, down, its, passes in zip(End, downs, does, ENDS_OF[claimed], strict=True):
        if (its is EndState.PASSED) is not passes:
            key = f"level.{end.value}-{'blocked' if passes else 'passed'}"
            if math.isinf(down):
                key = f"level.{end.value}-nothing"
            told = says(key, claim=claim, down=decibels(down))
            return fact(told, end=end, marked=end_fact(wrong.ladder, end).parts)
    depth = decibels(judged.depth_db or 0.0)
    key = "dips" if judged.depth_db else "no-dip"
    return fact(says(f"level.{key}", claim=claim, depth=depth), marked=wrong.working)


# Of questions with two answers one is known to be wrong: the step may be worked.
REASONS(Rung.FED, Rung.LOW_END, Rung.HIGH_END)(as_hinted(3))


@REASONS(Rung.TYPE, Rung.TYPE_REASON)
def both_ends(wrong: WrongAnswer) -> Explanation:
    """What happens at both ends, and between them, without the name of the type."""
    ladder = wrong.ladder
    if wrong.by_levels:
        return _both_levels(wrong)
    low, high = end_facts(ladder)
    values: Named = (
        ("low", end_phrase(low, table="at-end")),
        ("high", end_phrase(high, table="at-end")),
    )
    key, marked = "step", (*low.parts, *high.parts)
    if wrong.facts.type is FilterType.FLAT and answer_of(ladder, LookKind.TYPE) == "flat":
        text, marked = flatness(ladder)
        key, values = "step-flat", (("flat", text),)
    elif (arms := null_arms(ladder)) and wrong.facts.type is FilterType.NOTCH:
        text, marked = null_phrase(arms[0])
        key, values = "step-null", (*values, ("null", text))
    found = fact(sentence_of_looks(key, values, "type.hints"), marked=dict.fromkeys(marked))
    return replace(found, ends=tuple(End))


def _both_levels(wrong: WrongAnswer) -> Explanation:
    """How far both ends, and what lies between them, are below the highest level."""
    judged = wrong.facts.judgement
    levels = (
        says(
            f"level.at-{end.value}-{'nothing' if math.isinf(down) else 'down'}", down=decibels(down)
        )
        for end, down in zip(End, (judged.low_down_db, judged.high_down_db), strict=True)
    )
    told = [*levels, says("level.counts")]
    if judged.depth_db:
        told.insert(2, says("level.between", depth=decibels(judged.depth_db)))
    return replace(fact(*told), ends=tuple(End))


# ------------------------------------------------------------------- reasons: what arms are


def _arms_named(wrong: WrongAnswer, text: object) -> list[PlacedArm]:
    """The working arms that a choice names."""
    names = set(_SEPARATOR.split(str(text)))
    return [rail for rail in wrong.rails if rail.text in names]


def _arm_is(arm: PlacedArm, end: End) -> Phrase:
    """What an arm is at an end: open, a short, or a resistance."""
    return says(f"arm-is.{state(arm.arm, end).value}", arm=arm.text)


def _reactive_states(wrong: WrongAnswer, names: Iterable[str]) -> Explanation:
    """What parts turn into at the end asked about."""
    kept = tuple(dict.fromkeys(names))
    states = of_looks(states_phrase(wrong.ladder, kept, wrong.end))
    sentence = says("states", at=of_looks(at(wrong.end)), states=states)
    return fact(sentence, end=wrong.end, marked=kept)


def _misnamed(wrong: WrongAnswer, claims: Iterable[tuple[Place, object]]) -> Explanation:
    """The first arm that a choice names wrongly: where it lies, and what it is there.

    Args:
        wrong: the answer.
        claims: in which place the arms are said to stop the signal, and their names.
    """
    for place, text in claims:
        for arm in _arms_named(wrong, text):
            if arm.place is place and arm.stops(wrong.end):
                continue
            key = f"lies-in.{arm.place.value}"
            sentence = says(
                key, at=of_looks(at(wrong.end)), arm=arm.text, is_=_arm_is(arm, wrong.end)
            )
            return fact(sentence, end=wrong.end, marked=arm.names)
    return _what_happens(wrong)


def _what_happens(wrong: WrongAnswer) -> Explanation:
    """What really happens at the end."""
    found = at_end(wrong.ladder, end_fact(wrong.ladder, wrong.end))
    return counterfact_fact(found, "low-end.counter")


def _not_ideal(wrong: WrongAnswer, *, key: str) -> Explanation:
    """With resistances for what stops the signal, a share of it would arrive."""
    arms = stoppers(wrong.ladder, wrong.end)
    names = tuple(name for arm in arms for name in arm.names if name[0] != Kind.R.value)
    if not names:
        return _what_happens(wrong)
    sentence = says(f"{key}-{counted(names)}", parts=names, at=of_looks(at(wrong.end)))
    return fact(sentence, end=wrong.end, marked=names)


def circuit_text(ladder: Ladder) -> str:
    """A circuit in one line, with its letters alone."""
    return write_circuit(valueless(ladder), "; ")


def _blocked_nearby(wrong: WrongAnswer) -> Explanation:
    """A circuit as passive as this one that blocks the end."""
    other = nearest(wrong.ladder, _END_LOOK[wrong.end], "blocked")
    if other is None:
        return _what_happens(wrong)
    key = f"passive-blocks.{wrong.end.value}"
    return fact(says(key, circuit=circuit_text(other)), end=wrong.end, lookalike=other)


def _unloaded(wrong: WrongAnswer) -> Explanation:
    """The signal arrives without a load as well."""
    load, bare = wrong.ladder.load, without_load(wrong.ladder)
    where = of_looks(at(wrong.end))
    if load is None or bare is None:
        return fact(says("load.none", at=where), end=wrong.end)
    if not end_fact(bare, wrong.end).passes:
        return _what_happens(wrong)
    return fact(says("load.unneeded", at=where, load=load.name), end=wrong.end, marked=(load.name,))


def _arm_at_end(wrong: WrongAnswer, arm: PlacedArm, *, key: str) -> Explanation:
    """What an arm is at the end, said against a belief about it."""
    sentence = says(key, at=of_looks(at(wrong.end)), is_=_arm_is(arm, wrong.end))
    return fact(sentence, end=wrong.end, marked=arm.names)


@FACTS(Rung.LOW_END_REASON, Rung.HIGH_END_REASON)
def end_reason(wrong: WrongAnswer) -> Explanation:
    """What the arms named are at the end, or which circuit refutes the reason."""
    found, values = wrong.choice, dict(wrong.choice.values)
    named = {place: values.get(place.value, "") for place in (Place.SERIES, Place.SHUNT)}
    series, shunt = (_arms_named(wrong, named[p]) for p in (Place.SERIES, Place.SHUNT))
    match found.id:
        case "resonance":
            return _reactive_states(wrong, (str(values["l"]), str(values["c"])))
        case "kinds-swapped" | "wrong-kind":
            kind = None
            if found.id == "wrong-kind":
                kind = Kind.L if wrong.end is End.LOW else Kind.C
            chosen = [n for n in wrong.working if kind is None or n[0] == kind.value]
            return _reactive_states(wrong, chosen)
        case "shunt-carries" if shunt:
            return _arm_at_end(wrong, shunt[0], key=found.id)
        case "series-holds" if series:
            return _arm_at_end(wrong, series[0], key=found.id)
        case "always":
            return _blocked_nearby(wrong)
        case "idle-load":
            return _unloaded(wrong)
        case "series-open" | "shunt-short" | "open-and-short":
            return _misnamed(wrong, ((place, text) for place, text in named.items() if text))
        case "source-shorted":
            name = str(values["name"])
            return fact(says("source-holds", part=name), end=wrong.end, marked=(name,))
        case "divider" | "no-signal":
            return _not_ideal(wrong, key=found.id)
    arms = (*series, *shunt)
    if arms:
        states = tuple(_arm_is(arm, wrong.end) for arm in arms)
        sentence = says("arms-are", at=of_looks(at(wrong.end)), arms=states)
        names = tuple(name for arm in arms for name in arm.names)
        return fact(sentence, end=wrong.end, marked=names)
    return _what_happens(wrong)


REASONS(Rung.LOW_END_REASON, Rung.HIGH_END_REASON)(_what_happens)


# ------------------------------------------------------------------- reasons: why this type


def _moves(arm: PlacedArm) -> str:
    """How an arm's impedance goes as frequency rises, where that is one way."""
    kinds = {name[0] for name in arm.names} & {"L", "C"}
    if len(kinds) == 2:
        return "both"
    return {"L": "grows", "C": "falls"}.get("".join(kinds), "stays")


def _movement(wrong: WrongAnswer, choice: Choice) -> Explanation | None:
    """The first arm of a choice whose impedance goes another way than is said."""
    values = dict(choice.values)
    for place in Place.SERIES, Place.SHUNT:
        said = dict(_MOVES.findall(choice.id)).get(place.value)
        for arm in _arms_named(wrong, values.get(place.value, "")) if said else ():
            if _moves(arm) != said:
                return fact(says(f"moves.{_moves(arm)}", arm=arm.text), marked=arm.names)
    return None


def _resonance(wrong: WrongAnswer, choice: Choice) -> Explanation | None:
    """What the arms of a choice do at resonance, where it says the reverse."""
    values = dict(choice.values)
    for place in Place.SERIES, Place.SHUNT:
        said = dict(_RESONATES.findall(choice.id)).get(place.value)
        for arm in _arms_named(wrong, values.get(place.value, "")) if said else ():
            opens = arm.makes_null if place is Place.SERIES else arm.makes_peak
            does = "greatest" if opens else "least"
            if does != said:
                return fact(says(f"resonates.{does}", arm=arm.text), marked=arm.names)
    return None


def _counter_example(
    wrong: WrongAnswer, fits: Callable[[Ladder], bool], *, key: str, not_: str
) -> Explanation | None:
    """A circuit near this one that fits what a belief says, and is of another type.

    Args:
        wrong: the answer.
        fits: whether the belief speaks of a circuit.
        key: the words.
        not_: the type that the belief says it makes.
    """
    start = wrong.ladder
    own = () if wrong.facts.type.value == not_ else (start,)
    for other in (*own, *lookalikes(start), *_textbooks(start)):
        kind = answer_of(other, LookKind.TYPE)
        if kind in _NAMED and kind != not_ and fits(other):
            return _named_example(other, kind, key)
    return None


_NAMED = ("low-pass", "high-pass", "band-pass", "notch")


def _named_example(other: Ladder, kind: str, key: str) -> Explanation:
    sentence = says(f"example.{key}", circuit=circuit_text(other), type=says(f"a.{kind}"))
    return fact(sentence, lookalike=other)


def _textbooks(start: Ladder) -> Iterable[Ladder]:
    found = (nearest(start, LookKind.TYPE, kind) for kind in _NAMED)
    return (ladder for ladder in found if ladder is not None)


def _has(kinds: str, ladder: Ladder) -> bool:
    """Whether an inductor or a capacitor of each of some kinds is drawn in a circuit."""
    present = {e.name[0] for e in ladder.reactive()}
    return set(kinds) <= present


def _two_or_more(ladder: Ladder) -> bool:
    return len(ladder.reactive()) > 1


_BELIEFS: dict[str, tuple[str, Callable[[Ladder], bool]]] = {
    "capacitor-is-low-pass": ("low-pass", partial(_has, "C")),
    "capacitor-is-high-pass": ("high-pass", partial(_has, "C")),
    "inductor-is-low-pass": ("low-pass", partial(_has, "L")),
    "inductor-is-high-pass": ("high-pass", partial(_has, "L")),
    "any-lc": ("band-pass", partial(_has, "LC")),
    "any-lc-stops": ("notch", partial(_has, "LC")),
    "any-two": ("band-pass", _two_or_more),
    "resonance-most": ("band-pass", partial(_has, "LC")),
    "resonance-least": ("notch", partial(_has, "LC")),
    "passive-is-flat": ("flat", partial(_has, "")),
}
"""What each belief says of a circuit: the type it is said to make, and of which circuits."""


def _at_resonance(wrong: WrongAnswer, *, most: bool) -> Explanation | None:
    """A circuit near this one whose resonance does the reverse of what is believed."""
    kind = "notch" if most else "band-pass"
    for other in (*lookalikes(wrong.ladder), *_textbooks(wrong.ladder)):
        if answer_of(other, LookKind.TYPE) != kind or not _has("LC", other):
            continue
        known = facts(other)
        if known.transfer.order == 2 and (known.q or 0) > 0.5:
            key = "resonance-most" if most else "resonance-least"
            return _named_example(other, kind, key)
    return None


@FACTS(Rung.TYPE_REASON)
def type_reason(wrong: WrongAnswer) -> Explanation:
    """What the arms named do, or a circuit that refutes the belief."""
    choice = wrong.choice
    values = dict(choice.values)
    found: Explanation | None = None
    match choice.id:
        case "resonance-most" | "resonance-least":
            found = _at_resonance(wrong, most=choice.id == "resonance-most")
        case belief if belief in _BELIEFS:
            kind, fits = _BELIEFS[belief]
            found = _counter_example(wrong, fits, key=belief, not_=kind)
        case "read-across":
            last = _output_arm(wrong)
            if last:
                sentence = says("output-lies", series=str(values["series"]), last=last.text)
                found = fact(sentence, marked=last.names)
        case "resonance-carries":
            found = _pass_band_at_an_end(wrong)
        case "resistor-filters":
            name = next(iter(wrong.resistors), "")
            if name:
                found = fact(says("resistance-stays", part=name), marked=(name,))
        case "ends-swapped" | "order-decides" | "low-then-high":
            found = _by_the_ends(wrong, choice)
        case "idle" | "same-ratio" | "pole-meets-zero" | "too-small":
            found = _flat_reason(wrong, choice)
        case _:
            found = _movement(wrong, choice) or _resonance(wrong, choice)
    return found or both_ends(wrong)


def _output_arm(wrong: WrongAnswer) -> PlacedArm | None:
    """What the output is taken across."""
    if wrong.ladder.load is not None:
        return PlacedArm(Place.SHUNT, wrong.ladder.load)
    last = wrong.rails[-1] if wrong.rails else None
    return last if last is not None and last.place is Place.SHUNT else None


def _pass_band_at_an_end(wrong: WrongAnswer) -> Explanation | None:
    """The end that passes, where nothing resonates."""
    found = next((each for each in end_facts(wrong.ladder) if each.passes), None)
    if found is None:
        return None
    sentence = says("no-resonance-needed", fact=of_looks(end_phrase(found)))
    return fact(sentence, end=found.end, marked=found.parts, passes=True)


def _by_the_ends(wrong: WrongAnswer, choice: Choice) -> Explanation | None:
    values, ladder = dict(choice.values), wrong.ladder
    if choice.id == "low-then-high":
        found = next((each for each in end_facts(ladder) if each.passes), None)
        if found is None:
            return None
        sentence = says("chain-blocks-both", fact=of_looks(end_phrase(found)))
        return fact(sentence, end=found.end, marked=found.parts, passes=True)
    if choice.id == "order-decides":
        low, high = end_facts(ladder)
        sentence = says(
            "either-order", low=of_looks(end_phrase(low)), high=of_looks(end_phrase(high))
        )
        return fact(sentence, marked=(*low.parts, *high.parts))
    for key, end in ("low", End.LOW), ("high", End.HIGH):
        for arm in _arms_named(wrong, values[key]) or _parts_named(wrong, values[key]):
            if not arm.stops(end):
                sentence = says(
                    "does-not-stop", at=of_looks(at(end)), is_=_arm_is(arm, end),
                    place=says(f"place.{arm.place.value}"),
                )  # fmt: skip
                return fact(sentence, end=end, marked=arm.names)
    return None


def _parts_named(wrong: WrongAnswer, text: object) -> list[PlacedArm]:
    """A single part of an arm that a choice names, in the place of its arm."""
    return [
        PlacedArm(rail.place, element)
        for rail in wrong.rails
        for element in leaves(rail.arm)
        if element.name == str(text)
    ]


def _flat_reason(wrong: WrongAnswer, choice: Choice) -> Explanation | None:
    names = wrong.working
    match choice.id:
        case "idle" if names:
            return fact(says(f"has-a-say.{counted(names)}", parts=names), marked=names)
        case "same-ratio" if not names:
            parts = wrong.reactive
            return fact(says("nothing-divides", parts=parts), marked=parts)
        case "pole-meets-zero" | "too-small" if pole_count(wrong.ladder) == 0:
            parts = wrong.reactive
            return fact(says(f"flat.{choice.id}-{counted(parts)}", parts=parts), marked=parts)
    return None
