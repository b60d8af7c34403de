"""(seed, family or level) → a certified problem that asks to read and to predict.

The circuit is drawn as for a problem of analysis, from the same streams of chance.  A problem is
about one thing to predict (:data:`WAYS`): levels at frequencies, what a curve shows, what a change
does.  Where figures are to be read off a picture the circuit itself is not shown.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from functools import partial
from types import MappingProxyType, ModuleType

from ..analysis.response import Facts
from ..catalogue.families import Family
from ..chance import Chance
from ..circuits.model import Ladder
from ..questions import changed, scaling, tuning
from ..questions.asking import Asking, Stream
from ..questions.kinds import KINDS, MAKERS
from ..questions.model import (
    FORMAT,
    TASK_SINCE,
    Face,
    Problem,
    Question,
    Rung,
    Task,
)
from ..slips.engine import distinct, guesses
from .analyse import SeedError, drawn_circuit, family_of, first_certified, first_way

_KINDS: tuple[ModuleType, ...] = (
    changed,
    tuning,
    scaling,
)
"""Modules whose kinds are made there, and which build on ``questions.analyse``."""

_STREAM = 1
"""Names the streams that what is asked is drawn from: the same in every format."""

WAYS: Mapping[str, Face] = MappingProxyType(
    {
        "levels": Face.CIRCUIT,
        "design": Face.CIRCUIT,
        "curve": Face.NONE,
        "which-curve": Face.NONE,
        "map": Face.NONE,
        "poles": Face.CIRCUIT,
        "step": Face.CIRCUIT,
        "step-curve": Face.NONE,
        "change": Face.CIRCUIT,
        "outputs": Face.CIRCUIT,
        "energy": Face.CIRCUIT,
        "source": Face.CIRCUIT,
        "tuning": Face.CIRCUIT,
    }
)
"""What is predicted, and what is shown of the circuit meanwhile."""

_PLACE = {rung: place for place, rung in enumerate(Rung)}

LEAST, _MOST = 3, 6
"""Questions of one problem: so many at least, where a circuit has them, and at most."""


def generate(
    seed: int,
    *,
    family: str | None = None,
    level: int | None = None,
    format: int = FORMAT,  # noqa: A002
) -> Problem:
    """The certified problem of a seed, of a family, of a level, or of any family.

    ``seed``, ``family``, ``level`` and ``format`` are those of an analysing problem.

    Raises:
        UnknownFamily: there is no such family.
        SeedError: there is no such level or format, the family is of another level, or it or the
            task came with a later format.
        GenerationError: no attempt could be certified.
    """
    row = family_of(seed, family=family, level=level, format=format)
    if format < TASK_SINCE[Task.PREDICT]:
        raise SeedError("seed.later-task", own=TASK_SINCE[Task.PREDICT], format=format)
    tried = partial(attempt, format=format)
    return first_certified(row, seed, tried, "nothing can be asked of it")


def attempt(
    family: Family,
    seed: int,
    number: int,
    format: int = FORMAT,  # noqa: A002
) -> Problem | None:
    """Attempt ``number`` at the ``seed`` of a ``family``, in a ``format``.

    Raises:
        CertificationError: nothing that is predicted certifies.
    """
    circuit = drawn_circuit(family, seed, number, format=format)
    if circuit is None:
        return None
    stream = (seed, "predict", _STREAM, family.name, number)
    return first_way(
        made(family, seed, way, *circuit, stream, format) for way in ways(Chance(*stream))
    )


def ways(chance: Chance) -> Iterator[str]:
    """All that is predicted, as ``chance`` orders it for trying."""
    yield from chance.shuffled(tuple(WAYS))


def made(
    family: Family,
    seed: int,
    way: str,
    ladder: Ladder,
    known: Facts,
    stream: Stream,
    format: int = FORMAT,  # noqa: A002
    only: Collection[Rung] = (),
) -> Problem | None:
    """The problem of one thing to predict, not yet certified; ``None`` where there is none.

    Where there is hardly anything to ask of it, other questions that show as much are added.

    Args:
        family: the circuit's.
        seed: the problem's.
        way: what is predicted, of :data:`WAYS`.
        ladder: the drawn circuit.
        known: its facts.
        stream: names the chance that draws its questions.
        format: the format of problems.
        only: the kinds that are asked; empty: a few of all that make sense.
    """
    asked = questions_of(way, ladder, known, stream, format, only)
    if not asked:
        return None
    others = [one for one in ways(Chance(*stream, "more")) if WAYS[one] is WAYS[way] and one != way]
    while others and not only and len(asked) < LEAST:
        more = questions_of(others.pop(), ladder, known, stream, format)[: LEAST - len(asked)]
        asked = tuple(sorted((*asked, *more), key=lambda each: _PLACE[each.rung]))
    return Problem(format, family.name, family.level, seed, ladder, asked, Task.PREDICT, WAYS[way])


def questions_of(
    way: str,
    ladder: Ladder,
    known: Facts,
    stream: Stream,
    format: int = FORMAT,  # noqa: A002
    only: Collection[Rung] = (),
) -> tuple[Question, ...]:
    """What is asked in one way, in the order of a climb: a few of all that makes sense.

    Each kind draws from a stream of its own, so that a kind that comes later changes none of the
    others.  One that a slip cannot be told from with these values is left out.

    Args:
        way: what is predicted, of :data:`WAYS`.
        ladder: the circuit, with values.
        known: its facts.
        stream: names the chance that draws them.
        format: the meaning of seeds: kinds that came later are not asked.
        only: the kinds that are asked; empty: a few of all that make sense.
    """
    found: dict[Rung, Question] = {}
    for row in KINDS:
        if row.task is not Task.PREDICT or way not in row.ways or row.since > format:
            continue
        if only and row.rung not in only:
            continue
        maker = MAKERS.get(row.rung)
        assert maker is not None
        question = maker(Asking(known, Chance(*stream, row.rung.value), stream))
        if question is not None and distinct(question, guesses(ladder, known, question)):
            found[row.rung] = question
    kept = tuple(found) if only else Chance(*stream, way).shuffled(tuple(found))[:_MOST]
    return tuple(found[rung] for rung in Rung if rung in kept)
