"""The circuit drawing on the screen."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from textual.geometry import Size
from textual.strip import Strip

from ....problems.circuits.model import Ladder
from ...figures.canvas.picture import Picture
from ...figures.schematic.draw import Schematic
from ...figures.schematic.parts import MARKED, TERMINAL
from .figure import FigureView

if TYPE_CHECKING:
    from ....problems.analysis.arms import End


class SchematicView(FigureView):
    """A ladder as large as its room allows, every kind of part one sign; scrolls beyond.

    Where the rails go on beyond the window, arrowheads at their ends say so.
    """

    INKS: ClassVar = {
        "wire": "$text-muted",
        "resistor": "$primary",
        "inductor": "$secondary",
        "capacitor": "$warning",
        "open": "$secondary",
        "short": "$secondary",
        "source": "$foreground",
        "load": "$primary",
        "buffer": "$foreground",
        "blank": "bold $accent",
        "ground": "$text-muted",
        "terminal": "$foreground",
        "label": "bold $foreground",
        "value": "$foreground",
        "marked": "bold $accent",
        "marked-label": "bold reverse $accent",
    }
    DEFAULT_CSS = "SchematicView { scrollbar-size: 0 1; }"

    def __init__(self, ladder: Ladder | None = None, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._ladder = ladder
        self._marked: frozenset[str] = frozenset()
        self._unknown: frozenset[str] = frozenset()
        self._end: End | None = None

    @property
    def ladder(self) -> Ladder | None:
        """The circuit that is shown."""
        return self._ladder

    def set_ladder(
        self,
        ladder: Ladder | None,
        marked: Collection[str] = (),
        unknown: Collection[str] = (),
    ) -> None:
        """Show another circuit, from its left end.

        Args:
            ladder: the circuit, if there is one.
            marked: the names of elements that are pointed out.
            unknown: the names of those whose values are question marks.
        """
        self._ladder = ladder
        self._marked = frozenset(marked)
        self._unknown = frozenset(unknown)
        self._end = None
        self.scroll_to(0, 0, animate=False)
        self.redraw()

    def mark(self, names: Collection[str] = ()) -> None:
        """Point out these elements, and no others."""
        if frozenset(names) != self._marked:
            self._marked = frozenset(names)
            self.redraw()

    def render_line(self, y: int) -> Strip:
        """One line of the window, with arrowheads where a rail goes on."""
        strip = super().render_line(y)
        x, top = self.scroll_offset
        width = self.size.width
        if top + y not in self._rails or width < 2:
            return strip
        before, after = ("<", ">") if self._ascii else ("◂", "▸")
        pieces = [strip]
        if x > 0:
            pieces = [self._arrow(before), strip.crop(1, width)]
        if x + width < self.picture.width:
            pieces[-1:] = [pieces[-1].crop(0, pieces[-1].cell_length - 1)]
            pieces.append(self._arrow(after))
        return Strip.join(pieces)

    def _arrow(self, sign: str) -> Strip:
        return Strip([Segment(sign, self.rich_style + self._style(MARKED))], 1)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """For ``height: auto``: the rows of the drawing that suits the room."""
        if self._ladder is None:
            return 1
        limit = self.styles.max_height
        # Beside others it is asked with no rows at all how many it would take.
        rows = container.height or self.screen.size.height
        if limit is not None and limit.is_cells:
            rows = min(rows, int(limit.value) - self.gutter.height)
        return self.build(width, rows).height

    @property
    def _rails(self) -> set[int]:
        if self._rails_of is not self.picture:
            rows = [span.row for span in self.picture.spans if span.role == TERMINAL]
            self._rail_rows = {min(rows), max(rows)} if rows else set()
            self._rails_of = self.picture
        return self._rail_rows

    _rails_of: Picture | None = None

    def show_end(self, end: End | None) -> None:
        """Show the circuit as it is at DC or at high frequency; ``None``: as it is."""
        if end is not self._end:
            self._end = end
            self.redraw()

    def build(self, width: int, height: int) -> Picture:
        """As large as the room allows."""
        if self._ladder is None:
            return Picture(())
        drawn = Schematic(self._ladder, self._ascii, self._marked, self._unknown)
        whole = drawn.fit(width, height)
        if self._end is None:
            return whole
        # At an end it has fewer parts, but no larger ones: it is the same circuit.
        return replace(drawn, end=self._end).fit(width, height, whole.size)
