"""Who is at work on a record: locks that the system lets go of when a process ends, however.

Each record has a lock file beside it.  A tutor that works on a climb locks one byte of it,
which the climb's name decides; another tutor then leaves that climb alone.  The bytes are
locked, not written: the file stays empty.

Where Python knows no file locks nobody is locked out, and the guarantee is lost: two tutors can
then be at work on one climb, and both write it down.
"""

from __future__ import annotations

import errno
import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

_ALONE = 2**62
"""The byte of whoever opens the record, or puts another file in its place."""

# A process's locks fall when it closes any handle of the file, so each file is opened once
# and stays open; and a process does not lock out itself, so what it holds is counted here.
_HANDLES: dict[Path, int] = {}
_HELD: set[tuple[Path, int]] = set()
_HERE = threading.RLock()
"""Keeps the threads of this process apart, which the system's locks do not."""
_OPENING = threading.Lock()


def lock_file(record: Path) -> Path:
    """The lock file of a record."""
    return record.with_name(f"{record.name}-lock")


def byte_of(uid: str) -> int:
    """The byte that stands for a climb."""
    return 1 + int(uid[:15], 16)


def _handle(record: Path) -> int | None:
    """The lock file, opened; None where there can be none."""
    path = lock_file(record.absolute())
    with _OPENING:
        return _opened(path)


def _opened(path: Path) -> int | None:
    handle = _HANDLES.get(path)
    if handle is not None:
        with suppress(OSError):
            here, there = os.fstat(handle), path.stat()
            if (here.st_dev, here.st_ino) == (there.st_dev, there.st_ino):
                return handle
        for key in [key for key in _HELD if key[0] == path]:
            _HELD.remove(key)
        os.close(handle)
        del _HANDLES[path]
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError:
        return None
    _HANDLES[path] = handle
    return handle


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int, byte: int) -> bool:
        os.lseek(handle, byte % 2**31, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _unlock(handle: int, byte: int) -> None:
        os.lseek(handle, byte % 2**31, os.SEEK_SET)
        with suppress(OSError):
            msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    try:
        import fcntl
    except ImportError:
        fcntl = None  # type: ignore[assignment]

    def _lock(handle: int, byte: int) -> bool:
        if fcntl is None:
            return True
        try:
            fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, byte)
        except OSError as error:
            # Where a file system knows no locks, nobody is locked out.
            return error.errno not in (errno.EACCES, errno.EAGAIN)
        return True

    def _unlock(handle: int, byte: int) -> None:
        if fcntl is not None:
            with suppress(OSError):
                fcntl.lockf(handle, fcntl.LOCK_UN, 1, byte)


_READING: dict[tuple[int, int], int] = {}


def raw_bytes(path: Path, most: int = 2**63) -> Iterator[bytes]:
    """The first bytes, ``most`` of them, of the database at ``path``, in pieces.

    Were a handle on the file closed, the system would drop every lock that this process's
    connections have on it (https://sqlite.org/howtocorrupt.html section 2.2): so it is not.

    Raises:
        OSError: the file cannot be read.
    """
    plain = os.O_RDONLY | getattr(os, "O_BINARY", 0)
    if sys.platform == "win32":  # there locks go by handle, and an open file can't be replaced
        handle = os.open(path, plain)
    else:
        found = path.stat()
        key = found.st_dev, found.st_ino
        if key not in _READING:
            _READING[key] = os.open(path, plain)
        handle = _READING[key]
    try:
        os.lseek(handle, 0, os.SEEK_SET)
        while most > 0 and (piece := os.read(handle, min(most, 1 << 20))):
            most -= len(piece)
            yield piece
    finally:
        if sys.platform == "win32":
            os.close(handle)


def take(record: Path, uid: str) -> bool:
    """Claim the climb ``uid`` of a ``record``; False if another tutor is at work on it."""
    handle = _handle(record)
    if handle is None:
        return True
    key = (lock_file(record.absolute()), byte_of(uid))
    if key in _HELD:
        return False
    if not _lock(handle, key[1]):
        return False
    _HELD.add(key)
    return True


def let_go(record: Path, uid: str) -> None:
    """Give back what was claimed of a ``record`` by the same ``uid``."""
    key = (lock_file(record.absolute()), byte_of(uid))
    handle = _HANDLES.get(key[0])
    if handle is not None and key in _HELD:
        _HELD.remove(key)
        _unlock(handle, key[1])


def is_free(record: Path, uid: str) -> bool:
    """Whether nobody is at work on the climb ``uid`` of a ``record``."""
    if not lock_file(record).exists():
        return True
    if not take(record, uid):
        return False
    let_go(record, uid)
    return True


@contextmanager
def alone(record: Path) -> Iterator[None]:
    """Only one at a time opens a record, or puts another file in its place; the others wait.

    Raises:
        TimeoutError: another process has not come to an end with it in half a minute.
    """
    with _HERE:
        handle = _handle(record)
        if handle is None:
            yield
            return
        end = time.monotonic() + 30
        while not _lock(handle, _ALONE):
            if time.monotonic() > end:
                raise TimeoutError("another tutor is at work on the record")
            time.sleep(0.005)
        try:
            yield
        finally:
            _unlock(handle, _ALONE)


def others(record: Path) -> bool:
    """Whether another process is at work on any climb of the record."""
    if not lock_file(record).exists():
        return False
    handle = _handle(record)
    if handle is None or sys.platform == "win32":  # there an open file cannot be removed anyway
        return False
    if fcntl is None:
        return False

    mine = [key[1] for key in _HELD if key[0] == lock_file(record.absolute())]
    try:
        fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno in (errno.EACCES, errno.EAGAIN)
    fcntl.lockf(handle, fcntl.LOCK_UN)
    for byte in mine:  # the locks of a process on one byte are one lock
        _lock(handle, byte)
    return False
