"""The ways between the opening screen, a rehearsal and its review."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from ...coach.exam_looks import begin_looks
from ...learning.rehearsal_result import RehearsalResult
from ...phrases.rehearsal import say
from ...store.rehearsals import latest
from ..common.session import keeper_of
from ..rehearsal.choice import LengthScreen
from ..rehearsal.review import ReviewScreen
from ..rehearsal.screen import RehearsalScreen
from .exam_looks import ExamLooksPage, ExamLooksScreen

T = TypeVar("T")

if TYPE_CHECKING:
    from datetime import datetime

    from textual.app import App
    from textual.screen import Screen

    from ...coach.overview import Overview
    from ...coach.rehearsal_run import RehearsalRun
    from ...learning.exam_round import ExamRound
    from ...store.keeper import Keeper


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
    board = opening.board
    if opening.rehearsal is not None or (board is not None and board.rehearsal is not None):
        _circuits(opening, RehearsalScreen(going=opening.rehearsal), None)
        return

    def looked(looks: ExamRound) -> None:
        _circuits(opening, RehearsalScreen(count, minutes, seed), looks)

    def rounds(keeper: Keeper | None, now: datetime) -> ExamRound:
        return begin_looks(keeper, now, seed)

    opening.visit(ExamLooksScreen(rounds, looked))


def _circuits(opening: _Opening, screen: RehearsalScreen, looks: ExamRound | None) -> None:
    """The circuits in full, and after them the review: of the looks first, if there were any."""

    def left(found: RehearsalRun | RehearsalResult | None) -> None:
        if not isinstance(found, RehearsalResult):
            opening.rehearsal = found
            return
        opening.rehearsal = None
        if looks is None:
            opening.visit(ReviewScreen(found))
        else:
            opening.visit(ExamLooksPage(looks), lambda _: opening.visit(ReviewScreen(found)))

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
    keeper = keeper_of(opening.app)
    result = latest(keeper) if keeper is not None else None
    opening.app.call_from_thread(_show, opening, result)


def _show(opening: _Opening, result: RehearsalResult | None) -> None:
    if result is not None:
        opening.visit(ReviewScreen(result))
    else:
        opening.notify(say("review.gone"))
