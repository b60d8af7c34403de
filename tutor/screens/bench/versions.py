"""The legend of the bench: every version with its pattern, corner and Q, and the marker."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from ....problems.analysis.response import FilterType, Response
from ....problems.quantities.write import write_quantity
from ...drafting.bench import LETTERS, Bench, Version
from ...figures.bode.overlay import sample
from ...language.texts import fill
from .overlaid import decibels

INKS = dict(zip(LETTERS, ("$ink-copper", "$ink-verdigris", "$ink-rust"), strict=True))


def corner_and_q(response: Response) -> str:
    """Corner and Q as in "7.118 kHz Q 1.34", or what can be said without such a pair."""
    corner = response.corner_hz
    if corner is None:
        order = response.transfer.order
        head = fill("bench", "versions.many" if order else "versions.none", [("count", order)])
        return _mark(response) or head
    values = [("corner", write_quantity(corner, "Hz")), ("q", "")]
    if response.q is None:
        return fill("bench", "versions.single", values)
    values[1] = ("q", write_quantity(response.q, "", 3))
    return fill("bench", "versions.pair", values)


def _mark(response: Response) -> str:
    """Where a response of many poles does what it is for: its peak, null or edge."""
    low, high = response.edges_hz
    match response.type:
        case FilterType.BAND_PASS:
            key, frequency = "peak", response.peak_hz
        case FilterType.NOTCH:
            key, frequency = "null", response.notch_hz
        case _:
            key, frequency = "half", high if low is None else low
    if frequency is None:
        return ""
    return fill("bench", f"versions.{key}", [("frequency", write_quantity(frequency, "Hz", 3))])


def width_of(response: Response) -> str:
    """The −3 dB width, or the edge where there is only one."""
    low, high = response.edges_hz
    if low is not None and high is not None and response.bandwidth_hz is not None:
        values = [("width", write_quantity(response.bandwidth_hz, "Hz"))]
        return fill("bench", "versions.width", values)
    edge = high if low is None else low
    if edge is None:
        return fill("bench", "versions.no-edge")
    return fill("bench", "versions.edge", [("edge", write_quantity(edge, "Hz"))])


class Versions(Widget):
    """A line for each version; a click takes it in hand."""

    ALLOW_SELECT = False

    class Taken(Message):
        """A version is to be taken in hand."""

        def __init__(self, letter: str) -> None:
            super().__init__()
            self.letter = letter

    def __init__(self) -> None:
        super().__init__(id="versions")
        self._lines: list[tuple[str, Content]] = []

    def show(self, bench: Bench) -> None:
        """Show the versions of a bench."""
        lines: list[tuple[str, Content]] = []
        for version in bench.versions:
            held = version.letter == bench.hand
            number = 0 if held else bench.others.index(version) + 1
            ink = INKS[version.letter]
            lines.append(
                (
                    version.letter,
                    Content.assemble(
                        ("▸" if held else " ", "bold $ink-copper"),
                        (f"{version.letter} ", f"bold {ink}"),
                        (sample(number), ink),
                        (f" {corner_and_q(version.facts)}", "bold" if held else ""),
                    ),
                )
            )
        width = Content.styled(f"   {width_of(bench.version.facts)}", "$ink-quiet")
        resized = len(lines) + 1 != len(self._lines)
        self._lines = [*lines, ("", width)]
        self.refresh(layout=resized)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """A line for each version and one for the width."""
        return max(1, len(self._lines))

    def render(self) -> Content:
        """The lines."""
        return Content("\n").join([line for _, line in self._lines])

    def on_click(self, event: events.Click) -> None:
        """Take the version of the line in hand."""
        if 0 <= event.y < len(self._lines) and self._lines[event.y][0]:
            self.post_message(self.Taken(self._lines[event.y][0]))


def reading(bench: Bench, version: Version) -> str:
    """What the marker of a ``bench`` reads on a ``version``: "−3.01 dB −45.0°"."""
    found = bench.reading(version)
    assert found is not None
    gain, phase = found
    text = decibels(gain) or fill("bench", "marker.endless" if gain > 0 else "marker.nothing")
    # Adding 0.0 makes a plain zero of what rounds to "-0.0".
    angle = f"{round(phase, 1) + 0.0:.1f}°".replace("-", "−")
    return fill("bench", "marker.reading", [("gain", text.rjust(9)), ("phase", angle.rjust(8))])
