"""Which problem comes after which in a session that follows the plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from random import SystemRandom
from typing import TYPE_CHECKING

from ...problems.chance import Chance
from ..language.dates import local_now
from ..learning.plan import Mode
from ..learning.recognition import Recognition
from ..learning.request import ProblemRequest
from ..learning.skills import SkillState
from .looking import recognition_of, states_of
from .outlook import EXAM, look, read_exam
from .session_sum import SummingUp, sum_up

if TYPE_CHECKING:
    from ...problems.questions.model import Problem, Rung
    from ..learning.climb import Climb
    from ..learning.session import Remaining, Session
    from ..store.keeper import Keeper

REMEMBERED = 20
"""How many of the problems before a plan looks back at."""


def new_chance() -> Chance:
    """Chance from a seed that nobody knows: where several problems are worth the same."""
    return Chance(SystemRandom().getrandbits(63), "plan")


class SessionPlan:
    """What comes after what in a sitting of a ``mode``, by a ``keeper``'s record and ``chance``."""

    def __init__(self, keeper: Keeper | None, mode: Mode, chance: Chance) -> None:
        self.mode = mode
        self._keeper = keeper
        self._chance = chance
        self._recent: list[ProblemRequest] = []
        self._states: Mapping[str, SkillState] | None = None
        self._known = Recognition()
        self.sitting: Session | None = None
        self._before: Mapping[str, SkillState] = {}

    def take(self, wish: ProblemRequest) -> None:
        """Remember a problem that is being climbed; its wish names its family."""
        self._recent = [*self._recent, wish][-REMEMBERED:]

    def next(self, now: datetime) -> ProblemRequest:
        """The problem most worth asking now; may read the record, so not for the loop."""
        self._known = recognition_of(self._keeper, now)
        self._states = states = states_of(self._keeper, now, self._known)
        exam = read_exam(self._keeper.setting(EXAM)) if self._keeper else None

        from ..learning.session import LATEST, next_wish

        asked = [each.rung for each in self._keeper.recent(LATEST)] if self._keeper else None
        wish = next_wish(states, now, exam, self.mode, self._recent, self._chance, asked=asked)
        return wish.settled(states)

    @property
    def timed(self) -> bool:
        """Whether it is time that ends the sitting."""
        return self.mode is Mode.TEN_MINUTES

    def begin(self, now: datetime) -> None:
        """The sitting begins; costs next to nothing."""
        from ..learning.session import Session

        self.sitting = Session(self.mode, now)

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
        states = states_of(self._keeper, now)
        if first:
            self._before = states
        midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
        today = self._keeper.evidence(midnight)
        climbed = len({(piece.family, piece.seed, piece.task) for piece in today})
        exam = read_exam(self._keeper.setting(EXAM))
        return self.sitting.remaining(states, now, exam, climbed)

    def sum_up(self, now: datetime, climbs: Sequence[Climb]) -> SummingUp:
        """What a sitting of ``climbs`` came to ``now``, and what comes next; not for the loop."""
        outlook = look(self._keeper, now)
        began = self.sitting.began if self.sitting is not None else now
        return sum_up(self.mode, began, climbs, self._before, outlook)

    def spared(self, problem: Problem) -> frozenset[Rung]:
        """The ends that need not be asked where the type is right: those that are not new."""
        from ..learning.full_circuit import new_ends, spared

        return spared(problem, new_ends(self._states or {}) if self._keeper else ())

    def worked(self, problem: Problem) -> frozenset[Rung]:
        """The rungs of a problem that are to be shown worked, by the record at the last ask.

        Where nothing is kept nobody knows what has been seen before, and none is.
        """
        from ..learning.placing import knows_already
        from ..learning.worked_examples import guidance

        if self._keeper is None:
            return frozenset()
        if self._states is None:
            self._known = recognition_of(self._keeper, local_now())
            self._states = states_of(self._keeper, local_now(), self._known)
        if knows_already(self._known):
            return frozenset()
        return guidance(self._states, problem)


def new_plan(keeper: Keeper | None, mode: Mode) -> SessionPlan:
    """A plan, by a ``keeper``'s record, for a sitting of a ``mode`` that begins now."""
    return SessionPlan(keeper, mode, new_chance())
