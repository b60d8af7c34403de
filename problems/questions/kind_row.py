"""What a row says of a kind of question, and the groups of circuits and chances that rows name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from ..catalogue.groups import LEVELS, SkillGroup
from .model import FORMAT, Form, Rung, Task

if TYPE_CHECKING:
    from ..catalogue.families import Family

NEVER = range(0)

EVERYWHERE = frozenset(SkillGroup) - {SkillGroup.OTHER}
"""The circuits there are to learn."""
TO_TWO_POLES = EVERYWHERE - {SkillGroup.LADDERS}
TWO_POLES = TO_TWO_POLES - {SkillGroup.ONE_POLE, SkillGroup.LOADED}
RESONANT = TWO_POLES - {SkillGroup.DECOYS}

REAL = frozenset({SkillGroup.REAL_PARTS})
IDEAL = EVERYWHERE - REAL
REAL_LEVEL = range(7, 8)
LOSSY = ("coil-loss",)
"""The families whose resonators have losses of their own."""

NAMED = ("low-pass", "high-pass", "band-pass", "notch", "flat")
"""The types that have a name learners choose from (``analysis.response.FilterType``)."""

GUESS_TYPED = 0.03
"""A typed figure or formula: hardly anybody guesses 1.59 kHz."""
GUESS_FEW = 0.25
"""A typed answer that is one of a few whole numbers."""
GUESS_GAIN = 0.5
"""A pass-band gain, which is so often 1."""

_SECONDS = {
    **dict.fromkeys((Form.QUANTITY, Form.RATIO, Form.GAIN), 50),
    Form.LEVEL: 40,
    Form.FORMULA: 75,
    Form.SKETCH: 120,
}
_SECONDS_ELSE = 15
"""Seconds that an answer takes by its form; common practice, no source."""


class Variety(StrEnum):
    """What sort of thing is asked: a climb takes one of each sort before a second of any."""

    END = "end"
    SHAPE = "shape"
    ZEROS = "zeros"
    EDGE = "edge"
    GAIN = "gain"
    TRANSFER = "transfer"
    CONCEPT = "concept"


class Band(StrEnum):
    """What kinds ask about, as the columns of a learner's progress, from left to right."""

    TYPE = "type"
    COUNTS = "counts"
    ENDS = "ends"
    FIGURES = "figures"
    SKETCH = "sketch"
    REVERSE = "reverse"
    PREDICT = "predict"


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionKind:
    """One row.

    Its place in ``Rung`` is its place in a climb; its words are ``content/questions.toml`` and
    ``content/hints.toml`` under the rung's value.

    Args:
        rung: which kind it is.
        form: what an answer looks like.
        band: the column of a learner's progress; a band's kinds are neighbours in ``Rung``.
        guess: how likely a right answer is for somebody who does not know, from 0 to 1.
        asked_of: the groups of circuits that are asked it in one problem of twelve or more of
            its task.  Tests hold it to the problems that are made.
        task: the task that is about it.
        since: the format of seeds it came with: problems of earlier ones never ask it.
        reason_of: the kinds after which it asks for the reason.
        level: the first level that asks it in a climb.
        always: the levels that ask it wherever it makes sense.
        variety: what sort of thing it asks, where climbs see to having one of each.
        needs: the kinds its answer builds on, about the same circuit.
        orders: the pole counts it makes sense for; empty: any.
        types: the types it makes sense for; empty: any.
        reactive: how many inductors and capacitors there must be at least.
        fed: whether something reactive must be fed.
        also: how often other tasks ask it by the way, where they can; about, from 0 to 1.
        only: the groups of look-alikes that alone are asked it; empty: any.
        never: groups of look-alikes that are asked something else instead.
        ways: the ways back to a circuit (``generate.reverse.KINDS``), or what is predicted
            (``generate.predict.WAYS``), that ask it.
        about_circuit: whether it asks for (part of) the circuit, which is hidden meanwhile.
        formula: the field of ``analysis.letters.Formulas`` that gives its figure in letters.
        tells: whether its answer tells a circuit that is asked for, so that a sheet, which shows
            all questions at once, never asks both.
        by_group: whether each group of circuits has a rule of its own; else it is one rule, and
            whoever knows it of two groups knows it of all.

    Raises:
        ValueError: nobody would ever plan it, or what it says makes no sense.
    """

    rung: Rung
    form: Form
    band: Band
    guess: float
    asked_of: frozenset[SkillGroup]
    task: Task = Task.ANALYSE
    since: int = 1
    reason_of: tuple[Rung, ...] = ()
    level: int = 1
    always: range = NEVER
    variety: Variety | None = None
    needs: tuple[Rung, ...] = ()
    orders: tuple[int, ...] = ()
    types: tuple[str, ...] = ()
    reactive: int = 0
    fed: bool = False
    also: Mapping[Task, float] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    ways: frozenset[str] = frozenset()
    about_circuit: bool = False
    formula: str = ""
    tells: bool = False
    by_group: bool = False

    def __post_init__(self) -> None:
        wrong = ""
        if not self.asked_of or not self.asked_of <= EVERYWHERE:
            wrong = "it is asked of no group of circuits, so that no plan would come to it"
        elif not 0 < self.guess < 1:
            wrong = f"a guess is right with a chance between 0 and 1, not {self.guess}"
        elif self.level not in LEVELS:
            wrong = f"there is no level {self.level}"
        elif not 1 <= self.since <= FORMAT:
            wrong = f"formats go from 1 to {FORMAT}, and it came with {self.since}"
        elif self.rung in self.needs:
            wrong = "it builds on itself"
        elif self.task is Task.REVERSE and not self.ways and not self.reason_of:
            wrong = "no way back to a circuit asks it"
        elif self.task is Task.PREDICT and not self.ways:
            wrong = "it belongs to nothing that is predicted"
        elif not all(0 < often <= 1 for often in self.also.values()):
            wrong = "how often another task asks it is a number from 0 to 1"
        if wrong:
            raise ValueError(f"{self.rung}: {wrong}")

    @property
    def seconds(self) -> int:
        """Seconds that an answer takes, about."""
        return _SECONDS.get(self.form, _SECONDS_ELSE)

    def fits(self, row: Family) -> bool:
        """Whether it can be asked about circuits of a family.

        Args:
            row: a row of the catalogue.
        """
        return (
            (not self.orders or row.order in self.orders)
            and (not self.types or row.type in self.types)
            and (row.fed is not None or not self.fed)
            and (not self.only or row.group in self.only)
            and row.group not in self.never
            and (not self.reactive or len(row.ladder.reactive()) >= self.reactive)
        )

    def guessed(self, choices: int) -> float:
        """How likely a guess is right, with a number of choices (0: it was typed)."""
        return 1 / choices if choices else self.guess
