"""What every student is given, known before the first sheet is written.

Each student's problems are drawn by themselves; where no two may be given the same circuit, the
drafts are gone through in an order that no roster shows, and a draft that has a circuit which was
handed out already is drawn once more, avoiding all of these.  What was handed out before is never
drawn again: a newcomer avoids it.  So either everybody can be given a sheet or it is known that
the plan asks too much, and every problem is drawn once.

All students of a variant are given the same, which is drawn once.  Of plans of the forms before
the third the order is that of the numbers, and a lower number avoids no higher one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ....problems.sheets.keyed_chance import Whose, order_of, whose_chance
from ....problems.sheets.lots import UsedUpError, needed_of
from ....problems.sheets.model import Plan, SheetError, Student
from .jobs import StudentLots, draw_batch, lots_avoiding
from .workers import Workers, batches

BATCH = 4
"""Students whose problems are drawn in one job."""


@dataclass(frozen=True, slots=True)
class ClassDrawing:
    """A class whose problems are to be drawn.

    Attributes:
        plan: the plan.
        students: those who are to be given sheets.
        known: what some of them have been given, by :func:`whose_chance`.
        gone: fingerprints of circuits that others were given, who are no longer there.
    """

    plan: Plan
    students: Sequence[Student]
    known: Mapping[Whose, StudentLots]
    gone: frozenset[str] = frozenset()

    def order(self) -> list[tuple[Whose, Student]]:
        """Whose problems are drawn, and one student of each; what is known comes first."""
        each = {whose_chance(self.plan, student): student for student in self.students}
        if self.plan.is_numbered:
            return sorted(each.items(), key=lambda item: item[1].number)
        if self.plan.variants:
            place = self.plan.variants.index
            return sorted(each.items(), key=lambda item: place(item[1].variant))
        secret = {whose: order_of(self.plan, student) for whose, student in each.items()}
        return sorted(each.items(), key=lambda item: (item[0] not in self.known, secret[item[0]]))


def draw_class(
    drawing: ClassDrawing,
    workers: Workers,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> dict[Whose, StudentLots]:
    """Have ``workers`` draw what is not known yet of a ``drawing``.

    ``tell`` is called with how many students are drawn, and of how many.

    Returns:
        Everybody's lots, by :func:`whose_chance`.

    Raises:
        SheetError: the plan can't be fulfilled for so many.
        WorkersError: the workers can't do it.
    """
    plan, order = drawing.plan, drawing.order()
    todo = [student for whose, student in order if whose not in drawing.known]
    jobs = ((plan, batch) for batch in batches(todo, BATCH))
    fresh = (one for batch in workers.in_order(draw_batch, jobs) for one in batch)
    seen, found, done = set(drawing.gone), dict[Whose, StudentLots](), 0
    if not plan.is_numbered:
        for made in drawing.known.values():
            seen.update(made.prints)
    if todo:
        tell(0, len(todo))
    for whose, student in order:
        made = drawing.known.get(whose) or _settled(drawing, student, fresh, seen)
        seen.update(made.prints)
        found[whose] = made
        if whose not in drawing.known:
            done += 1
            tell(done, len(todo))
    return found


def _settled(
    drawing: ClassDrawing, student: Student, fresh: Iterator[StudentLots], seen: set[str]
) -> StudentLots:
    """What the next student is given: their draft, or what avoids all that was handed out."""
    plan = drawing.plan
    made = next(fresh)
    if made.used_up is not None:
        raise _too_few(drawing, made.used_up, seen)
    if made.troubles:
        raise SheetError(*made.troubles)
    if not plan.unshared or seen.isdisjoint(made.prints):
        return made
    try:
        return lots_avoiding(plan, student, made, seen)
    except UsedUpError as error:
        raise _too_few(drawing, error, seen) from None


def _too_few(drawing: ClassDrawing, error: UsedUpError, seen: set[str]) -> SheetError:
    """The error with how many circuits there are, and how many would be needed."""
    if not error.family or not drawing.plan.unshared:
        return error
    marks = error.marks | {mark for mark in seen if mark.startswith(f"{error.family} ")}
    each = [student for _, student in drawing.order()]
    needed = needed_of(drawing.plan, each, error.family)
    return UsedUpError(error.section, error.family, marks, needed)
