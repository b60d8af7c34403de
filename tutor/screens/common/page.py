"""The page beside the ladder of the opening screen: lines that scroll where they do not fit."""

from __future__ import annotations

from collections.abc import Callable

from textual import events
from textual.content import Content
from textual.widget import Widget

from ...figures.canvas.styled import StyledLine
from .styled import shown

Builder = Callable[[int, int], list[StyledLine]]
"""Builds the lines of a page for a room of so many columns and rows."""


class OpeningPage(Widget):
    """Lines built for the room there is, built anew when it changes."""

    ALLOW_SELECT = False

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._build: Builder | None = None
        self._lines: list[StyledLine] = []
        self._built: tuple[int, int] | None = None
        self._first = 0

    def show(self, build: Builder | None, *, keep: bool = False) -> None:
        """Show another page, from its beginning or (``keep``) from where it stands."""
        self._build, self._built = build, None
        if not keep:
            self._first = 0
        self.refresh()

    def scroll_by(self, rows: int) -> None:
        """Scroll down by so many rows, as far as there are any."""
        self._first = max(0, min(self._first + rows, len(self._lines) - self.size.height))
        self.refresh()

    @property
    def overflows(self) -> bool:
        """Whether there is more of the page than its room."""
        return len(self._lines) > self.size.height > 0

    def render(self) -> Content:
        """The lines that fit; arrowheads at the edge say where there are more."""
        width, height = self.size
        if self._build is None or width < 8 or height < 1:
            return Content()
        if self._built != (width, height):
            self._lines, self._built = self._build(width, height), (width, height)
        self._first = max(0, min(self._first, len(self._lines) - height))
        lines = [shown(line) for line in self._lines[self._first : self._first + height]]
        if self._first > 0:
            lines[0] = self._marked(lines[0], "▴", width)
        if self._first + height < len(self._lines):
            lines[-1] = self._marked(lines[-1], "▾", width)
        return Content("\n").join(lines)

    def _marked(self, line: Content, sign: str, width: int) -> Content:
        line = line[: width - 2]
        return Content.assemble(
            line, " " * (width - 1 - line.cell_length), (sign, "bold $ink-copper")
        )

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel scrolls."""
        self.scroll_by(2)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel scrolls."""
        self.scroll_by(-2)
