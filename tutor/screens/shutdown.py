"""Being told to end: what is typed is kept, as with the tutor's own key for leaving.

A closed terminal window sends SIGHUP, a shutdown SIGTERM.  Every answer is on the disk already;
what was typed and not submitted is written now.
"""

from __future__ import annotations

import asyncio
import os
import signal
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from .compat.untold import leave_terminal

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import App


def heed_signals(app: App[Any], let_go: Callable[[], None]) -> None:
    """Leave properly when the system says so, from now on; on the app's own loop.

    Args:
        app: what is left.
        let_go: writes what still waits to be written.
    """
    loop = asyncio.get_running_loop()
    for name in ("SIGHUP", "SIGTERM"):
        number = getattr(signal, name, None)  # Windows has no SIGHUP
        if number is not None:
            # Windows' loops take no handlers, and only the main thread may set them.
            with suppress(NotImplementedError, RuntimeError, ValueError):
                loop.add_signal_handler(number, _leave, app, let_go, number)


def _leave(app: App[Any], let_go: Callable[[], None], number: signal.Signals) -> None:
    let_go()
    # Told once more, it ends at once: a terminal that takes no output holds up leaving.
    asyncio.get_running_loop().remove_signal_handler(number)
    if number == signal.SIGTERM:
        app.exit(return_code=128 + number)
        return
    leave_terminal(app)  # as a rule there is none any more
    signal.signal(number, signal.SIG_DFL)
    os.kill(os.getpid(), number)
