"""What comes after a climb: the next seed, or what the plan says; and the lesson before it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual import on, work
from textual.message import Message
from textual.screen import Screen

from ..climb import Climb, Listener
from ..sitting import Hearing, keeper_of, keeps, now_in
from ..widgets.notes import Notes
from ..wish import Wish
from ..words import Words

if TYPE_CHECKING:
    from textual.worker import Worker

    from ...problems.problem import Problem
    from ..headstart import Made
    from ..outlook import Plan


class Sitting(Screen[None]):
    """A screen that leads from one climb to the next.

    Without a plan the seeds count on, and the next problem is made while this one is climbed.
    What a plan says hangs on how the climb goes, so it is asked at its top.
    """

    wish: Wish
    plan: Plan | None = None
    climb: Climb | None = None
    spare: tuple[Wish, Problem] | None = None
    """A problem that was made before it is climbed."""
    following: Wish | None = None
    """The problem after the one being climbed, as far as it is known."""

    class Planned(Message):
        """It is known which problem comes next."""

        def __init__(self, climb: Climb, wish: Wish) -> None:
            super().__init__()
            self.climb, self.wish = climb, wish

    class Offered(Message):
        """The problem is the learner's first of its level: its lesson is worth offering."""

        def __init__(self, climb: Climb) -> None:
            super().__init__()
            self.climb = climb

    def fetch(self, wish: Wish) -> None:
        """Climb the problem of this wish as soon as it is made."""
        raise NotImplementedError

    def clear(self) -> None:
        """Show that a problem is being drawn."""
        raise NotImplementedError

    def prepare(self, wish: Wish) -> Worker[None]:
        """Make the problem of a wish beside the screen."""
        raise NotImplementedError

    def sit(self, wish: Wish, plan: Plan | None, made: Made | None = None) -> None:
        """Climb the problem of this wish, made already or not, and after it what the plan says."""
        self.plan = plan
        if made is not None:
            self.spare = (made.wish, made.problem())
        self.fetch(wish)

    def drafted(self) -> tuple[str, int] | None:
        """What is typed and not submitted, and on which rung, counted from 0."""
        raise NotImplementedError

    def hearing(self, wish: Wish) -> Hearing | None:
        """Who hears of a new climb, where a record is kept."""
        if not keeps(self.app):
            return None

        def begin() -> Listener:
            keeper = keeper_of(self.app)
            assert keeper is not None
            keeper.drafting = self.drafted
            return keeper.begin(wish)

        return Hearing(begin)

    def begun(self, climb: Climb, hearing: Hearing | None) -> None:
        """A climb has begun: get ready what comes next.

        Args:
            climb: The climb.
            hearing: Who hears of it, if it is a new one and a record is kept.
        """
        problem = climb.problem
        if self.plan is None:
            self.following = self.wish.next()
            # After the paint, so that nothing stands between the learner and the question.
            self.call_after_refresh(self.prepare, self.following)
        else:
            self.following = None
            self.plan.take(replace(self.wish, level=problem.level, family=problem.family))
        if hearing is not None:
            self.call_after_refresh(self._turn, hearing, climb)

    def topped(self, climb: Climb) -> None:
        """A climb has come to its top: ask the plan what comes next."""
        if self.plan is not None and self.following is None:
            self._ask_plan(climb, self.plan)

    def climb_on(self) -> None:
        """Climb the next problem, or wait until it is known."""
        if self.following is not None:
            self.fetch(self.following)
        else:
            self.clear()

    @work(thread=True, group="plan")
    def _ask_plan(self, climb: Climb, plan: Plan) -> None:
        self.post_message(self.Planned(climb, plan.next(now_in(self.app))))

    @on(Planned)
    def _planned(self, message: Planned) -> None:
        if message.climb is self.climb:
            self.following = message.wish
            self.prepare(message.wish)
        elif self.climb is None and self.following is None:
            self.fetch(message.wish)

    def _turn(self, hearing: Hearing, climb: Climb) -> None:
        if climb is self.climb:  # else another climb has begun meanwhile, and this one is over
            hearing.turn()
            self._offer(climb)

    @work(thread=True, group="offer")
    def _offer(self, climb: Climb) -> None:
        from ..lesson import is_new

        keeper = keeper_of(self.app)
        if keeper is not None and is_new(keeper, climb.problem):
            self.post_message(self.Offered(climb))

    @on(Offered)
    def _offered(self, message: Offered) -> None:
        climb = self.climb
        if climb is None or climb is not message.climb or climb.position or climb.current.marks:
            return
        if climb.example:
            return  # which leads in by itself, and F7 still opens the lesson
        ui, level = Words.load().ui, climb.problem.level
        self.query_one(Notes).add(
            "lesson", ui("drill.lesson", level=level), ui("drill.lesson-body")
        )
