"""Where a learner stands, as plain values for the progress screen and for other programs."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from ..learning.recognition import LookState, Recognition, look_skills, sight_skills
from ..learning.schedule import due_day
from ..learning.skill_map import parts_of, skills
from ..learning.skills import SkillState
from .outlook import Outlook, board_of, look
from .overview import Overview

if TYPE_CHECKING:
    from ..learning.evidence import Evidence
    from ..store.keeper import Keeper

FORMAT = "rungwise.progress/1"
WEEKS = 8
"""Weeks that the course of the slips is told for."""
COLUMNS = (
    "skill", "circuits", "question", "state", "known", "asked", "right", "wrong", "aided",
    "seconds_each", "last", "review",
)  # fmt: skip
"""The columns of the CSV, and the members of a skill in the JSON."""


@dataclass(frozen=True, slots=True)
class Line:
    """One skill.

    ``state`` is "new", "begun", "weak", "known" or "due".  ``known`` is the probability that
    it is mastered.  ``seconds`` is the mean time of a rung.  ``last`` is the day it was last
    asked, ``review`` the day it is due again.
    """

    skill: str
    state: str
    known: float
    asked: int
    right: int
    wrong: int
    aided: int
    seconds: float
    last: date | None
    review: date | None

    @property
    def share(self) -> float:
        """The share that was right at once, of what was asked."""
        return self.right / self.asked if self.asked else 0.0


@dataclass(frozen=True, slots=True)
class SlipCourse:
    """How often a slip was made in each of the last weeks, the oldest first."""

    slip: str
    weeks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SightLine:
    """One skill of looks.

    ``state`` is "new", "begun" or "known".  ``asked`` and ``right`` count cold looks, ``seconds``
    is the median of right answers, outliers capped, and ``last`` the day of the latest.
    """

    skill: str
    state: str
    asked: int
    right: int
    seconds: float
    last: date | None


@dataclass(frozen=True)
class Progress:
    """Everything that the progress screen shows."""

    outlook: Outlook
    board: Overview
    lines: tuple[Line, ...]
    slips: tuple[SlipCourse, ...]
    sight: tuple[SightLine, ...] = ()

    @property
    def confusions(self) -> tuple[tuple[str, str, int], ...]:
        """(asked, answered, how often) of types taken for others, the most frequent first."""
        return self.outlook.known.confusions()

    def line(self, skill: str) -> Line:
        """The line of a skill.

        Raises:
            StopIteration: there is no such skill.
        """
        return next(line for line in self.lines if line.skill == skill)


def progress(outlook: Outlook, evidence: Iterable[Evidence]) -> Progress:
    """What is known, from an ``outlook`` and the ``evidence`` of at least the last weeks."""
    lines, courses = tuple(_lines(outlook)), slip_courses(outlook.now, evidence)
    return Progress(outlook, board_of(outlook), lines, courses, tuple(_sight(outlook.known)))


def progress_now(keeper: Keeper | None, now: datetime) -> Progress:
    """Bring together what a ``keeper``'s record says at a moment, ``now``; not for the loop."""
    outlook = look(keeper, now)
    since = now - timedelta(weeks=WEEKS + 1)
    return progress(outlook, keeper.evidence(since) if keeper else ())


def _lines(outlook: Outlook) -> Iterator[Line]:
    standing, now = outlook.standing, outlook.now
    named = (
        ("due", standing.due), ("known", standing.mastered), ("weak", standing.weak),
        ("begun", standing.begun),
    )  # fmt: skip
    state_of: dict[str, str] = {}
    for name, members in named:
        for skill in members:
            state_of.setdefault(skill, name)
    every = (*skills(), *(skill for skill in outlook.states if skill not in set(skills())))
    for skill in every:
        state = outlook.states.get(skill) or SkillState(skill)
        asked = max(1, state.asked)
        last = _day(state.last, now) if state.last else None
        review = due_day(state, now, outlook.exam) if state.mastered else None
        yield Line(
            skill,
            state_of.get(skill, "new" if not state.asked else "begun"),
            state.p if state.asked or state.mastered else 0.0,
            state.asked,
            state.right,
            state.wrong,
            state.aided,
            state.seconds / asked,
            last,
            review,
        )


def _sight(known: Recognition) -> Iterator[SightLine]:
    """Every skill of recognition, and what builds upon it as far as it was met."""
    for skill in look_skills():
        state = known.states.get(skill) or LookState(skill)
        if not state.asked and skill not in sight_skills():
            continue
        begun = "begun" if state.asked else "new"
        yield SightLine(
            skill,
            "known" if known.known(skill) else begun,
            state.asked,
            state.right,
            known.seconds(skill),
            state.last,
        )


def _day(seconds: float, now: datetime) -> date:
    return datetime.fromtimestamp(seconds, UTC).astimezone(now.tzinfo).date()


def slip_courses(now: datetime, evidence: Iterable[Evidence]) -> tuple[SlipCourse, ...]:
    """The slips that ``evidence`` shows of the last weeks, the most frequent first.

    The latest week ends with the day of ``now``, in its zone.
    """
    today, counts = now.date(), Counter[tuple[str, int]]()
    for piece in evidence:
        ago = (today - piece.when.astimezone(now.tzinfo).date()).days // 7
        if 0 <= ago < WEEKS:
            # Several slips may explain one answer; the likeliest comes first.
            counts.update((slip, ago) for slip in piece.slips[:1])
    names = {slip for slip, _ in counts}
    courses = [
        SlipCourse(slip, tuple(counts[slip, ago] for ago in range(WEEKS - 1, -1, -1)))
        for slip in names
    ]
    return tuple(sorted(courses, key=lambda course: (-sum(course.weeks), course.slip)))


def _record(line: Line) -> dict[str, Any]:
    try:
        group, rung = (part.value for part in parts_of(line.skill))
    except ValueError:
        group, rung = "", ""
    return {
        "skill": line.skill,
        "circuits": group,
        "question": rung,
        "state": line.state,
        "known": round(line.known, 4),
        "asked": line.asked,
        "right": line.right,
        "wrong": line.wrong,
        "aided": line.aided,
        "seconds_each": round(line.seconds, 1),
        "last": line.last.isoformat() if line.last else None,
        "review": line.review.isoformat() if line.review else None,
    }


def as_object(found: Progress, learner: str = "") -> dict[str, Any]:
    """The progress ``found`` of a ``learner`` for JSON; other programs rely on its names."""
    outlook = found.outlook
    forecast = outlook.standing.forecast
    return {
        "format": FORMAT,
        "learner": learner,
        "now": outlook.now.isoformat(timespec="seconds"),
        "exam": outlook.exam.isoformat() if outlook.exam else None,
        "days_to_exam": forecast.days,
        "asked": outlook.asked,
        "right": outlook.right,
        "expected_known": round(forecast.ready, 4),
        "groups_met": found.board.groups,
        "types_met": found.board.types,
        "reviews": [{"day": day.isoformat(), "skills": count} for day, count in forecast.calendar],
        "skills": [_record(line) for line in found.lines],
        "looks": _looks(found),
        "slips": [
            {"slip": target.slip, "times": target.times, "skills": list(target.skills)}
            for target in outlook.standing.slips
        ],
        "slips_by_week": [
            {"slip": course.slip, "weeks": list(course.weeks)} for course in found.slips
        ],
    }


def _sight_record(line: SightLine) -> dict[str, Any]:
    question, _, circuits = line.skill.partition("/")
    return {
        "skill": line.skill,
        "circuits": circuits,
        "question": question,
        "state": line.state,
        "asked": line.asked,
        "right": line.right,
        "seconds": round(line.seconds, 1),
        "last": line.last.isoformat() if line.last else None,
    }


def _looks(found: Progress) -> dict[str, Any]:
    """What looks have shown; ``confusions`` is the table of types asked and answered."""
    known = found.outlook.known
    pace = known.pace
    return {
        "looks": known.looks,
        "known": sum(line.state == "known" for line in found.sight),
        "seconds_a_decision": None if pace is None else round(pace, 2),
        "skills": [_sight_record(line) for line in found.sight],
        "confusions": [
            {"asked": asked, "answered": answered, "times": times}
            for asked, answered, times in found.confusions
        ],
    }


def as_csv(found: Progress) -> str:
    """The skills as comma-separated values after RFC 4180, one line a skill."""
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    for line in found.lines:
        writer.writerow({key: _guarded(value) for key, value in _record(line).items()})
    for seen in found.sight:
        if seen.asked:  # what was seen at a glance: seconds are those of a look
            row = _sight_record(seen)
            row |= {"skill": f"look/{seen.skill}", "wrong": seen.asked - seen.right}
            row["seconds_each"] = row.pop("seconds")
            writer.writerow({key: _guarded(value) for key, value in row.items()})
    return out.getvalue()


def _guarded(value: object) -> object:
    """A cell that no spreadsheet takes for a formula."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return "'" + value
    return value
