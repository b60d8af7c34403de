"""The s-plane map on the screen."""

from __future__ import annotations

from typing import ClassVar

from ...problems.response import Response
from ..figures import splane
from ..figures.picture import Picture
from .figure import Figure


class PlaneView(Figure):
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

    def __init__(
        self,
        response: Response | None = None,
        *,
        ascii: bool = False,  # noqa: A002
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._response = response
        self._ascii = ascii

    def set_response(self, response: Response | None) -> None:
        """Show another response."""
        self._response = response
        self.redraw()

    def build(self, width: int, height: int) -> Picture:
        """The map for this room."""
        if self._response is None:
            return Picture(())
        return splane.map(self._response, width, height, ascii=self._ascii)
