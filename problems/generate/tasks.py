"""Which task a seed asks for, and its problem.

The circuit of a seed is the same whatever the task, as far as the task can be asked of it.
Sketches and ways back are imported when they are needed: the first problem should not wait for
them.
"""

from __future__ import annotations

from ..questions.model import FORMAT, TASK_SINCE, Problem, Task
from . import analyse, predict

MIXED = (Task.ANALYSE, Task.SKETCH, Task.ANALYSE, Task.REVERSE, Task.ANALYSE)
"""The tasks of mixed problems, by the seed modulo five: seeds that count on meet every task."""
MIXED_WITH_PREDICTIONS = (*MIXED[:3], Task.PREDICT, *MIXED[3:])
"""And since there is something to predict, modulo six: about one question in six is of that."""


def task_of(seed: int, format: int = FORMAT) -> Task:  # noqa: A002
    """The task that a seed asks for where tasks are mixed.

    Args:
        seed: the problem's.
        format: the format of problems.
    """
    mixed = MIXED if format < TASK_SINCE[Task.PREDICT] else MIXED_WITH_PREDICTIONS
    return mixed[seed % len(mixed)]


def generate(
    seed: int,
    *,
    task: Task | None = Task.ANALYSE,
    family: str | None = None,
    level: int | None = None,
    format: int = FORMAT,  # noqa: A002
) -> Problem:
    """The certified problem of a task, or, without one, of the task that the seed leads to.

    Args:
        seed: any whole number.
        task: what is asked for; ``None``: what the seed leads to.
        family: a row of the catalogue.
        level: 1 to 7.
        format: the meaning of seeds, :data:`FORMAT` or an earlier one.

    Raises:
        UnknownFamily: there is no such family.
        SeedError: there is no such level or format, the family is of another level, or it came
            with a later format.
        GenerationError: no attempt could be certified.
    """
    match task or task_of(seed, format):
        case Task.SKETCH:
            from .sketch import generate as sketch

            return sketch(seed, family=family, level=level, format=format)
        case Task.REVERSE:
            from .reverse import generate as reverse

            return reverse(seed, family=family, level=level, format=format)
        case Task.PREDICT:
            return predict.generate(seed, family=family, level=level, format=format)
        case _:
            return analyse.generate(seed, family=family, level=level, format=format)
