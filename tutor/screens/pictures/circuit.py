"""The circuit of a problem: a drawing that takes only the rows it needs."""

from __future__ import annotations

from collections.abc import Collection

from ....problems.circuits.model import Ladder
from .schematic import SchematicView

ROOMY = 36
"""Rows of a window from which on nothing needs to be kept short."""


class Circuit(SchematicView):
    """A schematic whose room follows the circuit it shows."""

    def show(
        self,
        ladder: Ladder,
        marked: Collection[str] = (),
        unknown: Collection[str] = (),
    ) -> None:
        """Show a circuit, some of its elements pointed out, the values of some unknown."""
        if ladder == self.ladder:
            self.mark(marked)
        else:
            self.set_ladder(ladder, marked, unknown)
            self.refresh(layout=True)
