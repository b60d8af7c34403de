"""Help: what a screen is for, and every key that works on it now."""

from __future__ import annotations

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from ...language.texts import fill, fold
from .frame import DialogFrame
from .keyline import KeyLine
from .keys import bound
from .leaving import Leaving

_BETWEEN = 3
"""Blanks between two columns of keys."""


def keys_of(screen: Screen[Any]) -> list[tuple[str, str]]:
    """(keys, what they do) of everything a screen's keyboard does now, in our words."""
    found: dict[str, list[str]] = {}
    for active in screen.active_bindings.values():
        binding = active.binding
        if binding.id and active.enabled and binding.description:
            keys = found.setdefault(binding.description, [])
            shown = screen.app.get_key_display(binding)
            if shown not in keys:
                keys.append(shown)
    return [(" ".join(keys), description) for description, keys in found.items()]


def in_columns(keys: list[tuple[str, str]], width: int) -> Content:
    """A table of ``keys`` and what they do, in as many columns as fit ``width``, at most three."""
    if not keys:
        return Content()
    for across in (3, 2, 1):
        rows = -(-len(keys) // across)
        columns = [keys[first : first + rows] for first in range(0, len(keys), rows)]
        names = [max(len(shown) for shown, _ in column) for column in columns]
        said = [max(len(text) for _, text in column) for column in columns]
        if sum(names) + sum(said) + 2 * len(columns) + _BETWEEN * (len(columns) - 1) <= width:
            break
    lines = []
    for row in range(rows):
        parts: list[tuple[str, str]] = []
        for column, name, most in zip(columns, names, said, strict=True):
            if row < len(column):
                shown, text = column[row]
                parts += [(" " * _BETWEEN, "")] if parts else []
                parts.append((shown.rjust(name), "bold $ink-copper"))
                parts.append((f"  {text.ljust(most)}", "$foreground"))
        lines.append(Content.assemble(*parts))
    return Content("\n").join(lines)


class HelpScreen(Leaving[None], ModalScreen[None]):
    """What a screen is for (``text``) and its ``keys``, on a page over it that scrolls."""

    BINDINGS: ClassVar[list[BindingType]] = [
        bound("escape,enter", "dismiss(None)", "close"),
        bound("f1", "app.toggle_help", "close", show=False),
    ]
    DEFAULT_CSS = """
    HelpScreen { align: center middle; }
    HelpScreen #help {
        width: 90;
        max-width: 100%;
        height: auto;
        max-height: 100%;
        margin-bottom: 1;
    }
    .-low HelpScreen #help, HelpScreen.-low #help { padding: 0 1; }
    HelpScreen VerticalScroll { height: auto; max-height: 100%; scrollbar-size-vertical: 1; }
    HelpScreen Static { height: auto; }
    HelpScreen #keys { margin-top: 1; }
    HelpScreen KeyLine { dock: bottom; }
    """

    def __init__(self, text: str, keys: list[tuple[str, str]]) -> None:
        super().__init__()
        self._text, self._keys = text, keys

    def compose(self) -> ComposeResult:
        """The text and the keys, in a frame."""
        with DialogFrame(fill("screens", "help-title"), id="help"), VerticalScroll():
            if self._text:
                yield Static(Content(fold(self._text)), markup=False)
            yield Static(id="keys", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Arrow keys scroll from the start."""
        self.query_one(VerticalScroll).focus()

    def on_resize(self) -> None:
        """As many columns of keys as there is room for."""
        frame = self.query_one("#help")
        room = min(90, self.app.size.width) - frame.gutter.width - 1
        self.query_one("#keys", Static).update(in_columns(self._keys, room))
