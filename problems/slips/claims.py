"""What the sentence about a slip claims of the circuit: a small vocabulary, each claim testable.

A sentence is shown only where all that it claims holds of this very circuit (``sentences.py``
says which sentence claims what).  A claim is a statement and a predicate; nothing here is asked
for by what a circuit is called.  Sources: the definitions in ``analysis/response.py`` and
``analysis/idle.py``; the rest is common practice, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from ..analysis.arms import ArmState, End, PlacedArm, limbs_of, state
from ..analysis.gain_type import EndState, Shape
from ..analysis.idle import Reason
from ..analysis.response import TWO_PI, FilterType, PoleNature
from ..analysis.ties import Tie, tie
from ..circuits.altered import buffered, flips, seen_by, with_value, without_load
from ..circuits.model import Element, Joint, Ladder, Place, merged
from ..formulas.evaluate import evaluate
from ..formulas.tree import Formula, FormulaError
from ..questions.analyse import pass_band_gain
from ..questions.model import Answer, Form, Rung, Values, sketch_of
from ..questions.reverse import of_choice
from ..sketches.model import GainSketch, MapSketch, PhaseSketch, Region
from .case import Case, altered_facts
from .redrawn import dividers, divides, resonator_of

_SAME = 1e-6
"""Relative: figures this near are one; they differ by the rounding of floating point alone."""
_HALF = math.sqrt(0.5)


class SlipClaim(StrEnum):
    """Everything that a slip's sentence may claim of a circuit, or of the answer given."""

    # the parts
    INDUCTOR = "there is an inductor"
    CAPACITOR = "there is a capacitor"
    NO_INDUCTOR = "there is no inductor"
    NO_CAPACITOR = "there is no capacitor"
    RESISTANCE = "there is a resistance"
    TERMINATED = "there is a source resistance, and a load"
    LOADED = "the load draws current, and so moves the response"
    BUFFER = "there is a buffer"
    NO_BUFFER = "there is no buffer"
    BUFFER_BETWEEN = "the one L and the one C are in sections that a buffer keeps apart"
    DIFFERENT_ARMS = "no arm holds both an L and a C"
    RESONANT_ARM = "an arm holds an L and a C"
    # parts that the sentence names
    ACROSS_SOURCE = "{names} lie across an ideal source or a buffer's output"
    NO_CURRENT = "{names} carry no current"
    COMBINE = "each of {names} acts as one part with {partner}"
    TIED_BY_LOOP = "a loop of capacitors (and ideal sources) goes through each of {names}"
    TIED_BY_CUT = "each of {names} completes a cut of inductors"
    FREE = "no source and no other part fixes what {names} store"
    LEADS_ON = "{names} carry current"
    HAS_A_SAY = "{names} move the response"
    NOT_ONE = "{a} and {b} do not act as one part"
    BOTH_STORE = "{a} and {b} store energy independently of each other"
    ADDS_NO_POLE = "{names} add no pole of their own"
    ALIKE = "{elements} are of one kind, two at least"
    SOURCE_MATTERS = "{source} moves the response"
    OTHERS_IN_Q = "each of {others} moves Q"
    ENDS_IN_Q = "each of {ends} moves Q"
    LOSSES_IN_Q = "each of {losses} moves Q"
    RESISTANCE_NOT_IN_F0 = "{resistance} does not move f0"
    RESISTANCE_IN_Q = "{resistance} moves Q"
    IN_PARALLEL = "{resistances} act as their parallel connection"
    IN_SERIES = "{resistances} act as their sum"
    ARM_IN_SHUNT = "{arm} lies across the output path"
    ARM_IN_SERIES = "{arm} lies in the series path"
    ARM_OPEN = "{arm} is an open at the end asked about"
    ARM_OPEN_AT_DC = "{arm} is an open at DC"
    ARM_MAKES_NULL = "{arm} stops the signal at its own resonance"
    COMPANION_JOINED = "{companion} is joined to {element} directly"
    CHOSEN_IDLE = "a part of circuit {chosen} does not affect its output"
    CHOSEN_RESONATES = "circuit {chosen} has an arm of L and C"
    ELEMENT_REACTIVE = "{element} is an inductor or a capacitor"
    ELEMENT_UNDER_ROOT = "f0 goes with one over the root of {element}"
    # poles and zeros
    ONE_POLE = "H(s) has one pole"
    TWO_POLES = "H(s) has two poles"
    COMPLEX_PAIR = "H(s) has a complex pair of poles"
    NO_COMPLEX = "both poles are real"
    REAL_APART = "the two poles are real and different"
    DOUBLE_POLE = "the two poles are equal"
    ORIGIN_ZEROS = "H(s) has a zero at the origin"
    AXIS_ZEROS = "H(s) has zeros on the jω axis"
    FINITE_ZEROS = "H(s) has a finite zero"
    FEWER_ZEROS = "H(s) has fewer finite zeros than poles"
    STABLE = "every pole lies to the left of the jω axis"
    LEFT_ZEROS = "no zero lies to the right of the jω axis"
    # what f0, Q and the band are made of
    PAIR_IN_SERIES = "L and C, like parts taken as one, resonate with all resistance in series"
    PAIR_IN_PARALLEL = "L and C, like parts taken as one, resonate with all resistance in parallel"
    TRUE_JOINT = "one L and one C resonate, and the resistance is in {true} with them"
    RESONANCE = "the one L and the one C act on each other, no buffer between them"
    NO_R_IN_F0 = "no resistance moves f0"
    R_IN_F0 = "a resistance moves f0"
    ALL_R_IN_Q = "every resistance moves Q"
    PRODUCT_IN_F0 = "f0 goes with 1/√(L·C) of the one L and the one C"
    PLAIN_SHAPE = "a low-pass without finite zeros, or a high-pass with all zeros at the origin"
    BUTTERWORTH_AT_MOST = "Q is above 1/2 and at most 1/√2"
    EDGES_ABOUT_F0 = "the product of the −3 dB edges is f0²"
    BAND_IS_F0_OVER_Q = "the −3 dB bandwidth is f0/Q"
    CROSS_TERM = "loading adds to the s term and leaves the others"
    # the type and the ends
    HIGH_PASS = "it is a high-pass"
    BAND_PASS = "it is a band-pass"
    NOTCH = "it is a notch"
    FLAT = "the gain is the same at every frequency"
    ENDS_IN_PHASE = "at the high-frequency end the phase is 0°"
    END_PASSES = "the end asked about passes"
    ONE_END_BLOCKED = "one end is blocked"
    BOTH_BLOCKED = "both ends are blocked"
    BOTH_PASS = "both ends pass"
    # the pass band
    LOWER_END_BELOW = "the gain at one of the ends is below 1"
    BELOW_SOURCE = "the pass band lies below the source"
    DIVIDER_AT_END = "in the pass band, opens and shorts leave resistances that divide the voltage"
    DIVIDER_AT_F0 = "at f0 the pair cancels, and leaves resistances that divide the voltage"
    ONE_SERIES_LIMB = "in the pass band one resistance or group stands between source and output"
    NO_PICTURE_AT_F0 = "at f0 no arm is an open or a short"
    ONE_DIVIDER = "one series arm and one shunt arm are all there is"
    OUTPUT_ACROSS_R = "the output lies across resistances alone"
    # what following the advice leads to
    F0_IS_ASKED = "√(a₀/a₂)/2π of the denominator is right"
    Q_IS_ASKED = "√(a₀·a₂)/a₁ of the denominator is right"
    GAIN_AT_F0_IS_ASKED = "the gain at f0 is right"
    DEGREE_IS_ASKED = "the degree of the denominator is right"
    NUMERATOR_IS_ASKED = "the number of roots of the numerator, or of its factors s, is right"
    COUNTS_ARE_ASKED = "20 times zeros less poles is right"
    # what was answered
    WHOLE_PREFIXES = "the answer is off by whole powers of ten"
    HALF_PREFIXES = "the answer is off by a half power of ten"
    OVER_TWO_PI_TRUE = "the answer divided by 2π is right"
    TIMES_TWO_PI_TRUE = "the answer times 2π is right"
    RECIPROCAL_TRUE = "one over the answer is right"
    TWICE_TRUE = "twice the answer is right"
    ROOT_TRUE = "the root of the answer is right"
    HALF_RECIPROCAL_TRUE = "one over twice the answer is right"
    LEVEL_TRUE = "20·log of the answer is right, but for the sign"
    STEP_OTHER_WAY = "the answer is a step up where the gain falls, or the reverse"
    STEP_THIS_WAY = "the answer is a step the right way"
    IS_F0 = "the answer is f0"
    IS_Q = "the answer is Q"
    IS_F0_BY_Q = "the answer is f0·Q or f0/Q"
    IS_BARE_LC = "the answer is 1/(2π√(LC))"
    IS_DAMPED = "the answer is the imaginary part of the poles, over 2π"
    IS_DECAY = "the answer is the real part of the poles, over 2π"
    IS_POLE = "the answer is the magnitude of one of the poles, over 2π"
    IS_EDGE = "the answer is a −3 dB edge"
    IS_PEAK = "the gain is greatest at the answer"
    IS_HALF_VOLTAGE = "at the answer the gain is half the pass band's"
    IS_HALF_VOLTAGE_BAND = "the answer is the width of the band, or of the gap, at half voltage"
    IS_HALF_POWER_OF_SOURCE = "at the answer the gain is 0.707"
    IS_PASS_BAND_GAIN = "the answer is the pass band's gain"
    POLES_RIGHT = "the answer puts a pole into the right half-plane"
    HIGHER_THAN_Q = "the answer is a peak that is higher than Q times the pass band"


@dataclass(frozen=True)
class SlipSaying:
    """A sentence about to be said: of which case, to which answer, and what fills it."""

    case: Case
    answer: Answer
    values: Values = ()

    @cached_property
    def filled(self) -> dict[str, str]:
        """The texts that fill the sentence, by placeholder."""
        found = {**dict(self.case.common), **dict(self.values)}
        return {key: text for key, text in found.items() if isinstance(text, str)}

    def named(self, key: str) -> tuple[Element, ...]:
        """The elements that the text of a placeholder names."""
        words = set(re.findall(r"[^\W\d]\w*", self.filled.get(key, "")))
        return tuple(e for e in self.case.ladder.elements() if e.name in words)

    @cached_property
    def figure(self) -> float | None:
        """The answer as a number: what was answered, or the value of a formula chosen."""
        if self.case.rung is Rung.CORNER_REASON:
            return self._chosen
        return float(self.answer) if isinstance(self.answer, int | float) else None

    @cached_property
    def _chosen(self) -> float | None:
        for choice in self.case.question.choices:
            formula = dict(choice.values).get("formula")
            if choice.id == self.answer and isinstance(formula, Formula):
                known = {e.name: float(e.value or 0) for e in self.case.ladder.elements()}
                try:
                    return evaluate(formula, known).real
                except FormulaError:
                    return None
        return None

    @property
    def truth(self) -> float | None:
        """What is right, as a number."""
        if self.case.rung is Rung.CORNER_REASON:
            return self.case.facts.corner_hz
        truth = self.case.question.truth
        return float(truth) if isinstance(truth, int | float) else None

    def is_one_of(self, *figures: float | None) -> bool:
        """Whether the answer is one of some figures."""
        return self.figure is not None and any(
            f is not None and _same(self.figure, f) for f in figures
        )

    @cached_property
    def arms(self) -> tuple[PlacedArm, ...]:
        """The working arms that the text of {arm} names, in whole or in part."""
        names = {e.name for e in self.named("arm")}
        return tuple(rail for rail in self.case.rails if names & set(rail.names))


def holds(claim: SlipClaim, said: SlipSaying) -> bool:
    """Whether a claim is true of the circuit and the answer.

    Args:
        claim: the claim.
        said: the sentence that makes it.
    """
    return _PREDICATES[claim](said)


_Predicate = Callable[[SlipSaying], bool]
_PREDICATES: dict[SlipClaim, _Predicate] = {}


def _is(claim: SlipClaim) -> Callable[[_Predicate], _Predicate]:
    def register(predicate: _Predicate) -> _Predicate:
        _PREDICATES[claim] = predicate
        return predicate

    return register


def _same(a: float, b: float) -> bool:
    return abs(a - b) <= _SAME * max(abs(a), abs(b))


# ------------------------------------------------------------------------ the parts

_PARTS: dict[SlipClaim, Callable[[Case], bool]] = {
    SlipClaim.INDUCTOR: lambda c: bool(c.inductors),
    SlipClaim.CAPACITOR: lambda c: bool(c.capacitors),
    SlipClaim.NO_INDUCTOR: lambda c: not c.inductors,
    SlipClaim.NO_CAPACITOR: lambda c: not c.capacitors,
    SlipClaim.RESISTANCE: lambda c: bool(c.resistors),
    SlipClaim.TERMINATED: lambda c: c.ladder.source is not None and c.ladder.load is not None,
    SlipClaim.LOADED: lambda c: _moved(c, without_load(c.ladder)),
    SlipClaim.BUFFER: lambda c: _buffers(c) > 0,
    SlipClaim.NO_BUFFER: lambda c: _buffers(c) == 0,
    SlipClaim.BUFFER_BETWEEN: lambda c: _one_of_each(c) and not _act_together(c),
    SlipClaim.DIFFERENT_ARMS: lambda c: not any(map(_mixed, c.rails)),
    SlipClaim.RESONANT_ARM: lambda c: any(map(_mixed, c.rails)),
}


def _buffers(case: Case) -> int:
    return sum(stage.place is Place.BUFFER for stage in case.ladder.stages)


def _one_of_each(case: Case) -> bool:
    return len(case.inductors) == len(case.capacitors) == 1


def _mixed(rail: PlacedArm) -> bool:
    return {"L", "C"} <= {name[0] for name in rail.names}


def _act_together(case: Case) -> bool:
    """Whether an L and a C work in one section."""
    found = [{n[0] for rail in section.rails for n in rail.names} for section in case.sections]
    return any({"L", "C"} <= kinds for kinds in found)


def _moved(case: Case, altered: Ladder | None) -> bool:
    """Whether the response of an altered circuit is another."""
    found = altered_facts(altered)
    return found is not None and found.transfer != case.facts.transfer


# ------------------------------------------------------------------------ parts by name


def _hidden(said: SlipSaying, *reasons: Reason) -> bool:
    hidden = {h.name for h in said.case.facts.hidden if h.reason in reasons}
    names = {e.name for e in said.named("names")}
    return bool(names) and names <= hidden


_PREDICATES[SlipClaim.ACROSS_SOURCE] = lambda s: _hidden(s, Reason.ACROSS_SOURCE)
_PREDICATES[SlipClaim.NO_CURRENT] = lambda s: _hidden(s, Reason.DANGLING)
_PREDICATES[SlipClaim.ADDS_NO_POLE] = lambda s: _hidden(s, *Reason)


@_is(SlipClaim.COMBINE)
def _combine(said: SlipSaying) -> bool:
    pairs = {(h.name, h.partner) for h in said.case.facts.hidden if h.partner}
    partners = [e.name for e in said.named("partner")]
    names = said.named("names")
    return len(partners) == 1 and bool(names) and all((e.name, partners[0]) in pairs for e in names)


def _tied(said: SlipSaying, *ties: Tie) -> bool:
    names = said.named("names")
    return bool(names) and all(tie(said.case.ladder, e.name) in ties for e in names)


_PREDICATES[SlipClaim.TIED_BY_LOOP] = lambda s: _tied(s, Tie.LOOP, Tie.SOURCE_LOOP)
_PREDICATES[SlipClaim.TIED_BY_CUT] = lambda s: _tied(s, Tie.CUT)


def _free(case: Case, elements: tuple[Element, ...]) -> bool:
    """Whether each adds a pole of its own, and combines with no other part."""
    hidden = case.facts.hidden
    taken = {h.name for h in hidden} | {h.partner for h in hidden}
    return bool(elements) and not any(e.name in taken or _is_tied(case, e.name) for e in elements)


def _is_tied(case: Case, name: str) -> bool:
    """Whether a loop of capacitors, or a cut of inductors, goes through a part."""
    return tie(case.ladder, name) is not Tie.UNSEEN


@_is(SlipClaim.NOT_ONE)
def _not_one(said: SlipSaying) -> bool:
    named = {e.name for e in (*said.named("a"), *said.named("b"))}
    pairs = [{h.name, h.partner} for h in said.case.facts.hidden]
    return len(named) == 2 and named not in pairs


@_is(SlipClaim.FREE)
def _is_free(said: SlipSaying) -> bool:
    return _free(said.case, said.named("names"))


@_is(SlipClaim.LEADS_ON)
def _leads_on(said: SlipSaying) -> bool:
    working = {name for rail in said.case.rails for name in rail.names}
    names = {e.name for e in said.named("names")}
    return bool(names) and names <= working


@_is(SlipClaim.BOTH_STORE)
def _both_store(said: SlipSaying) -> bool:
    hidden = {h.name for h in said.case.facts.hidden}
    named = {e.name for e in (*said.named("a"), *said.named("b"))}
    return len(named) == 2 and not named & hidden


@_is(SlipClaim.ALIKE)
def _alike(said: SlipSaying) -> bool:
    elements = said.named("elements")
    return len(elements) > 1 and len({e.kind for e in elements}) == 1


def _stronger(case: Case, element: Element, factor: int = 2) -> Ladder | None:
    if element.value is None:
        return None
    return with_value(case.ladder, element.name, element.value * factor)


def _all_matter(said: SlipSaying, key: str) -> bool:
    named = said.named(key)
    return bool(named) and all(_moved(said.case, _stronger(said.case, e)) for e in named)


_PREDICATES[SlipClaim.HAS_A_SAY] = lambda s: _all_matter(s, "names")
_PREDICATES[SlipClaim.SOURCE_MATTERS] = lambda s: _all_matter(s, "source")


def _moves(case: Case, element: Element, what: str) -> bool:
    """Whether twice the element has another f0² ("corner_squared") or Q² ("q_squared")."""
    found = altered_facts(_stronger(case, element))
    return found is not None and getattr(found, what) != getattr(case.facts, what)


def _all_in_q(said: SlipSaying, key: str) -> bool:
    named = said.named(key)
    return bool(named) and all(_moves(said.case, e, "q_squared") for e in named)


_PREDICATES[SlipClaim.OTHERS_IN_Q] = lambda s: _all_in_q(s, "others")
_PREDICATES[SlipClaim.ENDS_IN_Q] = lambda s: _all_in_q(s, "ends")
_PREDICATES[SlipClaim.LOSSES_IN_Q] = lambda s: _all_in_q(s, "losses")
_PREDICATES[SlipClaim.RESISTANCE_IN_Q] = lambda s: _all_in_q(s, "resistance")


@_is(SlipClaim.RESISTANCE_NOT_IN_F0)
def _resistance_not_in_f0(said: SlipSaying) -> bool:
    named = said.named("resistance")
    return bool(named) and not any(_moves(said.case, e, "corner_squared") for e in named)


def _act_as(said: SlipSaying, joint: Joint) -> bool:
    """Whether the resistances named, as the reactive part or the pair sees them, are joined so."""
    case, named = said.case, said.named("resistances")
    ohms = [e.value for e in named if e.value is not None]
    if len(ohms) < 2:
        return False
    pair = resonator_of(case)
    if pair is not None:
        total = sum(ohms, Fraction(0))
        parallel = 1 / sum((1 / r for r in ohms), Fraction(0))
        return pair.resistance == (total if joint is Joint.SERIES else parallel)
    reactive = case.ladder.reactive()
    if case.order != 1 or len(reactive) != 1:
        return False
    seen = seen_by(case.ladder, reactive[0].name)
    names = {e.name for e in named}
    return seen is not None and any(
        group.joint is joint and {e.name for e in group.parts if isinstance(e, Element)} == names
        for group, _ in flips(seen)
    )


_PREDICATES[SlipClaim.IN_PARALLEL] = lambda s: _act_as(s, Joint.PARALLEL)
_PREDICATES[SlipClaim.IN_SERIES] = lambda s: _act_as(s, Joint.SERIES)


def _arms_are(said: SlipSaying, test: Callable[[PlacedArm], bool]) -> bool:
    return bool(said.arms) and all(map(test, said.arms))


_PREDICATES[SlipClaim.ARM_IN_SHUNT] = lambda s: _arms_are(s, lambda a: a.place is Place.SHUNT)
_PREDICATES[SlipClaim.ARM_OPEN] = lambda s: _arms_are(
    s, lambda a: state(a.arm, s.case.end) is ArmState.OPEN
)
_PREDICATES[SlipClaim.ARM_OPEN_AT_DC] = lambda s: _arms_are(
    s, lambda a: state(a.arm, End.LOW) is ArmState.OPEN
)
_PREDICATES[SlipClaim.ARM_MAKES_NULL] = lambda s: _arms_are(s, lambda a: a.makes_null)


@_is(SlipClaim.ARM_IN_SERIES)
def _arm_in_series(said: SlipSaying) -> bool:
    source, named = said.case.ladder.source, said.named("arm")
    if source is not None and named == (source,):
        return True
    return _arms_are(said, lambda a: a.place is Place.SERIES)


@_is(SlipClaim.COMPANION_JOINED)
def _companion_joined(said: SlipSaying) -> bool:
    names = {e.name for e in said.named("companion")}
    question = dict(said.case.question.values)
    element = question.get("element")
    arms = (stage.arm for stage in merged(said.case.ladder).stages if stage.arm is not None)
    groups = [arm for arm in arms if not isinstance(arm, Element)]
    while groups:
        group = groups.pop()
        here = {part.name for part in group.parts if isinstance(part, Element)}
        if element in here and names & here:
            return True
        groups += [part for part in group.parts if not isinstance(part, Element)]
    return False


def _chosen(said: SlipSaying) -> Case | None:
    """The circuit chosen, as a case of its own."""
    known = of_choice(said.case.question.choice(str(said.answer)))
    return None if known is None else Case(known.ladder, known, said.case.question)


@_is(SlipClaim.CHOSEN_IDLE)
def _chosen_idle(said: SlipSaying) -> bool:
    chosen = _chosen(said)
    if chosen is None:
        return False
    working = {name for rail in chosen.rails for name in rail.names}
    ends = {e.name for e in (chosen.ladder.source, chosen.ladder.load) if e is not None}
    return any(e.name not in working | ends for e in chosen.ladder.elements())


@_is(SlipClaim.CHOSEN_RESONATES)
def _chosen_resonates(said: SlipSaying) -> bool:
    chosen = _chosen(said)
    return chosen is not None and any(map(_mixed, chosen.rails))


def _element(said: SlipSaying) -> Element | None:
    wanted = dict(said.case.question.values).get("element")
    return next((e for e in said.case.ladder.elements() if e.name == wanted), None)


@_is(SlipClaim.ELEMENT_REACTIVE)
def _element_reactive(said: SlipSaying) -> bool:
    found = _element(said)
    return found is not None and found.kind.reactive


@_is(SlipClaim.ELEMENT_UNDER_ROOT)
def _element_under_root(said: SlipSaying) -> bool:
    found = _element(said)
    return found is not None and _scales(said.case, [found])


# ------------------------------------------------------------------------ poles and zeros

_NATURE: dict[SlipClaim, Callable[[Case], bool]] = {
    SlipClaim.ONE_POLE: lambda c: c.order == 1,
    SlipClaim.TWO_POLES: lambda c: c.order == 2,
    SlipClaim.COMPLEX_PAIR: lambda c: any(p.imag for p in c.facts.poles),
    SlipClaim.NO_COMPLEX: lambda c: c.facts.pole_nature in (PoleNature.REAL, PoleNature.DOUBLE),
    SlipClaim.REAL_APART: lambda c: c.facts.pole_nature is PoleNature.REAL,
    SlipClaim.DOUBLE_POLE: lambda c: c.facts.pole_nature is PoleNature.DOUBLE,
    SlipClaim.ORIGIN_ZEROS: lambda c: c.facts.transfer.zeros_at_origin > 0,
    SlipClaim.AXIS_ZEROS: lambda c: c.facts.axis_zero_pairs > 0,
    SlipClaim.FINITE_ZEROS: lambda c: c.facts.transfer.zero_count > 0,
    SlipClaim.FEWER_ZEROS: lambda c: c.facts.transfer.zero_count < c.order,
    SlipClaim.STABLE: lambda c: all(p.real < 0 for p in c.facts.poles),
    SlipClaim.LEFT_ZEROS: lambda c: all(z.real <= 0 for z in c.facts.zeros),
}

# ------------------------------------------------------------------------ f0, Q, the band

_MADE_OF: dict[SlipClaim, Callable[[Case], bool]] = {
    SlipClaim.PAIR_IN_SERIES: lambda c: _pair_is(c, series=True),
    SlipClaim.PAIR_IN_PARALLEL: lambda c: _pair_is(c, series=False),
    SlipClaim.RESONANCE: lambda c: _one_of_each(c) and c.order == 2 and _act_together(c),
    SlipClaim.NO_R_IN_F0: lambda c: not _any_moves(c, "corner_squared"),
    SlipClaim.R_IN_F0: lambda c: _any_moves(c, "corner_squared"),
    SlipClaim.ALL_R_IN_Q: lambda c: all(_moves(c, e, "q_squared") for e in c.resistors),
    SlipClaim.PRODUCT_IN_F0: lambda c: (
        _one_of_each(c) and c.order == 2 and _scales(c, [*c.inductors, *c.capacitors])
    ),
    SlipClaim.PLAIN_SHAPE: lambda c: (
        (c.facts.type is FilterType.LOW_PASS and c.facts.transfer.zero_count == 0)
        or (c.facts.type is FilterType.HIGH_PASS and c.facts.transfer.zeros_at_origin == c.order)
    ),
    SlipClaim.BUTTERWORTH_AT_MOST: lambda c: (
        c.facts.q_squared is not None and Fraction(1, 4) < c.facts.q_squared <= Fraction(1, 2)
    ),
    SlipClaim.EDGES_ABOUT_F0: lambda c: _about_f0(c),
    SlipClaim.BAND_IS_F0_OVER_Q: lambda c: (
        c.facts.type.banded
        and bool(c.facts.q and c.facts.corner_hz and c.facts.bandwidth_hz)
        and _same((c.facts.corner_hz or 0) / (c.facts.q or 1), c.facts.bandwidth_hz or 0)
    ),
    SlipClaim.CROSS_TERM: lambda c: _cross_term(c),
}


def _pair_is(case: Case, *, series: bool) -> bool:
    pair = resonator_of(case)
    return pair is not None and pair.series is series


def _any_moves(case: Case, what: str) -> bool:
    return any(_moves(case, e, what) for e in case.resistors)


def _scales(case: Case, elements: list[Element]) -> bool:
    """Whether four times any of the elements halves f0."""
    for element in elements:
        found = altered_facts(_stronger(case, element, 4))
        before = case.facts.corner_squared
        if before is None or found is None or found.corner_squared is None:
            return False
        if found.corner_squared * 4 != before:
            return False
    return True


def _about_f0(case: Case) -> bool:
    low, high = case.facts.edges_hz
    f0 = case.facts.corner_hz
    return bool(low and high and f0) and _same((low or 0) * (high or 0), (f0 or 0) ** 2)


def _cross_term(case: Case) -> bool:
    """Whether the sections taken as buffered differ in the s term alone, which is smaller then."""
    if case.order != 2:
        return False
    found = altered_facts(buffered(case.ladder))
    if found is None or found.transfer.order != 2:
        return False
    _, with_load, last = case.facts.transfer.denominator
    _, without_it, other = found.transfer.denominator
    return last == other and with_load > without_it


@_is(SlipClaim.TRUE_JOINT)
def _true_joint(said: SlipSaying) -> bool:
    pair = said.case.resonator
    return pair is not None and said.filled.get("true") == ("series" if pair.series else "parallel")


# ------------------------------------------------------------------------ type and ends

_TYPES: dict[SlipClaim, Callable[[Case], bool]] = {
    SlipClaim.HIGH_PASS: lambda c: c.facts.type is FilterType.HIGH_PASS,
    SlipClaim.BAND_PASS: lambda c: c.facts.type is FilterType.BAND_PASS,
    SlipClaim.NOTCH: lambda c: c.facts.type is FilterType.NOTCH,
    SlipClaim.FLAT: lambda c: c.facts.type is FilterType.FLAT,
    SlipClaim.ENDS_IN_PHASE: lambda c: c.facts.phase_high == 0,
    SlipClaim.END_PASSES: lambda c: bool(
        c.facts.gain_low if c.end is End.LOW else c.facts.gain_high
    ),
    SlipClaim.ONE_END_BLOCKED: lambda c: _ends(c).count(EndState.BLOCKED) == 1,
    SlipClaim.BOTH_BLOCKED: lambda c: _ends(c).count(EndState.BLOCKED) == 2,
    SlipClaim.BOTH_PASS: lambda c: _ends(c).count(EndState.PASSED) == 2,
}


def _ends(case: Case) -> list[EndState]:
    return [case.facts.low_end, case.facts.high_end]


# ------------------------------------------------------------------------ the pass band

_DIVIDER = [Place.SERIES, Place.SHUNT]

_PASS_BAND: dict[SlipClaim, Callable[[Case], bool]] = {
    SlipClaim.LOWER_END_BELOW: lambda c: min(c.facts.gain_low, c.facts.gain_high) < 1,
    SlipClaim.BELOW_SOURCE: lambda c: 0 < (pass_band_gain(c.facts) or 0) < 1,
    SlipClaim.DIVIDER_AT_END: lambda c: _divides(c, band=False),
    SlipClaim.DIVIDER_AT_F0: lambda c: _divides(c, band=True),
    SlipClaim.ONE_SERIES_LIMB: lambda c: _one_series_limb(c),
    SlipClaim.NO_PICTURE_AT_F0: lambda c: not any(map(_mixed, c.rails)) and bool(c.rails),
    SlipClaim.ONE_DIVIDER: lambda c: (
        len(c.sections) == 1 and [limb.place for limb in limbs_of(c.sections[0])] == _DIVIDER
    ),
    SlipClaim.OUTPUT_ACROSS_R: lambda c: _output_resistive(c),
}


def _divides(case: Case, *, band: bool) -> bool:
    if band is not (case.facts.type is FilterType.BAND_PASS):
        return False
    return any(map(divides, dividers(case) or []))


def _one_series_limb(case: Case) -> bool:
    found = [limbs for limbs in dividers(case) or [] if limbs]
    if len(found) != 1 or len(case.sections) != 1:
        return False
    return [limb.place for limb in found[0]] == _DIVIDER


def _output_resistive(case: Case) -> bool:
    """Whether what lies across the output is resistances alone."""
    shunts = [rail for rail in case.sections[-1].rails[-1:] if rail.place is Place.SHUNT]
    names = [name for rail in shunts for name in rail.names]
    return all(name[0] not in "LC" for name in names) and bool(names or case.ladder.load)


# ------------------------------------------------------------------------ the advice

_ADVISED: dict[SlipClaim, _Predicate] = {
    SlipClaim.F0_IS_ASKED: lambda s: s.case.order == 2 and _right(s, s.case.facts.corner_hz),
    SlipClaim.Q_IS_ASKED: lambda s: _right(s, s.case.facts.q),
    SlipClaim.GAIN_AT_F0_IS_ASKED: lambda s: s.case.order == 2 and _right(s, _gain_at_f0(s.case)),
    SlipClaim.DEGREE_IS_ASKED: lambda s: _right(s, s.case.order),
    SlipClaim.NUMERATOR_IS_ASKED: lambda s: _right(
        s,
        s.case.facts.transfer.zeros_at_origin
        if s.case.rung is Rung.ORIGIN_ZEROS
        else s.case.facts.transfer.zero_count,
    ),
    SlipClaim.COUNTS_ARE_ASKED: lambda s: _right(
        s, 20 * (s.case.facts.transfer.zero_count - s.case.order)
    ),
}


def _right(said: SlipSaying, figure: float | None) -> bool:
    """Whether a figure is what was asked for; of a sketch, which shows all, it always is."""
    if said.case.question.form is Form.SKETCH:
        return True
    return said.truth is not None and figure is not None and _same(said.truth, figure)


def _gain_at_f0(case: Case) -> float | None:
    f0 = case.facts.corner_hz
    return None if f0 is None else abs(case.facts.transfer(1j * TWO_PI * f0))


# ------------------------------------------------------------------------ what was answered


def _off(said: SlipSaying) -> float | None:
    """By how many powers of ten an answer, or a sketch's first frequency, is off."""
    if said.figure is not None and said.truth:
        return math.log10(abs(said.figure / said.truth)) if said.figure else None
    try:
        drawn, right = sketch_of(said.answer), sketch_of(said.case.question.truth)
    except TypeError:
        return None
    match drawn, right:
        case GainSketch(breaks=(a, *_)), GainSketch(breaks=(b, *_)):
            return math.log10(a / b)
        case PhaseSketch(turns=((a, _), *_)), PhaseSketch(turns=((b, _), *_)):
            return math.log10(a / b)
    return None


def _off_by(said: SlipSaying, *, half: bool) -> bool:
    off = _off(said)
    if off is None:
        return False
    doubled = round(2 * off)
    return abs(2 * off - doubled) < 1e-3 and doubled != 0 and (doubled % 2 == 1) is half


_PREDICATES[SlipClaim.WHOLE_PREFIXES] = lambda s: _off_by(s, half=False)
_PREDICATES[SlipClaim.HALF_PREFIXES] = lambda s: _off_by(s, half=True)


def _times_truth(said: SlipSaying, factor: float) -> bool:
    return said.truth is not None and said.is_one_of(said.truth * factor)


def _poles(case: Case, part: Callable[[complex], float]) -> Iterator[float]:
    for pole in case.facts.poles:
        yield abs(part(pole)) / TWO_PI


def _gain_there(said: SlipSaying) -> float:
    """|H| at the answer, a frequency in Hz; 0 where it is none."""
    return abs(said.case.facts.transfer(1j * TWO_PI * said.figure)) if said.figure else 0.0


def _level(case: Case) -> float:
    """The gain of the pass band; 0 where there is none."""
    return float(pass_band_gain(case.facts) or case.facts.peak_gain or 0)


_ANSWERED: dict[SlipClaim, _Predicate] = {
    SlipClaim.OVER_TWO_PI_TRUE: lambda s: _times_truth(s, TWO_PI),
    SlipClaim.TIMES_TWO_PI_TRUE: lambda s: _times_truth(s, 1 / TWO_PI),
    SlipClaim.RECIPROCAL_TRUE: lambda s: bool(s.truth) and s.is_one_of(1 / (s.truth or 1)),
    SlipClaim.TWICE_TRUE: lambda s: _times_truth(s, 0.5),
    SlipClaim.ROOT_TRUE: lambda s: bool(s.truth) and s.is_one_of((s.truth or 0) ** 2),
    SlipClaim.HALF_RECIPROCAL_TRUE: lambda s: bool(s.truth) and s.is_one_of(0.5 / (s.truth or 1)),
    SlipClaim.LEVEL_TRUE: lambda s: (
        bool(s.figure and s.truth) and _same(abs(20 * math.log10(s.figure or 1)), abs(s.truth or 0))
    ),
    SlipClaim.STEP_OTHER_WAY: lambda s: _step(s) is False,
    SlipClaim.STEP_THIS_WAY: lambda s: _step(s) is True,
    SlipClaim.IS_F0: lambda s: s.is_one_of(s.case.facts.corner_hz),
    SlipClaim.IS_Q: lambda s: s.is_one_of(s.case.facts.q),
    SlipClaim.IS_F0_BY_Q: lambda s: _is_f0_by_q(s),
    SlipClaim.IS_BARE_LC: lambda s: s.is_one_of(_bare(s.case)),
    SlipClaim.IS_DAMPED: lambda s: s.is_one_of(*_poles(s.case, lambda p: p.imag)),
    SlipClaim.IS_DECAY: lambda s: s.is_one_of(*_poles(s.case, lambda p: p.real)),
    SlipClaim.IS_POLE: lambda s: s.is_one_of(*_poles(s.case, abs)),
    SlipClaim.IS_EDGE: lambda s: s.is_one_of(*s.case.facts.edges_hz),
    SlipClaim.IS_PEAK: lambda s: s.is_one_of(s.case.facts.peak_hz),
    SlipClaim.IS_HALF_VOLTAGE: lambda s: _same(2 * _gain_there(s), _level(s.case)),
    SlipClaim.IS_HALF_VOLTAGE_BAND: lambda s: (
        # Of two poles: |H|² is 1/(1 + x²) of a band-pass, x²/(1 + x²) of a notch, x = 1 at −3 dB.
        s.case.order == 2 and (_times_truth(s, math.sqrt(3)) or _times_truth(s, 1 / math.sqrt(3)))
    ),
    SlipClaim.IS_HALF_POWER_OF_SOURCE: lambda s: _same(_gain_there(s), _HALF),
    SlipClaim.IS_PASS_BAND_GAIN: lambda s: s.is_one_of(_level(s.case)),
    SlipClaim.POLES_RIGHT: lambda s: (
        isinstance(s.answer, MapSketch) and Region.RIGHT in dict(s.answer.poles)
    ),
    SlipClaim.HIGHER_THAN_Q: lambda s: (
        bool(s.figure and s.case.facts.q and s.case.facts.peak_gain)
        and (s.case.facts.peak_gain or 0) > (s.case.facts.q or 0) * _level(s.case)
    ),
}


_UP = frozenset((Shape.LEAD.value, Shape.SHELF_UP.value))
_DOWN = frozenset((Shape.LAG.value, Shape.SHELF_DOWN.value))


def _step(said: SlipSaying) -> bool | None:
    """Whether a step answered goes the way of the gain; ``None`` where none was."""
    low, high = said.case.facts.gain_low, said.case.facts.gain_high
    if said.answer not in _UP | _DOWN or low == high:
        return None
    return (said.answer in _UP) is (high > low)


def _is_f0_by_q(said: SlipSaying) -> bool:
    f0, q = said.case.facts.corner_hz, said.case.facts.q
    return bool(f0 and q) and said.is_one_of((f0 or 0) * (q or 1), (f0 or 0) / (q or 1))


def _bare(case: Case) -> float | None:
    """1/(2π√(LC)) of the one L and the one C."""
    if not _one_of_each(case):
        return None
    (coil,), (capacitor,) = case.inductors, case.capacitors
    if coil.value is None or capacitor.value is None:
        return None
    return 1 / (TWO_PI * math.sqrt(coil.value * capacitor.value))


def _of_case(test: Callable[[Case], bool]) -> _Predicate:
    return lambda said: test(said.case)


_TABLES = (_PARTS, _NATURE, _MADE_OF, _TYPES, _PASS_BAND)
for _table in _TABLES:
    _PREDICATES.update({claim: _of_case(test) for claim, test in _table.items()})
_PREDICATES.update(_ANSWERED)
_PREDICATES.update(_ADVISED)

assert set(_PREDICATES) == set(SlipClaim)

OF_CIRCUIT = frozenset(claim for table in _TABLES for claim in table) - {SlipClaim.END_PASSES}
"""Claims about the circuit alone, whatever is asked and answered."""
