"""The picture of a look on the screen: whatever it faces, an error explained, a round's page."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.message import Message

from ...figures.canvas.picture import Picture
from ...figures.looks.board import LookPicture
from ..pictures.figure import FigureView
from ..pictures.schematic import SchematicView

Drawer = Callable[[int, int], LookPicture]
"""Draws for so many columns and rows."""


class LookView(FigureView):
    """A picture as large as its room; a click on a choice in it is that choice's key."""

    INKS: ClassVar = SchematicView.INKS | {
        "key": "bold $ink-copper",
        "caption": "bold $ink-quiet",
        "text": "$foreground",
        "quiet": "$ink-quiet",
        "good": "bold $ink-verdigris",
        "bad": "bold $ink-rust",
        "axis": "$text-muted",
        "tick": "$text-muted",
        "grid": "$ink-quiet",
        "curve": "bold $primary",
        "pole": "bold $primary",
        "zero": "bold $secondary",
    }
    DEFAULT_CSS = "LookView { scrollbar-size: 0 1; }"

    class Chosen(Message):
        """One of the pictures was clicked, by its place."""

        def __init__(self, place: int) -> None:
            super().__init__()
            self.place = place

    def __init__(self) -> None:
        super().__init__()
        self._drawer: Drawer | None = None

    def show(self, drawer: Drawer | None) -> None:
        """Show another picture, from its upper left corner."""
        self._drawer = drawer
        self.scroll_to(0, 0, animate=False)
        self.redraw()

    def build(self, width: int, height: int) -> Picture:
        """As large as the room allows."""
        return LookPicture(()) if self._drawer is None else self._drawer(width, height)

    def on_click(self, event: events.Click) -> None:
        """A click on a choice."""
        if not isinstance(self.picture, LookPicture):
            return
        x, y = event.x + self.scroll_offset.x, event.y + self.scroll_offset.y
        for place, spot in enumerate(self.picture.spots):
            if spot.holds(x - self.gutter.left, y - self.gutter.top):
                self.post_message(self.Chosen(place))
                return
