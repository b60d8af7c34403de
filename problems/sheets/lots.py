"""Which problem goes to which student.

Every student draws from streams of chance of their own, so that a draft needs no other
student's: drafts can be made on many machines.  Where values may not be shared, a maker goes
through the drafts in an order of their own, and lets one whose fingerprints meet those of one
before be made again, avoiding them.  Which attempts it came to is all that has to be kept of it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

from ..catalogue import families
from ..catalogue.topologies import structure
from ..circuits.model import Ladder
from ..circuits.write import write_circuit
from ..generate.analyse import GenerationError
from ..quantities.errors import Wording, wording
from ..questions.model import Problem
from .addressed import sections_for
from .inspection import inspected, page_print, types_drawn, types_of
from .keyed_chance import Whose, families_chance, lot_seed, whose_chance
from .model import Plan, PlanSection, PlanTrouble, ProblemLot, SheetError, Student, Variant
from .problems import bare, can_ask, check_fixed, fixed_problem, pool, problem_of
from .records import AS_MADE
from .variant import assembled

_TRIES = 300
"""Problems drawn before a family's different circuits are held to be used up."""

_PAGES = 50
"""Pages of circuits by inspection drawn before all different ones are held to be used up."""

_AGAIN = 40
"""Circuits of a type drawn for a page before a structure that is on it may come once more."""

_IN_A_ROW = 2
"""Most problems of one type in a row, where there are others."""


class UsedUpError(SheetError):
    """There are too few different circuits.

    Args:
        section: index of the section for which there was no other one.
        family: whose circuits they are; "" where whole pages are meant.
        marks: fingerprints of those that there are, as far as is known.
        needed: how many are needed; 0 where that is not known.
    """

    def __init__(
        self, section: int, family: str, marks: Collection[str] = (), needed: int = 0
    ) -> None:
        self.section, self.family, self.marks = section, family, frozenset(marks)
        what = wording("plan.used-up")
        if needed:
            found = len(self.marks)
            what = wording("plan.too-few", tries=_TRIES, found=found, needed=needed)
        remedy = wording("plan.name-more" if family else "plan.more-groups")
        super().__init__(PlanTrouble(f"sections[{section}]", family, what, remedy))

    def __reduce__(self) -> tuple[type[UsedUpError], tuple[object, ...]]:
        return type(self), (self.section, self.family, self.marks)


@dataclass(frozen=True, slots=True)
class SheetDraft:
    """One student's sheet and key, what they were made of, and what no other may be given."""

    variant: Variant
    lots: tuple[ProblemLot, ...]
    prints: tuple[str, ...]


def needed_of(plan: Plan, students: Iterable[Student], family: str) -> int:
    """How many circuits of a ``family`` ``students`` of a ``plan`` need, where none may be shared.

    Of those of one variant one student is enough.
    """
    return sum(
        families_of(plan, index, whose_chance(plan, student)).count(family)
        for student in students
        for index, section in sections_for(plan, student)
        if not section.by_inspection
    )


@dataclass(frozen=True, slots=True)
class DrawnLots:
    """What was drawn for one student: lots and problems in order, and no other's ``prints``."""

    lots: tuple[ProblemLot, ...]
    problems: tuple[Problem, ...]
    prints: tuple[str, ...]


def draft(plan: Plan, student: Student, avoid: Collection[str] = ()) -> SheetDraft:
    """The sheet and key of one ``student`` of a ``plan``, whose circuits ``avoid`` others'.

    It says more of them at :func:`drawn`, whose errors it raises.
    """
    made = drawn(plan, student, avoid)
    return SheetDraft(assembled(plan, student, made.lots, made.problems), made.lots, made.prints)


def drawn(plan: Plan, student: Student, avoid: Collection[str] = ()) -> DrawnLots:
    """Draw one student's problems.

    Args:
        plan: the plan, which :func:`check` has nothing against.
        student: whom they are for; :func:`whose_chance` says what decides what is drawn.
        avoid: fingerprints of circuits that may not be given; only where ``plan.unshared``.

    Raises:
        UsedUpError: a family has too few different circuits.
    """
    lots: list[ProblemLot] = []
    problems: list[Problem] = []
    own: list[str] = []
    taken = set(avoid) if plan.unshared else set()
    whose = whose_chance(plan, student)
    for index, section in sections_for(plan, student):
        for number, circuit in enumerate(section.circuits):
            lots.append(ProblemLot(index, circuit=number))
            problems.append(fixed_problem(section, circuit))
        if section.by_inspection:
            page, made, mark = _page(plan, index, whose, taken)
            lots += page
            problems += made
            own.append(mark)
            continue
        for place, family in enumerate(families_of(plan, index, whose)):
            lot, problem, mark = _fresh(plan, index, place, family, whose, (taken, own))
            lots.append(lot)
            problems.append(problem)
            own.append(mark)
    return DrawnLots(tuple(lots), tuple(problems), tuple(own))


def lots_at(plan: Plan, student: Student, attempts: Sequence[int]) -> tuple[ProblemLot, ...]:
    """The lots of a ``student`` of a ``plan``; ``attempts`` say which draw each problem is of.

    Raises:
        SheetError: they are of another plan.
    """
    whose, left, lots = whose_chance(plan, student), iter(attempts), list[ProblemLot]()
    for index, section in sections_for(plan, student):
        lots += (ProblemLot(index, circuit=number) for number in range(len(section.circuits)))
        for place, family in enumerate(families_of(plan, index, whose)):
            attempt = next(left, None)
            if attempt is None:
                what, remedy = wording("plan.no-draw"), AS_MADE
                raise SheetError(PlanTrouble(f"sections[{index}]", family, what, remedy))
            seed = lot_seed(plan, index, place, whose, attempt)
            lots.append(ProblemLot(index, family=family, seed=seed, attempt=attempt))
    return tuple(lots)


def redrawn(
    plan: Plan,
    student: Student,
    before: tuple[Sequence[ProblemLot], Sequence[str]],
    avoid: Collection[str],
) -> tuple[tuple[ProblemLot, ...], tuple[str, ...]]:
    """The lots and prints that :func:`drawn` would come to, quicker.

    What need not be avoided stays: only the other problems are drawn anew.  (What a student's own
    problems ruled out before and do no more is just what is to be avoided now.)

    Args:
        plan: the plan.
        student: whom they are for.
        before: lots and prints of what ``drawn`` came to with nothing to avoid.
        avoid: fingerprints of circuits that may not be given.

    Raises:
        UsedUpError: a family has too few different circuits.
    """
    lots: list[ProblemLot] = []
    own: list[str] = []
    taken = set(avoid)
    lots_before, marks = before
    left = iter(marks)
    places: Counter[int] = Counter()
    whose = whose_chance(plan, student)
    for lot in lots_before:
        if lot.circuit >= 0:
            lots.append(lot)
            continue
        if plan.sections[lot.section].by_inspection:
            if not places[lot.section]:  # its circuits are drawn together, and have one mark
                mark = next(left)
                page = [one for one in lots_before if one.section == lot.section]
                if mark in taken:
                    page, _, mark = _page(plan, lot.section, whose, taken)
                lots += page
                own.append(mark)
            places[lot.section] += 1
            continue
        mark, place = next(left), places[lot.section]
        places[lot.section] += 1
        if mark in taken or mark in own:
            lot, _, mark = _fresh(plan, lot.section, place, lot.family, whose, (taken, own))
        lots.append(lot)
        own.append(mark)
    return tuple(lots), tuple(own)


def _fresh(
    plan: Plan,
    index: int,
    place: int,
    family: str,
    whose: Whose,
    ruled_out: tuple[Collection[str], Collection[str]],
) -> tuple[ProblemLot, Problem, str]:
    """The first draw that nobody has, with its fingerprint."""
    for lot, problem in _draws(plan, index, place, family, whose):
        mark = fingerprint(family, problem.ladder)
        if not any(mark in marks for marks in ruled_out):
            return lot, problem, mark
    own = {mark for marks in ruled_out for mark in marks if mark.startswith(f"{family} ")}
    raise UsedUpError(index, family, own)


def _page(
    plan: Plan, index: int, whose: Whose, taken: Collection[str]
) -> tuple[list[ProblemLot], list[Problem], str]:
    """The circuits of a section by inspection, and what marks them together.

    No structure comes twice, as long as there are others.  ``taken`` are the marks of other
    students.
    """
    for again in range(_PAGES):
        lots: list[ProblemLot] = []
        problems: list[Problem] = []
        met: set[str] = set()
        for place, type_ in enumerate(families_of(plan, index, whose)):
            tried = list(_until_new(_seen(plan, index, place, type_, whose, again), met))
            lot, problem = tried[-1] if len(tried) < _AGAIN else tried[0]
            met.add(structure(problem.ladder))
            lots.append(lot)
            problems.append(problem)
        mark = page_print(problems)
        if mark not in taken:
            return lots, problems, mark
    raise UsedUpError(index, "")


_Draw: TypeAlias = tuple[ProblemLot, Problem]


def _seen(
    plan: Plan, index: int, place: int, type_: str, whose: Whose, again: int
) -> Iterator[_Draw]:
    """Circuits of a type for a place on a page, which is drawn ``again``."""
    for attempt in range(_AGAIN * again, _AGAIN * (again + 1)):
        seed = lot_seed(plan, index, place, whose, attempt)
        problem = problem_of(plan.sections[index], type_, seed)
        yield ProblemLot(index, family=type_, seed=seed, attempt=attempt), problem


def _until_new(draws: Iterable[_Draw], met: Collection[str]) -> Iterator[_Draw]:
    """The draws up to the first whose structure is none of those met."""
    for draw in draws:
        yield draw
        if structure(draw[1].ladder) not in met:
            return


def _draws(
    plan: Plan, index: int, place: int, family: str, whose: Whose
) -> Iterator[tuple[ProblemLot, Problem]]:
    section = plan.sections[index]
    for attempt in range(_TRIES):
        seed = lot_seed(plan, index, place, whose, attempt)
        try:
            problem = problem_of(section, family, seed)
        except GenerationError:
            continue
        yield ProblemLot(index, family=family, seed=seed, attempt=attempt), problem


def fingerprint(family: str, ladder: Ladder) -> str:
    """What two circuits share that may not both be given: ``family``, and values of ``ladder``.

    Names and the order of parts that changes nothing do not count.
    """
    parts = sorted(f"{e.kind.value}{e.value}" for e in ladder.elements())
    return " ".join((family or write_circuit(ladder, "; "), *parts))


@lru_cache(maxsize=1024)
def families_of(plan: Plan, index: int, whose: Whose) -> tuple[str, ...]:
    """The family of each drawn problem of the section of ``plan`` at ``index``, for ``whose``.

    By inspection, it is the type of each.

    All families of the section come before one comes again, and no more than two of one type
    in a row, as far as the families allow it.

    Raises:
        SheetError: there is no family that can be asked what the section asks.
    """
    section = plan.sections[index]
    if not section.count:
        return ()
    if section.by_inspection:
        return types_drawn(section, families_chance(plan, index, whose))
    chance = families_chance(plan, index, 0 if section.same_families else whose)
    names = pool(section)
    if not names:
        raise SheetError(_none(index))
    found: list[str] = []
    left: list[str] = []
    while len(found) < section.count:
        left = left or chance.shuffled(names)
        last = {families.find(name).type for name in found[-_IN_A_ROW:]}
        full = len(found) >= _IN_A_ROW and len(last) == 1
        fit = (n for n in left if not full or families.find(n).type not in last)
        name = next(fit, left[0])
        left.remove(name)
        found.append(name)
    return tuple(found)


def _none(index: int) -> PlanTrouble:
    return PlanTrouble(
        f"sections[{index}].ask",
        "",
        wording("plan.none-asked"),
        wording("plan.ask-less"),
    )


def check(plan: Plan) -> None:
    """Prove that everything a plan wants can be made.

    Takes longer than reading it: circuits are drawn.

    Raises:
        SheetError: with everything that can't.
    """
    troubles: list[PlanTrouble] = []
    for index, section in enumerate(plan.sections):
        path = f"sections[{index}]"
        for number, circuit in enumerate(section.circuits):
            try:
                check_fixed(section, circuit)
            except SheetError as error:
                there = f"{path}.circuits[{number}]"
                troubles += [PlanTrouble(there, t.value, t.what, t.remedy) for t in error.troubles]
        if section.by_inspection:
            troubles += _not_inspected(index, section)
            continue
        if not section.count:
            continue
        for name in section.families:
            if not can_ask(name, bare(section)):
                troubles.append(
                    PlanTrouble(
                        f"{path}.families",
                        name,
                        wording("plan.family-not-asked", asked=_listed(section)),
                        wording("plan.leave-family-out"),
                    )
                )
        if not pool(section):
            troubles.append(_none(index))
    if troubles:
        raise SheetError(*troubles)


def _not_inspected(index: int, section: PlanSection) -> Iterator[PlanTrouble]:
    for type_ in types_of(section):
        try:
            inspected(section, type_, 0)
        except GenerationError:
            what = wording("plan.not-inspected", type=type_)
            yield PlanTrouble(f"sections[{index}].ask", "", what, wording("plan.inspect-less"))


def _listed(section: PlanSection) -> str | Wording:
    wanted = ", ".join((*section.ask, *section.slips))
    return wanted or wording("plan.what-task-asks", task=section.task)
