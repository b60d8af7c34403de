"""The s-plane map on the screen."""

from __future__ import annotations

from typing import ClassVar

from ....problems.analysis.response import Response
from ...figures import splane
from ...figures.canvas.picture import Picture
from .figure import ResponseFigure


class PlaneView(ResponseFigure):
    """The poles and zeros of a response, as large as its room."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "figure--grid",
        "figure--axis",
        "figure--tick",
        "figure--pole",
        "figure--zero",
        "figure--label",
    }
    DEFAULT_CSS = """
    PlaneView > .figure--grid { color: $border-blurred; }
    PlaneView > .figure--axis { color: $text-muted; }
    PlaneView > .figure--tick { color: $text-muted; }
    PlaneView > .figure--pole { color: $primary; text-style: bold; }
    PlaneView > .figure--zero { color: $secondary; text-style: bold; }
    PlaneView > .figure--label { color: $foreground; }
    """

    def plot(self, response: Response, width: int, height: int) -> Picture:
        """The map for this room."""
        return splane.map(response, width, height, ascii=self._ascii)
