"""Where a learner stands, and what is worth doing next.

It is worked out beside the screen, in a thread or in a process of its own, and then shown.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING

from ...problems.catalogue.groups import SkillGroup
from ..learning.plan import Standing, standing
from ..learning.recognition import Recognition, look_parts
from ..learning.skill_map import parts_of
from ..learning.skills import SkillState
from ..phrases.skills import skill_parts, slip_words
from .looking import recognition_of, states_of
from .overview import Overview

if TYPE_CHECKING:
    from ..store.events import LeftOff
    from ..store.keeper import Keeper
    from ..store.rehearsals import KeptRehearsal

EXAM = "exam"
"""The setting that holds the day of the exam, as YYYY-MM-DD."""


@dataclass(frozen=True)
class Outlook:
    """Where a learner stands at one moment.

    ``now`` is in the learner's own time zone.  ``place`` is the keeper's, of the latest
    unfinished climb.  ``rehearsal`` is what is left of one that was not handed in, in seconds.
    ``known`` is what is known at sight.
    """

    now: datetime
    exam: date | None
    states: Mapping[str, SkillState]
    standing: Standing
    place: LeftOff | None = None
    trouble: str = ""
    rehearsal: float | None = None
    known: Recognition = field(default_factory=Recognition)

    @property
    def fresh(self) -> bool:
        """Whether nothing was ever answered or begun."""
        begun = self.place is not None or self.rehearsal is not None
        return not (self.asked or self.known.looks or begun)

    @property
    def asked(self) -> int:
        """Rungs left in all."""
        return sum(state.asked for state in self.states.values())

    @property
    def right(self) -> int:
        """Rungs that were right at once and unaided."""
        return sum(state.right for state in self.states.values())

    @property
    def groups(self) -> frozenset[SkillGroup]:
        """The groups of circuits that were met, at a glance or in full."""
        at_sight = {parts[1] for parts in map(look_parts, self.known.states) if parts[1]}
        in_full = {parts_of(skill)[0] for skill, state in self.states.items() if state.families}
        return frozenset(SkillGroup(group) for group in at_sight) | in_full

    @property
    def types(self) -> frozenset[str]:
        """The types of filter that were met, at a glance or in full."""
        from ...problems.catalogue.families import UnknownFamily, find
        from ...problems.questions.looks import TYPES, LookKind

        found = {truth for one, truth, _ in self.known.answers if one is LookKind.TYPE}
        for family in {name for state in self.states.values() for name, _ in state.families}:
            with suppress(UnknownFamily):
                found.add(find(family).type.value)
        return frozenset(found & set(TYPES))

    @property
    def weakest(self) -> tuple[SkillState, ...]:
        """The weak skills, the weakest first."""
        weak = [self.states[skill] for skill in self.standing.weak]
        return tuple(sorted(weak, key=lambda state: state.p))


def read_exam(text: str) -> date | None:
    """The day that a setting holds; what is none counts as not set."""
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        return None


def look(keeper: Keeper | None, now: datetime) -> Outlook:
    """Look where the learner stands.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    known = recognition_of(keeper, now)
    states = states_of(keeper, now, known)
    exam = read_exam(keeper.setting(EXAM)) if keeper else None
    rehearsal = _rehearsal(keeper) if keeper else None
    return Outlook(
        now,
        exam,
        states,
        standing(states, now, exam),
        keeper.place() if keeper else None,
        (keeper.trouble or keeper.notice) if keeper else "",
        rehearsal.seconds - rehearsal.used if rehearsal else None,
        known,
    )


def _rehearsal(keeper: Keeper) -> KeptRehearsal | None:
    from ..store.keeper import REHEARSAL

    if not keeper.setting(REHEARSAL):
        return None  # and nothing more is loaded before the first frame
    from ..store.rehearsals import unfinished

    return unfinished(keeper)


def board_of(outlook: Outlook) -> Overview:
    """What the opening screen shows of an outlook."""
    standing, place = outlook.standing, outlook.place
    forecast = standing.forecast
    return Overview(
        today=outlook.now.date(),
        exam=outlook.exam,
        fresh=outlook.fresh,
        due=tuple(skill_parts(skill) for skill in standing.due),
        weak=tuple((s.right / s.asked, *skill_parts(s.skill)) for s in outlook.weakest),
        slips=tuple((slip_words(target.slip), target.times) for target in standing.slips),
        calendar=forecast.calendar,
        days=forecast.days,
        ready=forecast.ready,
        groups=len(outlook.groups),
        types=len(outlook.types),
        complete=standing.complete,
        place=(place.start.level, place.reached, len(place.start.rungs)) if place else None,
        trouble=outlook.trouble,
        rehearsal=outlook.rehearsal,
    )


def board_now(keeper: Keeper | None, now: datetime) -> Overview:
    """Where a ``keeper``'s learner stands ``now``, for the opening screen; not for the loop."""
    return board_of(look(keeper, now))
