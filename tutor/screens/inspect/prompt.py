"""The question of a look, and at its right how the look before was answered."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from ...language.wrap import fold


class LookPrompt(Widget):
    """The question, and a quiet tick with the seconds of the answer before."""

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__()
        self._text = self._tick = ""

    def say(self, text: str, tick: str = "") -> None:
        """Ask a ``text``, and say (``tick``) what the answer before took."""
        same = len(self._lines(text, tick)) == len(self._lines(self._text, self._tick))
        self._text, self._tick = text, tick
        self.refresh(layout=not same)

    def _lines(self, text: str, tick: str, width: int = 0) -> list[str]:
        width = width or self.size.width
        return fold(text, max(20, width - (len(tick) + 3 if tick else 0))) or [""]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as the question takes."""
        return len(self._lines(self._text, self._tick, width))

    def render(self) -> Content:
        """The question and the tick."""
        first, *rest = self._lines(self._text, self._tick)
        space = " " * max(0, self.size.width - len(first) - len(self._tick))
        head = Content.assemble((first, "bold"), space, (self._tick, "$ink-verdigris"))
        return Content("\n").join([head, *(Content.styled(line, "bold") for line in rest)])
