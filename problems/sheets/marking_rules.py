"""The rules by which hand-ins of a plan are marked: what earns which share of a question's points.

They are values alone, so that plans, sheets, keys and whoever marks can hold them; a plan's table
``[marking]`` is read by ``marking_table.py``.  The defaults mean: right and rough answers have all
points, wrong ones none, of two hand-ins that differ none counts until the teacher says which, and
nothing is late.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction

from ..questions.model import Form, Verdict

NOTHING, ALL = Fraction(0), Fraction(1)

_CAN_BE_GUESSED = frozenset({Form.CHOICE, Form.COUNT, Form.SLOPE, Form.ANGLE})
"""Forms of which nearly every wrong answer is some slip's: a share for each would pay guessing."""


class CountsRule(StrEnum):
    """Which of several hand-ins that differ counts."""

    ASK = "ask"  # none, until the teacher has said which
    NEWEST = "newest"  # the one that came last


class LateRule(StrEnum):
    """What happens to a hand-in that came after it was due."""

    COUNT = "count"  # it counts as any other
    NOTE = "note"  # it counts, and its student's row says that it came late
    APART = "apart"  # it is listed apart, and is not marked


@dataclass(frozen=True, slots=True)
class SlipShares:
    """What a wrong answer that a named slip explains earns, as shares of the question's points.

    ``each`` is for figures, formulas and sketches alone, since of a choice or a small number
    nearly every wrong answer is some slip's; the ``slips`` that are named earn theirs wherever
    they explain an answer.
    """

    each: Fraction = NOTHING
    slips: tuple[tuple[str, Fraction], ...] = ()

    def of(self, slip: str, form: Form) -> Fraction:
        """The share for an answer of a ``form`` that a ``slip`` explains."""
        return dict(self.slips).get(slip, NOTHING if form in _CAN_BE_GUESSED else self.each)

    def best(self, slips: Iterable[str], form: Form) -> Fraction:
        """The share for an answer of a ``form`` that ``slips`` explain: the largest of theirs."""
        return max((self.of(slip, form) for slip in slips), default=NOTHING)


@dataclass(frozen=True, slots=True)
class VerdictShares:
    """What an answer earns by its verdict alone, as shares of the question's points."""

    right: Fraction = ALL
    rough: Fraction = ALL
    wrong: Fraction = NOTHING

    def of(self, verdict: Verdict) -> Fraction:
        """The share for a ``verdict``; what is not understood has none."""
        shares = {
            Verdict.RIGHT: self.right,
            Verdict.ROUGH: self.rough,
            Verdict.WRONG: self.wrong,
        }
        return shares.get(verdict, NOTHING)


@dataclass(frozen=True, slots=True)
class MarkingRules:
    """How hand-ins are marked.

    Attributes:
        slip_points: what a wrong answer earns that a named slip explains.
        follow_through: the share for an answer that is right for the student's own earlier one.
        verdict_points: what an answer earns by its verdict.
        counts: which of several hand-ins that differ counts.
        due: when hand-ins are due, ISO 8601 with seconds ("2026-12-03T18:00:00", in local time
            unless it has an offset); "" where nothing is due.
        late: what becomes of those that came after it.
    """

    slip_points: SlipShares = SlipShares()
    follow_through: Fraction = NOTHING
    verdict_points: VerdictShares = VerdictShares()
    counts: CountsRule = CountsRule.ASK
    due: str = ""
    late: LateRule = LateRule.NOTE

    @property
    def due_at(self) -> datetime | None:
        """When hand-ins are due; without an offset it is local time."""
        return datetime.fromisoformat(self.due) if self.due else None


USUAL = MarkingRules()
"""The rules of a plan that names none."""
