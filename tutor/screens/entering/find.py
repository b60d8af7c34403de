"""The dialog that finds a student by number, student number or name."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from ...language.texts import speaker
from ..common.frame import DialogFrame
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..compat.one_row import OneRowInput

say = speaker("entering", "find.")


class FindStudent(Leaving["str | None"], ModalScreen["str | None"]):
    """Dismissed with what was typed, or ``None``."""

    BINDINGS: ClassVar[list[BindingType]] = [bound("escape", "dismiss(None)", "close")]

    def compose(self) -> ComposeResult:
        """One line to type on."""
        with DialogFrame(say("title"), id="find"):
            yield Static(Content(say("about")), markup=False)
            yield OneRowInput(max_length=100, compact=True, select_on_focus=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Typing goes there."""
        self.query_one(Input).focus()

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        self.dismiss(event.value.strip() or None)
