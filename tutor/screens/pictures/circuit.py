"""The circuit of a problem: a drawing that takes only the rows it needs."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.geometry import Size

from ....problems.circuits.model import Ladder
from ...figures.canvas.picture import Picture
from ...figures.looks.board import CAPTION
from ...figures.looks.redrawn import Captioned, redrawn
from .schematic import SchematicView

ROOMY = 36
"""Rows of a window from which on nothing needs to be kept short."""


LOW = 8
"""Rows of a circuit in a window that is not roomy, where it can be drawn in so few."""


@dataclass(frozen=True, slots=True)
class Pointed:
    """What is pointed out in a circuit.

    ``marked`` are names of its parts; ``views`` are drawings that stand in the place of its own:
    the circuit, and beside it what it is at its ends, each with its caption.
    """

    marked: tuple[str, ...] = ()
    views: tuple[Captioned, ...] = ()


class Circuit(SchematicView):
    """A schematic whose room follows the circuit it shows, as it is and at its ends."""

    INKS: ClassVar = {"caption": "bold $ink-quiet", "text": "$foreground"}

    _views: tuple[Captioned, ...] = ()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """In a low window no more rows than need be: what is said below needs them more."""
        most = super().get_content_height(container, viewport, width)
        if self.ladder is None or self.screen.size.height >= ROOMY:
            return most
        low = self.build(width, LOW)
        if self._views:  # a caption stands above; where one row more makes a drawing, it is given
            low = self.build(width, LOW + 1)
            if not any(span.role == CAPTION for span in low.spans):
                low = self.build(width, LOW + 2)
        return min(most, low.height)

    def show(
        self,
        ladder: Ladder,
        marked: Collection[str] = (),
        unknown: Collection[str] = (),
        views: Sequence[Captioned] = (),
    ) -> None:
        """Show a circuit.

        Args:
            ladder: the circuit.
            marked: the names of elements that are pointed out.
            unknown: the names of those whose values are question marks.
            views: it, and beside it what it is at its ends, each with its caption; empty: it alone.
        """
        again = tuple(views) != self._views
        self._views = tuple(views)
        if ladder == self.ladder and not again:
            self.mark(marked)
        else:
            self.set_ladder(ladder, marked, unknown)
            self.refresh(layout=True)

    def build(self, width: int, height: int) -> Picture:
        """As large as the room allows."""
        if self.ladder is None or not self._views:
            return super().build(width, height)
        whole, *ends = self._views
        return redrawn(whole, ends, width, height, ascii=self._ascii)
