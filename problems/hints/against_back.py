"""Against wrong answers on the way back: which circuit, why not that one, which arm."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..analysis.response import Facts, facts, generic_facts
from ..circuits.gaps import with_arm
from ..circuits.model import Ladder
from ..questions.analyse import pass_band_gain
from ..questions.model import Face, Rung
from ..questions.reverse import arm_of
from ..questions.values import value_of
from .counterfact_counts import pole_count
from .counterfact_ends import against_type
from .counterfact_pictures import apart, slope_text
from .ends import end_phrase
from .explanation import (
    FACTS,
    LOOKS,
    REASONS,
    Explanation,
    WrongAnswer,
    as_hinted,
    fact,
    of_looks,
    says,
    sentence_of_looks,
)
from .fill import Named, Text, borrowed

_NEW = "x"
"""What the parts of an arm that is tried are called: Rx, Lx, Cx."""


@FACTS(Rung.WHICH_CIRCUIT)
def which_circuit(wrong: WrongAnswer) -> Explanation:
    """Where the circuit chosen first parts from what is shown."""
    chosen = value_of(wrong.choice.values, "valued", Ladder)
    mapped = wrong.problem.face is Face.MAP
    found = apart(wrong.ladder, chosen, "this-map" if mapped else "this-response")
    values = borrowed_values(found.values)
    if found.key.startswith("figure-"):
        # What is shown may be asked about later: only the one chosen has its figures told.
        figures = {name: values[name] for name in ("own", "f") if name in values}
        sentence = says(f"chosen.{found.key}", **figures)
    elif mapped:
        sentence = says(f"this-map.{found.key}", **values)
    else:
        sentence = sentence_of_looks(found.key, found.values, "which-circuit.counter")
    told = fact(sentence, end=found.end, marked=found.marked, passes=found.passes)
    return replace(told, lookalike=chosen)


def borrowed_values(values: Named) -> dict[str, Text]:
    """What fills a sentence of looks, ``values``, for a sentence of another file."""
    return {name: borrowed(value, LOOKS) for name, value in values}


# ------------------------------------------------------------------- why not that one


@FACTS(Rung.LOOKALIKE_REASON)
def lookalike_reason(wrong: WrongAnswer) -> Explanation:
    """What both do on the point that was chosen."""
    other = value_of(wrong.question.values, "valued", Ladder)
    its, own = facts(other), wrong.facts
    claim = wrong.choice.id
    verb, _, what = claim.partition("-")
    match verb, what:
        case (("passes" | "blocks"), ("dc" | "high")):
            end = End.LOW if what == "dc" else End.HIGH
            does = end_fact(other, end)
            if does.passes is not (verb == "passes"):
                text = of_looks(end_phrase(does))
                sentence = says("second.end", fact=text)
                return fact(
                    sentence, end=end, marked=does.parts, passes=does.passes, lookalike=other
                )
            return fact(says(f"shown-too.{claim}"), end=end, lookalike=other)
        case ("null", _) | ("no", _):
            has = its.axis_zero_pairs > 0
            wants = claim == "null"
            key = (
                f"second.{'null' if has else 'no-null'}"
                if has is not wants
                else (f"shown-too.{claim}")
            )
            return fact(says(key), lookalike=other)
        case (("steeper" | "flatter"), _):
            low = what == "low"
            slopes = [f.slope_low if low else f.slope_high for f in (its, own)]
            second, shown = map(slope_text, slopes)
            key = "second.slope-same" if second == shown else "second.slope"
            sentence = says(key, its=second, own=shown)
            return fact(sentence, end=End.LOW if low else End.HIGH, lookalike=other)
    return fact(says(f"second.{verb}-{_relation(verb, its, own)}"), lookalike=other)


def _relation(figure: str, its: Facts, own: Facts) -> str:
    """How a figure of the second circuit lies to that of the response shown."""
    a, b = (_FIGURES[figure](each) for each in (its, own))
    assert a and b
    ratio = float(a) / float(b)
    return "above" if ratio > _ALIKE else "below" if ratio < 1 / _ALIKE else "same"


_FIGURES: Mapping[str, Callable[[Facts], float | Fraction | None]] = {
    "corner": lambda f: f.corner_hz,
    "q": lambda f: f.q,
    "gain": pass_band_gain,
}
_ALIKE = 1.03
"""Figures no further apart than this are about the same."""


# ------------------------------------------------------------------- the missing arm


@FACTS(Rung.MISSING_ARM)
def missing_arm(wrong: WrongAnswer) -> Explanation:
    """What becomes of the circuit with the arm that was chosen."""
    index = value_of(wrong.question.values, "stage", int)
    wanted = wrong.question.asked
    kind = str(wrong.answered)
    tried = with_arm(wrong.ladder, index, arm_of(kind, _NEW))
    arm = says(f"arm.{kind}")
    found = against_type(tried, wanted, "")
    if generic_facts(tried).type.value != wanted:
        values = borrowed_values(found.values)
        sentence = says("with-arm.type", arm=arm, **values)
        return replace(
            fact(sentence, end=found.end, marked=found.marked, passes=found.passes), lookalike=tried
        )
    count = pole_count(tried)
    return fact(
        says(f"with-arm.poles-{'one' if count == 1 else 'many'}", arm=arm, count=str(count))
    )


REASONS(Rung.WHICH_CIRCUIT, Rung.LOOKALIKE_REASON, Rung.MISSING_ARM)(as_hinted(2))
