"""What a slip leads to, as a text that would be typed for it."""

from __future__ import annotations

from dataclasses import replace

from ..quantities.convert import converted
from ..quantities.write import write_quantity
from ..questions.model import Form, Question, figure_of
from ..slips.case import numeric
from ..slips.engine import Prediction
from .read import right_text


def predicted_text(question: Question, found: Prediction) -> str:
    """A wrong answer to a ``question``, ``found`` by a slip, in the unit it would be typed in."""
    unit = found.typed_unit
    if unit and (numeric(question) or question.form is Form.SLOPE):
        value = converted(figure_of(found.value), question.unit, unit)
        if value is not None:
            return write_quantity(value, unit, 2 if unit == "dB/octave" else 4)
    return right_text(replace(question, truth=found.value))
