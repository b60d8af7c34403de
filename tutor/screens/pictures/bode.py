"""Bode charts on the screen."""

from __future__ import annotations

from typing import ClassVar

from ....problems.analysis.response import Response
from ...figures.bode.chart import chart
from ...figures.canvas.picture import Picture
from .figure import ResponseFigure


class BodeView(ResponseFigure):
    """The magnitude or the phase of a response, as large as its room."""

    INKS: ClassVar = {
        "grid": "$border-blurred",
        "axis": "$text-muted",
        "tick": "$text-muted",
        "asymptote": "$secondary",
        "curve": "bold $primary",
        "corner": "$warning",
        "edge": "bold $warning",
        "peak": "bold $warning",
        "label": "$foreground",
    }

    def __init__(
        self,
        response: Response | None = None,
        *,
        phase: bool = False,
        bare: bool = False,
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(response, id=id, classes=classes)
        self._phase = phase
        self._bare = bare
        self._breaks: int | None = None

    def grow(self, breaks: int | None) -> None:
        """Show the straight lines only, bent at so many breaks; ``None``: the whole chart."""
        if breaks != self._breaks:
            self._breaks = breaks
            self.redraw()

    def plot(self, response: Response, width: int, height: int) -> Picture:
        """The chart for this room."""
        return chart(
            response,
            width,
            height,
            ascii=self._ascii,
            phase=self._phase,
            breaks=self._breaks,
            bare=self._bare,
        )
