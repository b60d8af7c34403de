"""What a process uses of the machine, asked of the system."""

from __future__ import annotations

import asyncio
import os
import re
import sys
from asyncio.subprocess import DEVNULL, PIPE
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Usage:
    """The ``memory`` (bytes) a process holds, and the ``cpu`` (s) it and ended children took."""

    memory: int
    cpu: float


async def usage(process: int) -> Usage | None:
    """What a process uses; ``None`` where it has ended or the system does not say.

    Linux says it in /proc, other Unix systems by ``ps``; Windows is not asked.
    """
    if sys.platform == "linux":
        with suppress(OSError, ValueError, IndexError):
            return _from_proc(process)
        return None
    if sys.platform == "win32":
        return None
    with suppress(OSError, ValueError):
        return await _from_ps(process)
    return None


def _from_proc(process: int) -> Usage:
    """Proc_pid_stat(5): the name in brackets may hold anything, brackets too."""
    text = Path(f"/proc/{process}/stat").read_text(errors="replace")
    fields = text[text.rindex(")") + 2 :].split()
    ticks = sum(int(field) for field in fields[11:15])
    memory = int(fields[21]) * os.sysconf("SC_PAGE_SIZE")
    return Usage(memory, ticks / os.sysconf("SC_CLK_TCK"))


async def _from_ps(process: int) -> Usage:
    asked = await asyncio.create_subprocess_exec(
        *("ps", "-o", "rss=,time=", "-p", str(process)), stdin=DEVNULL, stdout=PIPE, stderr=DEVNULL
    )
    said, _ = await asked.communicate()
    return read_ps(said.decode("ascii", "replace"))


def read_ps(line: str) -> Usage:
    """What a line of ``ps -o rss=,time=`` says: kibibytes, and days-hours:minutes:seconds.

    Raises:
        ValueError: it is no such line.
    """
    found = re.fullmatch(r"\s*(\d+)\s+(?:(\d+)-)?((?:\d+:){1,2}\d+(?:\.\d+)?)\s*", line)
    if not found:
        raise ValueError(line)
    seconds = 0.0
    for part in found[3].split(":"):
        seconds = seconds * 60 + float(part)
    return Usage(int(found[1]) * 1024, seconds + 86400 * int(found[2] or 0))
