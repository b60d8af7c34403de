"""A typed answer, with a line below that says how it is being read while it is typed."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Static

from ...language.texts import Words
from ..common.giving_way import give_way
from ..common.keys import bound
from ..compat.at_once import AtOnce
from ..compat.one_row import OneRowInput
from .history import History, State

MAX_TYPED = 500
"""Longest typed answer, in characters; what goes beyond is not taken."""

SLOWEST = 0.050
"""Seconds of processor time that a text may take to be read at every key.

A reading is bounded by counted work, which takes far less here; a slower machine may need more.
"""
TWICE = 2
"""Slow readings in a row that are enough: the first of a session loads what it reads with."""

Echo = Callable[[str], Content]


class AnswerInput(AtOnce, OneRowInput):
    """One line of typing; a paste too long to be an answer is cut."""

    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "submit", "answer"),
        bound("escape", "clear_line", "clear", show=False),
        bound("ctrl+z", "undo", "undo", show=False),
        bound("ctrl+y,ctrl+shift+z", "redo", "redo", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(max_length=MAX_TYPED, compact=True, select_on_focus=False)
        self.cursor_blink = False
        self._history = History()
        self._going_back = False

    def start(self) -> None:
        """A new and empty line: there is nothing to undo."""
        self.value = ""
        self._history.start()

    def watch_value(self, value: str) -> None:
        """Remember every state, whatever changed it."""
        if not self._going_back:
            self._history.changed(value)

    def action_undo(self) -> None:
        """Take back the last step of typing."""
        self._show(self._history.undo())

    def action_redo(self) -> None:
        """Do again what was undone."""
        self._show(self._history.redo())

    def _show(self, state: State | None) -> None:
        if state is not None:
            self._going_back = True
            self.value, self.cursor_position = state
            self._going_back = False

    def action_clear_line(self) -> None:
        """Take back what is typed and not yet submitted."""
        self.value = ""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """An empty line has nothing to clear: the key then goes to the screen."""
        return bool(self.value) if action == "clear_line" else True

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Typing is ours, except "?", which no answer holds and which asks for a hint.

        Args:
            key: the name of what is pressed.
            character: what it types, if anything.
        """
        return character != "?" and super().check_consume_key(key, character)

    def typed(self, value: str) -> None:
        """Read what is typed anew."""
        # Told here rather than by the message that follows: one paint can show both.
        if isinstance(self.parent, TypingLine):
            self.parent.reread(value)

    def on_paste(self, event: events.Paste) -> None:
        """Take the first line, as much as fits: Input refuses the whole of a long one."""
        line = event.text[: 4 * MAX_TYPED].strip().splitlines()
        room = MAX_TYPED - len(self.value) + len(self.selected_text)
        if line and room > 0:
            kept = "".join(c for c in line[0] if c.isprintable())[:room]
            self.replace(kept, *sorted(self.selection))
        event.stop()
        event.prevent_default()


class TypingLine(Vertical):
    """The typing line and its echo."""

    class Submitted(Message):
        """An answer was submitted; ``serial`` says to which question."""

        def __init__(self, text: str, serial: int) -> None:
            super().__init__()
            self.text, self.serial = text, serial

    def __init__(self) -> None:
        super().__init__()
        self._echo: Echo = lambda _: Content()
        self._drawn = self._pending = False
        self._lengthy = 0
        self._rows = 1
        self.serial = 0

    def compose(self) -> ComposeResult:
        """The input and the echo."""
        yield AnswerInput()
        yield Static(markup=False)

    @property
    def line(self) -> AnswerInput:
        """The input."""
        return self.query_one(AnswerInput)

    def ask(self, placeholder: str, echo: Echo, *, drawn: bool = False) -> None:
        """Empty the line for a new question.

        Args:
            placeholder: What stands in the empty line.
            echo: Says how a text is read.
            drawn: Whether it draws it as well, which takes longer: what is typed is then
                painted first, and keys that come fast are drawn once.
        """
        self._echo, self._drawn = echo, drawn
        self._lengthy = 0
        self.serial += 1
        self.line.start()
        self.line.placeholder = placeholder
        self.line.disabled = False
        self._say(Content())

    def close(self) -> None:
        """Take no more typing."""
        self.line.disabled = True
        self._say(Content())

    def reread(self, value: str) -> None:
        """Say how the line is read now; not again, until it is empty, once that took too long."""
        if not self._drawn:
            self._reread(value)
        elif not self._pending:
            self._pending = True
            self.call_after_refresh(self._catch_up)

    async def _catch_up(self) -> None:
        await give_way()
        self._pending = False
        # Where a screen is taken away meanwhile, its widgets go one after the other.
        if self.is_attached and self.query("AnswerInput") and self.query("Static"):
            self._reread(self.line.value)

    def _reread(self, value: str) -> None:
        text = value.strip()
        if not text:
            self._lengthy = 0
            self._say(Content())
        elif self._lengthy >= TWICE:
            self._say(Content(Words.load().ui("drill.lengthy")))
        else:
            start = time.thread_time()  # what other programs take of the processor is not ours
            echo = self._echo(text)
            self._lengthy = self._lengthy + 1 if time.thread_time() - start > SLOWEST else 0
            self._say(echo)

    def _say(self, echo: Content) -> None:
        width = max(1, self.size.width - 2)
        rows = max(1, sum(-(-len(line) // width) or 1 for line in echo.plain.splitlines()))
        # The echo changes at every key: the screen is laid out anew only if its height does.
        self.query_one(Static).update(echo, layout=rows != self._rows)
        self._rows = rows

    @on(Input.Submitted)
    def _submit(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.post_message(self.Submitted(event.value.strip(), self.serial))
