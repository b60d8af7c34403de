"""Opening the full screen.  Kept apart from the command line: ``rungwise`` alone needs no click."""

from __future__ import annotations

import gc
import sys
from typing import TYPE_CHECKING, NoReturn

from ..language.texts import fill
from .console import complain, fail

if TYPE_CHECKING:
    from collections.abc import Callable

    from ..learning.request import ProblemRequest
    from ..screens.inspect.screen import RoundMaker
    from ..screens.opening.screen import OpeningScreen
    from ..store.keeper import Keeper

FIRST_LEVEL = 1


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
    if sys.platform != "win32" and not served():
        try:
            import termios  # noqa: F401
        except ImportError:
            fail(
                "this Python cannot read a terminal key by key. `rungwise drill --plain` is a "
                "drill in plain lines."
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


def patient_keeper() -> Keeper:
    """The keeper for a command without a screen, which says first that a record opens slowly."""
    from ..store.keeper import Keeper

    keeper = Keeper()
    if keeper.path is not None and has_record():
        from ..store.database import opens_slowly

        if opens_slowly(keeper.path):
            complain(fill("record", "notice.slow"))
    return keeper


def open_tutor(
    wish: ProblemRequest | None = None,
    then: Callable[[OpeningScreen], None] | None = None,
    rounds: RoundMaker | None = None,
) -> NoReturn:
    """Open the full screen, if there is a terminal to fill: the drill for a wish, or the start.

    Args:
        wish: what to climb.
        rounds: makes rounds of looks, to open these at once.
        then: opens another room from the opening screen, once that has been painted.

    Raises:
        SystemExit: always; with status 2 if standard input or output is no terminal.
    """
    check_terminal()
    # Start-up makes thousands of objects that stay: looking for garbage among them would cost a
    # tenth of the time to the first frame.  The app switches it on again once it has painted.
    gc.disable()
    from ..screens.app import Rungwise

    app = Rungwise(wish, make_keeper, fresh=not has_record(), rounds=rounds, then=then)
    try:
        app.run()
    finally:
        app.let_go()
    raise SystemExit(app.return_code or 0)
