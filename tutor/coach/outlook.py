"""Where a learner stands, and what is worth doing next.

It is worked out beside the screen, in a thread or in a process of its own, and then shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from ..learning.plan import Mode, Standing, standing
from ..learning.request import Wish
from ..learning.skills import SkillState
from ..phrases.skills import skill_parts, slip_words
from .overview import Board

if TYPE_CHECKING:
    from ...problems.chance import Chance
    from ...problems.questions.model import Problem, Rung
    from ..learning.climb import Climb
    from ..learning.session import Remaining, Sitting
    from ..store.keeper import Keeper, Place
    from .session_sum import SummingUp

EXAM = "exam"
"""The setting that holds the day of the exam, as YYYY-MM-DD."""
REMEMBERED = 20
"""How many of the problems before a plan looks back at."""


@dataclass(frozen=True)
class Outlook:
    """Where a learner stands at one moment.

    ``now`` is in the learner's own time zone.  ``place`` is the keeper's, of the latest
    unfinished climb.  ``rehearsal`` is what is left of one that was not handed in, in seconds.
    """

    now: datetime
    exam: date | None
    states: Mapping[str, SkillState]
    standing: Standing
    place: Place | None = None
    trouble: str = ""
    rehearsal: float | None = None

    @property
    def fresh(self) -> bool:
        """Whether nothing was ever answered or begun."""
        return not self.asked and self.place is None and self.rehearsal is None

    @property
    def asked(self) -> int:
        """Rungs left in all."""
        return sum(state.asked for state in self.states.values())

    @property
    def right(self) -> int:
        """Rungs that were right at once and unaided."""
        return sum(state.right for state in self.states.values())

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
    states = keeper.states() if keeper else {}
    exam = read_exam(keeper.setting(EXAM)) if keeper else None
    rehearsal = keeper.rehearsal() if keeper else None
    return Outlook(
        now,
        exam,
        states,
        standing(states, now, exam),
        keeper.place() if keeper else None,
        (keeper.trouble or keeper.notice) if keeper else "",
        rehearsal.seconds - rehearsal.used if rehearsal else None,
    )


def new_chance() -> Chance:
    """Chance from a seed that nobody knows: where several problems are worth the same."""
    from random import SystemRandom

    from ...problems.chance import Chance

    return Chance(SystemRandom().getrandbits(63), "plan")


def board_of(outlook: Outlook) -> Board:
    """What the opening screen shows of an outlook."""
    standing, place = outlook.standing, outlook.place
    forecast = standing.forecast
    return Board(
        today=outlook.now.date(),
        exam=outlook.exam,
        fresh=outlook.fresh,
        due=tuple(skill_parts(skill) for skill in standing.due),
        weak=tuple((s.right / s.asked, *skill_parts(s.skill)) for s in outlook.weakest),
        slips=tuple((slip_words(target.slip), target.times) for target in standing.slips),
        calendar=forecast.calendar,
        days=forecast.days,
        ready=forecast.ready,
        problems=forecast.problems,
        a_day=forecast.a_day,
        complete=standing.complete,
        place=(place.start.level, place.reached, len(place.start.rungs)) if place else None,
        trouble=outlook.trouble,
        rehearsal=outlook.rehearsal,
    )


def board_now(keeper: Keeper | None, now: datetime) -> Board:
    """Look where the learner stands, for the opening screen; not for the loop."""
    return board_of(look(keeper, now))


class Plan:
    """Which problem comes after which, in a sitting that follows the plan.

    Args:
        keeper: of the record that the plan follows.
        mode: what the sitting is for.
        chance: decides between problems that are worth the same.
    """

    def __init__(self, keeper: Keeper | None, mode: Mode, chance: Chance) -> None:
        self.mode = mode
        self._keeper = keeper
        self._chance = chance
        self._recent: list[Wish] = []
        self._states: Mapping[str, SkillState] | None = None
        self.sitting: Sitting | None = None
        self._before: Mapping[str, SkillState] = {}

    def take(self, wish: Wish) -> None:
        """Remember a problem that is being climbed; its wish names its family."""
        self._recent = [*self._recent, wish][-REMEMBERED:]

    def next(self, now: datetime) -> Wish:
        """The problem most worth asking now; may read the record, so not for the loop."""
        self._states = states = dict(self._keeper.states()) if self._keeper else {}
        exam = read_exam(self._keeper.setting(EXAM)) if self._keeper else None
        from ..learning.session import next_wish

        return next_wish(states, now, exam, self.mode, self._recent, self._chance)

    @property
    def timed(self) -> bool:
        """Whether it is time that ends the sitting."""
        return self.mode is Mode.TEN_MINUTES

    def begin(self, now: datetime) -> None:
        """The sitting begins; costs next to nothing."""
        from ..learning.session import Sitting

        self.sitting = Sitting(self.mode, now)

    def remaining(self, now: datetime, *, first: bool = False) -> Remaining | None:
        """What is left of the sitting; reads the record, so not for the loop.

        Args:
            now: the time.
            first: whether this is the state of things that the sitting begins with.
        """
        if self.sitting is None:
            return None
        if self._keeper is None:  # then nobody knows what is due
            return self.sitting.remaining({}, now, None, 0) if self.timed else None
        states = dict(self._keeper.states())
        if first:
            self._before = states
        midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
        today = self._keeper.evidence(midnight)
        climbed = len({(piece.family, piece.seed, piece.task) for piece in today})
        exam = read_exam(self._keeper.setting(EXAM))
        return self.sitting.remaining(states, now, exam, climbed)

    def sum_up(self, now: datetime, climbs: Sequence[Climb]) -> SummingUp:
        """What the sitting came to, and what comes next; not for the loop."""
        from .session_sum import sum_up

        outlook = look(self._keeper, now)
        began = self.sitting.began if self.sitting is not None else now
        return sum_up(self.mode, began, climbs, self._before, outlook)

    def worked(self, problem: Problem) -> frozenset[Rung]:
        """The rungs of a problem that are to be shown worked, by the record at the last ask.

        Where nothing is kept nobody knows what has been seen before, and none is.
        """
        from ..learning.worked_examples import guidance

        if self._keeper is None:
            return frozenset()
        if self._states is None:
            self._states = dict(self._keeper.states())
        return guidance(self._states, problem)


def new_plan(keeper: Keeper | None, mode: Mode) -> Plan:
    """A plan for a sitting that begins now."""
    return Plan(keeper, mode, new_chance())
