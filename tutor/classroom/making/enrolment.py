"""The students of a class folder: each has a number and a folder, given once and kept.

A roster is edited while a course runs.  Who is in it is found again by their student number, else
by their e-mail address, else by their name, in whatever row they are; a newcomer takes the next
free number, and who left keeps theirs out of use.  What a student's circuits follow from, their
identity, stays too, also where an id is added or corrected later.

Plans of the forms before the third go by the row: there the number is all that counts.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict, deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from ....problems.sheets.addressed import called as called_in_plan
from ....problems.sheets.identity import alike, identity
from ....problems.sheets.model import Plan, Student
from ...files.names import folder_name
from ...language.texts import plain, speaker
from ...language.told import ToldError
from .allotment import allotted, called, some

say = speaker("roster", "edited.")

_LEADING = re.compile(r"[0-9]+")
LEAST_DIGITS = 2
MOST_NAMESAKES = 100
"""Students of one name among whom somebody is looked for."""
MOST_NAMED, LONGEST_NAMED = 6, 40
"""Students whom a plan names, as they are told, and characters of each."""


class EnrolmentError(ToldError):
    """Two students can't be told apart; ``lines`` say which, and what mends it."""

    misused = True


@dataclass(frozen=True, slots=True)
class Enrolled:
    """A student of a class folder; ``left`` says that they are no longer in the roster."""

    student: Student
    folder: str
    left: bool = False


@dataclass(frozen=True, slots=True)
class Enrolment:
    """Everybody by number, those who left among them; what is odd, and what changed for whom."""

    members: tuple[Enrolled, ...]
    notes: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()

    @property
    def present(self) -> tuple[Student, ...]:
        """Those who are in the roster, by number."""
        return tuple(member.student for member in self.members if not member.left)


def enrolled(plan: Plan, roster: Sequence[Student], before: Sequence[Enrolled] = ()) -> Enrolment:
    """Find everybody of a roster again, and take in who is new.

    Args:
        plan: the plan, whose form decides whether rows count.
        roster: the students, in the order of the roster.
        before: everybody who was in the folder when it was made last.

    Raises:
        EnrolmentError: two of the roster are one and the same.
        AllotmentError: the roster is to say which variant they are given, and does not.
    """
    if plan.is_numbered:
        rows = tuple(map(_by_row, roster))
        return Enrolment(rows, _named_in_vain(plan, (one.student for one in rows)))
    _check_apart(roster)
    identities = _Identities(m.student.identity for m in before if m.student.identity)
    before = [_known(member, identities) for member in before]
    found = _found_again(roster, before)
    number = max((member.student.number for member in before), default=0)
    digits = _digits(roster, before)
    folders = {member.student.number: member.folder for member in before}
    known = list[Student]()
    for row, student in enumerate(roster):
        old = found.get(row)
        if old is not None:
            same = replace(student, number=old.number, identity=old.identity)
        else:
            number += 1
            same = replace(student, number=number)
            same = replace(same, identity=identities.fresh(same))
            folders[number] = folder_name(number, student.name, student.id, digits)
        known.append(same)
    was = {member.student.identity: member.student.variant for member in before}
    allotment = allotted(plan, known, was)
    present = {student.number: student for student in allotment.students}
    members = [Enrolled(present[n], folders[n]) for n in present]
    members += [replace(m, left=True) for m in before if m.student.number not in present]
    members.sort(key=lambda member: member.student.number)
    changes = some(list(_changes(before, members)), 24) if before else ()
    notes = (*allotment.notes, *_named_in_vain(plan, allotment.students))
    return Enrolment(tuple(members), notes, tuple(changes))


def _named_in_vain(plan: Plan, students: Iterable[Student]) -> tuple[str, ...]:
    """That sections are for students whom the roster has not, or calls otherwise."""
    there = set(map(called_in_plan, students))
    named = {alike(one): one for section in plan.sections for one in section.students}
    lacking = [one for key, one in named.items() if key not in there]
    if not lacking:
        return ()
    names = ", ".join(_short(one) for one in lacking[:MOST_NAMED])
    more = len(lacking) - MOST_NAMED
    names += say("more", more=more) if more > 0 else ""
    return (say("named-in-vain", names=names),)


def _short(text: str) -> str:
    return plain(text if len(text) <= LONGEST_NAMED else f"{text[:LONGEST_NAMED]}…")


def _by_row(student: Student) -> Enrolled:
    """As ever: an e-mail address stands where an id is lacking, and groups are not known."""
    plain = Student(student.number, student.name, student.id or student.email)
    return Enrolled(plain, folder_name(plain.number, plain.name, plain.id))


def _known(member: Enrolled, identities: _Identities) -> Enrolled:
    """A member with an identity, which folders of older plans do not keep."""
    if member.student.identity:
        return member
    student = replace(member.student, identity=identities.fresh(member.student))
    return replace(member, student=student)


def _check_apart(roster: Sequence[Student]) -> None:
    """Who has the same id is one person; so is who has the same address and no id."""
    met, wrong = dict[str, Student](), list[str]()
    for student in roster:
        key = identity(student)
        if not (student.id or student.email):
            continue  # several may have one name
        other = met.setdefault(key, student)
        if other is not student:
            what = say("id" if alike(student.id) else "email")
            wrong.append(say("same", one=called(other), other=called(student), what=what))
    if wrong:
        raise EnrolmentError(*some(wrong))


def _found_again(roster: Sequence[Student], before: Sequence[Enrolled]) -> dict[int, Student]:
    """Who of before stands in which row of the roster: surest signs first."""
    found, left = dict[int, Student](), [m.student for m in before]
    for sign, fits in _SIGNS:
        waiting = defaultdict[str, deque[Student]](deque)
        for student in left:
            waiting[sign(student)].append(student)
        for row, student in enumerate(roster):
            if row in found or not (key := sign(student)):
                continue
            old = next(
                (one for one in islice(waiting[key], MOST_NAMESAKES) if fits(one, student)), None
            )
            if old is not None:
                waiting[key].remove(old)
                found[row] = old
        taken = {student.number for student in found.values()}
        left = [student for student in left if student.number not in taken]
    return found


def _not_other(old: str, new: str) -> bool:
    """Whether two ids or addresses may be one person's: one may have come later, or gone."""
    return not (old and new) or alike(old) == alike(new)


def _name(student: Student) -> str:
    return alike(student.name) or _name_alone(student)


def _name_alone(student: Student) -> str:
    """The name of a student who has nothing else."""
    return "" if student.id or student.email else alike(student.name) or "without a name"


def _name_in_group(student: Student) -> str:
    """The same with the group, which tells some of one name apart when one of them leaves."""
    name = _name_alone(student)
    return name and f"{name}\n{alike(student.group)}"


_Fits = Callable[[Student, Student], bool]
_SIGNS: tuple[tuple[Callable[[Student], str], _Fits], ...] = (
    (lambda s: alike(s.id), lambda old, new: True),
    (lambda s: alike(s.email), lambda old, new: _not_other(old.id, new.id)),
    (_name_in_group, lambda old, new: True),
    (_name_alone, lambda old, new: True),
    (
        _name,
        lambda old, new: _not_other(old.id, new.id) and _not_other(old.email, new.email),
    ),
)


class _Identities:
    """Hands out identities that nobody has, however many have one name."""

    def __init__(self, taken: Iterable[str]) -> None:
        self._taken, self._among = set(taken), Counter[str]()

    def fresh(self, student: Student) -> str:
        """The identity of a newcomer."""
        plain = found = identity(student)
        while found in self._taken:
            self._among[plain] += 1
            found = identity(student, self._among[plain] + 1)
        self._taken.add(found)
        return found


def _digits(roster: Sequence[Student], before: Sequence[Enrolled]) -> int:
    """How many digits folders' numbers have: as many as the class needed when it was first made."""
    for member in before:
        leading = _LEADING.match(member.folder)
        if leading:
            return len(leading[0])
    return max(LEAST_DIGITS, len(str(len(roster))))


def _changes(before: Iterable[Enrolled], members: Iterable[Enrolled]) -> Iterator[str]:
    """What the roster changed, student by student."""
    known = {member.student.number: member for member in before}
    for member in members:
        student, old = member.student, known.get(member.student.number)
        who = called(student)
        if old is None:
            yield say("new", who=who, folder=member.folder)
        elif member.left and not old.left:
            yield say("left", who=who, folder=member.folder)
        elif old.left and not member.left:
            yield say("back", who=who, folder=member.folder)
        elif not member.left:
            yield from _changed(old.student, student)


def _changed(old: Student, new: Student) -> Iterator[str]:
    if (old.name, old.id) != (new.name, new.id):
        yield say("renamed", who=called(new), before=called(old))
    if old.group != new.group:
        nothing = say("no-group")
        values = {"group": new.group or nothing, "before": old.group or nothing}
        yield say("regrouped", who=called(new), **values)
    if old.variant and old.variant != new.variant:
        yield say("other-variant", who=called(new), variant=new.variant, before=old.variant)
