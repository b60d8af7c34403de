"""Slips: models of the wrong answers that learners really give.

A slip knows which rungs it belongs to and guesses, for one circuit, the answer that the
mistake leads to.  Guesses serve twice: the generator draws circuits where the slips in play
cannot be mistaken for the right answer (:func:`distinct`, of all :func:`guesses`), and the
grader names the slips that predict what was typed (``grading/judge.py``), of those about which
something true can be said (:func:`predictions`; ``sentences.py``).

Which slips are in play:

* one that leads to the truth by the structure of the circuit (no load to leave out, no
  root in a one-pole corner, ω0 that a buffer does not move) is not predicted at all;
* one whose distance from the truth depends on Q alone, or that barely touches an edge or a
  gain near 1 (marked ``near``), is out of play within ``MARGIN`` tolerances of the truth.
  With the usual 2 % that takes the damped frequency f0·√(1 − 1/4Q²) out of play from
  Q = 2.06 on, and the peak of a tap f0·√(1 − 1/2Q²) from Q = 2.91 on;
* any other is in play, and where it comes near the truth by chance the generator draws
  other values.

The models are kept by topic, a module each; their order in ``order.py`` is the
stated prior: where several slips predict one answer, the first is taken for the likeliest.
That learners hold these beliefs is documented for circuits in general in Coppens, Van den
Bossche & De Cock, Am. J. Phys. 85 (2017) 937 and Engelhardt & Beichner, Am. J. Phys. 72
(2004) 98 (both from memory); the formulas are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from ..analysis.losses import shifted_slightly
from ..analysis.response import TWO_PI, Facts, generic_facts
from ..circuits.model import Ladder
from ..questions.model import Answer, Form, Question, Rung, Values, figure_of, sketch_of
from .case import Case, Slip, numeric
from .claims import SlipSaying
from .order import SLIPS
from .sentences import sentence_for

MARGIN = Fraction(3, 2)
"""A number is told apart from the truth beyond this many tolerances of it."""

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Prediction:
    """What one slip makes of one question.

    ``value`` has the type and unit of the question's truth.  ``in_play`` is false for a
    slip that a stated rule declares impossible to tell from the truth in this circuit: it
    is never named.  ``typed_unit`` is the unit the answer must have been typed in to count,
    or "" for any; ``exact`` tells that only this very figure counts.  ``says`` is the key of the
    sentence about it that is true of this circuit, "" where that was not asked.
    """

    slip: str
    value: Answer
    values: Values = ()
    in_play: bool = True
    typed_unit: str = ""
    exact: bool = False
    says: str = ""


_OF_RUNG = {rung: tuple(slip for slip in SLIPS if rung in slip.rungs) for rung in Rung}


def predictions(ladder: Ladder, facts: Facts, question: Question) -> tuple[Prediction, ...]:
    """What every slip predicts about which something true can be said, likeliest first.

    Args:
        ladder: the circuit, with values.
        facts: what is true of it.
        question: what is asked of it.
    """
    return _worked_out(ladder, facts, question, told=True)


def guesses(ladder: Ladder, facts: Facts, question: Question) -> tuple[Prediction, ...]:
    """What every slip that applies to this circuit and question leads to, likeliest first.

    A guess that is the truth by the structure of the circuit is left out: the mistake makes no
    difference here.  All are kept apart from the truth, even those that no sentence is true of:
    what is said of slips may change, the circuits that seeds mean may not.

    Args:
        ladder: the circuit, with values.
        facts: what is true of it.
        question: what is asked of it.
    """
    return _worked_out(ladder, facts, question, told=False)


def _worked_out(
    ladder: Ladder, facts: Facts, question: Question, *, told: bool
) -> tuple[Prediction, ...]:
    if question.unit == "rad/s":
        # The models are in Hz; what was typed is converted all the same.
        in_hertz = replace(question, truth=question.figure / TWO_PI, unit="Hz")
        return tuple(
            replace(p, value=figure_of(p.value) * TWO_PI)
            for p in _worked_out(ladder, facts, in_hertz, told=told)
        )
    case = Case(ladder, facts, question)
    found: list[Prediction] = []
    for slip in _OF_RUNG[question.rung]:
        seen: list[Answer] = []
        for guess in slip.predict(case):
            if not _usable(case, guess.value) or any(_equal(guess.value, v) for v in seen):
                continue
            if _equal(guess.value, question.truth) and _by_structure(case, slip):
                continue
            # A sketch within the tolerances of a drawing is right, whatever led to it.
            # What damps a resonator with losses hardly moves its f0.
            hardly = question.rung is Rung.CORNER and shifted_slightly(ladder)
            near = guess.near or question.form is Form.SKETCH or hardly
            in_play = not near or far(question, guess.value)
            says = ""
            if told:
                about = SlipSaying(case, guess.value, guess.values)
                says = sentence_for(slip.id, about) or ""
                if not says:
                    continue
            seen.append(guess.value)
            found.append(
                Prediction(
                    slip.id, guess.value, guess.values, in_play, guess.typed_unit, guess.exact, says
                )
            )
    return tuple(found)


def distinct(question: Question, predicted: tuple[Prediction, ...]) -> bool:
    """Whether all that slips ``predicted`` is clearly other than the truth of ``question``."""
    return all(far(question, p.value) for p in predicted if p.in_play)


def far(question: Question, value: Answer) -> bool:
    """Whether ``value`` is clearly not the truth of ``question``.

    A figure has to be beyond ``MARGIN`` tolerances of it.
    """
    if question.form is Form.SKETCH:
        from ..sketches.compare import agree

        return not agree(sketch_of(question.truth), sketch_of(value))
    if not numeric(question):
        return value != question.truth
    return question.off(figure_of(value)) > float(MARGIN) * question.slack


def _equal(a: Answer, b: Answer) -> bool:
    if isinstance(a, float) or isinstance(b, float):
        x, y = figure_of(a), figure_of(b)
        return abs(x - y) <= _SAME * max(abs(x), abs(y))
    return a == b


def _usable(case: Case, value: Answer) -> bool:
    """Whether it is an answer at all: a finite figure, a choice that is offered."""
    match case.question.form:
        case Form.CHOICE:
            return value in case.offered
        case Form.COUNT:
            return isinstance(value, int) and value >= 0
        case Form.QUANTITY | Form.RATIO | Form.GAIN:
            return isinstance(value, float) and 0 < value < math.inf
        case Form.LEVEL:
            return isinstance(value, float) and math.isfinite(value)
        case _:
            return True


@lru_cache(maxsize=32)
def _generic_facts(ladder: Ladder) -> Facts:
    return generic_facts(ladder)


def _by_structure(case: Case, slip: Slip) -> bool:
    """Whether a guess equals the truth for any values of the elements, not just for these."""
    if not numeric(case.question):
        return True
    found = _generic_facts(case.ladder)
    truth = case.measure(found)
    if truth is None:
        return False
    question = replace(case.question, truth=truth)
    other = Case(found.ladder, found, question)
    return any(_equal(guess.value, truth) for guess in slip.predict(other))
