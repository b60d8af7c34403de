"""``rungwise serve``: opens the room on a loopback address until it is interrupted."""

from __future__ import annotations

import asyncio
import errno
import logging
import signal
import socket as sockets
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress

from aiohttp import web

from ..language.texts import fill
from ..language.told import ToldError
from .log import LogLines
from .room import BrowserRoom

LOOPBACK = "127.0.0.1"
"""The only address listened at: nobody beyond this machine can knock."""
BACKLOG = 32
"""Connections taken up at once: who is in already is heard between two such lots."""
RECEIVED = 16 * 1024
"""Bytes of a connection that the system keeps until they are read (Linux: twice as many)."""
TO_CLOSE = 12.0
"""Seconds in which all tutors have ended, by force if need be."""


class NoPort(ToldError):  # noqa: N818 - what there is not
    """The port cannot be used; says why."""

    misused = True


def bind(port: int) -> sockets.socket:
    """A socket at a port of the loopback address; port 0 is any that is free.

    Raises:
        OSError: the port is taken, or may not be used.
    """
    found = sockets.socket(sockets.AF_INET, sockets.SOCK_STREAM)
    try:
        if sys.platform == "win32":
            # Without it another program could listen at the same port at the same time.
            found.setsockopt(sockets.SOL_SOCKET, sockets.SO_EXCLUSIVEADDRUSE, 1)
        else:
            found.setsockopt(sockets.SOL_SOCKET, sockets.SO_REUSEADDR, 1)
        # Inherited by every connection: what is read of one at a time holds up all others.
        found.setsockopt(sockets.SOL_SOCKET, sockets.SO_RCVBUF, RECEIVED)
        found.bind((LOOPBACK, port))
        found.listen(128)
    except OSError:
        found.close()
        raise
    return found


def tell(line: str) -> None:
    """A line for whoever runs the server."""
    print(line, flush=True)


@asynccontextmanager
async def listening(room: BrowserRoom, socket: sockets.socket) -> AsyncIterator[web.AppRunner]:
    """The ``room`` behind its door, at a ``socket`` that is bound."""
    runner = web.AppRunner(
        room.application(),
        access_log=None,
        shutdown_timeout=TO_CLOSE,
        keepalive_timeout=room.budgets.patience,
        lingering_time=1.0,
        max_line_size=1024,
        max_field_size=4096,
        max_headers=64,
    )
    await runner.setup()
    assert runner.server is not None
    make = room.door.guarding(runner.server)
    server = await asyncio.get_running_loop().create_server(make, sock=socket, backlog=BACKLOG)
    lines = LogLines(room.log)
    loggers = [logging.getLogger(name) for name in ("asyncio", "aiohttp")]
    for logger in loggers:
        logger.addHandler(lines)
        logger.propagate = False
    try:
        yield runner
    finally:
        server.close()
        await runner.cleanup()
        for logger in loggers:
            logger.removeHandler(lines)
            logger.propagate = True
        room.log.settle(all_of_them=True)


async def serve(room: BrowserRoom, socket: sockets.socket) -> None:
    """Keep the ``room`` open at a ``socket`` until SIGINT, SIGTERM or SIGHUP; see everybody out."""
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            with suppress(NotImplementedError):  # on Windows Ctrl+C cancels the task instead
                loop.add_signal_handler(getattr(signal, name), stop.set)
    async with listening(room, socket):
        await stop.wait()


def run(port: int, visitors: int, minutes: float) -> None:
    """Open the room.

    Args:
        port: The port; 0 is any that is free.
        visitors: How many may be in at once.
        minutes: Minutes without a key or a click after which a visitor is asked to leave.

    Raises:
        NoPort: the port cannot be used.
    """
    try:
        socket = bind(port)
    except OSError as error:
        key = "busy" if error.errno == errno.EADDRINUSE else "no-port"
        why = error.strerror or str(error)
        raise NoPort(fill("serving", f"serve.{key}", [("port", port), ("why", why)])) from None
    with socket:
        address = f"http://{LOOPBACK}:{socket.getsockname()[1]}/"
        values = [("address", address), ("visitors", visitors), ("minutes", f"{minutes:g}")]
        tell(fill("serving", "serve.open", values))
        with suppress(KeyboardInterrupt):
            asyncio.run(serve(BrowserRoom(visitors, minutes * 60, tell), socket))
    tell(fill("serving", "serve.closed"))
