"""A typed answer, with a line below that says how it is being read while it is typed."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Static

from ..wording import bound

MAX_TYPED = 500
"""Longest typed answer, in characters; what goes beyond is not taken."""

Echo = Callable[[str], Content]


class AnswerInput(Input):
    """One line of typing; a paste too long to be an answer is cut."""

    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "submit", "answer"),
        bound("escape", "clear_line", "clear", show=False),
    ]

    def action_clear_line(self) -> None:
        """Take back what is typed and not yet submitted."""
        self.value = ""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Typing is ours, except "?", which no answer holds and which asks for a hint."""
        return character != "?" and super().check_consume_key(key, character)

    def _on_paste(self, event: events.Paste) -> None:
        # Only the first line, and only as much as fits: Input refuses the whole of a long one.
        line = event.text[: 4 * MAX_TYPED].strip().splitlines()
        room = MAX_TYPED - len(self.value) + len(self.selected_text)
        if line and room > 0:
            kept = "".join(c for c in line[0] if c.isprintable())[:room]
            self.replace(kept, *sorted(self.selection))
        event.stop()
        event.prevent_default()


class Entry(Vertical):
    """The typing line and its echo."""

    class Submitted(Message):
        """An answer was submitted; ``serial`` says to which question."""

        def __init__(self, text: str, serial: int) -> None:
            super().__init__()
            self.text, self.serial = text, serial

    def __init__(self) -> None:
        super().__init__()
        self._echo: Echo = lambda _: Content()
        self._rows = 0
        self.serial = 0

    def compose(self) -> ComposeResult:
        """The input and the echo."""
        line = AnswerInput(max_length=MAX_TYPED, compact=True, select_on_focus=False)
        line.cursor_blink = False
        yield line
        yield Static(markup=False)

    @property
    def line(self) -> AnswerInput:
        """The input."""
        return self.query_one(AnswerInput)

    def ask(self, placeholder: str, echo: Echo) -> None:
        """Empty the line for a new question; ``echo`` says how a text is read."""
        self._echo = echo
        self.serial += 1
        self.line.value = ""
        self.line.placeholder = placeholder
        self.line.disabled = False
        self._say(Content())

    def close(self) -> None:
        """Take no more typing."""
        self.line.disabled = True
        self._say(Content())

    @on(Input.Changed)
    def _reread(self, event: Input.Changed) -> None:
        event.stop()
        text = event.value.strip()
        self._say(self._echo(text) if text else Content())

    def _say(self, echo: Content) -> None:
        width = max(1, self.size.width - 2)
        rows = sum(-(-len(line) // width) or 1 for line in echo.plain.splitlines())
        # The echo changes at every key: the screen is laid out anew only if its height does.
        self.query_one(Static).update(echo, layout=rows != self._rows)
        self._rows = rows

    @on(Input.Submitted)
    def _submit(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.post_message(self.Submitted(event.value.strip(), self.serial))
