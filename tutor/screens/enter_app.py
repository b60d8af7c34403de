"""Papers being entered, on their own."""

from __future__ import annotations

from textual.screen import Screen

from ..classroom.entering.grid import EntryGrid
from ..learning.request import ProblemRequest
from .app import Rungwise
from .entering.screen import EnterScreen


class EnterApp(Rungwise):
    """The program with nothing but a class's papers.

    Args:
        title: Of the class's sheets.
        grid: The papers.
    """

    def __init__(self, title: str, grid: EntryGrid) -> None:
        super().__init__(ProblemRequest(None, None, 0))
        self._papers = title, grid
        self.entering = EnterScreen(title, grid)
        self.css_path = [*self.css_path, *self.entering.css_path]

    def get_default_screen(self) -> Screen[None]:
        """The papers are there from the first frame on."""
        return self.entering
