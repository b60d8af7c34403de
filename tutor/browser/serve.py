"""``rungwise serve``: opens the room on a loopback address until it is interrupted."""

from __future__ import annotations

import asyncio
import errno
import signal
import socket as sockets
import sys
from contextlib import suppress

from aiohttp import web

from ..language.texts import fill
from .room import BrowserRoom

LOOPBACK = "127.0.0.1"
"""The only address listened at: nobody beyond this machine can knock."""
TO_CLOSE = 12.0
"""Seconds in which all tutors have ended, by force if need be."""


class NoPort(Exception):  # noqa: N818 - what there is not
    """The port cannot be used; says why."""


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
        found.bind((LOOPBACK, port))
        found.listen(128)
    except OSError:
        found.close()
        raise
    return found


def tell(line: str) -> None:
    """A line for whoever runs the server."""
    print(line, flush=True)


async def serve(room: BrowserRoom, socket: sockets.socket) -> None:
    """Keep the room open until SIGINT, SIGTERM or SIGHUP, then see everybody out."""
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            with suppress(NotImplementedError):  # on Windows Ctrl+C cancels the task instead
                loop.add_signal_handler(getattr(signal, name), stop.set)
    runner = web.AppRunner(room.application(), access_log=None, shutdown_timeout=TO_CLOSE)
    await runner.setup()
    try:
        await web.SockSite(runner, socket).start()
        await stop.wait()
    finally:
        await runner.cleanup()


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
        room = BrowserRoom(visitors, minutes * 60, tell)
        address = f"http://{LOOPBACK}:{socket.getsockname()[1]}/"
        values = [("address", address), ("visitors", visitors), ("minutes", f"{minutes:g}")]
        tell(fill("serving", "serve.open", values))
        with suppress(KeyboardInterrupt):
            asyncio.run(serve(room, socket))
    tell(fill("serving", "serve.closed"))
