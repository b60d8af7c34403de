"""The line that a cell is typed on: what is whole as it stands is taken at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from ..answers.entry import AnswerInput, TypingLine
from ..common.keys import bound


class CellInput(AnswerInput):
    """One line of typing; text that ``is_whole`` needs no Enter for ``take`` to get it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "take", "cell-take"),
        bound("space", "type(' ')", "cell-right"),
        bound("semicolon", "type(';')", "cell-slip"),
        bound("equals_sign", "type('=')", "cell-points"),
    ]

    def __init__(self, is_whole: Callable[[str], bool], take: Callable[[str], None]) -> None:
        super().__init__()
        self._is_whole, self._take = is_whole, take

    async def on_key(self, event: events.Key) -> None:
        """Take what is whole with this key; any other key types, or does what it is bound to."""
        typed = event.character
        if typed is not None and self.cursor_position == len(self.value):
            text = self.value + typed
            if self._is_whole(text):
                event.stop()
                event.prevent_default()
                self.start()
                self._take(text)
                return
        await super().on_key(event)

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """All that is typed belongs to the cell."""
        return character is not None and character.isprintable()

    def action_take(self) -> None:
        """Take what is typed, be it nothing."""
        text = self.value
        self.start()
        self._take(text)

    def action_type(self, text: str) -> None:
        """Type ``text``, for whoever clicks on the line of keys."""
        self.insert_text_at_cursor(text)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """An empty line has nothing to undo, and no room to move in: the keys go to the screen."""
        if action in ("undo", "redo", "cursor_left", "cursor_right", "home", "end"):
            return bool(self.value)
        return super().check_action(action, parameters)


class CellLine(TypingLine):
    """The line of a :class:`CellInput`, and what is said of it."""

    def __init__(self, is_whole: Callable[[str], bool], take: Callable[[str], None]) -> None:
        super().__init__()
        self._cell = is_whole, take

    def compose(self) -> ComposeResult:
        """The input and the echo."""
        yield CellInput(*self._cell)
        yield Static(markup=False)
