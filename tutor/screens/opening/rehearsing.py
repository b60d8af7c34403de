"""The ways between the opening screen, a rehearsal and its review."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from ...learning.rehearsal_result import RehearsalResult
from ...phrases.rehearsal import say
from ..common.session import keeper_of
from ..rehearsal.choice import LengthScreen
from ..rehearsal.review import ReviewScreen
from ..rehearsal.screen import RehearsalScreen

T = TypeVar("T")

if TYPE_CHECKING:
    from textual.app import App
    from textual.screen import Screen

    from ...coach.overview import Overview
    from ...coach.rehearsal_run import RehearsalRun


class _Opening(Protocol):
    """The opening screen, as far as the ways to a rehearsal and back need it."""

    board: Overview | None
    rehearsal: RehearsalRun | None

    @property
    def app(self) -> App[Any]: ...

    def visit(self, screen: Screen[T], then: Callable[[T | None], None] | None = None) -> None: ...

    def run_worker(self, work: Callable[[], None], *, thread: bool, group: str) -> object: ...

    def notify(self, message: str) -> None: ...


def visit(opening: _Opening) -> None:
    """Go on with the rehearsal that there is, else ask how long a new one is to be."""
    keeper, board = keeper_of(opening.app), opening.board
    if opening.rehearsal is not None or (board is not None and board.rehearsal is not None):
        begin(opening)
        return
    last = keeper is not None and bool(keeper.setting("rehearsal"))
    opening.visit(LengthScreen(last=last), _chosen(opening))


def begin(
    opening: _Opening,
    count: int = 6,
    minutes: int | None = None,
    seed: int | None = None,
) -> None:
    """Open a rehearsal; one that was begun goes on, whatever is asked for.

    Args:
        opening: the opening screen, to which it leads back.
        count: problems of a new one.
        minutes: how long a new one may take; ``None``: as its questions need.
        seed: which problems, of those that suit the learner.
    """
    screen = RehearsalScreen(count, minutes, seed, opening.rehearsal)

    def left(found: RehearsalRun | RehearsalResult | None) -> None:
        if isinstance(found, RehearsalResult):
            opening.rehearsal = None
            opening.visit(ReviewScreen(found))
        else:
            opening.rehearsal = found

    opening.visit(screen, left)


def _chosen(opening: _Opening) -> Callable[[int | bool | None], Any]:
    def chosen(found: int | bool | None) -> None:
        if found is True:
            opening.run_worker(lambda: _last(opening), thread=True, group="review")
        elif found:
            begin(opening, found)

    return chosen


def _last(opening: _Opening) -> None:
    """Fetch the last review, beside the screen."""
    from ...store.rehearsals import latest

    keeper = keeper_of(opening.app)
    result = latest(keeper) if keeper is not None else None
    opening.app.call_from_thread(_show, opening, result)


def _show(opening: _Opening, result: RehearsalResult | None) -> None:
    if result is not None:
        opening.visit(ReviewScreen(result))
    else:
        opening.notify(say("review.gone"))
