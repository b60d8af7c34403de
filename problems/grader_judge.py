"""Whether what was read is the truth, or what a slip predicts."""

from __future__ import annotations

from .grader_read import Figure, Reading, to_asked
from .problem import Question, Verdict
from .slips import Prediction
from .slips_case import numeric

FINE = 0.005
"""An answer this near the truth is right however many digits it was typed with."""

NEAR = 0.01
"""A typed figure this near a slip's prediction is taken for it."""


def judge(question: Question, reading: Reading) -> Verdict:
    """Right, rough or wrong."""
    if not numeric(question):
        return Verdict.RIGHT if _agrees(reading.value, question.truth) else Verdict.WRONG
    assert not isinstance(question.truth, str) and not isinstance(reading.value, str)
    truth = float(question.truth)
    error = abs(reading.value - truth) / abs(truth)
    if error > question.tolerance:
        return Verdict.WRONG
    if error <= FINE or (reading.figure and rounds_to(truth, question.unit, reading.figure)):
        return Verdict.RIGHT
    return Verdict.ROUGH


def _agrees(value: str | int | float, truth: str | int | float) -> bool:
    """Equal; a slope or a phase to half a unit."""
    if isinstance(value, str) or isinstance(truth, str):
        return value == truth
    return abs(value - truth) <= 0.5


def rounds_to(truth: float, unit: str, figure: Figure) -> bool:
    """Whether the figure is a truth (in ``unit``) correctly rounded to the digits typed."""
    half = float(figure.step) / 2 * (1 + 1e-9)
    low, high = float(figure.value) - half, float(figure.value) + half
    if figure.unit != unit and low <= 0 and unit != "dB" and figure.unit != "dB":
        return False
    bounds = to_asked(low, figure.unit, unit), to_asked(high, figure.unit, unit)
    return min(bounds) <= truth <= max(bounds)


def fits(question: Question, reading: Reading, prediction: Prediction) -> bool:
    """Whether a slip predicts the typed answer: within 1 %, or to the digits typed."""
    if prediction.typed_unit not in ("", reading.unit):
        return False
    guess, value = prediction.value, reading.value
    if not numeric(question):
        if isinstance(guess, str) or isinstance(value, str):
            return guess == value
        return abs(guess - value) <= 1
    assert not isinstance(guess, str) and not isinstance(value, str)
    if abs(value - guess) <= NEAR * abs(guess):
        return True
    figure = reading.figure
    return figure is not None and figure.digits >= 2 and rounds_to(guess, question.unit, figure)
