"""What comes out: of direct current.

A low-pass passes DC, a high-pass blocks it; what a divider leaves is a part of it.  Common
practice, no source.
"""

from __future__ import annotations

from ..analysis.response import Facts
from .asking import Asking
from .kinds import MAKERS, MEASURES
from .model import Choice, Form, Question, Rung


def dc_output(facts: Facts) -> str:
    """How much of a direct voltage comes out: "all", a "part" or "nothing"."""
    return "all" if facts.gain_low == 1 else "part" if facts.gain_low else "nothing"


MEASURES(Rung.DC_OUTPUT)(dc_output)


@MAKERS(Rung.DC_OUTPUT)
def _dc_output(asking: Asking) -> Question | None:
    choices = tuple(Choice(one) for one in ("all", "part", "nothing"))
    return Question(Rung.DC_OUTPUT, Form.CHOICE, dc_output(asking.facts), choices)
