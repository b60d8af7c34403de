"""An exhibit on the screen, with a marker to read it by."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.message import Message

from ....problems.questions.exhibit import Chart, Exhibit
from ...figures.canvas.picture import Picture
from ...figures.exhibit import ExhibitChart, exhibit, upper_roots
from ..common.keys import bound
from .figure import FigureView

_FINE = 10
"""A fine step of the marker is so small a part of a column."""


class ExhibitView(FigureView):
    """What a question is asked about, as large as its room."""

    INKS: ClassVar = {
        "grid": "$border-blurred",
        "axis": "$text-muted",
        "tick": "$text-muted",
        "label": "$foreground",
        "curve": "bold $primary",
        "hand": "bold $primary",
        "other-a": "bold $primary",
        "other-b": "bold $secondary",
        "other-c": "bold $warning",
        "other-d": "bold $foreground",
        "marker": "bold $accent",
        "key": "bold reverse $accent",
        "pole": "bold $primary",
        "zero": "bold $secondary",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("left", f"move({-_FINE})", "marker-move"),
        bound("right", f"move({_FINE})", "marker-move", show=False),
        bound("shift+left,down", "move(-1)", "marker-fine"),
        bound("shift+right,up", "move(1)", "marker-fine", show=False),
        bound("home", "end(0)", "marker-move", show=False),
        bound("end", "end(-1)", "marker-move", show=False),
        bound("tab,shift+tab,enter,escape", "back", "marker-back"),
    ]

    class Read(Message):
        """The learner has read enough and goes back to the answer."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._shown: Exhibit | None = None
        self._marker: float | None = None

    def show(self, shown: Exhibit | None) -> None:
        """Show another exhibit; the marker goes with the one before."""
        if shown != self._shown:
            self._shown, self._marker = shown, None
            self.redraw()

    @property
    def readable(self) -> bool:
        """Whether a marker can be moved over it: over one chart, or one map with roots."""
        shown = self._shown
        if shown is not None and shown.chart is Chart.MAP:
            return len(shown.plots) == 1 and bool(upper_roots(shown.plots[0]))
        return bool(self._places())

    def build(self, width: int, height: int) -> Picture:
        """The exhibit for this room."""
        if self._shown is None:
            return Picture(())
        return exhibit(self._shown, width, height, ascii=self._ascii, marker=self._marker)

    def _fit(self) -> None:
        super()._fit()
        self.can_focus = self.can_focus or self.readable

    def on_focus(self) -> None:
        """A marker to move, in the middle at first."""
        if self._marker is None and self.readable:
            places = self._places()
            self._marker = places[len(places) // 2] if places else 0.0
            self.redraw()

    def _places(self) -> tuple[float, ...]:
        """The abscissas of the columns of dots; of a map there are none."""
        return self.picture.places if isinstance(self.picture, ExhibitChart) else ()

    def action_move(self, by: int) -> None:
        """Move the marker by so many tenths of a column; on a map to the next root."""
        if self._marker is None or self._shown is None:
            return
        places = self._places()
        if not places:
            count = len(upper_roots(self._shown.plots[0]))
            self._marker = (self._marker + (1 if by > 0 else -1)) % count
        else:
            # The outermost places are those of the curve's ends.
            first, last, columns = places[1], places[-2], (len(places) - 3) / 2 * _FINE
            if self._shown.chart is Chart.STEP:
                moved = self._marker + by * (last - first) / columns
            else:
                moved = self._marker * (last / first) ** (by / columns)
            self._marker = min(max(moved, places[0]), places[-1])
        self.redraw()

    def action_end(self, end: int) -> None:
        """Move the marker to an end of the curve."""
        places = self._places()
        if places:
            self._marker = places[end]
            self.redraw()

    def action_back(self) -> None:
        """Back to the answer; the marker stays where it is."""
        self.post_message(self.Read())

    def on_click(self, event: events.Click) -> None:
        """A click on the chart puts the marker there."""
        places = self._places()
        picture = self.picture
        if not self.readable or not places or not isinstance(picture, ExhibitChart):
            return
        offset = event.get_content_offset(self)
        column = (offset.x if offset is not None else 0) - picture.plot[0]
        if 0 <= column < picture.plot[2]:
            self._marker = places[2 * column]
            self.redraw()
