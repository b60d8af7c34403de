"""Which sections of a plan are for whom.

A section may name its ``students``; it is then for them alone, and one with ``others`` also for
everybody whom no section names.  A section with neither is for all, as it always was.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from ..quantities.errors import wording
from .identity import alike
from .model import Plan, PlanSection, PlanTrouble, SheetError, Student


def called(student: Student) -> str:
    """What a plan calls a student: the id; without one the name; without either the number."""
    return alike(student.id) or alike(student.name) or str(student.number)


def is_personal(plan: Plan) -> bool:
    """Whether some sections of a ``plan`` are for some students alone."""
    return any(section.students or section.others for section in plan.sections)


def sections_for(plan: Plan, student: Student) -> Iterator[tuple[int, PlanSection]]:
    """The sections of a ``plan`` that are for a ``student``, each with its index.

    Raises:
        SheetError: none is.
    """
    if not is_personal(plan):
        yield from enumerate(plan.sections)
        return
    named = _named(plan).get(called(student), frozenset())
    found = False
    for index, section in enumerate(plan.sections):
        addressed = section.students or section.others
        if not addressed or index in named or (section.others and not named):
            found = True
            yield index, section
    if not found:
        who = student.name or student.id or str(student.number)
        raise SheetError(
            PlanTrouble("sections", who, wording("plan.for-nobody"), wording("plan.name-student"))
        )


@lru_cache(maxsize=4)
def _named(plan: Plan) -> dict[str, frozenset[int]]:
    """By what the plan calls a student, the indices of the sections that name them."""
    found: dict[str, set[int]] = {}
    for index, section in enumerate(plan.sections):
        for one in section.students:
            found.setdefault(alike(one), set()).add(index)
    return {one: frozenset(indices) for one, indices in found.items()}
