"""The choices of a look: a strip in which every key has its place, whatever is asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from ....problems.questions.looks import LOOK_KINDS

KEYS = tuple(str(n) for n in range(1 + max(int(row.keys[-1]) for row in LOOK_KINDS)))
"""Every key that any look has."""
_ZERO = 5
"""Columns of the first key's place, which holds a figure alone."""
_TIGHT = 76
"""Columns below which the keys stand in two rows."""


class ChoiceStrip(Widget):
    """Choices in one row, each behind its key; the key of a choice never moves."""

    ALLOW_SELECT = False

    class Pressed(Message):
        """A choice was clicked, by its key."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key

    def __init__(self) -> None:
        super().__init__()
        self._words: Mapping[str, str] = {}
        self._signs: Mapping[str, str] = {}
        self._open = True
        self._pressed = ""

    def ask(self, words: Mapping[str, str]) -> None:
        """Offer choices, by their keys."""
        self._words, self._signs, self._open, self._pressed = words, {}, True, ""
        self.refresh()

    def press(self, key: str) -> None:
        """Show which key has been taken."""
        self._pressed, self._open = key, False
        self.refresh()

    def judge(self, keys: Sequence[str], choices: Sequence[str], answered: str, truth: str) -> None:
        """Close the choices, and sign which was right and which wrong.

        Args:
            keys: of the choices.
            choices: their ids.
            answered: the id of the one taken; "" where it was shown.
            truth: the id of the right one.
        """
        signs = {answered: "✗"} | {truth: "✓"}
        by_key = zip(keys, choices, strict=True)
        self._signs = {key: signs[choice] for key, choice in by_key if choice in signs}
        self._open, self._pressed = False, ""
        self.refresh()

    def places(self, width: int) -> list[tuple[str, int, int, int]]:
        """(key, row, first column, columns) of every key's place in so many columns."""
        in_row = 3 if width < _TIGHT else len(KEYS) - 1
        each = (width - _ZERO) // in_row
        first = ("0", 0, 0, _ZERO)
        return [first] + [
            (key, n // in_row, _ZERO + n % in_row * each, each) for n, key in enumerate(KEYS[1:])
        ]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """One row, or two where they do not fit in one."""
        return 2 if width < _TIGHT else 1

    def render(self) -> Content:
        """The keys and their words."""
        width = self.size.width
        rows: dict[int, list[Content]] = {}
        for key, row, start, end in self._cells(width):
            line = rows.setdefault(row, [])
            line.append(Content(" " * (start - sum(part.cell_length for part in line))))
            line.append(self._cell(key, end - start))
        return Content("\n").join(Content.assemble(*line) for line in rows.values())

    def _cells(self, width: int) -> list[tuple[str, int, int, int]]:
        """(key, row, first column, column after) of what is offered; words may reach over."""
        offered = [place for place in self.places(width) if place[0] in self._words]
        found = []
        for n, (key, row, start, _) in enumerate(offered):
            after = [place for place in offered[n + 1 :] if place[1] == row]
            found.append((key, row, start, after[0][2] if after else width))
        return found

    def _cell(self, key: str, room: int) -> Content:
        sign = self._signs.get(key, "")
        # A number that is its own key stands there once.
        said = "" if self._words[key] == key and not sign else f" {self._words[key]}"
        if key == self._pressed:
            words = f"{said} "[: max(0, room - 1)]
            return Content.styled(f"{key}{words}", "bold $ink-reversed on $ink-copper")
        look = {"✓": "bold $ink-verdigris", "✗": "bold $ink-rust"}.get(sign, "")
        if not look:
            look = "$foreground" if self._open else "$ink-quiet"
        head = sign or key
        style = look if sign else "bold $ink-copper" if self._open else "$ink-quiet"
        return Content.assemble((head, style), (said[: room - 1], look))

    def on_click(self, event: events.Click) -> None:
        """A click on a choice is its key."""
        x, y = event.x - self.gutter.left, event.y - self.gutter.top
        for key, row, start, end in self._cells(self.size.width):
            if self._open and start <= x < end and row == y:
                self.post_message(self.Pressed(key))
                return
