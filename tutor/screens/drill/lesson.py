"""The short lesson of a level, over the drill."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from ...language.texts import Words
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving


class LessonScreen(Leaving[None], ModalScreen[None]):
    """One page of text; it scrolls where the window is small.

    Args:
        level: Whose lesson it is, from 1 to 7.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        bound("escape,enter,f7,ctrl+l", "dismiss(None)", "close"),
    ]
    DEFAULT_CSS = """
    LessonScreen { align: center middle; }
    LessonScreen #lesson {
        width: 84;
        max-width: 100%;
        height: auto;
        max-height: 90%;
        border: round $ink-copper;
        border-title-color: $ink-copper;
        border-title-style: bold;
        background: $background;
        padding: 1 2;
    }
    LessonScreen VerticalScroll { height: auto; max-height: 100%; }
    LessonScreen KeyLine { dock: bottom; }
    """

    def __init__(self, level: int) -> None:
        super().__init__()
        self._level = level

    def compose(self) -> ComposeResult:
        """The text in a frame that bears its title."""
        title, text = Words.load().lesson(self._level)
        with Container(id="lesson") as frame:
            frame.border_title = Content(title)
            with VerticalScroll():
                yield Static(Content(text), markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Arrow keys scroll from the start."""
        self.query_one(VerticalScroll).focus()
