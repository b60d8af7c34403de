"""A line that waits until the learner has read enough and goes on."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from .keys import bound


class OnwardLine(Widget, can_focus=True):
    """Says that Enter goes on; Enter, space or a click does."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [bound("enter,space", "go", "onward")]

    text: reactive[str] = reactive("", layout=True)

    class Pressed(Message):
        """The learner goes on."""

    def render(self) -> Content:
        """The line."""
        return Content.assemble((" ▸ ", "bold $ink-copper"), (self.text, "bold"))

    def action_go(self) -> None:
        """Go on."""
        self.post_message(self.Pressed())

    def on_click(self, event: events.Click) -> None:
        """A click goes on as well."""
        event.stop()
        self.action_go()
