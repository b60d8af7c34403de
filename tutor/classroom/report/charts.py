"""The charts of a class report, as SVG.

Lengths are points, y downwards.  Colours are classes, which the HTML page paints by its theme
and :func:`for_paper` by ink on white; no meaning hangs on a colour alone.  Texts come from the
words and are escaped all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...documents.drawings.svg import FONTS, escape, number, upright, width

WIDTH = 480.0
"""A page's text width, nearly."""
SIZE = 9.0
ROW = 15.0
PAPER = (
    "text{fill:#111}.quiet{fill:#555}.bar{fill:#5b7fa6}.mark{fill:#1f3b5c}"
    ".weak{fill:#b4561d}.line{stroke:#1f3b5c}.weak-line{stroke:#b4561d}.grid{stroke:#ccc}"
    ".axis{stroke:#666}"
)
"""The classes on paper; prints in grey as well: bars are lighter than marks."""


@dataclass(frozen=True, slots=True)
class ReportChart:
    """A picture, its size in points, and what it shows in words."""

    svg: str
    width: float
    height: float
    title: str
    alt: str


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One line of a chart of rows.

    ``value`` runs from 0 to 1 and ``low`` and ``high`` bound its interval; ``other`` runs from
    −1 to 1; ``label`` stands left of it, ``told`` right.
    """

    label: str
    value: float | None
    told: str = ""
    low: float | None = None
    high: float | None = None
    other: float | None = None
    weak: bool = False


class _Sheet:
    def __init__(self) -> None:
        self.items: list[str] = []

    def text(self, x: float, y: float, text: str, anchor: str = "start", cls: str = "") -> None:
        marks = f' text-anchor="{anchor}"' if anchor != "start" else ""
        marks += f' class="{cls}"' if cls else ""
        self.items.append(f'<text x="{number(x)}" y="{number(y)}"{marks}>{escape(text)}</text>')

    def line(self, x: float, y: float, to_x: float, to_y: float, cls: str, wide: float = 1) -> None:
        ends = f'x1="{number(x)}" y1="{number(y)}" x2="{number(to_x)}" y2="{number(to_y)}"'
        self.items.append(f'<line {ends} class="{cls}" stroke-width="{number(wide)}"/>')

    def bar(self, x: float, y: float, wide: float, high: float, cls: str) -> None:
        place = f'x="{number(x)}" y="{number(y)}" width="{number(wide)}" height="{number(high)}"'
        self.items.append(f'<rect {place} class="{cls}"/>')

    def dot(self, x: float, y: float, cls: str, *, diamond: bool = False) -> None:
        if diamond:
            data = f"M{number(x)} {number(y - 4.6)}l4.6 4.6l-4.6 4.6l-4.6 -4.6z"
            self.items.append(f'<path d="{data}" class="{cls}"/>')
        else:
            place = f'cx="{number(x)}" cy="{number(y)}"'
            self.items.append(f'<circle {place} r="3.4" class="{cls}"/>')

    def chart(self, height: float, title: str, alt: str) -> ReportChart:
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(WIDTH)}pt" '
            f'height="{number(height)}pt" viewBox="0 0 {number(WIDTH)} {number(height)}" '
            f'role="img" aria-label="{escape(alt)}" font-family="{FONTS}" '
            f'font-size="{number(SIZE)}" class="chart"><title>{escape(title)}</title>'
            f"<desc>{escape(alt)}</desc>{''.join(self.items)}</svg>"
        )
        return ReportChart(svg, WIDTH, height, title, alt)


def for_paper(chart: ReportChart) -> str:
    """The chart as a picture that stands on its own, in ink on white."""
    head, mark, rest = chart.svg.partition("<title>")
    return f"{head}<style>{PAPER}</style>{mark}{rest}"


def fitted(text: str, room: float) -> str:
    """The text, cut with an ellipsis where it would be wider than the room in points."""
    if width(upright(text), SIZE) <= room:
        return text
    while text and width(upright(text + "…"), SIZE) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def histogram(counts: Sequence[int], title: str, alt: str, across: str, up: str) -> ReportChart:
    """Columns over equal shares from 0 to 100 %, with the number on each."""
    sheet, left, top, high = _Sheet(), 34.0, 20.0, 130.0
    right, most = WIDTH - 10, max([1, *counts])
    step = _step(most)
    ceiling = -(-most // step) * step
    foot = top + high
    for tick in range(0, ceiling + 1, step):
        y = foot - high * tick / ceiling
        sheet.line(left, y, right, y, "grid" if tick else "axis", 0.6)
        sheet.text(left - 5, y + 3, str(tick), "end", "quiet")
    sheet.text(0, 9, up, cls="quiet")
    wide = (right - left) / len(counts)
    for place, count in enumerate(counts):
        x, tall = left + wide * place, high * count / ceiling
        if count:
            sheet.bar(x + 1.5, foot - tall, wide - 3, tall, "bar")
            sheet.text(x + wide / 2, foot - tall - 3, str(count), "middle")
        sheet.text(x, foot + 12, str(round(100 * place / len(counts))), "middle", "quiet")
    sheet.text(right, foot + 12, "100", "middle", "quiet")
    sheet.text((left + right) / 2, foot + 25, across, "middle", "quiet")
    return sheet.chart(foot + 29, title, alt)


def _step(most: int) -> int:
    """A round distance of ticks: at most six of them."""
    size = 1
    while True:
        for factor in (1, 2, 5):
            if factor * size * 6 >= most:
                return factor * size
        size *= 10


def bars(rows: Sequence[ChartRow], most: int, title: str, alt: str, across: str) -> ReportChart:
    """A bar for each row; ``most`` is what a value of 1 counts."""
    sheet, left, top = _Sheet(), 190.0, 20.0
    right = WIDTH - 34
    foot = top + ROW * len(rows)
    step = _step(most)
    for tick in range(0, most + 1, step):
        x = left + (right - left) * tick / most
        sheet.line(x, top - 3, x, foot, "grid" if tick else "axis", 0.6)
        sheet.text(x, top - 7, str(tick), "middle", "quiet")
    sheet.text(0, top - 7, across, cls="quiet")
    for place, row in enumerate(rows):
        y = top + ROW * place
        sheet.text(left - 6, y + 11, fitted(row.label, left - 8), "end")
        sheet.bar(left, y + 2.5, (right - left) * (row.value or 0), ROW - 5, "bar")
        sheet.text(left + (right - left) * (row.value or 0) + 4, y + 11, row.told)
    return sheet.chart(foot + 4, title, alt)


def intervals(
    rows: Sequence[ChartRow], limit: float, title: str, alt: str, across: str
) -> ReportChart:
    """A share with its interval for each row, and a line at the limit."""
    sheet, left, top = _Sheet(), 216.0, 20.0
    right = WIDTH - 52
    foot = top + ROW * len(rows)

    def at(share: float) -> float:
        return left + (right - left) * share

    for tick in range(0, 101, 25):
        sheet.line(at(tick / 100), top - 3, at(tick / 100), foot, "grid", 0.6)
        sheet.text(at(tick / 100), top - 7, str(tick), "middle", "quiet")
    sheet.text(0, top - 7, across, cls="quiet")
    sheet.line(at(limit), top - 3, at(limit), foot, "axis", 1)
    for place, row in enumerate(rows):
        y = top + ROW * place + ROW / 2
        sheet.text(left - 6, y + 3.2, fitted(row.label, left - 8), "end")
        cls = "weak" if row.weak else "mark"
        if row.low is not None and row.high is not None and row.value is not None:
            line = "weak-line" if row.weak else "line"
            sheet.line(at(row.low), y, at(row.high), y, line, 1.4)
            for end in (row.low, row.high):
                sheet.line(at(end), y - 3, at(end), y + 3, line, 1.4)
            sheet.dot(at(row.value), y, cls, diamond=row.weak)
        sheet.text(WIDTH, y + 3.2, row.told, "end")
    return sheet.chart(foot + 4, title, alt)


def two_panels(
    rows: Sequence[ChartRow], heads: tuple[str, str], title: str, alt: str
) -> ReportChart:
    """A bar from 0 to 100 % and a point from −1 to 1 for each row, side by side."""
    sheet, left, top = _Sheet(), 126.0, 32.0
    middle, start, right = 296.0, 326.0, WIDTH - 10
    foot = top + ROW * len(rows)

    def share(value: float) -> float:
        return left + (middle - left) * value

    def signed(value: float) -> float:
        return start + (right - start) * (value + 1) / 2

    sheet.text(left, 9, heads[0], cls="quiet")
    sheet.text(start, 9, heads[1], cls="quiet")
    for tick in range(0, 101, 25):
        sheet.line(share(tick / 100), top - 3, share(tick / 100), foot, "grid", 0.6)
        sheet.text(share(tick / 100), top - 7, str(tick), "middle", "quiet")
    for half in range(-2, 3):
        x = signed(half / 2)
        sheet.line(x, top - 3, x, foot, "axis" if half == 0 else "grid", 0.6)
        told = f"{half / 2:g}".replace("-", "−")
        sheet.text(x, top - 7, told, "middle", "quiet")
    for place, row in enumerate(rows):
        y = top + ROW * place
        sheet.text(left - 6, y + 11, fitted(row.label, left - 8), "end")
        if row.value is not None:
            sheet.bar(left, y + 2.5, (middle - left) * row.value, ROW - 5, "bar")
        if row.other is not None:
            x, cls = signed(row.other), "weak" if row.weak else "mark"
            line = "weak-line" if row.weak else "line"
            sheet.line(signed(0), y + ROW / 2, x, y + ROW / 2, line, 1.2)
            sheet.dot(x, y + ROW / 2, cls, diamond=row.weak)
    return sheet.chart(foot + 4, title, alt)
