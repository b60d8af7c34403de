"""Bode charts on the screen."""

from __future__ import annotations

from typing import ClassVar

from ....problems.analysis.response import Response
from ...figures.bode.chart import chart
from ...figures.canvas.picture import Picture
from .figure import ResponseFigure


class BodeView(ResponseFigure):
    """The magnitude or the phase of a response, as large as its room."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "figure--grid",
        "figure--axis",
        "figure--tick",
        "figure--asymptote",
        "figure--curve",
        "figure--corner",
        "figure--edge",
        "figure--peak",
        "figure--label",
    }
    DEFAULT_CSS = """
    BodeView > .figure--grid { color: $border-blurred; }
    BodeView > .figure--axis { color: $text-muted; }
    BodeView > .figure--tick { color: $text-muted; }
    BodeView > .figure--asymptote { color: $secondary; }
    BodeView > .figure--curve { color: $primary; text-style: bold; }
    BodeView > .figure--corner { color: $warning; }
    BodeView > .figure--edge { color: $warning; text-style: bold; }
    BodeView > .figure--peak { color: $warning; text-style: bold; }
    BodeView > .figure--label { color: $foreground; }
    """

    def __init__(
        self,
        response: Response | None = None,
        *,
        phase: bool = False,
        bare: bool = False,
        ascii: bool = False,  # noqa: A002
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(response, ascii=ascii, id=id, classes=classes)
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
