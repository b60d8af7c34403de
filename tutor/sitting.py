"""What every screen may ask of the app it lies in: the keeper of the record, and the time."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    from .store.keeper import Keeper


def local_now() -> datetime:
    """The time, in this machine's time zone."""
    return datetime.now().astimezone()


def keeper_of(app: App[Any]) -> Keeper | None:
    """Keeps the learner's record; ``None`` where nothing is kept."""
    keeper: Keeper | None = getattr(app, "keeper", None)
    return keeper


def now_in(app: App[Any]) -> datetime:
    """The time by the app's clock, in the learner's time zone."""
    clock = getattr(app, "clock", local_now)
    now: datetime = clock()
    return now
