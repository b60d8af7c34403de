"""What the screen says when the window is too small for it."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from ...language.texts import Words

COLUMNS, ROWS = 60, 20
"""The smallest window that everything fits into."""


class TooSmall(Widget):
    """Asks for a larger window; shown instead of the screen's body while it is too small."""

    ALLOW_SELECT = False

    def render(self) -> Content:
        """How much is needed, and how much there is."""
        width, height = self.app.size
        text = Words.load().ui("drill.room", columns=COLUMNS, rows=ROWS, width=width, height=height)
        return Content(text)
