"""An answer picked among choices: by letter, arrows or mouse; Enter submits."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from ..folding import fold
from ..wording import bound

LETTERS = "abcdefghijklmnopqrstuvwxyz"
_MARGIN = 7  # columns before the words: pointer, letter, gap


class Choices(Widget, can_focus=True):
    """A list of choices, one of them picked."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "submit", "answer"),
        bound("up", "move(-1)", "pick", show=False),
        bound("down", "move(1)", "pick", show=False),
        bound("home", "pick(0)", "pick", show=False),
        bound("end", "pick(-1)", "pick", show=False),
        *(
            Binding(letter, f"pick({i})", show=False, system=True)
            for i, letter in enumerate(LETTERS)
        ),
        *(Binding(str(i + 1), f"pick({i})", show=False, system=True) for i in range(9)),
    ]

    class Submitted(Message):
        """A choice was submitted, by its place in the list; ``serial`` says of which list."""

        def __init__(self, index: int, serial: int) -> None:
            super().__init__()
            self.index, self.serial = index, serial

    def __init__(self) -> None:
        super().__init__()
        self._words: Sequence[str] = ()
        self._tried: Collection[int] = ()
        self._right: int | None = None
        self.picked: int | None = None
        self.serial = 0

    def ask(self, words: Sequence[str]) -> None:
        """Offer new choices, none of them picked: an Enter too many answers nothing."""
        self._words, self._tried, self._right, self.picked = words, (), None, None
        self.serial += 1
        self.refresh(layout=True)

    def cross(self, tried: Collection[int]) -> None:
        """Cross out the choices already found wrong."""
        self._tried = tried
        self.refresh()

    def reveal(self, index: int) -> None:
        """Mark the right choice, once the learner has asked for it."""
        self._right = self.picked = index
        self.refresh()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as the wrapped words need."""
        return max(1, sum(len(lines) for lines in self._wrapped(width)))

    def _wrapped(self, width: int) -> list[list[str]]:
        room = max(8, width - _MARGIN)
        return [fold(words, room) or [""] for words in self._words]

    def render(self) -> Content:
        """The choices, wrapped under themselves."""
        width = self.size.width
        lines: list[Content] = []
        for i, wrapped in enumerate(self._wrapped(width)):
            picked, crossed = i == self.picked, i in self._tried
            style = "$ink-quiet" if crossed else "$foreground"
            ground = " $picked-look" if picked else ""
            sign = "✓" if i == self._right else "✗" if crossed else "▸" if picked else " "
            sign_style = (
                "$ink-verdigris"
                if i == self._right
                else ("$ink-rust" if crossed else "$ink-copper")
            )
            for row, text in enumerate(wrapped):
                head = f" {sign} {LETTERS[i % 26]}  " if row == 0 else " " * 6
                lines.append(
                    Content.assemble(
                        (head.ljust(6), f"bold {sign_style}{ground}"),
                        (text.ljust(max(0, width - 6)), f"{style}{ground}"),
                    )
                )
        return Content("\n").join(lines)

    def action_move(self, step: int) -> None:
        """Pick the next or the previous choice, round and round."""
        if self._words:
            before = self.picked if self.picked is not None else min(0, -step)
            self.picked = (before + step) % len(self._words)
            self.refresh()

    def action_pick(self, index: int) -> None:
        """Pick a choice by its place; −1 is the last."""
        if -1 <= index < len(self._words):
            self.picked = index % len(self._words)
            self.refresh()

    def action_submit(self) -> None:
        """Submit the picked choice."""
        if self.picked is not None:
            self.post_message(self.Submitted(self.picked, self.serial))

    def on_click(self, event: events.Click) -> None:
        """A click picks; a click on the picked choice submits it."""
        row = 0
        for i, lines in enumerate(self._wrapped(self.size.width)):
            row += len(lines)
            if event.y < row:
                if self.picked == i:
                    self.action_submit()
                else:
                    self.action_pick(i)
                return
