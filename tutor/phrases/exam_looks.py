"""What the looks of a rehearsal came to, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...problems.hints.counterfact import counterfact
from . import looks as phrases
from .rehearsal import say

if TYPE_CHECKING:
    from ..learning.exam_round import ExamRound


def score(looks: ExamRound) -> str:
    """How many looks were right."""
    return say("looks.over", right=len(looks.events) - len(looks.missed), count=len(looks.events))


def mistakes(looks: ExamRound) -> list[tuple[str, str]]:
    """(circuit in one line, why the answer cannot be right) of every look that was missed."""
    found = []
    for look, answered in looks.missed:
        asked, right = phrases.prompt(look), phrases.choice(look, look.truth)
        if answered:
            given = phrases.choice(look, answered)
            head = say("looks.given", asked=asked, given=given, right=right)
            why = f"{head} {phrases.counter(look, counterfact(look, answered))}"
        else:
            why = f"{say('looks.open', asked=asked, right=right)} {phrases.why(look)}"
        found.append((phrases.circuit(look.ladder, valued=look.valued), why))
    return found
