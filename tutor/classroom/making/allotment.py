"""Which variant of a plan each student is given: by the roster, by seat or by lot.

By lot a student's variant follows from who they are alone, so that nobody's changes with the
others; of n students about n/2 ± √n/2 get the first of two.  By seat it follows from the seat's
place in its row, or from the neighbours where these would have the same; students without a seat
take turns, group by group.  What somebody was given by seat stays, however the roster changes.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ....problems.sheets.keyed_chance import variant_by_lot
from ....problems.sheets.model import Plan, Student, VariantsBy
from ...language.texts import speaker
from ...language.told import ToldError

say = speaker("roster", "variant.")

_DIGITS, _BETWEEN = "0123456789", " -/.:,"
_MOST_DIGITS = 4


class AllotmentError(ToldError):
    """The roster does not say which variant somebody is given; ``lines`` say for whom not."""

    misused = True


@dataclass(frozen=True, slots=True)
class Allotment:
    """The students with their variants, in the order they were given, and what is odd about it."""

    students: tuple[Student, ...]
    notes: tuple[str, ...] = ()


def allotted(
    plan: Plan, students: Sequence[Student], before: Mapping[str, str] | None = None
) -> Allotment:
    """Give each student a variant of a plan.

    Args:
        plan: the plan; where it has no variants, nobody is given one.
        students: the class, with their identities; ``variant`` is what the roster says.
        before: what was given to whom, by identity, when this plan was made last.

    Raises:
        AllotmentError: the roster is to say it, and does not.
    """
    named = any(student.variant for student in students)
    if not plan.variants:
        left = (say("none"),) if named else ()
        return Allotment(tuple(replace(student, variant="") for student in students), left)
    way = plan.variants_by or (VariantsBy.ROSTER if named else VariantsBy.LOT)
    if way is VariantsBy.ROSTER:
        return Allotment(_by_roster(plan, students))
    left = (say("unused", way=way.value),) if named else ()
    kept = before or {}
    if way is VariantsBy.LOT:
        # A roster that has lost its column takes nobody's variant away.
        had = {} if plan.variants_by else {w: v for w, v in kept.items() if v in plan.variants}
        labels = (had.get(one.identity) or variant_by_lot(plan, one) for one in students)
        made = (replace(one, variant=v) for one, v in zip(students, labels, strict=True))
        return Allotment(tuple(made), left)
    seated = _by_seat(plan, students, kept)
    return Allotment(seated, (*left, *_same_beside(seated)))


def _by_roster(plan: Plan, students: Sequence[Student]) -> tuple[Student, ...]:
    known = {label.casefold(): label for label in plan.variants}
    found, wrong = list[Student](), list[str]()
    for student in students:
        label = known.get(student.variant.casefold())
        if label is None:
            key = "unknown" if student.variant else "missing"
            all_ = ", ".join(plan.variants)
            wrong.append(say(key, who=called(student), variant=student.variant, variants=all_))
        found.append(replace(student, variant=label or ""))
    if wrong:
        raise AllotmentError(*some(wrong))
    return tuple(found)


# ------------------------------------------------------------------------------------- by seat

_Row = tuple[str, str]
"""The group that sits there, and the row's name."""


def place_of(seat: str) -> tuple[str, int] | None:
    """The row of a seat and its place there: C7 is place 7 of row c; ``None`` for no seat.

    A seat that is only a number is in a row without a name; "12C" is place 3 of row 12.
    """
    folded = " ".join(seat.casefold().split())
    row = folded.rstrip(_DIGITS)
    digits = folded[len(row) :]
    if 0 < len(digits) <= _MOST_DIGITS:
        return row.rstrip(_BETWEEN), int(digits)
    row, letter = folded[:-1].rstrip(_BETWEEN), folded[-1:]
    if 0 < len(row) <= _MOST_DIGITS and not row.strip(_DIGITS) and "a" <= letter <= "z":
        return row, ord(letter) - ord("a") + 1
    return None


def _seated(students: Sequence[Student]) -> Iterator[tuple[_Row, int, int]]:
    """(row, place, index among the students) of everybody who has a seat."""
    for index, student in enumerate(students):
        place = place_of(student.seat)
        if place is not None:
            yield (student.group, place[0]), place[1], index


def _by_seat(
    plan: Plan, students: Sequence[Student], before: Mapping[str, str]
) -> tuple[Student, ...]:
    kept = (before.get(student.identity, "") for student in students)
    given = [label if label in plan.variants else "" for label in kept]
    rows = defaultdict[_Row, list[tuple[int, int]]](list)
    for row, place, index in _seated(students):
        rows[row].append((place, index))
    for seats in rows.values():
        seats.sort()
        for at, (place, index) in enumerate(seats):
            if not given[index]:
                beside = {given[other] for _, other in seats[max(at - 1, 0) : at + 2]}
                given[index] = _first_other(plan, place - 1, beside)
    seated = {index for seats in rows.values() for _, index in seats}
    turns = defaultdict[str, Counter[str]](lambda: Counter(dict.fromkeys(plan.variants, 0)))
    standing = [index for index in range(len(students)) if index not in seated]
    for index in standing:
        if given[index]:
            turns[students[index].group][given[index]] += 1
    for index in standing:
        if not given[index]:
            count = turns[students[index].group]
            given[index] = min(plan.variants, key=count.__getitem__)  # the first of the rarest
            count[given[index]] += 1
    return tuple(replace(one, variant=label) for one, label in zip(students, given, strict=True))


def _first_other(plan: Plan, place: int, beside: set[str]) -> str:
    """The variant that a place of a row would have, or the next one that no neighbour has."""
    count = len(plan.variants)
    turned = [plan.variants[(place + step) % count] for step in range(count)]
    return next((label for label in turned if label not in beside), turned[0])


def _same_beside(students: Sequence[Student]) -> Iterator[str]:
    """Neighbours who have the same variant, which is left as it is, and two on one seat."""
    told, before = list[str](), None
    for row, place, index in sorted(_seated(students)):
        if before is not None and before[0] == row:
            one, other = students[before[2]], students[index]
            who = {"one": called(one), "other": called(other), "variant": other.variant}
            if before[1] == place:
                told.append(say("one-seat", **who, seat=other.seat))
            elif one.variant == other.variant:
                told.append(say("same-beside", **who))
        before = (row, place, index)
    yield from some(told)


def called(student: Student) -> str:
    """A student as they are told of: by name and id."""
    name = f"“{student.name[:40]}…”" if len(student.name) > 40 else student.name
    id_ = student.id and (f"({student.id[:40]})" if name else student.id[:40])
    return " ".join(filter(None, (name, id_))) or student.email[:60] or say("nobody")


def some(lines: Sequence[str], most: int = 12) -> list[str]:
    """The first ``lines``, ``most`` of them, and how many more there are."""
    more = len(lines) - most
    return [*lines[:most], *([say("more", more=more)] if more > 0 else [])]
