"""Lines for whoever runs the server: repeats are summed up, so that no flood fills a disk."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable
from contextlib import suppress

from ..language.texts import fill, plain

MOST, WITHIN = 30, 60.0
"""So many lines of a kind within so many seconds are told; the others are counted."""
MAX_KINDS = 50
"""Most kinds that are told apart; all further ones are one kind."""


class Log:
    """Tells lines, each kind of them so often and no more.

    Args:
        write: Takes a line.
        clock: Seconds that only go on.
    """

    def __init__(
        self, write: Callable[[str], None], clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._write, self._clock = write, clock
        self._kinds: dict[str, list[float]] = {}
        """Kind → since when, how many told, how many not told."""

    def tell(self, line: str, kind: str) -> None:
        """Tell a ``line`` of a ``kind``, or count it."""
        self.settle()
        if kind not in self._kinds and len(self._kinds) >= MAX_KINDS:
            kind = ""
        found = self._kinds.setdefault(kind, [self._clock(), 0, 0])
        if found[1] < MOST:
            found[1] += 1
            self._write(line)
            return
        found[2] += 1
        if found[2] == 1:
            with suppress(RuntimeError):  # without a loop it is said with a later line
                asyncio.get_running_loop().call_later(WITHIN + 1, self.settle)

    def settle(self, *, all_of_them: bool = False) -> None:
        """Say how many lines were not told, of each kind whose time is over."""
        now = self._clock()
        for kind, (since, _, more) in tuple(self._kinds.items()):
            if all_of_them or now - since >= WITHIN:
                del self._kinds[kind]
                if more:
                    self._write(fill("serving", "log.more", [("count", f"{more:,.0f}")]))


class LogLines(logging.Handler):
    """Makes lines of what libraries log, for a ``log``: one each, without the traceback."""

    def __init__(self, log: Log) -> None:
        super().__init__(logging.WARNING)
        self._log = log

    def emit(self, record: logging.LogRecord) -> None:
        """Tell the first line of a record, and what was raised."""
        try:
            said = (record.getMessage().splitlines() or [""])[0]
            if record.exc_info and record.exc_info[1] is not None:
                error = record.exc_info[1]
                said += f" ({type(error).__name__}: {error})"
            self._log.tell(plain(f"{record.name}: {said}"[:300]), f"{record.name} {record.lineno}")
        except Exception:
            self.handleError(record)
