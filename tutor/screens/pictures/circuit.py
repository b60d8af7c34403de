"""The circuit of a problem: a drawing that takes only the rows it needs."""

from __future__ import annotations

from collections.abc import Collection

from textual.geometry import Size

from ....problems.circuits.model import Ladder
from .schematic import SchematicView

ROOMY = 36
"""Rows of a window from which on nothing needs to be kept short."""


LOW = 8
"""Rows of a circuit in a window that is not roomy, where it can be drawn in so few."""


class Circuit(SchematicView):
    """A schematic whose room follows the circuit it shows."""

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """In a low window no more rows than need be: what is said below needs them more."""
        most = super().get_content_height(container, viewport, width)
        if self.ladder is None or self.screen.size.height >= ROOMY:
            return most
        return min(most, self.build(width, LOW).height)

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
