"""Semi-logarithmic paper: decades along, decibels or degrees upwards, and lines drawn on it.

The plot's upper left corner is the origin; lengths are points.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from ....problems.quantities.write import write_quantity
from .svg import CAP, MINUS, Label, Pen, Rect, number, polyline, text_rect, upright, width

TICK = 8.0
"""Points of the letters at ticks and marks."""
MARGIN = 30.0
"""Points left of the plot, for the ticks' labels."""
Points = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class PlotArea:
    """Where frequencies and values fall.

    ``low`` and ``high`` are log10 of Hz; ``step`` lies between labelled lines and ``minor``
    between the faint ones, in the unit of the values, which is "dB" or "°".
    """

    low: float
    high: float
    bottom: float
    top: float
    step: float
    minor: float
    wide: float
    tall: float
    unit: str

    def x(self, frequency: float) -> float:
        """Points from the left edge, of a frequency in Hz."""
        return (math.log10(frequency) - self.low) / (self.high - self.low) * self.wide

    def y(self, value: float) -> float:
        """Points from the upper edge; far outside for infinities."""
        share = (self.top - value) / (self.top - self.bottom)
        return max(-50.0, min(50.0, share)) * self.tall

    def at(self, line: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
        """Places of (Hz, value), cut off at the upper and the lower edge."""
        return clipped([(self.x(f), self.y(v)) for f, v in line], self.tall)

    @property
    def decade(self) -> float:
        """Points to a decade."""
        return self.wide / (self.high - self.low)

    @property
    def area(self) -> Rect:
        """The plot."""
        return Rect(0, 0, self.wide, self.tall)


def clipped(line: Points, tall: float) -> list[tuple[float, float]]:
    """A ``line`` between the heights 0 and ``tall``; a stretch outside runs along the edge."""
    found: list[tuple[float, float]] = []
    for (x, y), (x2, y2) in pairwise(line):
        found.append((x, max(0.0, min(tall, y))))
        cuts = [edge for edge in (0.0, tall) if min(y, y2) < edge < max(y, y2)]
        cuts.sort(reverse=y2 < y)
        found += [(x + (x2 - x) * (edge - y) / (y2 - y), edge) for edge in cuts]
    x, y = line[-1]
    return [*found, (x, max(0.0, min(tall, y)))]


def inside(line: Points, tall: float) -> list[Points]:
    """The stretches of a clipped ``line``, ``tall`` points high, that run along no edge."""
    runs: list[list[tuple[float, float]]] = []
    for one, other in pairwise(line):
        along = one[1] == other[1] and one[1] in (0.0, tall) and one[0] != other[0]
        if along:
            continue
        if runs and runs[-1][-1] == one:
            runs[-1].append(other)
        else:
            runs.append([one, other])
    return list(runs)


def signed(value: float, unit: str) -> str:
    """The tick of a ``value`` in a ``unit``: "−20", "0", "+90°"."""
    sign = "+" if unit == "°" and value > 0 else MINUS if value < 0 else ""
    return f"{sign}{abs(value):.10g}{unit if unit == '°' else ''}"


def grid(pen: Pen, plot: PlotArea, title: Label) -> None:
    """Draw with a ``pen`` the grid of a ``plot``, its labels, and its ``title``."""
    tall, wide = plot.tall, plot.wide
    first, last = math.floor(plot.low + 1e-9), math.ceil(plot.high - 1e-9)
    fine = [plot.x(k * 10.0**e) for e in range(first, last) for k in range(2, 10)]
    decades = [(plot.x(10.0**e), e) for e in range(first, last + 1)]
    decades = [(x, e) for x, e in decades if -0.01 <= x <= wide + 0.01]
    names = [(x, upright(write_quantity(10.0**e, "Hz"))) for x, e in decades]
    levels = [(value, signed(value, plot.unit)) for value in _levels(plot)]
    ruled(pen, plot, fine, [x for x, _ in decades], levels, names, zero=plot.bottom < 0 < plot.top)
    room = max(width(name, TICK) for _, name in names) / 2 + 4.5
    for x, _ in names[:-1]:
        for digit in (2, 5):
            off = plot.decade * math.log10(digit)
            if room < off < plot.decade - room:
                place, text = x + off, upright(str(digit))
                pen.text(place, tall + 3.2 + CAP * 6, text, size=6.0, anchor="middle")
    pen.text(-MARGIN + 2.0, -7.0, title)


def ruled(
    pen: Pen,
    plot: PlotArea,
    fine: Iterable[float],
    thick: Iterable[float],
    levels: Sequence[tuple[float, str]],
    names: Iterable[tuple[float, Label]],
    *,
    zero: bool = False,
) -> None:
    """Draw the lines of a paper, its frame, and the labels at its left and its foot.

    Args:
        pen: what draws.
        plot: the paper.
        fine: where faint lines stand, from the left.
        thick: where others do.
        levels: the values with a line of their own, and their labels.
        names: labels at the foot, and where.
        zero: whether the line of 0 is thicker still.
    """
    tall, wide = plot.tall, plot.wide
    count = round((plot.top - plot.bottom) / plot.minor)
    faint = [plot.y(plot.top - n * plot.minor) for n in range(count + 1)]
    lines = "".join(f"M{number(x)} 0V{number(tall)}" for x in fine if 0 < x < wide)
    lines += "".join(f"M0 {number(y)}H{number(wide)}" for y in faint)
    pen.path(lines, stroke="#b4b4b4", stroke_width=0.25, stroke_linecap="butt")
    lines = "".join(f"M{number(x)} 0V{number(tall)}" for x in thick)
    lines += "".join(f"M0 {number(plot.y(v))}H{number(wide)}" for v, _ in levels)
    pen.path(lines, stroke="#777", stroke_width=0.5, stroke_linecap="butt")
    if zero:
        middle = plot.y(0)
        pen.line((0, middle), (wide, middle), stroke_width=0.8, stroke_linecap="butt")
    pen.rect(plot.area, stroke_width=0.8, stroke_linejoin="miter")
    for value, text in levels:
        place = plot.y(value) + CAP * TICK / 2
        pen.text(-4.5, place, upright(text), size=TICK, anchor="end")
    for x, name in names:
        pen.text(x, tall + 4.0 + CAP * TICK, name, size=TICK, anchor="middle")


def _levels(plot: PlotArea) -> list[float]:
    first = math.ceil(plot.bottom / plot.step - 1e-9)
    last = math.floor(plot.top / plot.step + 1e-9)
    return [n * plot.step for n in range(first, last + 1)]


@dataclass
class LabelPlacer:
    """Places labels where they touch neither a line nor each other."""

    pen: Pen
    area: Rect
    taken: list[Rect] = field(default_factory=list)
    shy: list[Rect] = field(default_factory=list)
    """What labels lie on only where there is no other place."""

    def avoid(self, line: Points, thick: float = 0.8) -> None:
        """Keep labels off a ``line``, so many points ``thick`` on either side."""
        for (x, y), (x2, y2) in pairwise(line):
            steps = max(1, math.ceil(max(abs(x2 - x), abs(y2 - y)) / 4))
            for n in range(steps):
                a, b = n / steps, (n + 1) / steps
                xs = sorted((x + (x2 - x) * a, x + (x2 - x) * b))
                ys = sorted((y + (y2 - y) * a, y + (y2 - y) * b))
                self.taken.append(Rect(xs[0] - thick, ys[0] - thick, xs[1] + thick, ys[1] + thick))

    def label(
        self, text: Label, places: Iterable[tuple[float, float, str]], **style: str | float
    ) -> bool:
        """Write ``text`` in the first of ``places`` (x, y, anchor) that is free, on a white ground.

        Args:
            text: what is written.
            places: the best first.
            style: what else its letters have.

        Returns:
            Whether there was one.
        """
        found = list(places)
        for kept in (self.shy, []) if self.shy else ([],):
            for x, y, anchor in found:
                rect = text_rect(x, y, text, TICK, anchor)
                room = rect.grown(1)
                if self._free(room) and not any(map(room.touches, kept)):
                    self.pen.text(x, y, text, size=TICK, anchor=anchor, ground=True, **style)
                    self.taken.append(room)
                    return True
        return False

    def _free(self, room: Rect) -> bool:
        area = self.area
        within = room.left >= area.left and room.right <= area.right
        within = within and room.top >= area.top and room.bottom <= area.bottom
        return within and not any(map(room.touches, self.taken))


def around(x: float, y: float, reach: float = 4.0) -> list[tuple[float, float, str]]:
    """Places for a label ``reach`` points or more from (``x``, ``y``), the nearest first."""
    cap = CAP * TICK
    found: list[tuple[float, float, str]] = []
    for far in (reach, reach + 6, reach + 14, reach + 24):
        found += [
            (x + far, y - far, "start"),
            (x - far, y - far, "end"),
            (x + far, y + far + cap, "start"),
            (x - far, y + far + cap, "end"),
            (x, y - far - 1, "middle"),
            (x, y + far + cap + 1, "middle"),
            (x + far + 1, y + cap / 2, "start"),
            (x - far - 1, y + cap / 2, "end"),
        ]
    return found


def legend(
    pen: Pen, right: float, entries: Iterable[tuple[str, Mapping[str, str | float]]]
) -> None:
    """Draw with a ``pen`` samples of lines, ``entries``, up to the ``right`` edge of a plot."""
    x = right
    for text, style in reversed(list(entries)):
        label = upright(text)
        x -= width(label, TICK)
        pen.text(x, -7.0, label, size=TICK)
        pen.line((x - 24.0, -9.4), (x - 5.0, -9.4), **style)
        x -= 36.0


def curve(pen: Pen, plot: PlotArea, line: Points, style: Mapping[str, str | float]) -> None:
    """Draw with a ``pen`` a ``line`` in a ``style`` over a ``plot``, without what lies outside."""
    for run in inside(line, plot.tall):
        pen.path(polyline(run), (), **style)
