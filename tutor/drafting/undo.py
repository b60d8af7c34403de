"""The way back from changes, and forth again, of anything that is a value."""

from __future__ import annotations

from collections import deque
from typing import Generic, TypeVar

REMEMBERED = 200
"""Changes that can be taken back."""

T = TypeVar("T")


class Undo(Generic[T]):
    """What was before each change; who uses it holds what is now."""

    def __init__(self) -> None:
        self._before: deque[T] = deque(maxlen=REMEMBERED)
        self._after: deque[T] = deque(maxlen=REMEMBERED)

    def note(self, before: T) -> None:
        """A change is made to this; what was undone is out of reach then."""
        self._before.append(before)
        self.go_on()

    def go_on(self) -> None:
        """A change is carried on: what was undone is out of reach."""
        self._after.clear()

    def forget(self) -> None:
        """There is no way back from here."""
        self._before.clear()
        self._after.clear()

    def undo(self, now: T) -> T | None:
        """What was before the last change; ``None`` where nothing is left to take back."""
        return self._step(self._before, self._after, now)

    def redo(self, now: T) -> T | None:
        """What was undone last; ``None`` where nothing was, or something was changed since."""
        return self._step(self._after, self._before, now)

    @property
    def undoable(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._before)

    @property
    def redoable(self) -> bool:
        """Whether there is a change to make again."""
        return bool(self._after)

    @staticmethod
    def _step(source: deque[T], other: deque[T], now: T) -> T | None:
        if not source:
            return None
        other.append(now)
        return source.pop()
