"""A class report: marks in, figures out.  ``blocks.py`` lays it out, ``document.py`` as JSON.

An *item* is a question at one place of the sheet.  Where families or values differ from student
to student, its versions are of one kind and are taken together.  A blank answer is not right; an
answer that could not be read counts with the points it was given, and is left out of the share
that was right until somebody has decided about it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from ...files.names import question_place
from ...learning.skill_map import group_of
from ..marking.marks import (
    ClassMarks,
    HandInState,
    ProblemMark,
    QuestionMark,
    QuestionOutcome,
    SetApart,
    StudentMarks,
)
from . import figures
from .comparison import Comparison, by_group, by_variant
from .confusion import Confusion, confusions
from .figures import Share, Spread
from .unexplained import Alike, unexplained

ENOUGH = 0.7
"""A skill with a smaller share right is taught again: common practice, no source."""
FEW_ASKED = 5
"""A question that fewer were asked has no discrimination: common practice, no source."""
TOO_FEW = 5
"""A class smaller than this could be recognised one by one: common practice, no source."""

Place = tuple[int, ...]
Key = TypeVar("Key")
_Asked = tuple[QuestionMark, str, tuple[Fraction, Fraction]]


@dataclass(frozen=True, slots=True)
class QuestionFigures:
    """The figures of one question.  ``outcomes`` counts them in the order of ``Outcome``."""

    number: str
    rung: str
    groups: tuple[str, ...]
    of: Fraction
    outcomes: tuple[int, ...]
    difficulty: float | None
    discrimination: float | None

    @property
    def count(self) -> int:
        """How many students were asked."""
        return sum(self.outcomes)


@dataclass(frozen=True, slots=True)
class ClassSlipCount:
    """A slip: how many students made it, how often, at which questions, and one sentence.

    ``lost`` are the points it cost, ``asked`` the kinds of question and the families at which it
    was made, those first that cost most.
    """

    slip: str
    students: int
    times: int
    questions: tuple[str, ...]
    sentence: str
    lost: Fraction
    asked: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Skill:
    """A kind of question about a group of circuits, and the share that was right.

    ``families`` are those it was asked about, ``of`` the points it was worth each time, ``lost``
    the points that the class lost by it, out of ``had``.
    """

    group: str
    rung: str
    share: Share
    students: int
    families: tuple[str, ...]
    of: Fraction
    lost: Fraction
    had: Fraction

    @property
    def weak(self) -> bool:
        """Whether it is to be taught again."""
        return self.share.value is not None and self.share.value < ENOUGH


@dataclass(frozen=True, slots=True)
class Waiting:
    """What marks wait for: who is missing, what is unread, which answers nobody decided.

    ``absent`` are the students who are in no figure, ``unclear`` and ``paper`` (answers, students);
    ``files`` are those set apart, in the order of the marks.
    """

    absent: tuple[StudentMarks, ...] = ()
    unclear: tuple[int, int] = (0, 0)
    paper: tuple[int, int] = (0, 0)
    files: tuple[SetApart, ...] = ()

    def of(self, state: HandInState) -> tuple[StudentMarks, ...]:
        """Those of one ``state``."""
        return tuple(one for one in self.absent if one.state is state)

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to wait for."""
        return not (self.absent or self.unclear[0] or self.paper[0] or self.files)


NOTHING = Waiting()
"""Where all are marked, and all is decided."""


@dataclass(frozen=True, slots=True)
class Report:
    """Everything a report says, as plain values.

    ``of`` is ``None`` where sheets differ in the points that can be had: figures in points are
    then left out, and shares of the points told.  ``alpha_items`` takes questions for parts,
    ``alpha_problems`` whole problems, since the questions of one build on each other.
    ``unexplained_by`` are the names to the students' places in ``unexplained``.  What is told of
    single students, and what waits, an anonymous report keeps to itself.
    """

    title: str
    course: str
    date: str
    expected: int
    count: int
    of: Fraction | None
    points: Spread | None
    share: Spread | None
    histogram: tuple[int, ...]
    items: tuple[QuestionFigures, ...]
    alpha_items: float | None
    alpha_problems: float | None
    error: float | None
    slips: tuple[ClassSlipCount, ...]
    skills: tuple[Skill, ...]
    standings: tuple[StudentMarks, ...]
    unclear: int
    blank: int
    waiting: Waiting = NOTHING
    confusions: tuple[Confusion, ...] = ()
    groups: Comparison | None = None
    variants: Comparison | None = None
    unexplained: tuple[Alike, ...] = ()
    unexplained_by: tuple[str, ...] = ()
    anonymous: bool = False

    @property
    def reteach(self) -> tuple[Skill, ...]:
        """The skills to teach again, the least known first.

        That is the one whose share may at best be least: the upper end of its interval.  By the
        share itself, one wrong answer to a question that nobody else had would come first.
        """
        return tuple(sorted((skill for skill in self.skills if skill.weak), key=_by_need))

    @property
    def costliest(self) -> tuple[ClassSlipCount, ...]:
        """The slips by the points they cost, most first."""
        return tuple(sorted(self.slips, key=lambda s: (-s.lost, -s.students, s.slip)))

    @property
    def few(self) -> bool:
        """Whether there are so few hand-ins that figures say little."""
        return self.count < figures.FEW

    @property
    def hushed(self) -> bool:
        """Whether an anonymous report keeps to itself what would tell who has which points."""
        return self.anonymous and self.count < TOO_FEW


def report(marks: ClassMarks, *, anonymous: bool = False) -> Report:
    """The figures of a class's ``marks``; ``anonymous`` is without anybody's name, id or answer."""
    results = [s for s in marks.students if s.state is HandInState.MARKED and s.problems]
    shares = [r.share for r in results]
    whole = {r.of for r in results}
    of = whole.pop() if len(whole) == 1 else None
    points = figures.spread([r.points for r in results]) if of is not None else None
    by_item = _common([{_key(q): (q.points, q.of) for q in r.questions} for r in results])
    by_problem = _common([{p.number: (p.points, p.of) for p in r.problems} for r in results])
    alpha_problems = figures.alpha(by_problem) if by_problem else None
    outcomes = [q.verdict for r in results for q in r.questions]
    return Report(
        title=marks.title,
        course=marks.course,
        date=marks.date,
        expected=len(marks.students),
        count=len(results),
        of=of,
        points=points,
        share=figures.spread(shares),
        histogram=tuple(figures.histogram(shares)),
        items=_items(results),
        alpha_items=figures.alpha(by_item) if by_item else None,
        alpha_problems=alpha_problems,
        error=figures.measurement_error(points.deviation, alpha_problems) if points else None,
        slips=_slips(results, anonymous=anonymous),
        skills=_skills(results),
        standings=() if anonymous else tuple(results),
        unclear=outcomes.count(QuestionOutcome.UNCLEAR),
        blank=outcomes.count(QuestionOutcome.BLANK),
        waiting=NOTHING if anonymous else _waiting(marks),
        confusions=confusions(results),
        groups=_none_small(by_group(results), anonymous=anonymous),
        variants=_none_small(by_variant(results), anonymous=anonymous),
        unexplained=() if anonymous else unexplained(results),
        unexplained_by=() if anonymous else tuple(r.called for r in results),
        anonymous=anonymous,
    )


def _waiting(marks: ClassMarks) -> Waiting:
    """What the ``marks`` of a class wait for."""
    absent = tuple(s for s in marks.students if s.state is not HandInState.MARKED)
    marked = [s for s in marks.students if s.state is HandInState.MARKED]
    return Waiting(absent, _waits(marked, "unclear"), _waits(marked, "paper"), marks.apart)


def _waits(students: Sequence[StudentMarks], outcome: str) -> tuple[int, int]:
    each = [sum(q.verdict.value == outcome for q in s.questions) for s in students]
    return sum(each), sum(map(bool, each))


def _none_small(found: Comparison | None, *, anonymous: bool) -> Comparison | None:
    """A comparison; none that would tell an anonymous class about a few of its members."""
    small = found is not None and min(part.count for part in found.parts) < TOO_FEW
    return None if anonymous and small else found


def _key(question: QuestionMark) -> tuple[Place, str]:
    return question_place(question.number), question.rung


def _share(points: Fraction, of: Fraction) -> Fraction:
    return points / of if of else Fraction(0)


def _common(rows: list[dict[Key, tuple[Fraction, Fraction]]]) -> list[list[Fraction]]:
    """Points by part and student, if everybody was asked the same parts; else nothing.

    Where a part is worth more to one student than to another, the shares of all parts are taken.
    """
    if not rows or any(row.keys() != rows[0].keys() for row in rows):
        return []
    alike = all(row[key][1] == rows[0][key][1] for row in rows for key in row)
    return [[row[key][0] if alike else _share(*row[key]) for row in rows] for key in rows[0]]


def _items(results: list[StudentMarks]) -> tuple[QuestionFigures, ...]:
    asked: dict[tuple[Place, str], list[_Asked]] = defaultdict(list)
    for result in results:
        points, of = result.points, result.of
        for problem in result.problems:
            group = group_of(problem.family).value
            for question in problem.questions:
                rest = points - question.points, of - question.of
                asked[_key(question)].append((question, group, rest))
    return tuple(_item(asked[key]) for key in sorted(asked))


def _comparable(parts: list[tuple[Fraction, Fraction]]) -> list[Fraction]:
    """Points that can be compared: shares, where not all could have the same."""
    if len({of for _, of in parts}) == 1:
        return [points for points, _ in parts]
    return [_share(*part) for part in parts]


def _item(asked: list[_Asked]) -> QuestionFigures:
    first = asked[0][0]
    own = _comparable([(question.points, question.of) for question, _, _ in asked])
    rest = _comparable([rest for _, _, rest in asked])
    alike = all(question.of == first.of for question, _, _ in asked)
    outcomes = [question.verdict for question, _, _ in asked]
    return QuestionFigures(
        number=first.number,
        rung=first.rung,
        groups=tuple(sorted({group for _, group, _ in asked})),
        of=first.of,
        outcomes=tuple(outcomes.count(outcome) for outcome in QuestionOutcome),
        difficulty=figures.difficulty(own, first.of if alike else Fraction(1)),
        discrimination=figures.correlated(own, rest) if len(asked) >= FEW_ASKED else None,
    )


def _slips(results: list[StudentMarks], *, anonymous: bool) -> tuple[ClassSlipCount, ...]:
    """Slips by the number of students who made them.

    Where several slips lead to one answer, only the likeliest is counted.
    """
    found: dict[str, _SlipTally] = defaultdict(_SlipTally)
    for place, result in enumerate(results):
        for problem in result.problems:
            for question in problem.questions:
                if question.slip:
                    found[question.slip].add(place, problem, question)
    counted = [
        ClassSlipCount(
            slip,
            len(tally.students),
            tally.times,
            tuple(sorted(tally.questions, key=question_place)),
            "" if anonymous else tally.sentence,
            tally.lost,
            tuple(sorted(tally.asked, key=lambda key: (*(-n for n in tally.asked[key]), key))),
        )
        for slip, tally in found.items()
    ]
    return tuple(sorted(counted, key=lambda c: (-c.students, -c.times, c.slip)))


class _SlipTally:
    """What adds up to a slip."""

    def __init__(self) -> None:
        self.students: set[int] = set()
        self.times = 0
        self.questions: set[str] = set()
        self.sentence = ""
        self.lost = Fraction(0)
        self.asked: dict[tuple[str, str], tuple[Fraction, int]] = {}
        """By kind of question and family, the points it cost there and how often."""

    def add(self, student: int, problem: ProblemMark, question: QuestionMark) -> None:
        lost, key = question.lost, (question.rung, problem.family)
        self.students.add(student)
        self.times += 1
        self.questions.add(question.number)
        self.sentence = self.sentence or question.slips[0].sentence
        self.lost += lost
        before, times = self.asked.get(key, (Fraction(0), 0))
        self.asked[key] = before + lost, times + 1


def _skills(results: list[StudentMarks]) -> tuple[Skill, ...]:
    """Skills by the points that were lost by them, most first."""
    found: dict[tuple[str, str], _Tally] = defaultdict(_Tally)
    for place, result in enumerate(results):
        for problem in result.problems:
            group = group_of(problem.family).value
            for question in problem.questions:
                found[group, question.rung].add(place, problem, question)
    made = [
        Skill(
            group,
            rung,
            figures.wilson(tally.right, tally.asked),
            len(tally.students),
            tuple(sorted(tally.families)),
            tally.of,
            tally.lost,
            tally.had,
        )
        for (group, rung), tally in found.items()
    ]
    return tuple(sorted(made, key=lambda skill: (-skill.lost, *_by_need(skill))))


class _Tally:
    """What adds up to a skill."""

    def __init__(self) -> None:
        self.right = self.asked = 0
        self.students: set[int] = set()
        self.families: set[str] = set()
        self.of = self.lost = self.had = Fraction(0)

    def add(self, student: int, problem: ProblemMark, question: QuestionMark) -> None:
        self.families |= {problem.family} - {""}
        self.of = max(self.of, question.of)
        if question.verdict not in (QuestionOutcome.UNCLEAR, QuestionOutcome.PAPER):
            self.asked += 1
            self.right += question.verdict.passed
            self.students.add(student)
            self.had += question.of
            self.lost += question.lost


def _by_need(skill: Skill) -> tuple[float, int, str, str]:
    return skill.share.high, -skill.share.asked, skill.group, skill.rung
