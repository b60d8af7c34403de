"""How an answer is taken and marked in QTI: declarations, response processing, feedback.

Right answers are looked for first; then what each slip predicts, likeliest first, so that the
feedback names the same slip as the grader.  Numbers are taken in the unit asked for.  A formula
or a sketch is taken as text, and left to a human.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from ....problems.analysis.response import Facts
from ....problems.grading.judge import NEAR
from ....problems.grading.read import right_text
from ....problems.questions.model import (
    Answer,
    Form,
    Problem,
    Question,
    Rung,
    SlipHit,
    figure_of,
)
from ....problems.questions.written import plain_truth
from ....problems.slips.case import Case, numeric
from ....problems.slips.engine import Prediction, predictions
from ...language.texts import Words, fill
from .markup import Node, node, number

RESPONSE, SCORE, MOST, FEEDBACK = "RESPONSE", "SCORE", "MAXSCORE", "FEEDBACK"
RIGHT = "right"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

BASE_TYPE: dict[Form, str] = {
    Form.CHOICE: "identifier",
    Form.COUNT: "integer",
    Form.SLOPE: "integer",
    Form.ANGLE: "integer",
    Form.QUANTITY: "float",
    Form.RATIO: "float",
    Form.GAIN: "float",
    Form.LEVEL: "float",
    Form.FORMULA: "string",
    Form.SKETCH: "string",
}
BY_HAND = frozenset({Form.FORMULA, Form.SKETCH})
"""What no response processing marks: a human does."""


@dataclass(frozen=True, slots=True)
class NamedSlip:
    """A slip that response processing looks for, and what is said when it is found."""

    identifier: str
    value: str
    title: str
    sentence: str


def marking(
    problem: Problem, question: Question, facts: Facts, points: Fraction
) -> tuple[list[Node], list[Node]]:
    """What stands before the body of an item, and after it, in the order of the schema.

    Args:
        problem: which the question is one of.
        question: whose answers are marked.
        facts: of the problem's circuit.
        points: for a right answer.
    """
    before = list(_declarations(question, points))
    if question.form in BY_HAND:
        return before, []
    named = tuple(_named(problem, question, facts))
    return before, [_processing(question, points, named), *_feedback(named)]


def value_of(question: Question, answer: Answer) -> str:
    """``answer`` as a value of the base type of the ``question``; a choice by its letter."""
    if question.form is Form.CHOICE:
        ids = [choice.id for choice in question.choices]
        return LETTERS[ids.index(str(answer))]
    return number(answer) if isinstance(answer, float) else str(plain_truth(answer))


def percent(share: Fraction | float) -> str:
    """A relative tolerance as QTI has it: a percentage, below and above."""
    told = number(float(share * 100))
    return f"{told} {told}"


def _declarations(question: Question, points: Fraction) -> Iterator[Node]:
    declared = node(
        "responseDeclaration",
        identifier=RESPONSE,
        cardinality="single",
        baseType=BASE_TYPE[question.form],
    )
    if question.form not in BY_HAND:
        right = node("value", value_of(question, question.truth))
        declared.children.append(node("correctResponse", right))
    yield declared
    yield outcome(SCORE, 0.0, float(points))
    yield outcome(MOST, float(points))
    if question.form not in BY_HAND:
        yield node(
            "outcomeDeclaration", identifier=FEEDBACK, cardinality="single", baseType="identifier"
        )


def outcome(name: str, default: float, most: float | None = None) -> Node:
    """The declaration of the outcome ``name``, a number: its ``default``, and at ``most`` what."""
    declared = node(
        "outcomeDeclaration",
        node("defaultValue", node("value", number(default))),
        identifier=name,
        cardinality="single",
        baseType="float",
    )
    if most is not None:
        declared.attributes["normalMaximum"] = number(most)
        declared.attributes["normalMinimum"] = "0"
    return declared


def _processing(question: Question, points: Fraction, named: tuple[NamedSlip, ...]) -> Node:
    variable = node("variable", identifier=RESPONSE)
    condition = node(
        "responseCondition",
        node("responseIf", node("isNull", variable), _set(SCORE, "float", "0")),
        node(
            "responseElseIf",
            _is_right(question),
            _set(SCORE, "float", number(float(points))),
            _set(FEEDBACK, "identifier", RIGHT),
        ),
    )
    for slip in named:
        guess = node("baseValue", slip.value, baseType=BASE_TYPE[question.form])
        condition.children.append(
            node(
                "responseElseIf",
                _same(question, guess, _near_slip(question)),
                _set(SCORE, "float", "0"),
                _set(FEEDBACK, "identifier", slip.identifier),
            )
        )
    condition.children.append(node("responseElse", _set(SCORE, "float", "0")))
    return node("responseProcessing", condition)


def _near_slip(question: Question) -> float:
    """How near to a slip's answer one is taken for it, as the grader takes it."""
    if question.form is Form.LEVEL:
        return float(question.tolerance) / 2
    return NEAR if numeric(question) else 0.0


def _is_right(question: Question) -> Node:
    tolerance = question.tolerance if numeric(question) else Fraction(0)
    found = _same(question, node("correct", identifier=RESPONSE), tolerance)
    others = list(filter(None, [_half_turn(question)]))
    if question.form is Form.LEVEL and question.unit == "°":
        others = [number(question.figure + turn) for turn in (-360.0, 360.0)]
    if others:
        base = BASE_TYPE[question.form]
        guesses = [node("baseValue", other, baseType=base) for other in others]
        return node("or", found, *(_same(question, guess, tolerance) for guess in guesses))
    return found


def _half_turn(question: Question) -> str:
    """Towards DC a half turn is the same either way round: the other way of it, else ""."""
    turns = question.rung is Rung.LOW_PHASE and abs(question.figure) == 180
    return str(-int(question.figure)) if turns else ""


def _same(question: Question, expected: Node, tolerance: Fraction | float) -> Node:
    """Whether the response is what is expected; the first expression is what a percentage is of."""
    variable = node("variable", identifier=RESPONSE)
    if question.form is Form.CHOICE:
        return node("match", expected, variable)
    if not tolerance:
        return node("equal", expected, variable, toleranceMode="exact")
    if question.form is Form.LEVEL:
        absolute = " ".join([number(float(tolerance))] * 2)
        return node("equal", expected, variable, toleranceMode="absolute", tolerance=absolute)
    return node("equal", expected, variable, toleranceMode="relative", tolerance=percent(tolerance))


def _set(name: str, base: str, value: str) -> Node:
    return node("setOutcomeValue", node("baseValue", value, baseType=base), identifier=name)


def _named(problem: Problem, question: Question, facts: Facts) -> Iterator[NamedSlip]:
    """The slips whose answers can be told from the right one and from each other."""
    words = Words.load()
    case = Case(problem.ladder, facts, question)
    seen = {value_of(question, question.truth), _half_turn(question)}
    count = 0
    for guess in predictions(problem.ladder, facts, question):
        if not guess.in_play or guess.typed_unit not in ("", question.unit) or guess.exact:
            continue
        value = value_of(question, _whole(question, guess))
        if value in seen:
            continue
        seen.add(value)
        count += 1
        typed = right_text(replace(question, truth=guess.value))
        values = (*case.common, ("typed", typed), *guess.values)
        hit = SlipHit(guess.slip, tuple(dict(values).items()), guess.says)
        yield NamedSlip(f"slip-{count}", value, words.slip_name(guess.slip), words.slip(hit))


def _whole(question: Question, guess: Prediction) -> Answer:
    """A predicted answer in the base type: counts, slopes and angles are whole."""
    if BASE_TYPE[question.form] == "integer":
        return round(figure_of(guess.value))
    return guess.value


def _feedback(named: tuple[NamedSlip, ...]) -> Iterator[Node]:
    yield _modal(RIGHT, fill("interchange", "feedback.right"), "")
    for slip in named:
        yield _modal(slip.identifier, slip.sentence, slip.title)


def _modal(identifier: str, text: str, title: str) -> Node:
    made = node(
        "modalFeedback",
        *(node("p", line) for line in text.splitlines() if line.strip()),
        outcomeIdentifier=FEEDBACK,
        showHide="show",
        identifier=identifier,
    )
    if title:
        made.attributes["title"] = title
    return made
