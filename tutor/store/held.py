"""One record held open, whatever befalls its file: opened anew, rescued, copied once a day.

Nothing in here fails the screen: what keeps the record from being kept is said in
:attr:`HeldRecord.trouble`.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TypeVar

from . import backup, folder
from .database import identity
from .record import Record
from .rescue import rescue
from .trouble import (
    Moved,
    Newer,
    Trouble,
    befalls,
    is_contradiction,
    is_damage,
    trouble_of,
)

_T = TypeVar("_T")

QUIET = 3.0
"""Seconds after the first thing was kept until the day's copy is made."""


class HeldRecord:
    """One learner's record.

    Args:
        learner: The name, as typed; None: what RUNGWISE_LEARNER says.
        home: The folder of the records; None: what RUNGWISE_HOME or the system says.
    """

    def __init__(self, learner: str | None = None, home: Path | None = None) -> None:
        self.trouble = ""
        """Why nothing is being kept, as a sentence; "" while everything is."""
        self.notice = ""
        """What happened to the record when it was opened, to be said once; "" if nothing."""
        self.learner = ""
        self.path: Path | None = None
        self._lock = threading.RLock()
        self._record: Record | None = None
        self._made: tuple[int, int] | None = None  # the file that a rescue of ours has made
        self._copying: threading.Timer | None = None
        self._closed = False
        try:
            self.learner = folder.display_name(folder.learner() if learner is None else learner)
            self.path = folder.record_file(self.learner, home)
        except (folder.BadName, OSError, RuntimeError) as error:  # no home to be found
            self.trouble = str(error)

    def look(self, job: Callable[[Record], _T], otherwise: _T) -> _T:
        """What a ``job`` finds in the record; ``otherwise`` where there is none to be read."""

        def find() -> _T:
            record = self._reading()
            return otherwise if record is None else job(record)

        return self._do(find, otherwise)

    def change(self, job: Callable[[Record], None]) -> None:
        """Have a job change the record, which is made if there is none."""
        self._do(lambda: job(self._writing()), None, writing=True)

    def _do(self, job: Callable[[], _T], otherwise: _T, *, writing: bool = False) -> _T:
        """Do something with the record; what befalls it becomes our trouble.

        A damaged record is set aside and the job done once more, with what could be saved.
        Only what was written shows that trouble is over.
        """
        with self._lock:
            for tried in (False, True):
                try:
                    done = job()
                except Exception as error:
                    if not befalls(error):
                        raise
                    if not tried and (isinstance(error, Moved) or self._rescued(error)):
                        continue
                    self.trouble = str(trouble_of(error))
                    return otherwise
                if writing:
                    self.trouble = ""
                    self._copy_later()
                return done
        raise AssertionError("not reached")

    def _rescued(self, error: Exception) -> bool:
        """Put what can be read of a damaged record in its place.

        Returns:
            False if the record is not damaged, or that can't be.
        """
        if self.path is None or not is_damage(error):
            return False
        if is_contradiction(error) and self._record and self._record.identity == self._made:
            return False  # what a rescue has made contradicts us: the fault is the program's
        met = None
        if self._record is not None:
            met = self._record.identity
            with suppress(sqlite3.Error):
                self._record.close()
            self._record = None
        try:
            saved = rescue(self.path, met)
        except (OSError, sqlite3.Error):
            return False
        except Newer:
            return True  # opened once more, it says so
        if saved is not None:
            self.notice, self._made = saved.said, identity(self.path)
        return True

    def _reading(self) -> Record | None:
        """The record, if there is one; a record is not made to be read."""
        record = self._standing()
        if record is not None or self.path is None or not self.path.exists():
            return record
        self._record = Record.open_as_can_be(self.path)
        self._renew(self._record)
        return self._record

    def _writing(self) -> Record:
        """The record, made if there is none."""
        record = self._standing()
        if record is not None and record.writable:
            return record
        if self._closed or self.path is None:
            raise Trouble("unreachable", why="")
        found = Record.open(self.path)
        if record is not None:
            record.close()
        self._record = found
        self._renew(found)
        if self.learner and not found.about("learner"):
            found.set_about("learner", self.learner)
        return found

    def _renew(self, record: Record) -> None:
        """Have states that another release made otherwise made anew, beside the screen."""
        if not (record.writable and record.derived.outdated):
            return

        def renew() -> None:
            with suppress(OSError, sqlite3.Error, Trouble):  # else the next time
                own = Record.open(record.path)
                try:
                    own.renew_states()
                finally:
                    own.close()

        threading.Thread(target=renew, name="renew-states", daemon=True).start()

    def _standing(self) -> Record | None:
        """The open record, unless another file has come into its place."""
        if self._record is not None and self._record.displaced:
            self._record.close()
            self._record = None
        return self._record

    # A copy a day

    def _copy_later(self) -> None:
        """Have the day's copy made in a while, beside the screen."""
        if self._copying is None and self.path is not None and not self._closed:
            self._copying = threading.Timer(QUIET, self._copy)
            self._copying.daemon = True
            self._copying.start()

    def _copy(self, *, small: bool = False) -> None:
        """Make the day's copy, if there is none yet; ``small``: only if nobody would notice."""
        path, today = self.path, date.today()
        if path is None or not backup.is_due(path, today):
            return
        try:
            if not small or path.stat().st_size <= backup.SMALL:
                backup.make(path, today, gently=not small)
        except Exception as error:
            if not befalls(error):
                raise
            # The record is kept, and another day has another copy; but if it is damaged in
            # places that were not needed yet, and somebody is there to be told, it is mended.
            if not small:
                with self._lock:
                    self._rescued(error)

    def _close_file(self) -> None:
        if self._copying is not None:
            self._copying.cancel()
            self._copy(small=True)
        with self._lock:
            self._closed = True
            if self._record is not None:
                self._do(self._record.close, None)
                self._record = None
