"""The paper a straight-line plot is drawn on, the learner's line and the right one.

Nothing is told by colour alone: the piece in hand is drawn thick and its slope stands in
reverse with an arrow, the selected break is a full diamond with a line down to the axis,
verdicts are signs, and the right line is dotted and says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

from ....problems.quantities.write import write_quantity
from ....problems.sketches.model import GainSketch, LineSketch
from ...drafting.line import Handle
from ...language.texts import fill
from ..canvas.axes import FrequencyAxis, LevelAxis
from ..canvas.braille import UNICODE, Dots
from ..canvas.canvas import Canvas
from ..canvas.paper import CORNER, LABEL, SMALLEST, ChartPaper, PlottedPicture, blank
from .course import REACH, Frame, amount, dot_place, ends_at, points, value_at

MINE = "mine"
HAND = "hand"
RIGHT = "right"
HANDLE = "handle"
HELD = "held"
GOOD = "good"
BAD = "bad"

MARGIN = 6


def draw(
    drawing: LineSketch,
    frame: Frame,
    width: int,
    height: int,
    *,
    held: int | None = None,
    title: str = "",
    right: LineSketch | None = None,
    marks: Mapping[str, bool] = MappingProxyType({}),
    drawn: bool = True,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
) -> PlottedPicture:
    """A line on its paper.

    Args:
        drawing: the learner's line.
        frame: the edges of the paper; a phase's grow with what is drawn.
        width: columns of the whole picture.
        height: rows of the whole picture.
        held: the selected handle, if the line is in hand.
        title: what the first row says; with a right line, its place is the legend's.
        right: the right line, to be drawn on top.
        marks: which pieces are right and which wrong: "level", "slope-0" or "start",
            "break-1", "slope-1", "turn-1" and so on, counted from 1.
        drawn: whether anything has been drawn by hand; else only the right line is shown.
        ascii: use plain ASCII characters only.
    """
    if width < SMALLEST[0] or height < SMALLEST[1]:
        return PlottedPicture(blank(width, height))
    return _Drawer(drawing, frame, width, height, ascii, held, title, right, marks, drawn).chart()


@dataclass
class _Drawer:
    """Draws one plot; the order of the steps is the order of the layers."""

    drawing: LineSketch
    frame: Frame
    width: int
    height: int
    ascii: bool
    held: int | None
    title: str
    right: LineSketch | None
    marks: Mapping[str, bool]
    drawn: bool

    def chart(self) -> PlottedPicture:
        """Lay the layers on top of each other."""
        self.columns, self.rows = self.width - MARGIN, self.height - 3
        frame = self.frame
        low, high = math.log10(frame.low), math.log10(frame.high)
        self.axis = FrequencyAxis.over(low, high, self.columns)
        # The paper ends with a decade: what is left over stays blank.
        self.columns = min(self.columns, round((high - low) * self.axis.per_decade) + 1)
        self.axis = FrequencyAxis(low, self.axis.per_decade, self.columns)
        self.ends = (float(10**self.axis.low), float(10**self.axis.high))
        self.level = self._level_axis()
        self.canvas = ChartPaper(self.width, self.height, self.ascii)
        self.canvas.grid(MARGIN, 1, self.axis, self.level, "─")
        self._lines()
        self.canvas.side(MARGIN, 1, self.level)
        self.canvas.foot(MARGIN, self.rows + 1, self.axis)
        self._guide()
        self.written: set[tuple[int, int]] = set()
        if self.drawn:
            self._slopes()
        self._truth()
        if self.drawn:
            self._handles()
        self._head()
        plot = (MARGIN, 1, self.columns, self.rows)
        return PlottedPicture(self.canvas.lines, self.canvas.spans, plot, self.axis, self.level)

    @property
    def gain(self) -> bool:
        return isinstance(self.drawing, GainSketch)

    def _level_axis(self) -> LevelAxis:
        top, bottom, step = self.frame.top, self.frame.bottom, 20.0
        steps: tuple[float, ...] = (20.0, 40.0, 60.0, 100.0, 200.0)
        if not self.gain:
            steps = (90.0, 180.0, 360.0, 720.0)
            for line in (self.drawing, self.right):
                if line is not None:
                    values = [y for _, y in points(line, *self.ends)]
                    top, bottom = max([top, *values]), min([bottom, *values])
        for step in steps:
            upper = math.ceil(top / step - 1e-9) * step
            count = max(1, round((upper - math.floor(bottom / step + 1e-9) * step) / step))
            if count < self.rows:
                break
        per_step = max(1, (self.rows - 1) // count)
        more = (self.rows - 1 - count * per_step) // per_step  # rows left over: more paper
        count, upper = count + more, upper + step * (more // 2)
        spare = self.rows - 1 - count * per_step
        return LevelAxis(upper, step, per_step, self.rows, max(0, spare // 2), count)

    # --- layers ----------------------------------------------------------------------

    def _put(self, col: int, row: int, text: str, role: str) -> None:
        self.canvas.put(col, row, text, role, solid=role == HELD)

    def _places(self, corners: list[tuple[float, float]]) -> list[tuple[float, float]]:
        return [dot_place(corner, self.axis, self.level) for corner in corners]

    def _piece(self, number: int) -> list[tuple[float, float]]:
        """The corners of the piece after break ``number``; −1 is before the first."""
        found = points(self.drawing, *self.ends)
        bends = [math.log10(bend.frequency) for bend in self.drawing.bends]
        if self.gain:
            first = self.axis.low if number < 0 else bends[number]
            last = bends[number + 1] if number + 1 < len(bends) else self.axis.high
        elif number < 0:
            jumps = [bend.jump for bend in self.drawing.bends]
            begun = [b - REACH * (not jump) for b, jump in zip(bends, jumps, strict=True)]
            first, last = self.axis.low, min([*begun, self.axis.high])
        else:
            place, jump = bends[number], self.drawing.bends[number].jump
            if jump:
                return [(place, value) for value in ends_at(self.drawing, place, self.frame)]
            first, last = place - REACH, place + REACH
        first, last = max(first, self.axis.low), min(last, self.axis.high)
        if first > last and number >= 0:
            return []
        last = max(first, last)  # where a turn begins before the paper, its edge stands for it
        inner = [p for p in found if first < p[0] < last]
        return [
            (first, value_at(self.drawing, first, self.frame)),
            *inner,
            (last, value_at(self.drawing, last, self.frame)),
        ]

    def _lines(self) -> None:
        mine, hand, right = (Dots(self.columns, self.rows) for _ in range(3))
        if self.drawn:
            mine.path(self._places(points(self.drawing, *self.ends)))
        if self.held is not None and self.held != Handle.LEVEL:
            hand.path(self._places(self._piece(self.held)), thick=True)
        if self.right is not None:
            right.path(self._places(points(self.right, *self.ends)), 1, 2)
        self.ink = [[False] * self.columns for _ in range(self.rows)]
        for row in range(self.rows):
            for col in range(self.columns):
                m, h, r = mine.rows[row][col], hand.rows[row][col], right.rows[row][col]
                if m or h or r:
                    role = HAND if h else MINE if m else RIGHT
                    self._put(MARGIN + col, row + 1, UNICODE[m | h | r], role)
                    self.ink[row][col] = True

    def _cell(self, place: float, value: float) -> tuple[int, int]:
        """(column, row) in the picture; rows outside the paper are brought to its edge."""
        col = math.floor((place - self.axis.low) * self.axis.per_decade + 0.5 + 1e-7)
        row = max(0, min(self.rows - 1, self.level.row(value)))
        return MARGIN + max(0, min(self.columns - 1, col)), row + 1

    # --- what is in hand ---------------------------------------------------------------

    def _vertex(self, number: int) -> tuple[float, float]:
        place = math.log10(self.drawing.bends[number].frequency)
        return place, sum(ends_at(self.drawing, place, self.frame)) / 2

    def _guide(self) -> None:
        """From the selected break down to the axis, with its frequency; the level likewise."""
        if self.held is None:
            return
        foot = self.rows + 1
        if self.held >= 0:
            place, value = self._vertex(self.held)
            col, row = self._cell(place, value)
            for r in range(row + 1, foot):
                if not self.ink[r - 1][col - MARGIN]:
                    self._put(col, r, "╎", CORNER)
            self._put(col, foot, "▲", CORNER)
            frequency = self.drawing.bends[self.held].frequency
            text = f" {self.canvas.words(write_quantity(frequency, 'Hz'))} "
            start = max(2, min(col - len(text) // 2, self.width - len(text)))
            self._clear(start - 1, start + len(text) + 1, foot + 1)
            self._put(start, foot + 1, text, HELD)
        elif isinstance(self.drawing, GainSketch) and self.held == Handle.LEVEL:
            place = self._vertex(0)[0] if self.drawing.bends else self.axis.low
            col, row = self._cell(place, self.drawing.level)
            for c in range(MARGIN, col):
                if not self.ink[row - 1][c - MARGIN]:
                    self._put(c, row, "─", CORNER)
            text = f"{self.drawing.level:.3g}".replace("-", "−")
            self._put(0, row, " " * MARGIN, "")
            self._put(0, row, f"{text[:4]:>4}", HELD)
            self._put(MARGIN - 1, row, "▶", HELD)

    def _clear(self, first: int, last: int, row: int) -> None:
        """Blank these columns, and what is left of a label that reaches into them."""
        line = self.canvas.chars[row]
        while first > 0 and line[first - 1] != " " and line[first] != " ":
            first -= 1
        while last < self.width and line[last - 1] != " " and line[last] != " ":
            last += 1
        self._put(max(0, first), row, " " * (min(last, self.width) - max(0, first)), "")

    def _sign(self, name: str) -> tuple[str, str] | None:
        return verdict_sign(self.canvas, self.marks[name]) if name in self.marks else None

    def _slopes(self) -> None:
        """The slope of every piece, or the change of every turn, beside its middle."""
        order = sorted(range(-1, len(self.drawing.bends)), key=lambda n: n != self.held)
        for number in range(len(self.drawing.bends)):  # room for the handles
            col, row = self._cell(*self._vertex(number))
            self.written |= {(col + n, row) for n in range(-1, 2)}
        for number in order:
            if number < 0:
                value, sign = self.drawing.start, self._sign("slope-0" if self.gain else "start")
            else:
                value = self.drawing.bends[number].value
                sign = self._sign(f"slope-{number + 1}" if self.gain else f"turn-{number + 1}")
            text = amount(self.drawing, value)
            if self.ascii:
                text = text.replace("°", "")
            if number == self.held:
                text = f" {self.canvas.either('↕', '^v')} {text} "
            self._beside(self._piece(number), text, HELD if number == self.held else LABEL, sign)

    def _beside(
        self,
        piece: list[tuple[float, float]],
        text: str,
        role: str,
        sign: tuple[str, str] | None,
    ) -> None:
        """Write a text next to the middle of what can be seen of a piece."""
        cells: list[tuple[int, int]] = []
        for (x, y), (x2, y2) in pairwise(piece):
            count = max(2, round((x2 - x) * self.axis.per_decade) + 1)
            for n in range(count):
                place = x + (x2 - x) * n / (count - 1)
                value = y + (y2 - y) * n / (count - 1)
                if 0 <= self.level.row(value) < self.rows:
                    cells.append(self._cell(place, value))
        if not cells:
            return
        length = len(text) + (len(sign[0]) + 1 if sign else 0)
        middle = len(cells) // 2
        nearest = sorted(range(len(cells)), key=lambda i: (abs(i - middle), i))
        for spread in (1, 2):
            for i in nearest:
                col, row = cells[i]
                for start, r in (
                    (col - length // 2, row - spread),
                    (col + 2 * spread, row),
                    (col - length // 2, row + spread),
                    (col - length - 2 * spread + 1, row),
                    (col + 2 * spread, row - spread),
                    (col - length - spread, row + spread),
                ):
                    if self._room(start, r, length):
                        self._put(start, r, text, role)
                        if sign:
                            self._put(start + len(text) + 1, r, *sign)
                        self.written |= {(start + n, r) for n in range(-1, length + 1)}
                        return

    def _room(self, start: int, row: int, length: int) -> bool:
        if start < MARGIN or start + length > MARGIN + self.columns or not 1 <= row <= self.rows:
            return False
        if any((start + n, row) in self.written for n in range(length)):
            return False
        ink = self.ink[row - 1]
        return not any(ink[max(start - 1 - MARGIN, 0) : start + length + 1 - MARGIN])

    def _truth(self) -> None:
        """The breaks or turns of the right line, with their frequencies where there is room."""
        if self.right is None:
            return
        for bend in self.right.bends:
            place = math.log10(bend.frequency)
            if not self.axis.low <= place <= self.axis.high:
                continue
            value = sum(ends_at(self.right, place, self.frame)) / 2
            if not 0 <= self.level.row(value) < self.rows:
                continue
            col, row = self._cell(place, value)
            self._put(col, row, self.canvas.either("○", "O"), RIGHT)
            text = self.canvas.words(write_quantity(bend.frequency, "Hz"))
            spots = [
                (start, r)
                for spread in (1, 2, 3)
                for r in (row - spread, row + spread)
                for start in (col - len(text) // 2, col + 2, col - len(text) - 1, col + 6)
            ]
            for start, r in spots:
                if self._room(start, r, len(text)):
                    self._put(start, r, text, RIGHT)
                    self.written |= {(start + n, r) for n in range(-1, len(text) + 1)}
                    break

    def _handles(self) -> None:
        for number in range(len(self.drawing.bends)):
            place, value = self._vertex(number)
            col, row = self._cell(place, value)
            held = number == self.held
            inside = 0 <= self.level.row(value) < self.rows
            shape = self.canvas.either("◆", "@") if held else "◇"
            if not inside:
                shape = "▲" if row == 1 else "▼"
            self._put(col, row, shape, HELD if held else HANDLE)
            sign = self._sign(f"break-{number + 1}") if self.gain else None
            if sign:
                self._put(col + 1, row, *sign)
        if self.held is not None:
            found = self._piece(-1)
            if found:
                col, row = self._cell(*found[0])
                held = self.held == Handle.START
                if held:
                    self._put(col, row, "▶", HELD)
                elif self.canvas.roles[row][col] not in (HELD, HANDLE):
                    self._put(col, row, "▷", HANDLE)

    def _head(self) -> None:
        unit = "dB" if self.gain else self.canvas.either("°", "deg")
        self._put(MARGIN - 1 - len(unit), 0, unit, LABEL)
        if self.right is None:
            self._put(
                MARGIN + 2, 0, self.canvas.words(self.title)[: self.width - MARGIN - 2], LABEL
            )
            return
        mine = ("⠤⠤⠤", MINE, fill("sketch", "legend.yours"))
        right = (self.canvas.either("⠄⠄⠄", "..."), RIGHT, fill("sketch", "legend.right"))
        self.canvas.legend(MARGIN + 2, 0, [mine, right][not self.drawn :])


def verdict_sign(canvas: Canvas, right: bool) -> tuple[str, str]:
    """(sign, role) that says on a ``canvas`` that a piece is ``right``, or wrong."""
    return (canvas.either("✓", "ok"), GOOD) if right else (canvas.either("✗", "no"), BAD)
