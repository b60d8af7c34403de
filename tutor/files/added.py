"""Files that lines are added to and nothing else, by several at once, each forced to the disk."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

_PLAIN = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class NoPlainFileError(OSError):
    """What is there is no plain file, or is far too long."""


class AddedTo:
    """A file of lines as far as it was read.

    A line that a killed program left without its end counts for nothing: the next one begins
    below it.

    Args:
        path: the file.
        most: bytes that it may have.
    """

    def __init__(self, path: Path, most: int) -> None:
        self._path, self._most = path, most
        self._same: tuple[int, int] | None = None
        self._read, self._whole = 0, True

    def new(self) -> tuple[bytes, bool]:
        """The whole lines added since; whether they are all of another file than before.

        Raises:
            FileNotFoundError: there is none.
            NoPlainFileError: as it says.
            OSError: it can't be read.
        """
        try:
            handle = os.open(self._path, os.O_RDONLY | _PLAIN)
        except FileNotFoundError:
            self._same, self._read, self._whole = None, 0, True
            raise
        with open(handle, "rb") as file:
            known = os.fstat(handle)
            if not stat.S_ISREG(known.st_mode) or known.st_size > self._most:
                why = "is no plain file, or is far too long"
                raise NoPlainFileError(22, why, str(self._path))
            same = (known.st_dev, known.st_ino)
            another = same != self._same or known.st_size < self._read  # or somebody has edited it
            if another:
                self._same, self._read = same, 0
            file.seek(self._read)
            data = file.read(known.st_size - self._read)
        whole = data[: data.rfind(b"\n") + 1]
        self._read += len(whole)
        self._whole = len(whole) == len(data)
        return whole, another

    def add(self, lines: bytes) -> None:
        """Add whole ``lines``, on the disk when this comes back.

        Raises:
            OSError: they can't be written; nothing has changed then.
        """
        append(self._path, lines if self._whole else b"\n" + lines)


def append(path: Path, data: bytes) -> None:
    """Add ``data`` to the file at ``path``, made if need be; on the disk when this comes back.

    Raises:
        OSError: it can't be written; nothing has changed then.
    """
    fresh = not path.exists()
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | _PLAIN, 0o600)
    try:
        before = os.fstat(handle).st_size
        try:
            view = memoryview(data)
            while view:
                view = view[os.write(handle, view) :]
            os.fsync(handle)
        except OSError:
            os.ftruncate(handle, before)  # a full disk leaves no half of a line
            raise
    finally:
        os.close(handle)
    if fresh:
        force_names(path.parent)


def force_names(folder: Path) -> None:
    """Force the names in a ``folder`` to the disk, where the system has that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
