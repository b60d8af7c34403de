"""Opening the full screen.  Kept apart from the command line: ``rungwise`` alone needs no click."""

from __future__ import annotations

import gc
import sys
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from collections.abc import Callable

    from ..coach.foresight import Foresight
    from ..coach.overview import Overview
    from ..learning.request import ProblemRequest
    from ..screens.opening.screen import OpeningScreen
    from ..store.keeper import Keeper

FIRST_LEVEL = 1


def fail(message: str) -> NoReturn:
    """Say what is wrong on standard error and exit with status 2."""
    print(f"rungwise: {message}", file=sys.stderr)
    raise SystemExit(2)


def check_terminal() -> None:
    """Refuse to fill a screen where there is none; find out what signs one that is there can show.

    Raises:
        SystemExit: standard input or output is no terminal (status 2).
    """
    from ..screens.common.served import served

    if served():
        from ..browser.budgets import WALL, confine

        confine(WALL)
    elif not (sys.stdout.isatty() and sys.stdin.isatty()):
        fail(
            "the tutor fills a terminal, and this is none. Run `rungwise` in a terminal, or "
            "`rungwise drill --plain` for a drill in plain lines."
        )
    from ..language.ascii import settle_screen

    settle_screen()


def has_record() -> bool:
    """Whether there is a record, as far as can be said without opening it."""
    from ..store import folder

    try:
        return folder.record_file(folder.learner()).exists()
    except (folder.BadName, OSError, RuntimeError):
        return False


def make_keeper() -> Keeper:
    """The keeper of the record; reads and writes nothing yet."""
    from ..store.keeper import Keeper

    return Keeper()


class _Look:
    """A look at the record, and from there at what comes next."""

    def board(self) -> Overview:
        """What the opening screen shows."""
        from ..coach.outlook import board_now
        from ..screens.common.session import local_now

        self._keeper, self._now = make_keeper(), local_now()
        self._board = board_now(self._keeper, self._now)
        return self._board

    def ahead(self) -> Foresight:
        """The problems that come next."""
        from ..coach.foresight import foresee

        return foresee(self._keeper, self._board, self._now)


def open_tutor(
    wish: ProblemRequest | None = None, then: Callable[[OpeningScreen], None] | None = None
) -> NoReturn:
    """Open the full screen, if there is a terminal to fill: the drill for a wish, or the start.

    Args:
        wish: what to climb.
        then: opens another room from the opening screen, once that has been painted.

    Raises:
        SystemExit: always; with status 2 if standard input or output is no terminal.
    """
    check_terminal()
    from ..screens.compat import lean

    lean.few_numbers()
    # Starting up makes thousands of objects that stay: looking for garbage among them again
    # and again would cost a tenth of the time to the first frame.  The screen switches the
    # collector on again once it has been painted.
    gc.disable()
    fresh = not has_record()
    start = board = None
    if wish is not None:
        from ..coach.headstart import HeadStart

        start = HeadStart(wish)
    else:
        from ..coach.headstart import Ahead

        look = _Look()
        board = Ahead(look.board, look.ahead)
    lean.without_network()
    from ..screens.app import Rungwise

    app = Rungwise(wish, start, make_keeper, board=board, fresh=fresh, then=then)
    try:
        app.run()
    finally:
        app.let_go()
    raise SystemExit(app.return_code or 0)
