"""A clock that stands still until it is moved on, for the tutor and for its record alike."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from unittest import mock

from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.store import keeper as keeper_module
from rungwise.tutor.store import rehearsals
from rungwise.tutor.store.events import to_micros
from rungwise.tutor.store.keeper import Keeper

from .learners import NOW


class Clock:
    """The time; nothing but :meth:`on` moves it."""

    def __init__(self, now: datetime = NOW) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def on(self, **by: float) -> None:
        """Move on by so many days, minutes, seconds."""
        self.now += timedelta(**by)


@contextmanager
def clockwork(clock: Clock | None = None) -> Iterator[Clock]:
    """While this lasts, records are stamped with the clock's time."""
    clock = clock or Clock()

    def micros() -> int:
        return to_micros(clock.now)

    steady = SimpleNamespace(monotonic=lambda: clock.now.timestamp())
    with (
        mock.patch.object(keeper_module, "now", micros),
        mock.patch.object(rehearsals, "now", micros),
        mock.patch.object(keeper_module, "time", steady),
    ):
        yield clock


def tutor(home: Path, clock: Clock) -> Rungwise:
    """The tutor with a record in a folder, at the clock's time."""
    keeper = Keeper("", home)
    fresh = keeper.path is None or not keeper.path.exists()
    return Rungwise(keeper=keeper, fresh=fresh, clock=clock)
