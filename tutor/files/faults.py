"""Where the details of a fault are written: a file that a person can send, and nothing private.

A fault is a mistake of the program, an exception that nobody expected.  What a learner typed
is not written: neither local variables nor the message of the exception go into the file
where they could hold it.
"""

from __future__ import annotations

import os
import platform
import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path

from ..version import VERSION

NAME = "faults.log"
LARGEST = 256 * 1024
"""Bytes after which the file is begun anew; the old one is kept beside it."""


def folder() -> Path:
    """The folder for it: of the records where RUNGWISE_HOME is set, else for a program's state."""
    told = os.environ.get("RUNGWISE_HOME")
    if told:
        return Path(told).expanduser()
    import platformdirs

    return Path(platformdirs.user_state_dir("rungwise", appauthor=False))


def report(error: BaseException) -> str:
    """The details as text: versions, and where in the program it happened."""
    head = (
        f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ} rungwise {VERSION}, "
        f"Python {platform.python_version()}, {sys.platform}"
    )
    lines = [head]
    seen: set[int] = set()
    link: BaseException | None = error
    while link is not None and id(link) not in seen:
        seen.add(id(link))
        frames = traceback.extract_tb(link.__traceback__)
        lines.append(f"{type(link).__module__}.{type(link).__qualname__}")
        lines += [f"  {frame.filename}:{frame.lineno} in {frame.name}" for frame in frames]
        link = getattr(link, "error", None) or link.__cause__ or link.__context__
    return "\n".join(lines) + "\n\n"


def write_down(error: BaseException) -> Path | None:
    """Add the details to the file; where it is, or None where it could not be written."""
    try:
        place = folder()
        place.mkdir(parents=True, exist_ok=True)
        path = place / NAME
        if path.exists() and path.stat().st_size > LARGEST:
            path.replace(path.with_suffix(".old.log"))
        # For the learner's own eyes, like the record.
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        with os.fdopen(handle, "a", encoding="utf-8", errors="replace") as file:
            file.write(report(error))
    except (OSError, ValueError, RuntimeError):
        return None
    return path
