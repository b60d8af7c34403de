"""The kinds of question: each is one row, and what a row does not say no table elsewhere knows.

A row (``kind_row.py``) says how a kind is answered, when a climb asks it, what it builds on and of
which circuits a plan may expect it.  Rows are plain values, since a plan or a page of progress
reads them without any arithmetic; what looks at circuits fills a row's open slots from the rooms
that can, by a decorator with the kind's name:

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
from types import MappingProxyType
from typing import TYPE_CHECKING, Generic, TypeVar

from ..catalogue.groups import LEVELS, SkillGroup
from .kind_row import (
    EVERYWHERE,
    GUESS_FEW,
    GUESS_GAIN,
    GUESS_TYPED,
    IDEAL,
    LOSSY,
    NAMED,
    REAL,
    REAL_LEVEL,
    RESONANT,
    TO_TWO_POLES,
    TWO_POLES,
    Band,
    QuestionKind,
    Variety,
)
from .kinds_predicted import PREDICTED
from .model import Face, Form, Problem, Question, Rung, Task

if TYPE_CHECKING:
    from fractions import Fraction

    from ..analysis.response import Facts
    from ..circuits.model import Element
    from .asking import Asking

_OFTEN = {Task.ANALYSE: 0.35, Task.SKETCH: 1.0, Task.REVERSE: 0.25, Task.PREDICT: 0.2}
"""How often a task asks its own kinds where they can be asked, unless it always does; about."""

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
    *PREDICTED,
)  # fmt: skip
"""Every kind, in the order in which their questions are made.

That order is part of what seeds mean, since reasons draw on chance: a new row comes last.
"""

_BY_RUNG: Mapping[Rung, QuestionKind] = MappingProxyType({row.rung: row for row in KINDS})


def kind(rung: Rung) -> QuestionKind:
    """The row of a kind of question."""
    return _BY_RUNG[rung]


def always_asked(rung: Rung) -> bool:
    """Whether every problem of its task asks a kind where it makes sense."""
    row = kind(rung)
    return row.always == LEVELS or any(kind(one).always == LEVELS for one in row.reason_of)


def how_often(rung: Rung, task: Task) -> float:
    """How often a task asks a kind where it can, about: 1 for always, 0 for never.

    Args:
        rung: the kind.
        task: the task, its own or another one.
    """
    row = kind(rung)
    if task is not row.task:
        return row.also.get(task, 0.0)
    return 1.0 if always_asked(rung) else _OFTEN[task]


def kinds_of(task: Task) -> tuple[Rung, ...]:
    """The kinds that a task is about, in the order of a climb."""
    return tuple(rung for rung in Rung if kind(rung).task is task)


def kinds_of_way(way: str) -> tuple[Rung, ...]:
    """The kinds that one way to predict, or back to a circuit, asks, in the order of a climb."""
    return tuple(rung for rung in Rung if way in kind(rung).ways)


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
