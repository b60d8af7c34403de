"""A sheet being filled in, on its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NoReturn

from . import lean

lean.few_numbers()
lean.without_network()  # before the screen library imports it whole

from textual.screen import Screen  # noqa: E402

from .app import Rungwise  # noqa: E402
from .screens.sheet import SheetScreen  # noqa: E402
from .wish import Wish  # noqa: E402

if TYPE_CHECKING:
    from .sheet_filling import Filling


class SheetApp(Rungwise):
    """The tutor with nothing but a sheet.

    Args:
        filling: The sheet and what was answered.
        keep: Puts the answers where they last.
        file: The name of where that is.
    """

    def __init__(self, filling: Filling, keep: Callable[[], None], file: str) -> None:
        super().__init__(Wish(None, None, 0))
        self._sheet = filling, keep, file

    def get_default_screen(self) -> Screen[None]:
        """The sheet is there from the first frame on."""
        return SheetScreen(*self._sheet)


def open_sheet(filling: Filling, keep: Callable[[], None], file: str) -> NoReturn:
    """Fill a sheet in, say what became of it, and leave the program.

    Raises:
        SystemExit: always.
    """
    from .sheet_fill_run import told_at_the_end

    app = SheetApp(filling, keep, file)
    app.run()
    told_at_the_end(filling, file)
    raise SystemExit(app.return_code or 0)
