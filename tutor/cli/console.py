"""What every command says, and how: in signs that the stream has, and with nothing that steers it.

Imports no command line library, as opening the screen needs none.
"""

from __future__ import annotations

import difflib
import re
import shutil
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import NoReturn, TextIO, TypeVar

from ..language.ascii import ascii_form, carries_unicode
from ..language.errors import worded
from ..language.texts import fill, plain

_Name = TypeVar("_Name", bound=StrEnum)

FAILED, MISUSED, INTERRUPTED = 1, 2, 130
"""Exit statuses: it could not be done, it was asked for wrongly, and Ctrl+C."""
_ENDS = re.compile(r"(\r?\n)")
_OFTEN = 0.1
"""Seconds between two paints of a line that is painted over."""


def width() -> int:
    """Columns of the terminal, or of COLUMNS; 80 where there is neither."""
    return shutil.get_terminal_size().columns


def in_ascii() -> bool:
    """Whether standard output is to get ASCII only."""
    return not carries_unicode(sys.stdout)


def shown(name: str | Path) -> str:
    """A file's name, or whatever may be any bytes, as it can be shown."""
    return plain(str(name).encode("utf-8", "replace").decode("utf-8"))


def reason(error: Exception) -> str:
    """Why a file could not be had."""
    return plain(getattr(error, "strerror", None) or worded(error))


def read_bytes(name: str, most: int) -> bytes:
    """The bytes of the file ``name``, or of standard input for "-"; at ``most`` one more.

    Raises:
        OSError: it cannot be opened.
    """
    if name == "-":
        return sys.stdin.buffer.read(most + 1)
    with open(name, "rb") as file:
        return file.read(most + 1)


def many(count: int, thing: str) -> str:
    """``count`` of a ``thing``: "1 student", "1,200 students"."""
    return f"{count:,} {thing}" if count == 1 else f"{count:,} {thing}s"


def write(text: str = "", *, end: str = "\n") -> None:
    """Write ``text``, and what is to ``end`` it, to standard output."""
    _put(sys.stdout, text + end)


def say(file: str, key: str, /, **values: object) -> None:
    """Write the text ``key`` of a ``file`` of content/, filled with ``values``."""
    write(fill(file, key, values.items()))


def complain(text: str, *, end: str = "\n") -> None:
    """Write ``text``, and what is to ``end`` it, to standard error."""
    _put(sys.stderr, text + end)


def warn(*messages: str) -> None:
    """Say on standard error what is not as it should be, each message after the program's name."""
    for message in messages:
        complain(f"rungwise: {message}")


def fail(*messages: str, status: int = MISUSED) -> NoReturn:
    """Say what is wrong, in ``messages``, on standard error, and end with a ``status``.

    Raises:
        SystemExit: always.
    """
    warn(*messages)
    raise SystemExit(status)


@contextmanager
def painted_over() -> Iterator[Callable[[Callable[[], str], bool], None]]:
    """A line on standard error that says how far it is, where that is a terminal.

    It is told how to make the line, which is done ten times a second at most, and whether it is
    the last.
    """
    if not sys.stderr.isatty():
        yield lambda line, last: None
        return
    painted = 0.0

    def paint(line: Callable[[], str], last: bool) -> None:
        nonlocal painted
        now = time.monotonic()
        if last or now - painted > _OFTEN:
            painted = now
            sys.stderr.write("\r")
            _put(sys.stderr, line())

    try:
        yield paint
    finally:
        if painted:
            _put(sys.stderr, "\n")


def _put(stream: TextIO, text: str) -> None:
    lines = _ENDS.split(text)
    text = "".join(part if place % 2 else plain(part) for place, part in enumerate(lines))
    if not carries_unicode(stream):
        text = ascii_form(text)
    stream.write(text)
    stream.flush()


def names_in(option: str, text: str | None, known: Sequence[_Name]) -> tuple[_Name, ...]:
    """The names in a list with commas, each once; none where there is no list.

    Args:
        option: the option that the list was given to, for what is said of a wrong one.
        text: such as "type,poles"; ``None``: the option was left out.
        known: the names there are.

    Raises:
        SystemExit: one of them is none, or there is none at all (status 2).
    """
    if text is None:
        return ()
    by_name = {name.value: name for name in known}
    names = [name.strip().lower() for name in text.split(",") if name.strip()]
    for name in names:
        if name not in by_name:
            near = difflib.get_close_matches(name, by_name, n=1)
            hint = f"; did you mean {near[0]}?" if near else "."
            fail(f"{option}: there is no kind {name!r}{hint} The kinds are: {', '.join(by_name)}.")
    if not names:
        fail(f"{option}: name at least one of {', '.join(by_name)}.")
    return tuple(dict.fromkeys(by_name[name] for name in names))
