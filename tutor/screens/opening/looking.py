"""The ways between the opening screen and looks; and what is worth doing now."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Protocol, TypeVar

from ...coach import looking
from ...coach.looking import Worth
from ...coach.outlook import board_now
from ...coach.overview import Overview
from ..inspect.screen import InspectScreen
from ..lesson.screen import LessonScreen
from .newcomer import NewcomerScreen

T = TypeVar("T")

if TYPE_CHECKING:
    from textual.screen import Screen

    from ...store.keeper import Keeper


class _Opening(Protocol):
    """The opening screen, as far as the ways to looks need it."""

    def visit(self, screen: Screen[T], then: Callable[[T | None], None] | None = None) -> None: ...


def worth_doing(keeper: Keeper | None, now: datetime) -> tuple[Overview, str]:
    """What the opening shows, and the rung that Enter begins with; reads the record.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    worth = looking.worth_most_now(keeper, now)
    return board_now(keeper, now), "due" if worth is Worth.CIRCUIT else "inspect"


def look(opening: _Opening) -> None:
    """One circuit after another; the first time, to find out where to begin."""
    opening.visit(InspectScreen(looking.next_round))


def read_first(opening: _Opening) -> None:
    """The first page of the lessons, one circuit read step by step, then looks of two types."""

    def read(on: bool | None) -> None:
        if on:
            look(opening)

    opening.visit(LessonScreen(1, one=True), lambda _: opening.visit(NewcomerScreen(), read))
