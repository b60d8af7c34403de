"""The s-plane map on the screen."""

from __future__ import annotations

from typing import ClassVar

from ....problems.analysis.response import Response
from ...figures import splane
from ...figures.canvas.picture import Picture
from .figure import ResponseFigure


class PlaneView(ResponseFigure):
    """The poles and zeros of a response, as large as its room."""

    INKS: ClassVar = {
        "grid": "$border-blurred",
        "axis": "$text-muted",
        "tick": "$text-muted",
        "pole": "bold $primary",
        "zero": "bold $secondary",
        "label": "$foreground",
    }

    def plot(self, response: Response, width: int, height: int) -> Picture:
        """The map for this room."""
        return splane.map(response, width, height, ascii=self._ascii)
