"""Opening the full screen.  Kept apart from the command line: ``rungwise`` alone needs no click."""

from __future__ import annotations

import gc
import sys
from typing import NoReturn

from .wish import Wish

FIRST_LEVEL = 1


def fail(message: str) -> NoReturn:
    """Say what is wrong on standard error and exit with status 2."""
    print(f"rungwise: {message}", file=sys.stderr)
    raise SystemExit(2)


def draw_seed() -> int:
    """A seed short enough to be typed again."""
    from random import SystemRandom

    return SystemRandom().randrange(1, 1_000_000)


def check_terminal() -> None:
    """Refuse to fill a screen where there is none.

    Raises:
        SystemExit: standard input or output is no terminal (status 2).
    """
    from .serving import served

    if not served() and not (sys.stdout.isatty() and sys.stdin.isatty()):
        fail(
            "the tutor fills a terminal, and this is none. Run `rungwise` in a terminal, or "
            "`rungwise drill --plain` for a drill in plain lines."
        )


def open_tutor(wish: Wish | None = None) -> NoReturn:
    """Open the full screen, if there is a terminal to fill: the drill for a wish, or the start.

    Raises:
        SystemExit: always; with status 2 if standard input or output is no terminal.
    """
    check_terminal()
    # Starting up makes thousands of objects that stay: looking for garbage among them again
    # and again would cost a tenth of the time to the first frame.  The screen switches the
    # collector on again once it has been painted.
    gc.disable()
    from .store.keeper import Keeper

    keeper = Keeper()
    start = outlook = None
    fresh = keeper.path is None or not keeper.path.exists()
    if wish is not None:
        from .headstart import HeadStart

        start = HeadStart(wish)
    elif not fresh:
        from .headstart import Ahead
        from .outlook import look, new_chance
        from .sitting import local_now

        outlook = Ahead(lambda: look(keeper, local_now(), new_chance()))
    from .app import Rungwise

    app = Rungwise(wish, start, keeper, outlook=outlook, fresh=fresh)
    try:
        app.run()
    finally:
        keeper.close()
    raise SystemExit(app.return_code or 0)
