"""What a slip leads to, as a text that would be typed for it."""

from __future__ import annotations

import math
from dataclasses import replace

from ..quantities.write import write_quantity
from ..questions.model import Form, Question, figure_of
from ..slips.case import numeric
from ..slips.engine import Prediction
from .read import right_text


def predicted_text(question: Question, found: Prediction) -> str:
    """A predicted wrong answer, in the unit it would be typed in.

    Args:
        question: what is asked.
        found: what a slip makes of it.
    """
    unit = found.typed_unit
    if numeric(question) or question.form is Form.SLOPE:
        value = figure_of(found.value)
        match question.unit, unit:
            case ("Hz", "rad/s"):
                return write_quantity(value * math.tau, unit)
            case ("rad/s", "Hz"):
                return write_quantity(value / math.tau, unit)
            case ("", "dB"):
                return write_quantity(20 * math.log10(value), unit)
            case ("dB/decade", "dB/octave"):
                return write_quantity(value * math.log10(2), unit, 2)
    return right_text(replace(question, truth=found.value))
