"""The standard streams as a command may meet them: closed, full, or with nobody at the other end.

Everything that ``rungwise`` does runs within :func:`guarded`, so that no room has to think of it.
"""

from __future__ import annotations

import errno
import io
import os
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from collections.abc import Callable

_FAILED, _MISUSED = 1, 2
NOT_WRITTEN = {
    getattr(errno, name, 0) for name in ("ENOSPC", "EFBIG", "EDQUOT", "EIO", "EBADF", "ENXIO")
}
"""What a stream says that can't be written to."""


def guarded(command: Callable[[], None]) -> None:
    """Run a command; what its standard streams can't do is said in one line.

    Raises:
        SystemExit: as the command, or because a stream is closed (status 2) or can't be written
            to (status 1, and for a closed pipe without a word).
    """
    _settle()
    try:
        try:
            command()
        finally:
            # Python would do it at the very end, and only then find that it can't.
            sys.stdout.flush()
    except BrokenPipeError:
        _abandon_output()
        raise SystemExit(_FAILED) from None
    except OSError as error:
        if error.filename is not None or error.errno not in NOT_WRITTEN:
            raise
        _abandon_output()
        reason = (error.strerror or str(error)).lower()
        _stop(
            f"not everything could be written ({reason}): what is there is not whole. "
            "Make room, or write to another place.",
            _FAILED,
        )


def _settle() -> None:
    """See to it that there are three streams, and that they are whole."""
    # A file opened later would else get a closed stream's number, and be written to by mistake.
    for number in (0, 1, 2):
        _occupy(number)
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
        _stop(
            "standard output is closed, and there is nowhere to write to. Leave it open, or send "
            "it to a file.",
            _MISUSED,
        )
    if sys.stdin is None:
        sys.stdin = io.TextIOWrapper(io.BufferedReader(_Closed()), encoding="utf-8")
    raw = getattr(sys.stdout, "buffer", None)
    if isinstance(raw, io.RawIOBase):
        # Unbuffered (PYTHONUNBUFFERED), half of what is written may be dropped without an error.
        sys.stdout = io.TextIOWrapper(
            _AtOnce(raw),
            encoding=sys.stdout.encoding,
            errors=sys.stdout.errors,
            line_buffering=True,
            write_through=True,
        )


class _AtOnce(io.BufferedWriter):
    """Writes all of what it is given at once, or fails."""

    def write(self, data: Any, /) -> int:
        count = super().write(data)
        self.flush()
        return count


def _occupy(number: int) -> None:
    try:
        os.fstat(number)
    except OSError:
        null = os.open(os.devnull, os.O_RDWR)
        if null != number:
            os.dup2(null, number)
            os.close(null)


class _Closed(io.RawIOBase):
    """Standard input that was closed at the start: whoever reads it learns so, and it ends."""

    def readable(self) -> bool:
        return True

    def fileno(self) -> int:
        return 0

    def readinto(self, buffer: object, /) -> NoReturn:
        _stop(
            "standard input is closed, and there is nothing to read from. Leave it open, or give "
            "it a file.",
            _MISUSED,
        )


def _abandon_output() -> None:
    """Python flushes standard output once more as it ends: give that somewhere to go."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)


def _stop(message: str, status: int) -> NoReturn:
    with suppress(OSError):  # where it is full as well the status must do
        print(f"rungwise: {message}", file=sys.stderr, flush=True)
    raise SystemExit(status)
