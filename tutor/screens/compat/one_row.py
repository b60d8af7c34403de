"""A line of typing that stays one row, and so is painted without laying the screen out anew.

Textual 8.2 lays everything out at every key typed on an Input, since its width might follow what
is typed; that takes several times as long as painting the line.
"""

from __future__ import annotations

from typing import Self

from textual.geometry import Region
from textual.widgets import Input


class OneRowInput(Input):
    """An Input whose size never follows what is typed."""

    _typing = False

    def _watch_value(self, value: str) -> None:
        self._typing = True
        super()._watch_value(value)
        self._typing = False
        self.typed(value)

    def typed(self, value: str) -> None:
        """Told what is typed before it is painted: one paint can show what follows from it."""

    def refresh(
        self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False
    ) -> Self:
        """Paint anew, and lay nothing out for what is typed.

        Args:
            regions: what to paint; all of it without any.
            repaint: whether to paint at all.
            layout: whether to lay out anew.
            recompose: whether to make the widgets within anew.
        """
        layout = layout and not self._typing
        return super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)
