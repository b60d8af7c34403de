"""The ways between the opening screen and looks, and the next problem of a plan."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Protocol, TypeVar

from ...coach import looking
from ...coach.planner import new_plan
from ...learning.plan import Mode
from ..inspect.screen import InspectScreen
from ..lesson.screen import LessonScreen
from .newcomer import NewcomerScreen

T = TypeVar("T")

if TYPE_CHECKING:
    from textual.screen import Screen

    from ...learning.request import ProblemRequest
    from ...store.keeper import Keeper


class _Opening(Protocol):
    """The opening screen, as far as the ways to looks need it."""

    def visit(self, screen: Screen[T], then: Callable[[T | None], None] | None = None) -> None: ...


def ahead(keeper: Keeper | None, now: datetime, *, weak: bool) -> dict[str, ProblemRequest]:
    """The next problem of a plan, by its mode: one key then opens it at once; reads the record.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
        weak: whether there are weak skills to plan for.
    """
    modes = [Mode.UNTIL_DONE, *([Mode.WEAK_SPOTS] if weak else [])]
    return {mode.value: new_plan(keeper, mode).next(now) for mode in modes}


def look(opening: _Opening) -> None:
    """One circuit after another; the first time, to find out where to begin."""
    opening.visit(InspectScreen(looking.next_round))


def read_first(opening: _Opening) -> None:
    """The first page of the lessons, one circuit read step by step, then looks of two types."""

    def read(on: bool | None) -> None:
        if on:
            look(opening)

    opening.visit(LessonScreen(1, one=True), lambda _: opening.visit(NewcomerScreen(), read))
