"""The kinds of question: each is one row, and what a row does not say no table elsewhere knows.

A row says how a kind is answered, when a climb asks it, what it builds on and of which circuits
a plan may expect it.  Rows are plain values, since a plan or a page of progress reads them
without any arithmetic; what looks at circuits fills a row's open slots from the rooms that can,
by a decorator with the kind's name:

* :data:`MAKERS`, in this room: facts → the question, or ``None`` where it makes no sense;
* :data:`MEASURES`, in this room: the figure it asks for, of any facts (slips compare it);
* ``hints.fill.HINTS``: what its hints say of a circuit;
* ``hints.explanation.FACTS`` and ``REASONS``: what contradicts a wrong answer to it.

Tests say which slots are still open, and a row that no plan would ever come to is refused
when it is made.

Adding a kind is adding a member to ``Rung``, a row here with a ``since`` of its own, and its
words; ``python -m tests.recipe kind`` writes all of it as stubs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING, Generic, TypeVar

from ..catalogue.groups import LEVELS, SkillGroup
from .model import FORMAT, Face, Form, Problem, Question, Rung, Task

if TYPE_CHECKING:
    from fractions import Fraction

    from ..analysis.response import Facts
    from ..catalogue.families import Family
    from ..circuits.model import Element
    from .asking import Asking

NEVER = range(0)

EVERYWHERE = frozenset(SkillGroup) - {SkillGroup.OTHER}
"""The circuits there are to learn."""
TO_TWO_POLES = EVERYWHERE - {SkillGroup.LADDERS}
TWO_POLES = TO_TWO_POLES - {SkillGroup.ONE_POLE, SkillGroup.LOADED}
RESONANT = TWO_POLES - {SkillGroup.DECOYS}

REAL = frozenset({SkillGroup.REAL_PARTS})
IDEAL = EVERYWHERE - REAL
PAIRED = RESONANT - {SkillGroup.CASCADES}
"""Where a pair of poles can be complex."""
OVERSHOOTING = frozenset({SkillGroup.L_SECTIONS, SkillGroup.TAPS})
"""Where there are low-passes of such a pair without a zero."""
OF_ONE_POLE = frozenset({SkillGroup.ONE_POLE, SkillGroup.LOADED, SkillGroup.DECOYS})
REAL_LEVEL = range(7, 8)
_SHARP = frozenset({SkillGroup.TAPS, SkillGroup.L_SECTIONS, SkillGroup.LC_ARMS})
"""The groups whose Q is often high enough to be read off a curve."""
LOSSY = ("coil-loss",)
"""The families whose resonators have losses of their own."""

NAMED = ("low-pass", "high-pass", "band-pass", "notch", "flat")
"""The types that have a name learners choose from (``analysis.response.FilterType``)."""

_LEVELS, _DESIGN = frozenset({"levels"}), frozenset({"design"})
"""Ways to read and predict."""

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

_OFTEN = {Task.ANALYSE: 0.35, Task.SKETCH: 1.0, Task.REVERSE: 0.25, Task.PREDICT: 0.2}
"""How often a task asks its own kinds where they can be asked, unless it always does; about."""


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

    @property
    def sure(self) -> bool:
        """Whether every problem of its task asks it where it makes sense."""
        return self.always == LEVELS or any(kind(rung).always == LEVELS for rung in self.reason_of)

    def often(self, task: Task) -> float:
        """How often a task asks it where it can, about: 1 for always, 0 for never."""
        if task is not self.task:
            return self.also.get(task, 0.0)
        return 1.0 if self.sure else _OFTEN[task]

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


_PEAKED = ("low-pass", "high-pass")
_CURVE = partial(
    QuestionKind, task=Task.PREDICT, band=Band.PREDICT, since=4, ways=frozenset({"curve"})
)
_WHICH = partial(
    QuestionKind,
    task=Task.PREDICT,
    band=Band.PREDICT,
    since=4,
    orders=(2,),
    ways=frozenset({"which-curve"}),
)

_CHANGED = TO_TWO_POLES - REAL
_CHANGED_TWO = TWO_POLES - REAL
_IN_A_LOOP = frozenset({SkillGroup.TAPS, SkillGroup.LC_ARMS, SkillGroup.DECOYS})
_TUNED = frozenset({SkillGroup.TAPS, SkillGroup.LC_ARMS})
_ENERGY = partial(
    QuestionKind,
    task=Task.PREDICT,
    band=Band.PREDICT,
    guess=GUESS_TYPED,
    since=4,
    orders=(2,),
    ways=frozenset({"energy"}),
)
_SOURCE = partial(
    QuestionKind,
    task=Task.PREDICT,
    band=Band.PREDICT,
    guess=GUESS_TYPED,
    since=4,
    ways=frozenset({"source"}),
)
_WITH_RESONATOR = frozenset({SkillGroup.TAPS, SkillGroup.LC_ARMS})
_TANKS = frozenset({SkillGroup.LC_ARMS})
_FED = frozenset({SkillGroup.LOADED, SkillGroup.L_SECTIONS, SkillGroup.LC_ARMS, SkillGroup.LADDERS})
"""The circuits between a source's resistance and a load."""

_PARTS_BACK = {Task.SKETCH: 1.0, Task.REVERSE: 0.1}

KINDS: tuple[QuestionKind, ...] = (
    # concepts
    QuestionKind(
        rung=Rung.FED, form=Form.CHOICE, band=Band.TYPE, guess=1 / 2,
        asked_of=EVERYWHERE - {SkillGroup.ONE_POLE, SkillGroup.TAPS},
        level=3, always=range(3, 4), variety=Variety.CONCEPT, fed=True, tells=True,
    ),
    QuestionKind(
        rung=Rung.POLE_NATURE, form=Form.CHOICE, band=Band.FIGURES, guess=1 / 3,
        asked_of=RESONANT, variety=Variety.CONCEPT, needs=(Rung.Q,), orders=(2,),
    ),
    # what happens at the ends, and the type
    QuestionKind(
        rung=Rung.LOW_END, form=Form.CHOICE, band=Band.TYPE, guess=1 / 2,
        asked_of=EVERYWHERE, variety=Variety.END,
    ),
    QuestionKind(
        rung=Rung.LOW_END_REASON, form=Form.CHOICE, band=Band.TYPE, guess=1 / 4,
        asked_of=EVERYWHERE, reason_of=(Rung.LOW_END,), needs=(Rung.LOW_END,),
    ),
    QuestionKind(
        rung=Rung.HIGH_END, form=Form.CHOICE, band=Band.TYPE, guess=1 / 2,
        asked_of=EVERYWHERE, variety=Variety.END,
    ),
    QuestionKind(
        rung=Rung.HIGH_END_REASON, form=Form.CHOICE, band=Band.TYPE, guess=1 / 4,
        asked_of=EVERYWHERE, reason_of=(Rung.HIGH_END,), needs=(Rung.HIGH_END,),
    ),
    QuestionKind(
        rung=Rung.TYPE, form=Form.CHOICE, band=Band.TYPE, guess=1 / 5, types=NAMED,
        asked_of=EVERYWHERE, always=LEVELS, needs=(Rung.LOW_END, Rung.HIGH_END), tells=True,
        by_group=True,
    ),
    QuestionKind(
        rung=Rung.TYPE_REASON, form=Form.CHOICE, band=Band.TYPE, guess=1 / 4, types=NAMED,
        asked_of=IDEAL, reason_of=(Rung.TYPE, Rung.MISSING_ARM), needs=(Rung.TYPE,),
        also={Task.REVERSE: 0.25},
    ),
    # how many
    QuestionKind(
        rung=Rung.INDEPENDENT, form=Form.COUNT, band=Band.COUNTS, guess=GUESS_FEW,
        asked_of=EVERYWHERE - {SkillGroup.ONE_POLE, SkillGroup.LOADED},
        always=range(5, 6), variety=Variety.CONCEPT, reactive=2,
    ),
    QuestionKind(
        rung=Rung.POLES, form=Form.COUNT, band=Band.COUNTS, guess=GUESS_FEW,
        asked_of=EVERYWHERE, always=LEVELS, needs=(Rung.INDEPENDENT,), also=_PARTS_BACK,
    ),
    QuestionKind(
        rung=Rung.ZEROS, form=Form.COUNT, band=Band.COUNTS, guess=GUESS_FEW,
        asked_of=EVERYWHERE, variety=Variety.ZEROS, needs=(Rung.ORIGIN_ZEROS,), also=_PARTS_BACK,
    ),
    QuestionKind(
        rung=Rung.ORIGIN_ZEROS, form=Form.COUNT, band=Band.COUNTS, guess=GUESS_FEW,
        asked_of=EVERYWHERE, variety=Variety.ZEROS, needs=(Rung.LOW_END,),
    ),
    # slopes and phases
    QuestionKind(
        rung=Rung.LOW_SLOPE, form=Form.SLOPE, band=Band.ENDS, guess=GUESS_FEW,
        asked_of=EVERYWHERE, variety=Variety.SHAPE, needs=(Rung.ORIGIN_ZEROS,),
        also={Task.REVERSE: 0.25},
    ),
    QuestionKind(
        rung=Rung.HIGH_SLOPE, form=Form.SLOPE, band=Band.ENDS, guess=GUESS_FEW,
        asked_of=EVERYWHERE, variety=Variety.SHAPE, needs=(Rung.POLES, Rung.ZEROS),
        also={Task.REVERSE: 0.2},
    ),
    QuestionKind(
        rung=Rung.LOW_PHASE, form=Form.ANGLE, band=Band.ENDS, guess=GUESS_FEW,
        asked_of=EVERYWHERE, variety=Variety.SHAPE, needs=(Rung.ORIGIN_ZEROS,),
    ),
    QuestionKind(
        rung=Rung.HIGH_PHASE, form=Form.ANGLE, band=Band.ENDS, guess=GUESS_FEW,
        asked_of=EVERYWHERE, variety=Variety.SHAPE, needs=(Rung.POLES, Rung.ZEROS),
    ),
    # figures
    QuestionKind(
        rung=Rung.GAIN, form=Form.GAIN, band=Band.FIGURES, guess=GUESS_GAIN, types=NAMED,
        asked_of=EVERYWHERE, variety=Variety.GAIN, needs=(Rung.TYPE,),
        also={Task.SKETCH: 0.2, Task.REVERSE: 0.2}, formula="gain",
    ),
    QuestionKind(
        rung=Rung.CORNER, form=Form.QUANTITY, band=Band.FIGURES, guess=GUESS_TYPED,
        asked_of=TO_TWO_POLES, always=LEVELS, orders=(1, 2),
        also={Task.SKETCH: 1.0, Task.REVERSE: 0.2}, formula="corner_hz", by_group=True,
    ),
    QuestionKind(
        rung=Rung.Q, form=Form.RATIO, band=Band.FIGURES, guess=GUESS_TYPED,
        asked_of=TWO_POLES, always=LEVELS, needs=(Rung.CORNER,), orders=(2,), never=LOSSY,
        also={Task.SKETCH: 1.0, Task.REVERSE: 0.2}, formula="q", by_group=True,
    ),
    QuestionKind(
        rung=Rung.BANDWIDTH, form=Form.QUANTITY, band=Band.FIGURES, guess=GUESS_TYPED,
        asked_of=frozenset({SkillGroup.LC_ARMS}), level=3, always=range(4, 5),
        variety=Variety.EDGE, needs=(Rung.Q,), orders=(2,), types=("band-pass", "notch"),
        also={Task.REVERSE: 0.1}, formula="bandwidth_hz",
    ),
    QuestionKind(
        rung=Rung.LOWER_EDGE, form=Form.QUANTITY, band=Band.FIGURES, guess=GUESS_TYPED,
        asked_of=RESONANT - {SkillGroup.TAPS} - REAL, level=3, variety=Variety.EDGE,
        needs=(Rung.Q,), orders=(2,), types=("high-pass", "band-pass", "notch"),
    ),
    QuestionKind(
        rung=Rung.UPPER_EDGE, form=Form.QUANTITY, band=Band.FIGURES, guess=GUESS_TYPED,
        asked_of=RESONANT - {SkillGroup.TAPS} - REAL, level=3, variety=Variety.EDGE,
        needs=(Rung.Q,), orders=(2,), types=("low-pass", "band-pass", "notch"),
    ),
    # formulas
    QuestionKind(
        rung=Rung.CORNER_REASON, form=Form.CHOICE, band=Band.FIGURES, guess=1 / 4,
        asked_of=TO_TWO_POLES, reason_of=(Rung.CORNER,), needs=(Rung.CORNER,), orders=(1, 2),
        also={Task.REVERSE: 0.25},
    ),
    QuestionKind(
        rung=Rung.TRANSFER, form=Form.FORMULA, band=Band.FIGURES, guess=GUESS_TYPED,
        asked_of=TO_TWO_POLES - {SkillGroup.ONE_POLE}, level=2, variety=Variety.TRANSFER,
        needs=(Rung.POLES, Rung.ZEROS), orders=(1, 2), tells=True, by_group=True,
    ),
    # sketches
    QuestionKind(
        rung=Rung.GAIN_SKETCH, form=Form.SKETCH, band=Band.SKETCH, guess=GUESS_TYPED,
        asked_of=EVERYWHERE, task=Task.SKETCH,
        needs=(Rung.LOW_SLOPE, Rung.HIGH_SLOPE, Rung.CORNER, Rung.GAIN),
    ),
    QuestionKind(
        rung=Rung.PHASE_SKETCH, form=Form.SKETCH, band=Band.SKETCH, guess=GUESS_TYPED,
        asked_of=EVERYWHERE, task=Task.SKETCH,
        needs=(Rung.LOW_PHASE, Rung.HIGH_PHASE, Rung.CORNER),
    ),
    QuestionKind(
        rung=Rung.MAP_SKETCH, form=Form.SKETCH, band=Band.SKETCH, guess=GUESS_TYPED,
        asked_of=EVERYWHERE, task=Task.SKETCH, needs=(Rung.POLES, Rung.ZEROS),
    ),
    # back to the circuit
    QuestionKind(
        rung=Rung.WHICH_CIRCUIT, form=Form.CHOICE, band=Band.REVERSE, guess=1 / 4, types=NAMED,
        asked_of=IDEAL, task=Task.REVERSE, needs=(Rung.TYPE,), about_circuit=True,
        ways=frozenset({"which-gain", "which-map"}),
    ),
    QuestionKind(
        rung=Rung.LOOKALIKE_REASON, form=Form.CHOICE, band=Band.REVERSE, guess=1 / 4, types=NAMED,
        asked_of=IDEAL, task=Task.REVERSE, needs=(Rung.WHICH_CIRCUIT,),
        reason_of=(Rung.WHICH_CIRCUIT,),
    ),
    QuestionKind(
        rung=Rung.MISSING_ARM, form=Form.CHOICE, band=Band.REVERSE, guess=1 / 5, types=NAMED,
        asked_of=IDEAL, task=Task.REVERSE, needs=(Rung.TYPE,), about_circuit=True,
        ways=frozenset({"arm"}),
    ),
    QuestionKind(
        rung=Rung.ELEMENT_VALUE, form=Form.QUANTITY, band=Band.REVERSE, guess=GUESS_TYPED,
        asked_of=TO_TWO_POLES, task=Task.REVERSE, needs=(Rung.CORNER,), orders=(1, 2),
        about_circuit=True, ways=frozenset({"corner", "q", "both"}),
    ),
    QuestionKind(
        rung=Rung.LEAST_VALUE, form=Form.QUANTITY, band=Band.REVERSE, guess=GUESS_TYPED,
        asked_of=TO_TWO_POLES, task=Task.REVERSE, needs=(Rung.CORNER,), about_circuit=True,
        ways=frozenset({"range"}),
    ),
    QuestionKind(
        rung=Rung.MOST_VALUE, form=Form.QUANTITY, band=Band.REVERSE, guess=GUESS_TYPED,
        asked_of=TO_TWO_POLES, task=Task.REVERSE, needs=(Rung.CORNER,), about_circuit=True,
        ways=frozenset({"range"}),
    ),
    QuestionKind(
        rung=Rung.CORNER_PHASE, form=Form.ANGLE, band=Band.FIGURES, guess=GUESS_FEW, since=2,
        asked_of=TO_TWO_POLES - REAL, needs=(Rung.LOW_PHASE, Rung.HIGH_PHASE, Rung.CORNER),
        orders=(1, 2), types=("low-pass", "high-pass", "band-pass"), tells=True,
    ),
    QuestionKind(
        rung=Rung.NO_POLE, form=Form.CHOICE, band=Band.COUNTS, guess=1 / 4, since=3,
        asked_of=frozenset({SkillGroup.CASCADES, SkillGroup.DECOYS, SkillGroup.LADDERS}),
        level=4, always=range(5, 6), needs=(Rung.POLES,), reactive=2,
    ),
    # real parts
    QuestionKind(
        rung=Rung.SHELF_NAME, form=Form.CHOICE, band=Band.TYPE, guess=1 / 5, since=3,
        asked_of=REAL, level=7, always=REAL_LEVEL, types=("other",), tells=True,
    ),
    QuestionKind(
        rung=Rung.UNLOADED_Q, form=Form.RATIO, band=Band.FIGURES, guess=GUESS_TYPED, since=3,
        asked_of=REAL, level=7, always=REAL_LEVEL, orders=(2,),
        types=("band-pass", "notch"), only=LOSSY,
    ),
    QuestionKind(
        rung=Rung.LOADED_Q, form=Form.RATIO, band=Band.FIGURES, guess=GUESS_TYPED, since=3,
        asked_of=REAL, level=7, always=REAL_LEVEL, needs=(Rung.UNLOADED_Q, Rung.CORNER),
        orders=(2,), types=("band-pass", "notch"), only=LOSSY, also={Task.SKETCH: 1.0},
    ),
    QuestionKind(
        rung=Rung.INSERTION_LOSS, form=Form.QUANTITY, band=Band.FIGURES, guess=GUESS_TYPED,
        since=3, asked_of=REAL, level=7, always=REAL_LEVEL,
        needs=(Rung.UNLOADED_Q, Rung.LOADED_Q), orders=(2,), types=("band-pass",), only=LOSSY,
    ),
    QuestionKind(
        rung=Rung.NOTCH_DEPTH, form=Form.QUANTITY, band=Band.FIGURES, guess=GUESS_TYPED, since=3,
        asked_of=REAL, level=7, always=REAL_LEVEL, needs=(Rung.UNLOADED_Q, Rung.LOADED_Q),
        orders=(2,), types=("notch",), only=LOSSY,
    ),
    # gain and phase at a frequency, and decibels
    QuestionKind(
        rung=Rung.GAIN_AT, form=Form.LEVEL, band=Band.PREDICT, guess=GUESS_FEW, since=4,
        asked_of=TO_TWO_POLES, task=Task.PREDICT, needs=(Rung.GAIN, Rung.CORNER), orders=(1, 2),
        types=NAMED, ways=_LEVELS,
    ),
    QuestionKind(
        rung=Rung.PHASE_AT, form=Form.LEVEL, band=Band.PREDICT, guess=GUESS_FEW, since=4,
        asked_of=TO_TWO_POLES, task=Task.PREDICT, needs=(Rung.HIGH_PHASE, Rung.CORNER),
        orders=(1, 2), types=NAMED, ways=_LEVELS,
    ),
    QuestionKind(
        rung=Rung.CASCADE_LEVEL, form=Form.LEVEL, band=Band.PREDICT, guess=GUESS_FEW, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.GAIN_AT,), ways=_LEVELS,
    ),
    QuestionKind(
        rung=Rung.LEVEL_OF_RATIO, form=Form.LEVEL, band=Band.PREDICT, guess=GUESS_FEW, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.GAIN,), ways=_LEVELS,
    ),
    QuestionKind(
        rung=Rung.RATIO_OF_LEVEL, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_FEW, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.GAIN,), ways=_LEVELS,
    ),
    QuestionKind(
        rung=Rung.HALF_POWER, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 4, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.GAIN,), ways=_LEVELS,
    ),
    # design: scaling, tolerances, the standard form
    QuestionKind(
        rung=Rung.STANDARD_FORM, form=Form.FORMULA, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=TWO_POLES - REAL, task=Task.PREDICT, needs=(Rung.TRANSFER, Rung.Q), orders=(2,),
        types=NAMED, ways=_DESIGN,
    ),
    QuestionKind(
        rung=Rung.WHICH_FORM, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 4, since=4,
        asked_of=TWO_POLES - REAL, task=Task.PREDICT, needs=(Rung.TYPE, Rung.Q), orders=(2,),
        types=NAMED, ways=_DESIGN,
    ),
    QuestionKind(
        rung=Rung.SCALED_VALUE, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.CORNER,), ways=_DESIGN,
    ),
    QuestionKind(
        rung=Rung.PROTOTYPE_VALUE, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED,
        since=4, asked_of=TWO_POLES, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(2,),
        ways=_DESIGN,
    ),
    QuestionKind(
        rung=Rung.SCALING_EFFECT, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 4, since=4,
        asked_of=TWO_POLES, task=Task.PREDICT, needs=(Rung.CORNER, Rung.Q), orders=(2,),
        ways=_DESIGN,
    ),
    QuestionKind(
        rung=Rung.TOLERANCE_F0, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=TO_TWO_POLES, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(1, 2),
        ways=_DESIGN,
    ),
    QuestionKind(
        rung=Rung.TOLERANCE_Q, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=TWO_POLES, task=Task.PREDICT, needs=(Rung.Q,), orders=(2,), ways=_DESIGN,
    ),
    QuestionKind(
        rung=Rung.SENSITIVITY, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 5, since=4,
        asked_of=TO_TWO_POLES, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(1, 2),
        ways=_DESIGN,
    ),
    # read off a curve
    _CURVE(
        rung=Rung.READ_CORNER, form=Form.QUANTITY, guess=GUESS_TYPED, types=NAMED[:4],
        asked_of=TO_TWO_POLES - REAL, needs=(Rung.TYPE,), orders=(1, 2),
    ),
    _CURVE(
        rung=Rung.READ_Q, form=Form.RATIO, guess=GUESS_TYPED, types=NAMED[:4],
        asked_of=_SHARP, needs=(Rung.READ_CORNER,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_BANDWIDTH, form=Form.QUANTITY, guess=GUESS_TYPED,
        types=("band-pass", "notch"), asked_of=_SHARP - {SkillGroup.L_SECTIONS},
        needs=(Rung.READ_CORNER,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_LOWER_EDGE, form=Form.QUANTITY, guess=GUESS_TYPED,
        types=("high-pass", "band-pass", "notch"), asked_of=RESONANT - REAL, needs=(Rung.TYPE,),
        orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_UPPER_EDGE, form=Form.QUANTITY, guess=GUESS_TYPED,
        types=("low-pass", "band-pass", "notch"), asked_of=RESONANT - REAL, needs=(Rung.TYPE,),
        orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_PEAK, form=Form.LEVEL, guess=GUESS_TYPED, types=_PEAKED,
        asked_of=_SHARP - {SkillGroup.LC_ARMS}, needs=(Rung.TYPE,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_PEAK_PLACE, form=Form.QUANTITY, guess=GUESS_TYPED, types=_PEAKED,
        asked_of=_SHARP - {SkillGroup.LC_ARMS}, needs=(Rung.READ_PEAK,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_PASS_BAND, form=Form.LEVEL, guess=GUESS_TYPED, types=NAMED[:4],
        asked_of=IDEAL - {SkillGroup.ONE_POLE, SkillGroup.TAPS, SkillGroup.DECOYS},
        needs=(Rung.TYPE,),
    ),
    _CURVE(
        rung=Rung.READ_SLOPE, form=Form.SLOPE, guess=GUESS_FEW, types=NAMED[:3],
        asked_of=IDEAL, needs=(Rung.TYPE,),
    ),
    _CURVE(
        rung=Rung.READ_POLES, form=Form.COUNT, guess=GUESS_FEW, types=NAMED[:3],
        asked_of=IDEAL, needs=(Rung.READ_SLOPE,),
    ),
    _CURVE(
        rung=Rung.READ_TURN, form=Form.COUNT, guess=GUESS_FEW, types=NAMED[:3],
        asked_of=IDEAL, needs=(Rung.TYPE,),
    ),
    # which of four curves, and peaks
    _WHICH(
        rung=Rung.WHICH_GAIN_CURVE, form=Form.CHOICE, guess=1 / 4, types=NAMED[:3],
        asked_of=RESONANT, needs=(Rung.TYPE,),
    ),
    _WHICH(
        rung=Rung.WHICH_PHASE_CURVE, form=Form.CHOICE, guess=1 / 4, types=NAMED[:3],
        asked_of=RESONANT, needs=(Rung.WHICH_GAIN_CURVE,),
    ),
    _WHICH(
        rung=Rung.PEAK_OF_Q, form=Form.LEVEL, guess=GUESS_TYPED, types=_PEAKED,
        asked_of=RESONANT - {SkillGroup.LC_ARMS}, needs=(Rung.GAIN_OF_Q,),
    ),
    _WHICH(
        rung=Rung.PEAK_PLACE_OF_Q, form=Form.QUANTITY, guess=GUESS_TYPED, types=_PEAKED,
        asked_of=RESONANT - {SkillGroup.LC_ARMS}, needs=(Rung.PEAK_OF_Q,),
    ),
    _WHICH(
        rung=Rung.GAIN_OF_Q, form=Form.LEVEL, guess=GUESS_TYPED, types=_PEAKED,
        asked_of=RESONANT - {SkillGroup.LC_ARMS}, needs=(Rung.TYPE,),
    ),
    _WHICH(
        rung=Rung.Q_LIMIT, form=Form.CHOICE, guess=1 / 4, types=NAMED[:3],
        asked_of=RESONANT, needs=(Rung.TYPE,),
    ),
    # places of poles
    QuestionKind(
        rung=Rung.POLE_RADIUS, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.POLE_NATURE,),
        orders=(2,), ways=frozenset({"map"}),
    ),
    QuestionKind(
        rung=Rung.POLE_ANGLE, form=Form.LEVEL, band=Band.PREDICT, guess=GUESS_FEW, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.POLE_NATURE,),
        orders=(2,), ways=frozenset({"map"}),
    ),
    QuestionKind(
        rung=Rung.POLE_Q, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.POLE_NATURE,),
        orders=(2,), ways=frozenset({"map"}),
    ),
    QuestionKind(
        rung=Rung.POLE_DECAY, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.POLE_NATURE,),
        orders=(2,), ways=frozenset({"map"}),
    ),
    QuestionKind(
        rung=Rung.POLE_RINGING, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.POLE_NATURE,),
        orders=(2,), ways=frozenset({"map"}),
    ),
    QuestionKind(
        rung=Rung.POLE_CORNER, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=TO_TWO_POLES - {SkillGroup.LC_ARMS}, task=Task.PREDICT, needs=(Rung.CORNER,),
        orders=(1, 2), ways=frozenset({"map"}),
    ),
    QuestionKind(
        rung=Rung.MAP_STEP, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 4, since=4,
        asked_of=TO_TWO_POLES - REAL, task=Task.PREDICT, needs=(Rung.TYPE,),
        orders=(1, 2), types=NAMED[:4], ways=frozenset({"map"}),
    ),
    QuestionKind(
        rung=Rung.POLE_PLACE, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.Q,),
        orders=(2,), ways=frozenset({"poles"}),
    ),
    QuestionKind(
        rung=Rung.WHICH_MAP, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 4, since=4,
        asked_of=TWO_POLES, task=Task.PREDICT, needs=(Rung.Q,),
        orders=(2,), ways=frozenset({"poles"}),
    ),
    # the step response
    QuestionKind(
        rung=Rung.STEP_FIRST, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.HIGH_END,),
        ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.STEP_LAST, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.LOW_END,),
        ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.WHICH_STEP, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 4, since=4,
        asked_of=TO_TWO_POLES - REAL, task=Task.PREDICT, needs=(Rung.TYPE,),
        orders=(1, 2), types=NAMED[:4], ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.TIME_CONSTANT, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=OF_ONE_POLE | REAL, task=Task.PREDICT, needs=(Rung.CORNER,),
        orders=(1,), ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.RISE_TIME, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=OF_ONE_POLE, task=Task.PREDICT, needs=(Rung.CORNER,),
        orders=(1,), types=("low-pass",), ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.OVERSHOOT, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=OVERSHOOTING, task=Task.PREDICT, needs=(Rung.Q,),
        orders=(2,), types=("low-pass",), ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.STEP_RINGING, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.Q,),
        orders=(2,), ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.SWINGS, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=PAIRED, task=Task.PREDICT, needs=(Rung.Q,),
        orders=(2,), ways=frozenset({"step"}),
    ),
    QuestionKind(
        rung=Rung.READ_OVERSHOOT, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=OVERSHOOTING, task=Task.PREDICT, needs=(Rung.POLE_NATURE,),
        orders=(2,), types=("low-pass",), ways=frozenset({"step-curve"}),
    ),
    QuestionKind(
        rung=Rung.READ_RINGING, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=OVERSHOOTING, task=Task.PREDICT, needs=(Rung.POLE_NATURE,),
        orders=(2,), types=("low-pass",), ways=frozenset({"step-curve"}),
    ),
    QuestionKind(
        rung=Rung.READ_STEP_Q, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=OVERSHOOTING, task=Task.PREDICT, needs=(Rung.Q,),
        orders=(2,), types=("low-pass",), ways=frozenset({"step-curve"}),
    ),
    QuestionKind(
        rung=Rung.READ_TAU, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=OF_ONE_POLE, task=Task.PREDICT, needs=(Rung.CORNER,),
        orders=(1,), types=("low-pass", "high-pass"), ways=frozenset({"step-curve"}),
    ),
    # what a change does
    QuestionKind(
        rung=Rung.CHANGED_TYPE, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 5, since=4,
        asked_of=_CHANGED, task=Task.PREDICT, needs=(Rung.TYPE,), orders=(1, 2),
        ways=frozenset({"change"}), types=NAMED,
    ),
    QuestionKind(
        rung=Rung.CHANGED_F0, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=_CHANGED, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(1, 2),
        ways=frozenset({"change"}), types=NAMED,
    ),
    QuestionKind(
        rung=Rung.CHANGED_Q, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=_CHANGED_TWO, task=Task.PREDICT, needs=(Rung.Q,), orders=(2,),
        ways=frozenset({"change"}), types=NAMED,
    ),
    QuestionKind(
        rung=Rung.CHANGED_BAND, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=_CHANGED_TWO, task=Task.PREDICT, needs=(Rung.BANDWIDTH,), orders=(2,),
        ways=frozenset({"change"}), types=("band-pass", "notch"),
    ),
    QuestionKind(
        rung=Rung.CHANGED_GAIN, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=_CHANGED, task=Task.PREDICT, needs=(Rung.GAIN,), orders=(1, 2),
        ways=frozenset({"change"}), types=NAMED,
    ),
    QuestionKind(
        rung=Rung.CHANGE_FACTOR, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 5, since=4,
        asked_of=_CHANGED, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(1, 2),
        ways=frozenset({"change"}), types=NAMED,
    ),
    QuestionKind(
        rung=Rung.CHANGE_RATIO, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=_CHANGED, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(1, 2),
        ways=frozenset({"change"}), types=NAMED,
    ),
    # outputs compared
    QuestionKind(
        rung=Rung.DC_OUTPUT, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.LOW_END,), ways=frozenset({"outputs"}),
    ),
    QuestionKind(
        rung=Rung.HIGH_OUTPUT, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=EVERYWHERE, task=Task.PREDICT, needs=(Rung.HIGH_END,),
        ways=frozenset({"outputs"}),
    ),
    QuestionKind(
        rung=Rung.TAPS_RANKED, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 5, since=4,
        asked_of=_IN_A_LOOP, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(1, 2),
        ways=frozenset({"outputs"}),
    ),
    QuestionKind(
        rung=Rung.CIRCUITS_RANKED, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 5, since=4,
        asked_of=TWO_POLES, task=Task.PREDICT, needs=(Rung.LOW_END, Rung.HIGH_END),
        ways=frozenset({"outputs"}),
    ),
    # energy, and resonance with a load
    _ENERGY(rung=Rung.STORED_ENERGY, form=Form.QUANTITY, asked_of=_WITH_RESONATOR),
    _ENERGY(
        rung=Rung.LOST_ENERGY, form=Form.QUANTITY, asked_of=_WITH_RESONATOR, needs=(Rung.CORNER,)
    ),
    _ENERGY(rung=Rung.ENERGY_Q, form=Form.RATIO, asked_of=_WITH_RESONATOR),
    _ENERGY(
        rung=Rung.RESONANT_VOLTAGE, form=Form.QUANTITY, asked_of=_WITH_RESONATOR, needs=(Rung.Q,),
        ways=frozenset({"energy", "outputs"}),
    ),
    _ENERGY(rung=Rung.RESONANT_CURRENT, form=Form.QUANTITY, asked_of=_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.Q_WITHOUT_LOAD, form=Form.RATIO, asked_of=_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.Q_WITH_LOAD, form=Form.RATIO, asked_of=_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.BAND_WITH_LOAD, form=Form.QUANTITY, asked_of=_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.LOAD_SHARE, form=Form.RATIO, asked_of=_TANKS),
    # current sources and duals
    _SOURCE(rung=Rung.SOURCE_CURRENT, form=Form.QUANTITY, asked_of=_FED),
    _SOURCE(rung=Rung.SEEN_RESISTANCE, form=Form.QUANTITY, asked_of=_TANKS, orders=(2,)),
    _SOURCE(rung=Rung.CURRENT_OUTPUT, form=Form.QUANTITY, asked_of=_TANKS, orders=(2,)),
    _SOURCE(
        rung=Rung.PARALLEL_Q, form=Form.RATIO, asked_of=_TANKS, needs=(Rung.Q,), orders=(2,)
    ),
    _SOURCE(
        rung=Rung.PARALLEL_BAND, form=Form.QUANTITY, asked_of=_TANKS, needs=(Rung.Q,), orders=(2,)
    ),
    _SOURCE(rung=Rung.DUAL_VALUE, form=Form.QUANTITY, asked_of=_FED),
    _SOURCE(
        rung=Rung.WHICH_DUAL, form=Form.CHOICE, guess=1 / 4, needs=(Rung.TYPE,),
        asked_of=_FED - {SkillGroup.LOADED},
    ),
    # tuning
    QuestionKind(
        rung=Rung.TUNING_RATIO, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=_TUNED, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(2,),
        ways=frozenset({"tuning"}), types=("band-pass", "notch"),
    ),
    QuestionKind(
        rung=Rung.TUNED_Q, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=_TUNED, task=Task.PREDICT, needs=(Rung.Q,), orders=(2,),
        ways=frozenset({"tuning"}), types=("band-pass", "notch"),
    ),
    QuestionKind(
        rung=Rung.TUNED_BAND, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=_TUNED, task=Task.PREDICT, needs=(Rung.BANDWIDTH,), orders=(2,),
        ways=frozenset({"tuning"}), types=("band-pass", "notch"),
    ),
    QuestionKind(
        rung=Rung.TUNED_END, form=Form.CHOICE, band=Band.PREDICT, guess=1 / 3, since=4,
        asked_of=_TUNED, task=Task.PREDICT, needs=(Rung.BANDWIDTH,), orders=(2,),
        ways=frozenset({"tuning"}), types=("band-pass", "notch"),
    ),
    QuestionKind(
        rung=Rung.HALF_IN, form=Form.QUANTITY, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=_TUNED, task=Task.PREDICT, needs=(Rung.CORNER,), orders=(2,),
        ways=frozenset({"tuning"}), types=("band-pass", "notch"),
    ),
    QuestionKind(
        rung=Rung.STRAY_RANGE, form=Form.RATIO, band=Band.PREDICT, guess=GUESS_TYPED, since=4,
        asked_of=_TUNED, task=Task.PREDICT, needs=(Rung.TUNING_RATIO,), orders=(2,),
        ways=frozenset({"tuning"}), types=("band-pass", "notch"),
    ),
)  # fmt: skip
"""Every kind, in the order in which their questions are made.

That order is part of what seeds mean, since reasons draw on chance: a new row comes last.
"""

_BY_RUNG: Mapping[Rung, QuestionKind] = MappingProxyType({row.rung: row for row in KINDS})


def kind(rung: Rung) -> QuestionKind:
    """The row of a kind of question."""
    return _BY_RUNG[rung]


def kinds_of(task: Task) -> tuple[Rung, ...]:
    """The kinds that a task is about, in the order of a climb."""
    return tuple(rung for rung in Rung if kind(rung).task is task)


# ------------------------------------------------------------------------- open slots

F = TypeVar("F")


class Slot(Generic[F]):
    """Something each kind has that only a room above can make: a function, by kind."""

    def __init__(self) -> None:
        self._filled: dict[Rung, F] = {}

    def __call__(self, *rungs: Rung) -> Callable[[F], F]:
        """Fill the slot of some kinds with a function.

        Raises:
            ValueError: it is filled already.
        """

        def fill(function: F) -> F:
            for rung in rungs:
                if rung in self._filled:
                    raise ValueError(f"{rung} has its function already")
                self._filled[rung] = function
            return function

        return fill

    def get(self, rung: Rung) -> F | None:
        """What was filled in for a kind; ``None`` for nothing."""
        return self._filled.get(rung)

    def missing(self, rungs: Iterable[Rung]) -> tuple[Rung, ...]:
        """Which of some kinds have nothing filled in."""
        return tuple(rung for rung in rungs if rung not in self._filled)


MAKERS: Slot[Callable[[Asking], Question | None]] = Slot()
"""What makes the question of a kind, or ``None`` where it makes no sense.

Kinds of sketches and of ways back are made by those tasks.  ``analyse.py`` fills it, and
:data:`MEASURES`: whoever reads them imports it.
"""

MEASURES: Slot[Callable[[Facts], str | int | float | Fraction | None]] = Slot()
"""The figure a kind asks for, of any facts; reasons and H(s) have none."""


# ------------------------------------------------------------------------- derived


def _reasons(task: Task) -> Mapping[Rung, Rung]:
    pairs = ((parent, row.rung) for row in KINDS for parent in row.reason_of)
    return MappingProxyType({parent: rung for parent, rung in pairs if kind(parent).task is task})


REASON_OF = _reasons(Task.ANALYSE)
"""The rung that asks for the reason directly after another one."""

REASONS_BACK = _reasons(Task.REVERSE)
"""The rung that asks for the reason after one that leads back to the circuit."""

SKETCHES = kinds_of(Task.SKETCH)
"""The kinds of question that are answered with a sketch."""

REVERSED = frozenset(row.rung for row in KINDS if row.about_circuit)
"""The kinds of question that ask for a circuit, or a part of it."""


OF_CIRCUITS = frozenset((Rung.WHICH_CIRCUIT, Rung.WHICH_DUAL))
"""The kinds of question whose choices are circuits, to be drawn."""

VALUES = tuple(row.rung for row in KINDS if row.about_circuit and row.form is Form.QUANTITY)
"""The kinds that ask for the value of an element."""


def face_of(problem: Problem, question: Question) -> Face:
    """What a ``question`` of ``problem`` shows.

    The whole circuit, unless it or a part of it is what is asked for.
    """
    row = kind(question.rung)
    if row.task is Task.PREDICT:
        return problem.face
    about = row.task is Task.REVERSE and (row.about_circuit or bool(row.reason_of))
    return problem.face if about else Face.CIRCUIT


def named_parts(problem: Problem) -> tuple[Element, ...]:
    """The elements that answers to a ``problem`` may name: none of a circuit that is not shown."""
    return () if problem.face is Face.NONE else tuple(problem.ladder.elements())


def blank_of(problem: Problem, question: Question) -> tuple[str, ...]:
    """The elements that a ``question`` of ``problem`` leaves out, or whose values it does."""
    return problem.blank if question.rung in REVERSED else ()
