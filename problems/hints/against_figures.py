"""Against wrong figures, the formula of the corner, and the poles' nature.

Of a figure that no slip explains it is said whether its unit and its order of magnitude can be
right, and which step to check first: never its value, nor whether what was typed is too large or
too small.
"""

from __future__ import annotations

import math

from ..analysis.letters import figures
from ..analysis.response import FilterType, facts
from ..circuits.altered import with_value
from ..formulas.dimension import Dimension, Dimensions, measure
from ..formulas.evaluate import evaluate
from ..formulas.tree import Formula, letters_of
from ..formulas.work import Work
from ..questions.kinds import kind
from ..questions.model import Form, Rung, formula_of
from .ends import counted
from .explanation import FACTS, REASONS, Explanation, WrongAnswer, as_hinted, fact, of_hint, says
from .fill import InLetters, Phrase, in_letters
from .hint import hint

FIGURES = (
    Rung.GAIN,
    Rung.CORNER,
    Rung.Q,
    Rung.BANDWIDTH,
    Rung.LOWER_EDGE,
    Rung.UPPER_EDGE,
    Rung.LOADED_Q,
    Rung.UNLOADED_Q,
    Rung.INSERTION_LOSS,
    Rung.NOTCH_DEPTH,
    Rung.ELEMENT_VALUE,
    Rung.LEAST_VALUE,
    Rung.MOST_VALUE,
)
_DECADE = 0.5
"""In decades: within half of one, either way, the order of magnitude can be right."""
_SAME = 1e-6
"""Relative: ratios this near are one; they differ by the rounding of floating point alone."""


# ------------------------------------------------------------------- figures


def figure(wrong: WrongAnswer) -> Explanation:
    """Whether unit and order of magnitude can be right, and what to check first."""
    return checked(wrong, _first(wrong), says("figure.first.powers"))


def checked(wrong: WrongAnswer, first: Phrase, powers: Phrase) -> Explanation:
    """Whether unit and order of magnitude can be right, and what to check first.

    Args:
        wrong: the answer.
        first: what to check first where they can.
        powers: what to check first where the order of magnitude cannot.
    """
    unit = _unit(wrong)
    if unit.key == "unit.formula":
        return fact(says("figure.unit-wrong", unit=unit), first)
    if not _power_fits(wrong):
        return fact(says("figure.power-wrong", unit=unit), powers)
    return fact(says("figure.power-fits", unit=unit), first)


FACTS(*FIGURES)(figure)


def _power_fits(wrong: WrongAnswer) -> bool:
    typed, truth = wrong.number, wrong.question.figure
    if typed <= 0 or truth <= 0:
        return False
    return abs(math.log10(typed) - math.log10(truth)) < _DECADE


def _unit(wrong: WrongAnswer) -> Phrase:
    """What is to be said of the unit."""
    reading = wrong.reading
    if reading is None:
        return says("unit.asked") if wrong.question.unit else says("unit.none")
    if reading.formula is not None and reading.lettered:
        measured = Dimensions(Work()).of(reading.formula)
        if measured is not None and measured != _wanted(wrong.question.unit):
            return says("unit.formula")
        return says("unit.of-formula")
    if wrong.question.form is Form.RATIO:
        return says("unit.none")
    if reading.unit != wrong.question.unit:
        return says("unit.other")
    return says("unit.asked") if wrong.question.unit else says("unit.none")


def _wanted(unit: str) -> Dimension:
    """What a figure in a unit measures: powers of the ohm and of the second."""
    ohm, second = {
        "Ω": (1, 0),
        "H": (1, 1),
        "F": (-1, 1),
        "": (0, 0),
        "dB": (0, 0),
        "°": (0, 0),
        "s": (0, 1),
    }.get(unit, (0, -1))
    return measure(ohm, second)


def _first(wrong: WrongAnswer) -> Phrase:
    """Which step to check first."""
    known = wrong.facts
    parts = (*wrong.working, *wrong.resistors)
    given = {Rung.CORNER, Rung.Q} <= wrong.earlier.keys()
    match wrong.rung:
        case Rung.CORNER if known.transfer.order == 1:
            if len(wrong.kept) == 1 and len(wrong.resistors) > 1:
                return says("figure.first.seen", part=wrong.kept[0], resistors=wrong.resistors)
            return says("figure.first.time-constant", parts=parts)
        case Rung.CORNER if len(wrong.sections) > 1:
            return says("figure.first.each-section")
        case Rung.CORNER:
            return says("figure.first.ends-of-denominator", parts=parts)
        case Rung.Q if wrong.resistors:
            damping = f"q-damping-{counted(wrong.resistors)}"
            key = "q-sections" if len(wrong.sections) > 1 else damping
            return says(f"figure.first.{key}", resistors=wrong.resistors)
        case Rung.BANDWIDTH:
            return says("figure.first.band-given" if given else "figure.first.band")
        case Rung.LOWER_EDGE | Rung.UPPER_EDGE:
            band = known.type.banded
            which = "edges" if band else "edge"
            return says(f"figure.first.{which}-given" if given else f"figure.first.{which}")
        case Rung.GAIN:
            return says(f"figure.first.gain-{_where(wrong)}")
        case Rung.LOADED_Q:
            key = f"q-damping-{counted(wrong.resistors)}"
            return says(f"figure.first.{key}", resistors=wrong.resistors)
        case Rung.UNLOADED_Q | Rung.INSERTION_LOSS | Rung.NOTCH_DEPTH:
            found = dict(hint(wrong.problem, wrong.question).values)
            values = {name: found[name] for name in ("arm", "losses", "ends")}
            return says(f"figure.first.{wrong.rung.value}", **values)
        case Rung.ELEMENT_VALUE | Rung.LEAST_VALUE | Rung.MOST_VALUE:
            asked = wrong.question.asked
            key = asked if asked in ("q", "both") else "corner"
            return says(f"figure.first.value-{key}")
    return says("figure.first.denominator", parts=parts)


def _where(wrong: WrongAnswer) -> str:
    """Where the pass band lies."""
    match wrong.facts.type:
        case FilterType.HIGH_PASS:
            return "high"
        case FilterType.BAND_PASS:
            return "peak"
    return "low"


@REASONS(*FIGURES)
def formula_in_letters(wrong: WrongAnswer) -> Explanation:
    """The formula of the figure in letters, without its value; else the principle."""
    found = hint(wrong.problem, wrong.question)
    name = kind(wrong.rung).formula
    formula = wrong.formula(name) if name else None
    if wrong.rung is Rung.UNLOADED_Q and isinstance(
        own := dict(found.values).get("formula"), InLetters
    ):
        formula = own.formula
    if formula is None or not letters_of(formula):
        return of_hint(wrong, 1)
    sentence = says(f"formula.{wrong.rung.value}", formula=in_letters(formula))
    return fact(sentence, marked=_drawn(wrong, formula))


# ------------------------------------------------------------------- the formula of the corner


@FACTS(Rung.CORNER_REASON)
def corner_reason(wrong: WrongAnswer) -> Explanation:
    """A unit that does not come out, a part too many or too few, or what doubling a part does."""
    formula = formula_of(dict(wrong.choice.values)["formula"])  # type: ignore[arg-type]
    measured = Dimensions(Work()).of(formula)
    if measured is not None and measured != _wanted("Hz"):
        return fact(says("corner-formula.unit"))
    right = figures(wrong.ladder)["corner_hz"]
    has, needs = letters_of(formula), letters_of(right)
    for name in (e.name for e in wrong.elements):
        if name in needs - has and _feels(wrong, name):
            return fact(says("corner-formula.missing", part=name), marked=(name,))
    for name in (e.name for e in wrong.elements):
        if name in has - needs:
            return fact(says("corner-formula.extra", part=name), marked=(name,))
    if _is_omega(wrong, formula):
        return fact(says("corner-formula.radians"))
    return _doubled(wrong, formula, [e.name for e in wrong.elements if e.name in has])


def _feels(wrong: WrongAnswer, name: str) -> bool:
    """Whether the corner moves when a part doubles."""
    return abs(_corner_ratio(wrong, name) - 1) > _SAME


def _corner_ratio(wrong: WrongAnswer, name: str) -> float:
    """By what the corner is multiplied when a part doubles."""
    turned = with_value(wrong.ladder, name, 2 * wrong.ladder.part(name).amount)
    changed = facts(turned).corner_hz
    assert changed and wrong.facts.corner_hz
    return changed / wrong.facts.corner_hz


def _formula_ratio(wrong: WrongAnswer, formula: Formula, name: str) -> float:
    values = _values(wrong)
    start = evaluate(formula, values).real
    return evaluate(formula, {**values, name: 2 * values[name]}).real / start


def _is_omega(wrong: WrongAnswer, formula: Formula) -> bool:
    corner = wrong.facts.corner_hz
    assert corner is not None
    return abs(evaluate(formula, _values(wrong)).real / (math.tau * corner) - 1) < _SAME


def _values(wrong: WrongAnswer) -> dict[str, float]:
    return {e.name: float(e.value) for e in wrong.elements if e.value is not None}


def _drawn(wrong: WrongAnswer, formula: Formula) -> list[str]:
    """The parts of the circuit that a formula names."""
    return sorted(letters_of(formula) & {e.name for e in wrong.elements})


def _doubled(wrong: WrongAnswer, formula: Formula, names: list[str]) -> Explanation:
    """The part that tells most: what its doubling does to f0, and to the formula."""
    ratios = {n: (_corner_ratio(wrong, n), _formula_ratio(wrong, formula, n)) for n in names}
    name = max(ratios, key=lambda n: abs(math.log(ratios[n][0] / ratios[n][1])))
    own, its = ratios[name]
    if abs(own / its - 1) < _SAME:
        return fact(says("corner-formula.factor"))
    return fact(
        says("corner-formula.doubled", part=name, own=_percent(own), its=_percent(its)),
        marked=(name,),
    )


def _percent(ratio: float) -> str:
    """A ratio as a change in per cent: +41 %, −29 %, ±0 %."""
    change = 100 * (ratio - 1)
    digits = f"{abs(change):.2g}" if abs(change) < 10 else f"{abs(change):.0f}"
    sign = "\N{PLUS SIGN}" if change > 0 else "\N{MINUS SIGN}"
    return f"{'±0' if digits == '0' else sign + digits} %"


REASONS(Rung.CORNER_REASON)(as_hinted(1))


# ------------------------------------------------------------------- the poles' nature


@FACTS(Rung.POLE_NATURE)
def pole_nature(wrong: WrongAnswer) -> Explanation:
    """How a1² compares with 4·a0·a2, as far as it contradicts the answer."""
    d = wrong.facts.transfer.denominator
    discriminant = d[1] * d[1] - 4 * d[2]
    real = "not-real" if discriminant < 0 else "not-apart"
    key = {"double": "double-is-not", "complex": "not-complex"}.get(str(wrong.answered), real)
    return fact(says(f"nature.{key}"))


@REASONS(Rung.POLE_NATURE)
def pole_nature_step(wrong: WrongAnswer) -> Explanation:
    """Q in letters, to be compared with ½."""
    formula = wrong.formula("q")
    if formula is None:
        return fact(says("nature.work-out"))
    told = says("nature.formula", formula=in_letters(formula))
    return fact(told, marked=_drawn(wrong, formula))
