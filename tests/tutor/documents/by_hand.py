"""Sheets and keys put together from problems of the drill's generator."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from rungwise.problems.generate.tasks import generate
from rungwise.problems.questions.model import Task
from rungwise.problems.sheets.model import (
    FixedCircuit,
    Plan,
    PlanSection,
    PointsRule,
    ProblemLot,
    Student,
    Symbols,
    Variant,
)
from rungwise.problems.sheets.variant import assembled

once = cache(generate)
"""A problem: the same seed is the same for every test."""

ANN = Student(1, 'Ann O\'Neil, "Annie"', "s-0417")


def made(
    problems: Iterable[tuple[Task, int, int]] = ((Task.ANALYSE, 5, 3),),
    *,
    student: Student = ANN,
    symbols: Symbols = Symbols.IEEE,
    title: str = "Passive filters",
    course: str = "Circuits II",
    date: str = "2026-12-01",
    instructions: str = "You have 90 minutes. A pocket calculator may be used.",
    names: tuple[str, ...] = ("Analysis", "Sketches", "Ways back", "Predictions"),
    notes: str = "",
) -> Variant:
    """A sheet and its key of problems given as (task, seed, level), a section for each task."""
    asked = list(problems)
    tasks = [task for task in Task if any(task is one for one, _, _ in asked)]
    plan = Plan(
        title,
        7,
        tuple(
            PlanSection(
                names[list(Task).index(task)],
                notes,
                task,
                count=1,
                points=PointsRule(Fraction(3, 2) if task is Task.REVERSE else Fraction(1)),
            )
            for task in tasks
        ),
        course,
        date,
        instructions,
        symbols=symbols,
    )
    lots, found = [], []
    for place, task in enumerate(tasks):
        for one, seed, level in asked:
            if one is task:
                lots.append(ProblemLot(place, seed=seed))
                found.append(once(seed, task=task, level=level))
    return assembled(plan, student, lots, found)


def mixed(**given: object) -> Variant:
    """One problem of each task."""
    tasks = ((Task.ANALYSE, 5, 3), (Task.SKETCH, 5, 3), (Task.REVERSE, 3, 2))
    return made(tasks, **given)  # type: ignore[arg-type]


__all__ = ["ANN", "FixedCircuit", "made", "mixed"]
