"""An answer picked among choices: by letter, arrows or mouse; Enter submits."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from ...figures.canvas.picture import Picture
from ...language.wrap import fold
from ..common.keys import bound
from ..pictures.circuit import ROOMY
from ..pictures.schematic import SchematicView

LETTERS = "abcdefghijklmnopqrstuvwxyz"
_MARGIN = 7  # columns before the words: pointer, letter, gap
_HEAD = 6
_APART = 2
_REST, _REST_LARGE = 21, 26
"""Rows that are to be left for a chart, the question and notes; in a large window, where the notes
stand beside, for a larger chart."""
_LARGE = 56

Drawer = Callable[[int, int], Sequence[Picture | None]]
"""Draws every choice in so many columns and rows; ``None`` for one that does not fit."""


class Choices(Widget, can_focus=True):
    """A list of choices, one of them picked."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "submit", "answer"),
        bound("up", "move(-1)", "pick", show=False),
        bound("down", "move(1)", "pick", show=False),
        bound("home", "pick(0)", "pick", show=False),
        bound("end", "pick(-1)", "pick", show=False),
        bound("left", "step(-1)", "pick", show=False),
        bound("right", "step(1)", "pick", show=False),
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
        self._drawer: Drawer | None = None
        self._drawings: Sequence[Picture] = ()
        self._drawn_for = (0, 0)
        self._tried: Collection[int] = ()
        self._right: int | None = None
        self.picked: int | None = None
        self.serial = 0

    def ask(self, words: Sequence[str], drawer: Drawer | None = None) -> None:
        """Offer new choices, none of them picked: an Enter too many answers nothing.

        Args:
            words: what each choice says.
            drawer: draws what each choice shows instead, two beside each other, where there is
                room.
        """
        self._words, self._tried, self._right, self.picked = words, (), None, None
        self._drawer, self._drawings, self._drawn_for = drawer, (), (0, 0)
        self.serial += 1
        self.refresh(layout=True)

    def cross(self, tried: Collection[int]) -> None:
        """Cross out the choices already found wrong; in a low window they then lie closer."""
        self._tried = tried
        self.refresh(layout=True)

    def reveal(self, index: int) -> None:
        """Mark the right choice, once the learner has asked for it."""
        self._right = self.picked = index
        self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as the wrapped words, or the drawings, need."""
        drawn = self._is_drawn(width)
        self.screen.set_class(drawn and self.display, "-choosing")
        if drawn:
            return sum(self._rows(first) for first in range(0, len(self._drawings), 2))
        return len(self._flowing(width)) or max(1, sum(map(len, self._wrapped(width))))

    def _flowing(self, width: int) -> list[list[tuple[int, int]]]:
        """Rows of (choice, its column), one choice beside the other; none where they do not lie so.

        Once an answer was wrong, or shown, a low window needs the rows for what explains it.
        """
        if not (self._tried or self._right is not None) or self.screen.size.height >= ROOMY:
            return []
        rows: list[list[tuple[int, int]]] = [[]]
        col = 0
        for i, words in enumerate(self._words):
            taken = _HEAD + len(words) + _APART
            if taken > width:
                return []
            if col + taken > width:
                rows.append([])
                col = 0
            rows[-1].append((i, col))
            col += taken
        return rows

    def _wrapped(self, width: int) -> list[list[str]]:
        room = max(8, width - _MARGIN)
        return [fold(words, room) or [""] for words in self._words]

    def _is_drawn(self, width: int) -> bool:
        """Whether there is room for the drawings, and for notes below them."""
        height = self.screen.size.height
        if self._drawer is None or height < ROOMY:
            return False
        pairs = (len(self._words) + 1) // 2
        rest = _REST_LARGE if height >= _LARGE else _REST
        room = width // 2 - _HEAD, (height - rest - (pairs - 1)) // pairs
        if room != self._drawn_for:
            drawn = self._drawer(*room)
            found = [drawing for drawing in drawn if drawing is not None]
            self._drawn_for = room
            self._drawings = found if len(found) == len(drawn) else ()
        return bool(self._drawings)

    def _rows(self, first: int) -> int:
        """The rows of a pair of drawings, with an empty one below all but the last."""
        last = first + 2 >= len(self._drawings)
        return max(d.height for d in self._drawings[first : first + 2]) + (0 if last else 1)

    def _look(self, i: int) -> tuple[str, str, str]:
        """(sign, its style, ground) of a choice."""
        picked, crossed = i == self.picked, i in self._tried
        sign = "✓" if i == self._right else "✗" if crossed else "▸" if picked else " "
        style = {"✓": "$ink-verdigris", "✗": "$ink-rust"}.get(sign, "$ink-copper")
        return sign, style, " $picked-look" if picked else ""

    def _drawn(self, width: int) -> Content:
        """The choices as drawings, two beside each other."""
        room = width // 2
        lines: list[Content] = []
        for first in range(0, len(self._drawings), 2):
            pair = range(first, min(first + 2, len(self._drawings)))
            last = first + 2 >= len(self._drawings)
            lines += (
                Content.assemble(*(cell for i in pair for cell in self._cells(i, row, room)))
                for row in range(self._rows(first) - (not last))
            )
            if not last:
                lines.append(Content())
        return Content("\n").join(lines)

    def _cells(self, i: int, row: int, room: int) -> Iterator[tuple[str, str]]:
        """One row of one drawing, with the letter before the first."""
        drawing = self._drawings[i]
        sign, style, ground = self._look(i)
        head = f" {sign} {LETTERS[i % 26]}  " if row == 0 else ""
        yield head.ljust(_HEAD), f"bold {style}{ground}"
        line = drawing.lines[row] if row < drawing.height else ""
        quiet = i in self._tried
        done = 0
        for span in sorted(s for s in drawing.spans if s.row == row):
            yield line[done : span.col], ground
            ink = "$ink-quiet" if quiet else SchematicView.INKS.get(span.role, "$foreground")
            done = span.col + span.length
            yield line[span.col : done], f"{ink}{ground}"
        yield line[done:].ljust(room - _HEAD - done), ground

    def render(self) -> Content:
        """The choices, wrapped under themselves, or drawn."""
        width = self.size.width
        if self._is_drawn(width):
            return self._drawn(width)
        if flowing := self._flowing(width):
            return Content("\n").join(self._flowed(row) for row in flowing)
        lines: list[Content] = []
        for i, wrapped in enumerate(self._wrapped(width)):
            sign, sign_style, ground = self._look(i)
            style = "$ink-quiet" if i in self._tried else "$foreground"
            for row, text in enumerate(wrapped):
                head = f" {sign} {LETTERS[i % 26]}  " if row == 0 else " " * 6
                lines.append(
                    Content.assemble(
                        (head.ljust(6), f"bold {sign_style}{ground}"),
                        (text.ljust(max(0, width - 6)), f"{style}{ground}"),
                    )
                )
        return Content("\n").join(lines)

    def _flowed(self, row: Sequence[tuple[int, int]]) -> Content:
        """One row of choices beside each other."""
        parts: list[tuple[str, str]] = []
        for i, _ in row:
            sign, sign_style, ground = self._look(i)
            style = "$ink-quiet" if i in self._tried else "$foreground"
            parts.append((f" {sign} {LETTERS[i % 26]}".ljust(_HEAD), f"bold {sign_style}{ground}"))
            parts.append((self._words[i] + " " * _APART, f"{style}{ground}"))
        return Content.assemble(*parts)

    def action_move(self, step: int) -> None:
        """Pick the choice below or above, round and round."""
        self.action_step(step * 2 if self._is_drawn(self.size.width) else step)

    def action_step(self, step: int) -> None:
        """Pick the next or the previous choice, round and round."""
        if self._words:
            before = self.picked if self.picked is not None else min(0, -step)
            self.picked = (before + step) % len(self._words)
            self.refresh()

    def action_pick(self, index: int) -> None:
        """Pick a choice by its place; −1 is the last."""
        if self._words and -1 <= index < len(self._words):
            self.picked = index % len(self._words)
            self.refresh()

    def action_submit(self) -> None:
        """Submit the picked choice."""
        if self.picked is not None:
            self.post_message(self.Submitted(self.picked, self.serial))

    def on_click(self, event: events.Click) -> None:
        """A click picks; a click on the picked choice submits it."""
        if self._is_drawn(self.size.width):
            below = event.y >= self._rows(0)
            self._clicked(2 * below + (event.x >= self.size.width // 2))
            return
        if flowing := self._flowing(self.size.width):
            if event.y < len(flowing):
                self._clicked(next(i for i, col in reversed(flowing[event.y]) if col <= event.x))
            return
        row = 0
        for i, lines in enumerate(self._wrapped(self.size.width)):
            row += len(lines)
            if event.y < row:
                self._clicked(i)
                return

    def _clicked(self, i: int) -> None:
        if self.picked == i:
            self.action_submit()
        else:
            self.action_pick(i)
