"""What comes after a climb: the next seed, or what the plan says; and the lesson before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from textual import work
from textual.widget import Widget

from ...language.texts import Words, fill
from ...learning.climb import Climb
from ...learning.request import ProblemRequest
from ..common.notes import Notes
from ..common.session import LateListener, keeper_of, now_in
from ..common.topline import TopLine

if TYPE_CHECKING:
    from textual.timer import Timer
    from textual.worker import Worker

    from ...coach.planner import SessionPlan
    from ...coach.session_sum import SummingUp
    from ...learning.session import Remaining


class ClimbsProblems(Protocol):
    """What is asked of the screen on which problems are climbed."""

    wish: ProblemRequest
    climb: Climb | None

    def fetch(self, wish: ProblemRequest) -> None:
        """Climb the problem of this wish as soon as it is made."""

    def clear(self) -> None:
        """Show that a problem is being drawn."""

    def prepare(self, wish: ProblemRequest) -> Worker[None]:
        """Make the problem of a wish beside the screen."""


class NextProblem(Widget):
    """The unseen part of the drill that leads from one climb to the next.

    Without a plan the seeds count on, and the next problem is made while this one is climbed.
    What a plan says depends on how the climb goes, so it is asked at its top.

    Args:
        drill: Where problems are climbed.
        plan: Says which problem comes after which; without one the seeds count on.
    """

    DEFAULT_CSS = "NextProblem { display: none; }"

    def __init__(self, drill: ClimbsProblems, plan: SessionPlan | None) -> None:
        super().__init__()
        self._drill = drill
        self.plan = plan
        self.following: ProblemRequest | None = None
        """The problem after the one being climbed, as far as it is known."""
        self.over: SummingUp | None = None
        """What the sitting came to, once it has done its work."""
        self._climbs: Sequence[Climb] = ()
        self._remaining: Remaining | None = None
        self._where = ""
        self._ticking: Timer | None = None
        self._beyond = False
        """Whether the learner goes on though the sitting had done its work."""

    def follow(self, plan: SessionPlan | None) -> None:
        """Go by another plan from the next climb on."""
        self.plan = plan
        self.over = self._remaining = None

    def begun(self, climb: Climb, hearing: LateListener | None) -> None:
        """A climb has begun: get ready what comes next.

        Args:
            climb: The climb.
            hearing: Who hears of it, if it is a new one and a record is kept.
        """
        problem = climb.problem
        if self.plan is None:
            self.following = self._drill.wish.next()
            # After the paint, so that nothing stands between the learner and the question.
            self.call_after_refresh(self._drill.prepare, self.following)
        else:
            self.following = None
            if self.plan.sitting is None:
                self._begin_sitting(self.plan)
            self.plan.take(replace(self._drill.wish, level=problem.level, family=problem.family))
        if hearing is not None:
            self.call_after_refresh(self._turn, hearing, climb)

    def topped(self, climb: Climb) -> None:
        """A climb has come to its top: ask the plan what comes next."""
        if self.plan is not None:
            self._climbs = [*(one for one in self._climbs if one is not climb), climb]
            if self.following is None and self.over is None:
                self._ask_plan(climb, self.plan)

    def climb_on(self) -> None:
        """Climb the next problem, or wait until it is known; or sum up, if that was the last."""
        plan, now = self.plan, now_in(self.app)
        if self.over is None and plan is not None and plan.sitting is not None:
            left = plan.sitting.left(now)
            if left is not None and not left:  # the time ran out after the last rung
                self.following = None
                self._drill.clear()
                self._reckon(plan, tuple(self._climbs))
                return
        if self.over is not None:
            self._sum_up(self.over)
        elif self.following is not None:
            self._drill.fetch(self.following)
        else:
            self._drill.clear()

    @work(thread=True, group="plan")
    def _ask_plan(self, climb: Climb, plan: SessionPlan) -> None:
        now = now_in(self.app)
        if not self._beyond:
            remaining = plan.remaining(now)
            over = remaining is not None and not remaining.count
            summed = plan.sum_up(now, tuple(self._climbs)) if over else None
            self.call_later(self._reckoned, plan, remaining, summed)
            if over:
                return
        self.call_later(self._planned, climb, plan.next(now))

    # The sitting: what is left of it, and what it came to

    def _begin_sitting(self, plan: SessionPlan, *, beyond: bool = False) -> None:
        """A sitting begins with the problem that is climbed now."""
        plan.begin(now_in(self.app))
        self.over = self._remaining = None
        self._climbs, self._beyond = [], beyond
        if self._ticking is not None:
            self._ticking.stop()
            self._ticking = None
        if plan.timed:
            self._ticking = self.set_interval(1, self._minute)
        self.call_after_refresh(self._look_round, plan)

    @work(thread=True, group="reckon")
    def _look_round(self, plan: SessionPlan) -> None:
        self.call_later(self._reckoned, plan, plan.remaining(now_in(self.app), first=True))

    @work(thread=True, group="reckon")
    def _reckon(self, plan: SessionPlan, climbs: Sequence[Climb]) -> None:
        now = now_in(self.app)
        self.call_later(self._reckoned, plan, plan.remaining(now), plan.sum_up(now, climbs))

    def _reckoned(
        self, plan: SessionPlan, remaining: Remaining | None, over: SummingUp | None = None
    ) -> None:
        """It is known what is left of the sitting and, where that is nothing, what it came to."""
        if plan is not self.plan:
            return
        self._remaining, self.over = remaining, over
        if self.over is not None and self._drill.climb is None:
            self._sum_up(self.over)  # it was waited for
        else:
            self._minute()

    def told(self, where: str) -> None:
        """Say in the top line where in the climb one is, and what is left of the sitting."""
        self._where = where
        self._minute()

    def _minute(self) -> None:
        plan, place = self.plan, self._where
        sitting = plan.sitting if plan is not None else None
        if place and sitting is not None and not self._beyond:
            from .session_end import words

            left = words(sitting, self._remaining, now_in(self.app))
            if left:
                place = fill("opening", "sitting.place", [("place", place), ("left", left)])
        self.screen.query_one(TopLine).place = place

    def _sum_up(self, over: SummingUp) -> None:
        from .session_end import SummingUpScreen

        self.app.push_screen(SummingUpScreen(over), self._summed_up)

    def _summed_up(self, go_on: bool | None) -> None:
        """Back to the start, or on with another sitting of the kind."""
        plan, self.over = self.plan, None
        if go_on and plan is not None:
            self._begin_sitting(plan, beyond=not plan.timed)
            self._drill.clear()
            self._go_beyond(plan)
            return
        self._drill.clear()
        self.plan, self._climbs = None, ()
        if self.app.screen_stack[0] is not self.screen and self.screen.is_active:
            self.app.pop_screen()

    @work(thread=True, group="plan")
    def _go_beyond(self, plan: SessionPlan) -> None:
        self.call_later(self._planned, None, plan.next(now_in(self.app)))

    def _planned(self, climb: Climb | None, wish: ProblemRequest) -> None:
        """It is known which problem comes next."""
        if climb is not None and climb is self._drill.climb:
            self.following = wish
            self._drill.prepare(wish)
        elif self._drill.climb is None and self.following is None:
            self._drill.fetch(wish)

    def _turn(self, hearing: LateListener, climb: Climb) -> None:
        if climb is self._drill.climb:  # else another one has begun meanwhile: this one is over
            hearing.turn()
            self._offer(climb)

    @work(thread=True, group="offer")
    def _offer(self, climb: Climb) -> None:
        from ...coach.lesson import is_new

        keeper = keeper_of(self.app)
        if keeper is not None and is_new(keeper, climb.problem):
            self.call_later(self._offered, climb)

    def _offered(self, climb: Climb) -> None:
        """The problem is the learner's first of its level: its lesson is worth offering."""
        if climb is not self._drill.climb or climb.position or climb.current.marks:
            return
        if climb.example:
            return  # which leads in by itself, and F7 still opens the lesson
        ui, level = Words.load().ui, climb.problem.level
        self.screen.query_one(Notes).add(
            "lesson", ui("drill.lesson", level=level), ui("drill.lesson-body")
        )
