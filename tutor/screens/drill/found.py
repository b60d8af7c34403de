"""What has been found so far, for windows with room to spare."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from ...language.texts import Words
from ...language.wrap import fold

_BETWEEN = 3
_LEAST = 20
"""Columns that an answer needs beside its title; below that it goes underneath."""


class AnsweredList(Widget):
    """Titles and answers; a long answer goes on under its beginning."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    AnsweredList { height: auto; }
    """

    def __init__(self) -> None:
        super().__init__(id="found")
        self._answers: list[tuple[str, str]] = []

    def show(self, answers: list[tuple[str, str]]) -> None:
        """Show these (title, answer), or nothing."""
        if answers != self._answers:
            self._answers = answers
            self.refresh(layout=True)

    def lines(self, width: int) -> list[Content]:
        """As lines of this width."""
        if not self._answers:
            return []
        widest = max(len(title) for title, _ in self._answers)
        lines = [Content.styled(Words.load().ui("drill.found"), "$ink-quiet")]
        for title, answer in self._answers:
            indent = widest + _BETWEEN
            if width - indent < _LEAST:
                indent = _BETWEEN
                lines.append(Content.styled(title, "$ink-quiet"))
                title = ""
            first, *rest = fold(answer, max(_LEAST, width - indent)) or [""]
            lines.append(Content.assemble((title.ljust(indent), "$ink-quiet"), first))
            lines += [Content(" " * indent + line) for line in rest]
        return lines

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """One row a line."""
        return len(self.lines(width))

    def render(self) -> Content:
        """The lines for the width there is."""
        return Content("\n").join(self.lines(self.size.width))
