"""Charts as SVG.

Lengths are points, y downwards.  Every shape carries its ink on paper and, as its class, the name
of the ink: the style sheet of an HTML page paints the classes by its theme.  No meaning depends on
a colour alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypedDict

from .svg import Pen, Rect, VectorDrawing, fitted, number, upright

WIDTH = 480.0
"""A page's text width, nearly."""
ROW = 15.0
_FILLS = {
    "text": "#111", "quiet": "#555", "strong": "#111", "bar": "#5b7fa6", "mark": "#1f3b5c",
    "weak": "#b4561d", "known": "#17614f", "due": "#6b5200", "begun": "#8f4a12",
    "slip": "#a02c1b", "new": "#857b6b", "base": "#ddd8ce",
}  # fmt: skip
_STROKES = {
    "line": "#1f3b5c", "weak-line": "#b4561d", "grid": "#ccc", "axis": "#666", "exam": "#6b5200",
}  # fmt: skip
"""The inks on paper; they print in grey as well: bars are lighter than marks."""


class Ink(TypedDict):
    """The attributes of a shape or a text: its class, and how it is drawn without a style."""

    class_: str
    fill: str
    stroke: str


def ink(name: str) -> Ink:
    """One of the inks."""
    if name in _STROKES:
        return {"class_": name, "fill": "none", "stroke": _STROKES[name]}
    return {"class_": name, "fill": _FILLS[name], "stroke": "none"}


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


def write(
    pen: Pen, x: float, y: float, text: str, anchor: str = "start", name: str = "text"
) -> None:
    """Write with a ``pen`` a ``text`` at (``x``, ``y``), its ``anchor``, in the ink ``name``."""
    pen.text(x, y, upright(text), anchor=anchor, **ink(name))


def rule(
    pen: Pen, start: tuple[float, float], end: tuple[float, float], name: str, wide: float = 1
) -> None:
    """Draw with a ``pen`` a line from ``start`` to ``end`` in the ink ``name``, so ``wide``."""
    pen.line(start, end, stroke_width=wide, **ink(name))


def bar(pen: Pen, x: float, y: float, wide: float, high: float, name: str = "bar") -> None:
    """Draw with a ``pen`` a bar at (``x``, ``y``), ``wide`` and ``high``, in the ink ``name``."""
    pen.rect(Rect(x, y, x + wide, y + high), **ink(name))


def _dot(pen: Pen, x: float, y: float, *, weak: bool) -> None:
    """A round mark, or a diamond for what is weak."""
    if weak:
        corners = f"M{number(x)} {number(y - 4.6)}l4.6 4.6l-4.6 4.6l-4.6 -4.6z"
        pen.path(corners, **ink("weak"))
    else:
        pen.circle(x, y, 3.4, **ink("mark"))


def chart(pen: Pen, height: float, title: str, alt: str, wide: float = WIDTH) -> VectorDrawing:
    """What a ``pen`` drew, as a chart from (0, 0) on.

    It is ``wide`` and of a ``height``, has a ``title``, and ``alt`` says what is seen.
    """
    return pen.drawing(title, alt, margin=0, area=Rect(0, 0, wide, height))


def histogram(counts: Sequence[int], title: str, alt: str, across: str, up: str) -> VectorDrawing:
    """Columns of ``counts`` over equal shares from 0 to 100 %, with the number on each.

    ``across`` and ``up`` name the axes; ``title`` and ``alt`` are as for :func:`chart`.
    """
    pen, left, top, high = Pen(), 34.0, 20.0, 130.0
    right, most = WIDTH - 10, max([1, *counts])
    step = _step(most)
    ceiling = -(-most // step) * step
    foot = top + high
    for tick in range(0, ceiling + 1, step):
        y = foot - high * tick / ceiling
        rule(pen, (left, y), (right, y), "grid" if tick else "axis", 0.6)
        write(pen, left - 5, y + 3, str(tick), "end", "quiet")
    write(pen, 0, 9, up, name="quiet")
    wide = (right - left) / len(counts)
    for place, count in enumerate(counts):
        x, tall = left + wide * place, high * count / ceiling
        if count:
            bar(pen, x + 1.5, foot - tall, wide - 3, tall)
            write(pen, x + wide / 2, foot - tall - 3, str(count), "middle")
        write(pen, x, foot + 12, str(round(100 * place / len(counts))), "middle", "quiet")
    write(pen, right, foot + 12, "100", "middle", "quiet")
    write(pen, (left + right) / 2, foot + 25, across, "middle", "quiet")
    return chart(pen, foot + 29, title, alt)


def _step(most: int) -> int:
    """A round distance of ticks: at most six of them."""
    size = 1
    while True:
        for factor in (1, 2, 5):
            if factor * size * 6 >= most:
                return factor * size
        size *= 10


def bars(rows: Sequence[ChartRow], most: int, title: str, alt: str, across: str) -> VectorDrawing:
    """A bar for each of ``rows``; ``most`` is what a value of 1 counts.

    ``across`` names the axis; ``title`` and ``alt`` are as for :func:`chart`.
    """
    pen, left, top = Pen(), 190.0, 20.0
    right = WIDTH - 34
    foot = top + ROW * len(rows)
    step = _step(most)
    for tick in range(0, most + 1, step):
        x = left + (right - left) * tick / most
        rule(pen, (x, top - 3), (x, foot), "grid" if tick else "axis", 0.6)
        write(pen, x, top - 7, str(tick), "middle", "quiet")
    write(pen, 0, top - 7, across, name="quiet")
    for place, row in enumerate(rows):
        y = top + ROW * place
        write(pen, left - 6, y + 11, fitted(row.label, left - 8), "end")
        bar(pen, left, y + 2.5, (right - left) * (row.value or 0), ROW - 5)
        write(pen, left + (right - left) * (row.value or 0) + 4, y + 11, row.told)
    return chart(pen, foot + 4, title, alt)


def _shares(pen: Pen, at: Callable[[float], float], top: float, foot: float) -> None:
    """Lines at the quarters from 0 to 100 %."""
    for tick in range(0, 101, 25):
        x = at(tick / 100)
        rule(pen, (x, top - 3), (x, foot), "grid", 0.6)
        write(pen, x, top - 7, str(tick), "middle", "quiet")


def intervals(
    rows: Sequence[ChartRow], limit: float, title: str, alt: str, across: str
) -> VectorDrawing:
    """A share with its interval for each of ``rows``, and a line at the ``limit``.

    ``across`` names the axis; ``title`` and ``alt`` are as for :func:`chart`.
    """
    pen, left, top = Pen(), 216.0, 20.0
    right = WIDTH - 52
    foot = top + ROW * len(rows)

    def at(share: float) -> float:
        return left + (right - left) * share

    _shares(pen, at, top, foot)
    write(pen, 0, top - 7, across, name="quiet")
    rule(pen, (at(limit), top - 3), (at(limit), foot), "axis")
    for place, row in enumerate(rows):
        y = top + ROW * place + ROW / 2
        write(pen, left - 6, y + 3.2, fitted(row.label, left - 8), "end")
        if row.low is not None and row.high is not None and row.value is not None:
            line = "weak-line" if row.weak else "line"
            rule(pen, (at(row.low), y), (at(row.high), y), line, 1.4)
            for end in (row.low, row.high):
                rule(pen, (at(end), y - 3), (at(end), y + 3), line, 1.4)
            _dot(pen, at(row.value), y, weak=row.weak)
        write(pen, WIDTH, y + 3.2, row.told, "end")
    return chart(pen, foot + 4, title, alt)


def two_panels(
    rows: Sequence[ChartRow], heads: tuple[str, str], title: str, alt: str
) -> VectorDrawing:
    """A bar from 0 to 100 % and a point from −1 to 1 for each of ``rows``, under their ``heads``.

    ``title`` and ``alt`` are as for :func:`chart`.
    """
    pen, left, top = Pen(), 126.0, 32.0
    middle, start, right = 296.0, 326.0, WIDTH - 10
    foot = top + ROW * len(rows)

    def share(value: float) -> float:
        return left + (middle - left) * value

    def signed(value: float) -> float:
        return start + (right - start) * (value + 1) / 2

    write(pen, left, 9, heads[0], name="quiet")
    write(pen, start, 9, heads[1], name="quiet")
    _shares(pen, share, top, foot)
    for half in range(-2, 3):
        x = signed(half / 2)
        rule(pen, (x, top - 3), (x, foot), "axis" if half == 0 else "grid", 0.6)
        told = f"{half / 2:g}".replace("-", "−")
        write(pen, x, top - 7, told, "middle", "quiet")
    for place, row in enumerate(rows):
        y = top + ROW * place
        write(pen, left - 6, y + 11, fitted(row.label, left - 8), "end")
        if row.value is not None:
            bar(pen, left, y + 2.5, (middle - left) * row.value, ROW - 5)
        if row.other is not None:
            x = signed(row.other)
            line = "weak-line" if row.weak else "line"
            rule(pen, (signed(0), y + ROW / 2), (x, y + ROW / 2), line, 1.2)
            _dot(pen, x, y + ROW / 2, weak=row.weak)
    return chart(pen, foot + 4, title, alt)
