"""A sheet being filled in, on its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from .compat import lean

lean.few_numbers()
lean.without_network()  # before the screen library imports it whole

from textual.screen import Screen  # noqa: E402

from ..learning.request import ProblemRequest  # noqa: E402
from .app import Rungwise  # noqa: E402
from .sheet.screen import SheetScreen  # noqa: E402

if TYPE_CHECKING:
    from ..classroom.handins.filling import Filling


class SheetApp(Rungwise):
    """The tutor with nothing but a sheet.

    Args:
        filling: The sheet and what was answered.
        keep: Puts the answers where they last.
        file: The name of where that is.
    """

    def __init__(self, filling: Filling, keep: Callable[[], None], file: str) -> None:
        super().__init__(ProblemRequest(None, None, 0))
        self._sheet = filling, keep, file

    def get_default_screen(self) -> Screen[None]:
        """The sheet is there from the first frame on."""
        return SheetScreen(*self._sheet)
