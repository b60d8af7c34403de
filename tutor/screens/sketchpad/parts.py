"""What a pad consists of: paper, the pieces of what is drawn in words, and keys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, NamedTuple

from textual import events
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from ...figures.canvas.picture import Picture
from ..pictures.figure import FigureView


class SketchPaper(FigureView):
    """What is drawn on; a click says where."""

    INKS: ClassVar = {
        "grid": "$border-blurred",
        "axis": "$text-muted",
        "tick": "$text-muted",
        "label": "$foreground",
        "corner": "$ink-brass",
        "mine": "$ink-copper",
        "hand": "bold $ink-copper",
        "handle": "bold $ink-copper",
        "held": "bold $ink-reversed on $ink-copper",
        "right": "bold $ink-verdigris",
        "good": "bold $ink-verdigris",
        "bad": "bold $ink-rust",
        "pole": "bold $ink-copper",
        "zero": "bold $ink-copper",
        "zone": "on $picked",
    }

    class Pointed(Message):
        """A cell of the picture was clicked."""

        def __init__(self, col: int, row: int) -> None:
            super().__init__()
            self.col, self.row = col, row

    def __init__(self, draw: Callable[[int, int], Picture]) -> None:
        super().__init__()
        self._draw = draw

    def build(self, width: int, height: int) -> Picture:
        """What the pad draws."""
        return self._draw(width, height)

    def on_click(self, event: events.Click) -> None:
        """Say which cell it was."""
        event.stop()
        x, y = self.scroll_offset
        self.post_message(self.Pointed(event.x + x, event.y + y))


class Field(NamedTuple):
    """A piece of what is drawn, in words; ``good`` is its verdict, if it has one."""

    handle: object
    text: str
    held: bool = False
    good: bool | None = None


class SketchPieces(Widget):
    """What is drawn, piece by piece; a click selects a piece."""

    ALLOW_SELECT = False
    DEFAULT_CSS = "SketchPieces { height: 1; }"

    class Picked(Message):
        """A piece was clicked."""

        def __init__(self, handle: object) -> None:
            super().__init__()
            self.handle = handle

    def __init__(self) -> None:
        super().__init__()
        self._fields: Sequence[Field] = ()
        self._spots: list[tuple[int, int, int, object]] = []

    def show(self, fields: Sequence[Field]) -> None:
        """Show these pieces."""
        self._fields = fields
        self.refresh()

    def render(self) -> Content:
        """The pieces, in as many rows as there are; the selected one is always in sight."""
        width, height = self.size
        rows: list[list[tuple[Field, str]]] = [[]]
        column, held = 0, 0
        for field in self._fields:
            sign = {True: "✓ ", False: "✗ "}.get(field.good, "") if field.good is not None else ""
            text = f"{sign}{field.text}"
            text = f"▸{text} " if field.held else f" {text} "
            text = text[: max(1, width)]
            if column and column + len(text) > width:
                rows.append([])
                column = 0
            if field.held:
                held = len(rows) - 1
            rows[-1].append((field, text))
            column += len(text) + 1
        first = max(0, min(held - height + 1, len(rows) - height))
        lines: list[Content] = []
        self._spots = []
        for number, row in enumerate(rows[first : first + height]):
            parts: list[Content | tuple[str, str]] = []
            column = 0
            for field, text in row:
                style = "$foreground"
                if field.held:
                    style = "bold $ink-reversed on $ink-copper"
                elif field.good is not None:
                    style = "bold $ink-verdigris" if field.good else "bold $ink-rust"
                parts += [(text, style), ("│", "$ink-line")]
                self._spots.append((number, column, column + len(text), field.handle))
                column += len(text) + 1
            lines.append(Content.assemble(*parts[:-1]))
        if first and lines:
            lines[0] = Content.assemble(("…", "$ink-quiet"), lines[0])
        if first + height < len(rows) and lines:
            lines[-1] = Content.assemble(lines[-1][: width - 2], (" …", "$ink-quiet"))
        return Content("\n").join(lines)

    def on_click(self, event: events.Click) -> None:
        """A click selects the piece."""
        event.stop()
        for row, start, end, handle in self._spots:
            if event.y == row and start <= event.x < end:
                self.post_message(self.Picked(handle))


class PadKeys(Widget):
    """The keys that work on what is selected; as many as fit, each also a place to click."""

    ALLOW_SELECT = False
    DEFAULT_CSS = "PadKeys { height: 1; }"

    def __init__(self) -> None:
        super().__init__()
        self._keys: Sequence[tuple[str, str, str]] = ()
        self._spots: list[tuple[int, int, int, str]] = []

    def show(self, keys: Sequence[tuple[str, str, str]]) -> None:
        """Show these: (name of the key, or "", its cap, what it does)."""
        if keys != self._keys:
            self._keys = keys
            self.refresh()

    def render(self) -> Content:
        """The keys, in as many rows as there are."""
        width, height = self.size
        parts: list[tuple[str, str]] = []
        self._spots = []
        row = column = 0
        for name, cap, words in self._keys:
            length = len(cap) + len(words) + 3
            if column + length - 1 > width:
                row, column = row + 1, 0
                if row >= height:
                    break
                parts.append(("\n", ""))
            parts += [(f" {cap}", "bold $ink-copper"), (f" {words} ", "$ink-quiet")]
            if name:
                self._spots.append((row, column, column + length, name))
            column += length
        return Content.assemble(*parts)

    def on_click(self, event: events.Click) -> None:
        """A click on a key's words is that key."""
        event.stop()
        for row, start, end, name in self._spots:
            if event.y == row and start <= event.x < end:
                self.app.simulate_key(name)
