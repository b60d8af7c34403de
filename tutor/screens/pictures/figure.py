"""What all figures on the screen share: a picture turned into styled lines."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from ...figures.canvas.picture import Picture, Span
from ...language.ascii import ascii_screen

if TYPE_CHECKING:
    from ....problems.analysis.response import Response

PREFIX = "figure--"


def _inked(widget: str, inks: Mapping[str, str]) -> str:
    """The rules that give each role of a widget's pictures its style."""
    rules = []
    for role, ink in inks.items():
        look, _, ground = f" {ink}".partition(" on ")
        colour = [word for word in look.split() if word.startswith("$")]
        style = [word for word in look.split() if not word.startswith("$")]
        # What a style leaves open is as the role beneath has it.
        told = ("color", colour), ("text-style", style), ("background", [ground] * bool(ground))
        rule = " ".join(f"{name}: {' '.join(words)};" for name, words in told if words)
        rules.append(f"{widget} > .{PREFIX}{role} {{ {rule} }}")
    return "\n".join(rules)


class FigureView(ScrollView):
    """A picture that is drawn again whenever its room or its subject changes.

    Subclasses say how to draw (`build`), and in which inks: every role of the picture's spans
    has a component class ``figure--ROLE``, so that themes can restyle it.  The picture scrolls
    where it is larger than its room, and takes the focus only then.
    """

    INKS: ClassVar[Mapping[str, str]] = {}
    """Styles by role, beside those of the first class it is made from: "$ink-rust",
    "bold $ink-reversed on $ink-copper"."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    FigureView { width: 1fr; height: 1fr; scrollbar-size: 1 1; }
    """

    def __init_subclass__(cls, **told: Any) -> None:
        own = cls.__dict__
        inks: Mapping[str, str] = own.get("INKS", {})
        cls.COMPONENT_CLASSES = {PREFIX + role for role in inks}
        cls.DEFAULT_CSS = _inked(cls.__name__, inks) + own.get("DEFAULT_CSS", "")
        super().__init_subclass__(**told)

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes, can_focus=False)
        self._picture = Picture(())
        self._made_for = Size(0, 0)
        self._early = False
        self._strips: list[Strip | None] = []
        self._styles: dict[tuple[str, ...], Style] = {}

    @property
    def _ascii(self) -> bool:
        return ascii_screen()

    @property
    def picture(self) -> Picture:
        """What is drawn now."""
        return self._picture

    def build(self, width: int, height: int) -> Picture:
        """Draw for a room of ``width`` columns and ``height`` rows."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Draw again; before the first layout there is no room to draw in yet."""
        if self._make():
            self._fit()
            self.refresh()

    def _make(self) -> bool:
        """Draw for the room there is, if there is any."""
        size = self.container_size
        if not size.width or not size.height:
            return False
        self._made_for, self._early = size, False
        self._picture = self.build(size.width, size.height)
        self._strips = [None] * self._picture.height
        return True

    def _fit(self) -> None:
        """Let the picture scroll, and take the focus for that, where it is larger than its room."""
        size = self.container_size
        self.virtual_size = self._picture_size()
        self.can_focus = self._picture.width > size.width or self._picture.height > size.height

    def _picture_size(self) -> Size:
        return Size(self._picture.width, self._picture.height)

    def on_resize(self) -> None:
        """The room has changed."""
        if self._early and self._made_for == self.container_size:
            self._early = False
            self._fit()
        else:
            self.redraw()

    def notify_style_update(self) -> None:
        """Colours have changed: lines drawn so far are out of date."""
        super().notify_style_update()
        self._styles.clear()
        self._strips = [None] * self._picture.height

    def render_line(self, y: int) -> Strip:
        """One line of the window on the picture."""
        if self._made_for != self.container_size:
            self._early = self._make()  # the news of another room comes after its first paint
        x, top = self.scroll_offset
        width = self.size.width
        row = top + y
        if row >= len(self._strips):
            return Strip.blank(width, self._styled(()))
        strip = self._strips[row]
        if strip is None:
            strip = self._strips[row] = self._strip(row)
        if not x and strip.cell_length == width:
            return strip
        return strip.crop_extend(x, x + width, self._styled(()))

    def _strip(self, row: int) -> Strip:
        line = self._picture.lines[row]
        roles: list[tuple[str, ...]] = [()] * len(line)
        for span in self._rows().get(row, ()):
            for col in range(span.col, span.col + span.length):
                roles[col] = (*roles[col], span.role)
        segments: list[Segment] = []
        start = 0
        for col in range(1, len(line) + 1):
            if col == len(line) or roles[col] != roles[start]:
                segments.append(Segment(line[start:col], self._styled(roles[start])))
                start = col
        return Strip(segments, len(line))

    def _styled(self, roles: tuple[str, ...]) -> Style:
        """The style of a cell with these roles, the last on top.

        Looking a style up takes longer than drawing, so each is kept until something changes.
        """
        style = self._styles.get(roles)
        if style is None:
            style = self._styled(roles[:-1]) + self._style(roles[-1]) if roles else self.rich_style
            self._styles[roles] = style
        return style

    def _rows(self) -> dict[int, list[Span]]:
        if self._spans_of is not self._picture:
            self._by_row: dict[int, list[Span]] = {}
            for span in self._picture.spans:
                self._by_row.setdefault(span.row, []).append(span)
            self._spans_of = self._picture
        return self._by_row

    _spans_of: Picture | None = None

    def _style(self, role: str) -> Style:
        return self.get_component_rich_style(PREFIX + role, partial=True)


class ResponseFigure(FigureView):
    """A figure of a response; empty without one.  Subclasses say how to plot it."""

    def __init__(
        self,
        response: Response | None = None,
        *,
        id: str | None = None,  # noqa: A002
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._response = response

    def set_response(self, response: Response | None) -> None:
        """Show another response."""
        self._response = response
        self.redraw()

    def build(self, width: int, height: int) -> Picture:
        """The plot for this room."""
        return Picture(()) if self._response is None else self.plot(self._response, width, height)

    def plot(self, response: Response, width: int, height: int) -> Picture:
        """Plot a ``response`` in ``width`` columns and ``height`` rows."""
        raise NotImplementedError
