"""``entered.jsonl`` held open: every cell is on the disk before the next one is asked for.

Two teachers may be at it at once.  Each line is written alone, under a lock, by whoever has seen
the newest line about the same cell; who has not is shown it first, so that nothing that somebody
else entered is gone over unseen.  A line that a killed program left without its end was never
acknowledged: the next one begins below it.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from ...files.locks import alone
from .entered import MOST_BYTES, NAME, EnteredAnswer, EnteredHow, read_entered

_FLAGS = getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


class EnteredElsewhereError(Exception):
    """Somebody else entered the same cell meanwhile; ``newer`` is what they did."""

    def __init__(self, newer: EnteredAnswer | None) -> None:
        super().__init__("entered elsewhere")
        self.newer = newer


class EnteredFile:
    """What was entered, on the disk and here.

    Args:
        folder: the folder of keys that the file lies in.

    Raises:
        OSError: it is there and can't be read, or is no plain file.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAME
        self.cells: dict[tuple[int, str], EnteredAnswer] = {}
        self.troubles = 0
        self._read = 0
        self._whole = True
        self._same = (0, 0)
        self.look()

    def look(self) -> list[tuple[int, str]]:
        """Take up what was written since, by whomever; which cells it is about.

        Raises:
            OSError: the file can't be read.
        """
        try:
            handle = os.open(self.path, os.O_RDONLY | _FLAGS | getattr(os, "O_NONBLOCK", 0))
        except FileNotFoundError:
            return []
        with open(handle, "rb") as file:
            known = os.fstat(handle)
            if not stat.S_ISREG(known.st_mode) or known.st_size > MOST_BYTES:
                raise OSError(22, "is no plain file, or is far too long", str(self.path))
            same = (known.st_dev, known.st_ino)
            before = list(self.cells)
            begun_anew = bool(self._read) and (same != self._same or known.st_size < self._read)
            if begun_anew:  # somebody has edited it: it is read from its beginning
                self._read, self.troubles, self.cells = 0, 0, {}
            self._same = same
            file.seek(self._read)
            data = file.read()
        found = self._take(data)
        return [*before, *found] if begun_anew else found

    def _take(self, data: bytes) -> list[tuple[int, str]]:
        ended = data.rfind(b"\n") + 1
        self._read += ended
        self._whole = ended == len(data)
        found, troubles = read_entered(data[:ended])
        self.troubles += len(troubles)
        for one in found:
            self.cells.pop(one.cell, None)
            if one.how is not EnteredHow.BACK:
                self.cells[one.cell] = one
        return [one.cell for one in found]

    def put(self, entered: EnteredAnswer, seen: EnteredAnswer | None) -> bool:
        """Write a cell down for good; it is on the disk when this comes back.

        Says whether somebody else had written anything since this file was last looked at.

        Args:
            entered: the cell.
            seen: what stood there when it was entered.

        Raises:
            EnteredElsewhereError: something else stands there by now.
            OSError: it can't be written; nothing has changed then.
        """
        with self._locked():
            others = bool(self.look())
            newer = self.cells.get(entered.cell)
            if (newer.says if newer else None) != (seen.says if seen else None):
                raise EnteredElsewhereError(newer)
            line = entered.line()
            self._append(line if self._whole else b"\n" + line)
            self.look()
        return others

    def _append(self, line: bytes) -> None:
        fresh = not self.path.exists()
        handle = os.open(self.path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | _FLAGS, 0o600)
        try:
            before = os.fstat(handle).st_size
            try:
                view = memoryview(line)
                while view:
                    view = view[os.write(handle, view) :]
                os.fsync(handle)
            except OSError:
                os.ftruncate(handle, before)  # a full disk leaves no half of a line
                raise
        finally:
            os.close(handle)
        if fresh:
            _settled(self.path.parent)

    @contextmanager
    def _locked(self) -> Iterator[None]:
        try:
            with alone(self.path):
                yield
        except TimeoutError as error:
            raise OSError(11, "somebody else is writing to it", str(self.path)) from error


def _settled(folder: Path) -> None:
    """Force a new name in a folder to the disk, where the system has that."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    with suppress(OSError):
        os.fsync(handle)
    os.close(handle)
