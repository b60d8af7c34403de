"""A page of lines, as beside the ladder of the opening screen; it scrolls where it doesn't fit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.screen import ScreenResultType
from textual.widget import Widget

from ...figures.canvas.styled import StyledLine
from .frame import framed
from .keys import bound
from .leaving import Leaving

Builder = Callable[[int, int], list[StyledLine]]
"""Builds the lines of a page for a room of so many columns and rows."""


class PageLines(Widget):
    """Lines built for the room there is, built anew when it changes."""

    ALLOW_SELECT = False
    DEFAULT_CSS = "PageLines { height: auto; min-height: 100%; }"

    def __init__(self) -> None:
        super().__init__()
        self._build: Builder | None = None
        self._height = 0
        self._built: tuple[int, int] | None = None
        self._lines: list[StyledLine] = []

    def show(self, build: Builder | None) -> None:
        """Build other lines."""
        self._build, self._built = build, None
        self.refresh(layout=True)

    def lines(self, width: int) -> Sequence[StyledLine]:
        """The lines for so many columns; beside the bar one of them stays blank."""
        if isinstance(self.parent, Widget) and self.parent.show_vertical_scrollbar:
            width -= 1
        if self._build is None or width < 8 or self._height < 1:
            return ()
        if self._built != (width, self._height):
            self._lines = self._build(width, self._height)
            self._built = width, self._height
        return self._lines

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """One row a line; the lines may depend on the rows that are in sight at once."""
        self._height = container.height
        return len(self.lines(width))

    def render(self) -> Content:
        """All lines."""
        return Content("\n").join(
            Content.assemble(*line.spans) for line in self.lines(self.size.width)
        )


LEAF = (
    bound("pageup", "leaf(-1)", "leaf-page", show=False),
    bound("pagedown", "leaf(1)", "leaf-page", show=False),
)
"""The keys of a page."""


class OpeningPage(VerticalScroll, can_focus=False):
    """A page of lines; the bar at its edge says where there are more."""

    DEFAULT_CSS = "OpeningPage { scrollbar-size-vertical: 1; }"

    def compose(self) -> ComposeResult:
        """The lines."""
        yield PageLines()

    def show(self, build: Builder | None, *, keep: bool = False) -> None:
        """Show the page of ``build``, from its beginning or (``keep``) from where it stands."""
        self.query_one(PageLines).show(build)
        if not keep:
            self.scroll_home(animate=False, immediate=True)

    def scroll_by(self, rows: int) -> None:
        """Scroll down by so many rows, as far as there are any."""
        self.scroll_relative(y=rows, animate=False)

    def leaf(self, way: int) -> None:
        """Scroll by as much as is in sight: down (1) or up (−1)."""
        self.scroll_by(way * max(1, self.size.height - 1))

    @property
    def overflows(self) -> bool:
        """Whether there is more of the page than its room."""
        return self.max_scroll_y > 0


class PageScreen(Leaving[ScreenResultType]):
    """A whole screen of one page."""

    PAGE: ClassVar[str | None] = None
    """The page's name in style sheets."""

    def compose(self) -> ComposeResult:
        """The page between the lines."""
        yield from framed(OpeningPage(id=self.PAGE))

    def action_leaf(self, way: int) -> None:
        """Scroll the page."""
        self.query_one(OpeningPage).leaf(way)
