"""The circuit of a problem: a drawing that takes only the rows it needs."""

from __future__ import annotations

from collections.abc import Collection

from ...problems.circuit import Ladder
from .schematic import SchematicView

ROOMY = 36
"""Rows of a window from which on nothing needs to be kept short."""


class Circuit(SchematicView):
    """A schematic whose room follows the circuit it shows."""

    def show(self, ladder: Ladder, marked: Collection[str] = ()) -> None:
        """Show a circuit, some of its elements pointed out."""
        if ladder is self.ladder:
            self.mark(marked)
        else:
            self.set_ladder(ladder, marked)
            self.refresh(layout=True)
