"""Charts of several versions on top of each other, with a marker."""

from __future__ import annotations

import math
from typing import ClassVar

from textual import events
from textual.message import Message

from ...drafting.bench import LETTERS, Version
from ...figures import splane, step
from ...figures.bode import chart as bode
from ...figures.bode import overlay
from ...figures.bode.overlay import Trace
from ...figures.canvas.axes import FrequencyAxis
from ...figures.canvas.paper import PlottedPicture
from ...figures.canvas.picture import Picture
from ..pictures.bode import BodeView
from ..pictures.figure import FigureView
from ..pictures.splane import PlaneView


class Overlaid(FigureView):
    """What the charts of the bench share: the version in hand and the others."""

    INKS: ClassVar = {
        "other-a": "bold $ink-copper",
        "other-b": "bold $ink-verdigris",
        "other-c": "bold $ink-rust",
        "hand": "bold reverse",
    }
    DEFAULT_CSS = """
    Overlaid.-hand-a > .figure--curve, Overlaid.-hand-a > .figure--hand { color: $ink-copper; }
    Overlaid.-hand-b > .figure--curve, Overlaid.-hand-b > .figure--hand { color: $ink-verdigris; }
    Overlaid.-hand-c > .figure--curve, Overlaid.-hand-c > .figure--hand { color: $ink-rust; }
    Overlaid.-hand-a > .figure--pole { color: $ink-copper; }
    Overlaid.-hand-b > .figure--pole { color: $ink-verdigris; }
    Overlaid.-hand-c > .figure--pole { color: $ink-rust; }
    """

    _hand: Version | None = None
    _others: tuple[Version, ...] = ()
    _marker: float | None = None

    def show(
        self, hand: Version, others: tuple[Version, ...] = (), marker: float | None = None
    ) -> None:
        """Show these versions; nothing is drawn while the chart is out of sight.

        Args:
            hand: the version in hand.
            others: those beside it.
            marker: where the marker stands, in Hz.
        """
        if (hand, others, marker) == (self._hand, self._others, self._marker):
            return
        self._hand, self._others, self._marker = hand, others, marker
        for letter in LETTERS:
            self.set_class(letter == hand.letter, f"-hand-{letter.lower()}")
        if self.is_on_screen:
            self.redraw()


class OverlaidBode(Overlaid, BodeView):
    """Magnitude or phase; a click sets the marker."""

    # Inks come from the first class alone: those of the second one are named again.
    INKS: ClassVar = BodeView.INKS | {"marker": "bold $foreground"}

    class Pointed(Message):
        """A frequency was pointed at, in Hz."""

        def __init__(self, frequency: float) -> None:
            super().__init__()
            self.frequency = frequency

    _window: tuple[float, float] | None = None

    def zoom(self, window: tuple[float, float] | None) -> None:
        """Show from 10^first to 10^second Hz; everything with nothing given."""
        if window != self._window:
            self._window = window
            self._hand = None  # whatever is shown next is drawn anew

    @property
    def axis(self) -> FrequencyAxis | None:
        """The frequency axis as drawn now."""
        return self.picture.frequency if isinstance(self.picture, PlottedPicture) else None

    def build(self, width: int, height: int) -> Picture:
        """The chart with everything on it."""
        if self._hand is None:
            return Picture(())
        also = [version.facts for version in self._others]
        chart = bode.chart(
            self._hand.facts,
            width,
            height,
            ascii=self._ascii,
            phase=self._phase,
            decades=self._window,
            also=also,
        )
        if chart.frequency is None:
            return chart
        traces: list[Trace] = []
        for number, version in enumerate(self._others, 1):
            if self._phase:
                frequencies = overlay.frequencies(chart.frequency)
                values = version.sweep.phases_deg(frequencies)
            else:
                values = overlay.gains(version.facts, version.sweep, chart.frequency)
            traces.append(Trace(version.letter, number, values, jumps=self._phase))
        return overlay.over(
            chart, traces, letter=self._hand.letter, marker=self._marker, ascii=self._ascii
        )

    def on_click(self, event: events.Click) -> None:
        """A click inside the axes sets the marker."""
        chart = self.picture
        if not isinstance(chart, PlottedPicture) or chart.frequency is None:
            return
        col = event.x - chart.plot[0]
        if 0 <= col < chart.plot[2]:
            # The middle of the cell.
            self.post_message(self.Pointed(chart.frequency.at_dot(2 * col + 0.5)))


class StepView(Overlaid):
    """The step response."""

    INKS: ClassVar = BodeView.INKS

    def build(self, width: int, height: int) -> Picture:
        """The chart with everything on it."""
        if self._hand is None:
            return Picture(())
        others = [version.step for version in self._others]
        chart = step.chart(self._hand.step, width, height, ascii=self._ascii, also=others)
        if chart.time is None:
            return chart
        times = chart.time.times()
        traces = [
            Trace(version.letter, number, version.step.at(times))
            for number, version in enumerate(self._others, 1)
        ]
        return overlay.over(
            chart, traces, letter=self._hand.letter, factor=chart.factor, ascii=self._ascii
        )


class OverlaidPlane(Overlaid, PlaneView):
    """Poles and zeros; the other versions' poles as their letters."""

    INKS: ClassVar = PlaneView.INKS

    def build(self, width: int, height: int) -> Picture:
        """The map for this room."""
        if self._hand is None:
            return Picture(())
        also = {version.letter: version.facts for version in self._others}
        return splane.map(self._hand.facts, width, height, ascii=self._ascii, also=also)


def decibels(value: float) -> str | None:
    """A gain in dB to two places; ``None`` where it is infinite."""
    if not math.isfinite(value):
        return None
    # Adding 0.0 makes a plain zero of what rounds to "-0.00".
    return f"{round(value, 2) + 0.0:.2f} dB".replace("-", "−")
