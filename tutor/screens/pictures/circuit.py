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
        """Show a circuit.

        Args:
            ladder: the circuit.
            marked: the names of elements that are pointed out.
            unknown: the names of those whose values are question marks.
        """
        if ladder == self.ladder:
            self.mark(marked)
        else:
            self.set_ladder(ladder, marked, unknown)
            self.refresh(layout=True)
