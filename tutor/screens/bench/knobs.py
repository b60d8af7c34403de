"""The parts of a circuit as knobs: one a line, the selected one ready to be turned."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.content import Content
from textual.geometry import Region, Size
from textual.message import Message
from textual.strip import Strip
from textual.visual import Visual
from textual.widget import Widget

from ....problems.circuits.model import Element
from ....problems.quantities.write import write_quantity
from ...language.texts import fill, plain

_BACK, _ON = "◂", "▸"


class Knobs(Widget, can_focus=True):
    """Every part with its value; a click selects, the wheel and the arrows turn."""

    ALLOW_SELECT = False

    class Picked(Message):
        """A part was selected, by its name."""

        def __init__(self, name: str) -> None:
            super().__init__()
            self.name = name

    class Turned(Message):
        """A part is to be turned."""

        def __init__(self, name: str, up: bool) -> None:
            super().__init__()
            self.name, self.up = name, up

    def __init__(self) -> None:
        super().__init__(id="knobs")
        self._parts: Sequence[Element] = ()
        self._ends: tuple[str, str] = ("", "")
        self._selected = ""
        self._first = 0

    def show(self, parts: Sequence[Element], selected: str, source: str, load: str) -> None:
        """Show these parts.

        Args:
            parts: the elements, a row each.
            selected: the name of the one that is turned.
            source: the name of the source's resistance; "" for none.
            load: the name of the load's.
        """
        before, after = self._parts, parts
        same = [part.name for part in before] == [part.name for part in after]
        told = (self._selected, self._ends) == (selected, (source, load))
        self._parts, self._selected, self._ends = parts, selected, (source, load)
        if same and told:
            # A value alone: that it is painted before the next key comes depends on how little
            # there is to be painted.
            width, rows = self.size.width, enumerate(zip(before, after, strict=True))
            changed = [Region(0, n - self._first, width, 1) for n, (a, b) in rows if a != b]
            if changed:
                self.refresh(*changed)
        else:
            self.refresh(layout=len(before) != len(after))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """A line for each part."""
        return max(1, len(self._parts))

    def _window(self) -> Sequence[Element]:
        """The parts in sight: the selected one always is."""
        rows = max(1, self.size.height)
        names = [part.name for part in self._parts]
        at = names.index(self._selected) if self._selected in names else 0
        self._first = max(min(self._first, at, len(names) - rows), at - rows + 1, 0)
        return self._parts[self._first : self._first + rows]

    def render(self) -> Content:
        """The knobs."""
        shown = self._window()
        return Content("\n").join([self._line(row, shown) for row in range(len(shown))])

    def render_line(self, y: int) -> Strip:
        """One of the knobs, without the work of drawing the others anew."""
        width, shown = self.size.width, self._window()
        if y >= len(shown):
            return Strip.blank(width, self.visual_style.rich_style)
        line = self._line(y, shown)
        return Visual.to_strips(self, line, width, 1, self.visual_style)[0]

    def _line(self, row: int, shown: Sequence[Element]) -> Content:
        part, width = shown[row], self.size.width
        longest = max((len(part.name) for part in self._parts), default=2)
        chosen = part.name == self._selected
        value = write_quantity(part.value, part.kind.unit) if part.value is not None else ""
        where = ""
        if part.name in self._ends and part.name:
            where = fill("bench", ("parts.source", "parts.load")[self._ends.index(part.name)])
        # What lies beyond the window is told by an arrow.
        number = self._first + row
        beyond = ""
        if row == 0 and self._first:
            beyond = "↑"
        elif row == len(shown) - 1 and number + 1 < len(self._parts):
            beyond = "↓"
        name = plain(part.name).ljust(min(longest, 12))
        ground = " $picked-look" if chosen else ""
        turn = f" {_BACK} " if chosen else "   "
        end = f" {_ON}" if chosen else "  "
        head = f"{beyond or ' '}{name}"
        body = f"{turn}{value}{end}"
        rest = max(0, width - len(head) - len(body))
        tail = f"{where} ".rjust(rest) if len(where) + 1 <= rest else " " * rest
        return Content.assemble(
            (head, f"bold $ink-copper{ground}" if chosen else "bold $foreground"),
            (body, f"bold $foreground{ground}" if chosen else "$foreground"),
            (tail, f"$ink-quiet{ground}"),
        )

    def _at(self, y: int) -> Element | None:
        number = self._first + y
        return self._parts[number] if y >= 0 and number < len(self._parts) else None

    def on_click(self, event: events.Click) -> None:
        """A click selects; on the arrows of the selected part it turns."""
        part = self._at(event.y)
        if part is None:
            return
        if part.name != self._selected:
            self.post_message(self.Picked(part.name))
            return
        line = str(self.render()).splitlines()[event.y]
        if event.x < line.index(_BACK) + 2:
            self.post_message(self.Turned(part.name, up=False))
        elif event.x >= line.rindex(_ON) - 1:
            self.post_message(self.Turned(part.name, up=True))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel turns the part under the pointer."""
        self._wheel(event, up=True)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel turns the part under the pointer."""
        self._wheel(event, up=False)

    def _wheel(self, event: events.MouseEvent, up: bool) -> None:
        part = self._at(event.y)
        if part is not None:
            event.stop()
            self.post_message(self.Turned(part.name, up))
