"""The circuit of a problem: a drawing that takes only the rows it needs."""

from __future__ import annotations

from collections.abc import Collection

from textual.geometry import Size

from ...problems.circuit import Ladder
from ..figures.schematic import draw
from .schematic import SchematicView

ROOMY = 36
"""Rows of the window from which on the circuit is drawn in full size."""


class Circuit(SchematicView):
    """A schematic of automatic height: in full where the window is roomy, else compact."""

    def show(self, ladder: Ladder, marked: Collection[str] = ()) -> None:
        """Show a circuit, some of its elements pointed out."""
        if ladder is self.ladder:
            self.mark(marked)
        else:
            self.set_ladder(ladder, marked)
            self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """The rows of the drawing that fits."""
        if self.ladder is None:
            return 1
        if viewport.height >= ROOMY:
            full = draw(self.ladder)
            if full.width <= width:
                return full.height
        return draw(self.ladder, compact=True).height
