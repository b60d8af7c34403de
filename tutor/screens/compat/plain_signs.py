"""The last resort of a screen in ASCII: every sign that is left becomes one of equal width.

Words and drawings are made in ASCII where they can be, with "ohm" for "Ω"; borders, scroll
bars, pointers and what a widget of the library draws pass through here on their way out.
Textual 8.2 draws them in box characters whatever the terminal can show.
"""

from __future__ import annotations

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from ...language.ascii import AsciiCells

_CELLS = AsciiCells(cell_len)


class PlainSigns(LineFilter):
    """Writes every line of the screen in ASCII."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The same ``segments`` in ASCII, whatever the ``background``."""
        return [Segment(_CELLS.of(text), style, control) for text, style, control in segments]
