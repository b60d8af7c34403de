"""What screens are framed by: the lines above and below, and the frame of a dialog."""

from __future__ import annotations

from typing import Any

from textual.app import ComposeResult
from textual.containers import Container
from textual.content import Content
from textual.widget import Widget

from .keyline import KeyLine
from .too_small import TooSmall
from .topline import TopLine


def framed(*inside: Widget) -> ComposeResult:
    """A whole screen: what is ``inside`` between the top line and that of the keys."""
    yield TopLine()
    yield TooSmall()
    yield from inside
    yield KeyLine()


class DialogFrame(Container):
    """The frame of a dialog, with a title, around its children; for the rest as any container."""

    DEFAULT_CSS = """
    DialogFrame {
        border: round $ink-copper;
        border-title-color: $ink-copper;
        border-title-style: bold;
        background: $background;
        padding: 1 2;
    }
    """

    def __init__(self, title: str, *children: Widget, **told: Any) -> None:
        super().__init__(*children, **told)
        self.border_title = Content(title)
