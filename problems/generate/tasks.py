"""Which task a seed asks for, and its problem.

The circuit of a seed is the same whatever the task, as far as the task can be asked of it.
Modules of tasks are imported when they are needed: the first problem should not wait for
the others.
"""

from __future__ import annotations

from ..questions.model import FORMAT, Problem, Task

MIX = (Task.ANALYSE, Task.SKETCH, Task.ANALYSE, Task.REVERSE, Task.ANALYSE)
"""The tasks of mixed problems, by the seed modulo five: seeds that count on meet every task."""


def task_of(seed: int) -> Task:
    """The task that a seed asks for where tasks are mixed."""
    return MIX[seed % len(MIX)]


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
    match task or task_of(seed):
        case Task.SKETCH:
            from .sketch import generate as sketch

            return sketch(seed, family=family, level=level, format=format)
        case Task.REVERSE:
            from .reverse import generate as reverse

            return reverse(seed, family=family, level=level, format=format)
        case Task.PREDICT:
            from .predict import generate as predict

            return predict(seed, family=family, level=level, format=format)
        case _:
            from .analyse import generate as analyse

            return analyse(seed, family=family, level=level, format=format)
