"""What a step in the gain is called: lag, lead, lag-lead, or a shelf of two poles, up or down.

Asked where the response has such a name (``analysis.gain_type.Shape``); each circuit has just one,
since the number of poles tells a lag from a shelf.  The names are the trade's; no source.
"""

from __future__ import annotations

from ..analysis.gain_type import Shape
from ..analysis.response import Facts
from .asking import Asking
from .kinds import MAKERS, MEASURES
from .model import Choice, Form, Question, Rung

NAMES = (Shape.LAG, Shape.LEAD, Shape.LAG_LEAD, Shape.SHELF_DOWN, Shape.SHELF_UP)
"""The names to choose from, in the order shown; the same for every problem."""


def shelf_name(facts: Facts) -> str | None:
    """The name of the step; ``None`` where the response is none."""
    found = facts.shape
    return found.value if found in NAMES else None


MEASURES(Rung.SHELF_NAME)(shelf_name)


@MAKERS(Rung.SHELF_NAME)
def _asked(asking: Asking) -> Question | None:
    truth = shelf_name(asking.facts)
    if truth is None:
        return None
    return Question(Rung.SHELF_NAME, Form.CHOICE, truth, tuple(Choice(n.value) for n in NAMES))
