"""The ways between the opening screen, a rehearsal and its review."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from ..rehearsal_result import Result
from ..rehearsal_words import say
from ..sitting import keeper_of
from .rehearsal import RehearsalScreen
from .rehearsal_choice import LengthScreen
from .rehearsal_review import ReviewScreen

if TYPE_CHECKING:
    from ..rehearsal_going import Going
    from .opening import OpeningScreen


def visit(opening: OpeningScreen) -> None:
    """Go on with the rehearsal that there is, else ask how long a new one is to be."""
    keeper, board = keeper_of(opening.app), opening.board
    if opening.rehearsal is not None or (board is not None and board.rehearsal is not None):
        begin(opening)
        return
    last = keeper is not None and bool(keeper.setting("rehearsal"))
    opening.visit(LengthScreen(last=last), _chosen(opening))


def begin(
    opening: OpeningScreen,
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

    def left(found: Going | Result | None) -> None:
        if isinstance(found, Result):
            opening.rehearsal = None
            opening.visit(ReviewScreen(found))
        else:
            opening.rehearsal = found

    opening.visit(screen, left)


def _chosen(opening: OpeningScreen) -> Callable[[int | bool | None], Any]:
    def chosen(found: int | bool | None) -> None:
        if found is True:
            opening.run_worker(lambda: _last(opening), thread=True, group="review")
        elif found:
            begin(opening, found)

    return chosen


def _last(opening: OpeningScreen) -> None:
    """Fetch the last review, beside the screen."""
    keeper = keeper_of(opening.app)
    result = keeper.reviewed() if keeper is not None else None
    opening.app.call_from_thread(_show, opening, result)


def _show(opening: OpeningScreen, result: Result | None) -> None:
    if result is not None:
        opening.visit(ReviewScreen(result))
    else:
        opening.notify(say("review.gone"))
