"""A sheet being filled in, on its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.screen import Screen

from ..learning.request import ProblemRequest
from .app import Rungwise
from .sheet.screen import SheetScreen

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
