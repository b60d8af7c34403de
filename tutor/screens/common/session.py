"""What every screen may ask of the app it lies in: the keeper of the record, and the time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Any

from ...language.dates import local_now

if TYPE_CHECKING:
    from textual.app import App

    from ...learning.climb import Event, Listener
    from ...store.keeper import Keeper


def keeper_of(app: App[Any]) -> Keeper | None:
    """Keeps the learner's record; ``None`` where nothing is kept."""
    keeper: Keeper | None = getattr(app, "keeper", None)
    return keeper


def keeps(app: App[Any]) -> bool:
    """Whether there is a keeper, or one will be made when it is first asked for."""
    return getattr(app, "_keeper", None) is not None


class LateListener:
    """A listener to a climb that turns to the record when there is something to be kept.

    That a climb began can wait until its first question has been painted; anything else that
    happens is told at once, so that it is durable before its mark is shown.

    Args:
        begin: Begins the climb in the record, and gives who listens there.
    """

    def __init__(self, begin: Callable[[], Listener]) -> None:
        self._begin = begin
        self._listener: Listener | None = None
        self._began: list[Event] = []

    def __call__(self, event: Event) -> None:
        """Take an event."""
        if self._listener is None and not self._began:
            self._began.append(event)
            return
        self.turn()
        assert self._listener is not None
        self._listener(event)

    def turn(self) -> None:
        """Turn to the record now."""
        if self._listener is None:
            self._listener = self._begin()
            for event in self._began:
                self._listener(event)


def now_in(app: App[Any]) -> datetime:
    """The time by the app's clock, in the learner's time zone."""
    clock = getattr(app, "clock", local_now)
    now: datetime = clock()
    return now
