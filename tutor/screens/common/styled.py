"""Lines of a page → what the screen shows; no other module turns one into the other."""

from __future__ import annotations

from textual.content import Content

from ...figures.canvas.styled import StyledLine


def shown(line: StyledLine) -> Content:
    """A line in the inks of the theme."""
    return Content.assemble(*line.spans)
