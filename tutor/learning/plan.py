"""Where a learner stands, and what is worth asking next.

Everything here is pure: the states come from a record, the time and the chance from whoever
asks.  ``now`` is aware and in the learner's own time zone: it says which day it is there, and
``exam`` is a day of the same calendar.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from enum import StrEnum
from typing import TYPE_CHECKING

from ...problems.catalogue.groups import SkillGroup
from ...problems.questions.model import Task
from .request import ProblemRequest
from .schedule import due_day
from .skill_map import group_of, parts_of, skill_of, skills
from .skills import RECURRING, SkillState, needed

if TYPE_CHECKING:
    from ...problems.chance import Chance


class Mode(StrEnum):
    """What a sitting is for."""

    TEN_MINUTES = "ten-minutes"
    UNTIL_DONE = "until-done"
    WEAK_SPOTS = "weak-spots"
    REHEARSAL = "rehearsal"


@dataclass(frozen=True, slots=True)
class SlipTarget:
    """A slip that recurs: how often it was made, and with which skills, the latest last."""

    slip: str
    times: int
    skills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Forecast:
    """What can be expected of the exam.

    ``days`` are those left (``None`` without a date).  ``ready`` is the share of all skills
    expected to be known on the day of the exam (today, without a date) if nothing more were
    done.  ``problems`` is how many it takes, about, until everything is mastered, and
    ``a_day`` how many that is a day (``None`` without a date or on the day itself).
    ``calendar`` counts the reviews by the day they fall due, from today (with everything
    overdue) on.
    """

    days: int | None
    ready: float
    problems: int
    a_day: float | None
    calendar: tuple[tuple[date, int], ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """All skills, each in the order of teaching.

    Every skill is in exactly one of ``mastered``, ``weak`` (begun, and missed or helped),
    ``begun`` (without a miss so far) and ``new``.  ``due`` are those of the mastered ones
    whose review is due today.  ``slips`` recur.
    """

    mastered: tuple[str, ...]
    due: tuple[str, ...]
    weak: tuple[str, ...]
    begun: tuple[str, ...]
    new: tuple[str, ...]
    slips: tuple[SlipTarget, ...]
    forecast: Forecast

    @property
    def complete(self) -> bool:
        """Whether everything is mastered and nothing is due."""
        return not (self.due or self.weak or self.begun or self.new)


def standing(states: Mapping[str, SkillState], now: datetime, exam: date | None) -> Standing:
    """Where a learner stands.

    Args:
        states: by skill.
        now: aware, in the learner's time zone.
        exam: the day of the exam there, or ``None``.
    """
    today = now.date()
    places: dict[str, list[str]] = {"mastered": [], "weak": [], "begun": [], "new": []}
    due: list[str] = []
    calendar: dict[date, int] = {}
    for skill in skills():
        state = states.get(skill)
        if state is None or not (state.asked or state.mastered):
            places["new"].append(skill)
        elif not state.mastered:
            places["weak" if state.wrong or state.aided else "begun"].append(skill)
        else:
            places["mastered"].append(skill)
            day = due_day(state, now, exam)
            if day is not None:
                day = max(day, today)
                calendar[day] = calendar.get(day, 0) + 1
                if day == today:
                    due.append(skill)
    days = (exam - today).days if exam is not None and exam >= today else None
    problems = _problems(states)
    forecast = Forecast(
        days,
        _ready(states, now, exam if days else None),
        problems,
        problems / days if days else None,
        tuple(sorted(calendar.items())),
    )
    return Standing(
        tuple(places["mastered"]),
        tuple(due),
        tuple(places["weak"]),
        tuple(places["begun"]),
        tuple(places["new"]),
        recurring(states.values()),
        forecast,
    )


def recurring(states: Iterable[SkillState]) -> tuple[SlipTarget, ...]:
    """The slips that were made again and again and are not over, the most frequent first."""
    found: dict[str, list[tuple[int, float, str]]] = {}
    for state in states:
        for count in state.slips:
            if count.open:
                found.setdefault(count.slip, []).append((count.times, state.last, state.skill))
    targets = []
    for slip, made in found.items():
        times = sum(one for one, _, _ in made)
        if times >= RECURRING:
            made.sort(key=lambda entry: entry[1])
            targets.append(SlipTarget(slip, times, tuple(skill for _, _, skill in made)))
    return tuple(sorted(targets, key=lambda target: (-target.times, target.slip)))


def _ready(states: Mapping[str, SkillState], now: datetime, exam: date | None) -> float:
    """The share of all skills expected to be known on the day of the exam."""
    from .memory import recalled

    # Twelve hours into the day: which hour it is makes no difference worth asking for.
    when = datetime.combine(exam, time(12), now.tzinfo) if exam else now
    at = max(when, now).timestamp()
    found = 0.0
    for skill in skills():
        state = states.get(skill)
        if state is not None and (state.asked or state.mastered):
            memory = (state.stability, state.difficulty, state.gap, state.reviewed)
            found += state.p * (recalled(memory, at) if state.reviewed else 1.0)
    return found / len(skills())


def _problems(states: Mapping[str, SkillState]) -> int:
    """About how many problems it takes until everything is mastered."""
    answers = sum(needed(states.get(skill), skill) for skill in skills())
    return math.ceil(answers / USEFUL)


USEFUL = 6
"""Right answers that a chosen problem brings a skill that needs them, about (by simulation)."""

LAST_DAYS = 2
"""So near to the exam every group of circuits is met once, and then nothing new is begun while
there is anything else to do."""


def what_next(
    states: Mapping[str, SkillState],
    now: datetime,
    exam: date | None,
    mode: Mode,
    recent: Sequence[ProblemRequest],
    chance: Chance,
    tasks: Sequence[Task] = tuple(Task),
) -> ProblemRequest:
    """The next problem: the one most worth asking.

    Takes as long as making a dozen problems, some tens of milliseconds.

    Args:
        states: by skill.
        now: aware, in the learner's time zone.
        exam: the day of the exam there, or ``None``.
        mode: what the sitting is for.
        recent: the problems before, each with its family, the latest last; twenty are enough.
        chance: decides where several are worth the same.
        tasks: what may be asked for.
    """
    from . import choice

    at = standing(states, now, exam)
    rows = choice.allowed(recent)
    if mode is Mode.REHEARSAL:
        begun = {parts_of(skill)[0] for skill in states if skill in set(skills())}
        known = [row for row in rows if group_of(row.name) in begun] or rows
        row = chance.pick(known)
        return ProblemRequest(row.level, row.name, chance.below(choice.SEEDS), chance.pick(tasks))
    only: frozenset[str] | None = None
    if mode is Mode.WEAK_SPOTS:
        only = frozenset(at.weak) or None
    else:
        days = at.forecast.days
        if days is not None and days <= LAST_DAYS:
            unmet = _unmet(states)
            if unmet:  # coverage first: one of each kind of circuit is worth more than the last
                new = [row for row in rows if group_of(row.name) in unmet[:2]]
                if new:
                    return choice.choose(choice.QuestionWorth(states, at.due), new, tasks, chance)
            only = frozenset((*at.due, *at.weak, *at.begun)) or None
    open_ = choice.ready(states) | {parts_of(skill)[0] for skill in (*at.due, *at.weak)}
    # Reviews would leave no room for the last few skills: half of the problems are for what is
    # new.  Chance says which, since look-alikes take turns as well.
    lacking = bool(at.weak or at.begun or at.new) and only is None and chance.below(2)
    worth = choice.QuestionWorth(states, () if lacking else at.due, only)
    ready = [row for row in rows if group_of(row.name) in open_]
    if only is None and not states:
        return choice.widest(ready or rows, tasks[:1], recent, chance)
    if only is None and _shown_round(states, at, recent):
        return choice.widest(rows, tasks, recent, chance)
    return choice.choose(worth, ready or rows, tasks, chance)


def _unmet(states: Mapping[str, SkillState]) -> tuple[SkillGroup, ...]:
    """The groups of circuits that were never met in full, in the order of teaching."""
    met = {parts_of(skill)[0] for skill, state in states.items() if state.families}
    groups = dict.fromkeys(parts_of(skill)[0] for skill in skills())
    return tuple(group for group in groups if group not in met)


def _shown_round(
    states: Mapping[str, SkillState], at: Standing, recent: Sequence[ProblemRequest]
) -> bool:
    """Whether somebody fluent is shown round next, before what is weak is practised."""
    from . import choice

    if choice.fluency(states) < choice.FLUENT or len(choice.climbed(states)) >= choice.ROUND:
        return False
    if not at.weak or not recent:
        return not at.weak
    # What turned up on the way is practised in between.
    last = choice.made(recent[-1])
    return any(skill_of(last.family, question.rung) in at.weak for question in last.questions)
