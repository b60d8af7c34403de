"""One visitor's tutor: a process of its own, started without a shell and never left behind."""

from __future__ import annotations

import asyncio
import os
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import AsyncIterator, Mapping
from contextlib import suppress

from ..screens.common.served import SERVED
from .packets import HANDSHAKE, SCREEN, GarbledError, clamped, meta, read_packet

DRIVER = "rungwise.tutor.browser.driver:ServedDriver"
COMMAND = (sys.executable, "-P", "-m", "rungwise.tutor")
"""What is run: this very Python and this very package, whatever lies in the current folder."""

KEPT = (
    *("HOME", "XDG_DATA_HOME", "RUNGWISE_HOME", "TZ", "LANG", "LC_ALL", "LC_CTYPE", "TMPDIR"),
    *("PYTHONPATH", "PYTHONPYCACHEPREFIX", "USERPROFILE", "APPDATA", "LOCALAPPDATA"),
    *("SYSTEMROOT", "TEMP", "TMP"),
)
"""What a tutor is told of its surroundings: where records lie, the clock and the language; where
packages lie, compiled too; and what Python needs on Windows."""

TO_LEAVE, TO_END = 3.0, 2.0
"""Seconds given for leaving when asked, and for ending when told to, before the next means."""
LAST_WORDS = 2000
"""Most bytes kept of what a tutor said to standard error."""


def environment(name: str, size: tuple[int, int], own: Mapping[str, str]) -> dict[str, str]:
    """All that a visitor's tutor is given of the environment ``own``.

    Args:
        name: The visitor's name, as read.
        size: Columns and rows of the visitor's screen.
        own: The environment of the server.
    """
    kept = {key: own[key] for key in KEPT if key in own}
    return kept | {
        SERVED: "1",
        "RUNGWISE_LEARNER": name,
        "TEXTUAL_DRIVER": DRIVER,
        "TEXTUAL_COLOR_SYSTEM": "truecolor",
        "COLUMNS": str(size[0]),
        "LINES": str(size[1]),
        "ROWS": str(size[1]),
        "PYTHONUTF8": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
    }


class Visitor:
    """A visitor, of a ``name`` as read and a screen ``size``, and the tutor started for them."""

    def __init__(self, name: str, size: tuple[int, int]) -> None:
        self.name = name
        self.size = clamped(*size)
        self.last_words = b""
        """The end of what it said to standard error."""
        self.painted = False
        """Whether its tutor has painted anything: before, there is nothing that could be lost."""
        self._process: Process | None = None
        self._listener: asyncio.Task[None] | None = None

    @property
    def process(self) -> int | None:
        """The number of its process, while there is one."""
        found = self._process
        return found.pid if found is not None and found.returncode is None else None

    async def ended_well(self) -> bool:
        """Whether the tutor, which paints no more, was left by its own key or has failed."""
        assert self._process is not None
        try:
            return await asyncio.wait_for(self._process.wait(), TO_LEAVE) == 0
        except TimeoutError:
            return False

    async def start(self) -> None:
        """Start the tutor.

        Raises:
            OSError: there is no room for another process.
        """
        self._process = process = await asyncio.create_subprocess_exec(
            *COMMAND,
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=environment(self.name, self.size, os.environ),
            cwd=os.path.expanduser("~") if os.path.isdir(os.path.expanduser("~")) else None,
            # Ctrl+C in the server's terminal is for the server, which then asks all to leave.
            start_new_session=True,
        )
        self._listener = asyncio.create_task(self._listen(process))

    async def _listen(self, process: Process) -> None:
        assert process.stderr is not None
        while said := await process.stderr.read(4096):
            self.last_words = (self.last_words + said)[-LAST_WORDS:]

    async def screens(self) -> AsyncIterator[bytes]:
        """What the tutor paints, as it comes, until it ends.

        Raises:
            GarbledError: it sent something else.
        """
        assert self._process is not None and self._process.stdout is not None
        stream = self._process.stdout
        with suppress(EOFError, ConnectionError):
            if await stream.readexactly(len(HANDSHAKE)) != HANDSHAKE:
                raise GarbledError("no handshake")
            while True:
                kind, load = await read_packet(stream)
                if kind == SCREEN:
                    self.painted = True
                    yield load

    async def tell(self, type_: str, **values: object) -> None:
        """Hand a message on to the tutor, by its ``type_`` and ``values``; waits while it is busy.

        Raises:
            ConnectionError: it has ended.
        """
        assert self._process is not None and self._process.stdin is not None
        self._process.stdin.write(meta(type_, **values))
        await self._process.stdin.drain()

    async def end(self, *, ask: bool = True) -> None:
        """End the tutor: ask, tell, force. Returns when there is no process any more.

        One that has painted nothing yet is not asked: it would first get ready for a whole screen.

        Args:
            ask: Whether it is asked; else it is told at once.
        """
        process, listener = self._process, self._listener
        if process is None:
            return
        if not (ask and self.painted):
            with suppress(ProcessLookupError):
                process.terminate()
        elif process.returncode is None and process.stdin is not None:
            with suppress(OSError, RuntimeError):
                process.stdin.write(meta("quit"))
                process.stdin.close()
        drain = asyncio.create_task(self._drain(process))
        try:
            for seconds, means in (
                (TO_LEAVE, process.terminate),
                (TO_END, process.kill),
                (None, None),
            ):
                try:
                    await asyncio.wait_for(process.wait(), seconds)
                    break
                except TimeoutError:
                    with suppress(ProcessLookupError):
                        means()  # type: ignore[misc]
        except asyncio.CancelledError:
            with suppress(ProcessLookupError):
                process.kill()
            raise
        finally:
            drain.cancel()
            if listener is not None:
                listener.cancel()

    async def _drain(self, process: Process) -> None:
        """Read what is painted last: a full pipe would keep it from leaving."""
        assert process.stdout is not None
        with suppress(OSError):
            while await process.stdout.read(65536):
                pass
