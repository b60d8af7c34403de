"""The s-plane map: where the poles and zeros of H(s) lie.

Its scale (``plane_scale``) is always named in the title row; a cell is about twice as high as
wide.  On a logarithmic one, circles mark the decades.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Protocol

from ...problems.analysis.response import PoleNature
from ..language.texts import fill
from .canvas.axes import NUDGE, decade_label
from .canvas.braille import Dots
from .canvas.paper import AXIS, GRID, LABEL, TICK, ChartPaper, LegendEntry, PlottedPicture, blank
from .plane_scale import PlaneScale

POLE = "pole"
ZERO = "zero"
OTHER = "other"
SMALLEST = (24, 8)
UNTITLED = (15, 7)
ASPECT = 2
"""Columns that are as wide as one row is high."""


class Rooted(Protocol):
    """What has poles and finite zeros: a response, or a map that is given."""

    @property
    def poles(self) -> Sequence[complex]:
        """Each of them once, conjugates too."""

    @property
    def zeros(self) -> Sequence[complex]:
        """Likewise."""

    @property
    def pole_nature(self) -> PoleNature | None:
        """Of complex ones the circle is drawn that they lie on."""


def map(  # noqa: A001 - it is a map, and is called as splane.map
    response: Rooted,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    also: Mapping[str, Rooted] = MappingProxyType({}),
    unit: str = "rad/s",
    title: str | None = None,
    among: Sequence[complex] = (),
) -> PlottedPicture:
    """Draw the poles (×) and finite zeros (○) of a response.

    A number behind a sign says how many roots lie there.  The poles of other responses are
    drawn as the letters they are given under, where nothing else lies.

    Args:
        response: what to draw.
        width: columns of the whole picture.
        height: rows of the whole picture.
        ascii: use plain ASCII characters only.
        also: other responses by their letters; the role is "other-a" for the letter A.
        unit: of both axes; "" where roots are counted in multiples of something.
        title: what stands above it, before the unit, in the place of the signs' words.
        among: roots that the scale has room for, because other maps beside it show them.
    """
    least = SMALLEST if title is None else UNTITLED
    if width < least[0] or height < least[1]:
        return PlottedPicture(blank(width, height))
    return _Mapper(response, width, height, ascii, also, unit, title, among).chart()


@dataclass
class _Mapper:
    """Draws one map."""

    response: Rooted
    width: int
    height: int
    ascii: bool
    also: Mapping[str, Rooted]
    unit: str
    title: str | None
    among: Sequence[complex]

    def chart(self) -> PlottedPicture:
        """Choose the scale, then draw grid, axes, roots and title."""
        responses = (self.response, *self.also.values())
        roots = [root for h in responses for root in (*h.poles, *h.zeros)]
        roots += self.among
        self.rows = self.height - 1
        self.middle = 1 + self.rows // 2
        self.reach_rows = (self.rows - 1) // 2 - 0.5
        right = any(r.real > 0 for r in roots)
        self.zero_column = self.width // 2 if right else self.width - max(9, self.width // 4)
        across = (self.zero_column - 3.0) / ASPECT
        self.circle = 0.0  # that of ω0 fits in
        if self.response.pole_nature is PoleNature.COMPLEX:
            self.circle = abs(self.response.poles[0])
        # The outermost root stays one tenth inside.
        self.scale = PlaneScale(
            roots, across, self.reach_rows, 1.1, self.circle, named=bool(self.unit)
        )
        self.canvas = ChartPaper(self.width, self.height, self.ascii)
        self._centre(right)
        signs = root_signs(self.response.poles, self.response.zeros, self._cell)
        letters: dict[tuple[int, int], str] = {}
        for letter, other in self.also.items():
            for pole in other.poles:
                col, row = self._cell(pole)
                while (col, row) in letters and letters[col, row] != letter:
                    col -= 1  # two versions' poles in one cell stand side by side
                letters[col, row] = letter
        self.taken = {(col + n, row) for (col, row), _, _ in signs for n in (-1, 0, 1, 2)}
        self.taken |= {(col + n, row) for col, row in letters for n in (-1, 0, 1)}
        self._circles()
        self._axes()
        for (col, row), letter in letters.items():
            self.canvas.put(col, row, letter, f"{OTHER}-{letter.lower()}")
        for (col, row), text, role in signs:
            self.canvas.put(col, row, text, role)
        self._title()
        return PlottedPicture(self.canvas.lines, self.canvas.spans, (0, 1, self.width, self.rows))

    def _centre(self, right: bool) -> None:
        """Move the jω axis so that circles, or else the roots, stand in the middle."""
        if right:
            return
        radius = abs(self._place(complex(-self.scale.largest, 0))[0])
        circled = self.scale.log or self.circle
        left = 3 + int(radius)
        beyond = min(self.width - left, left if circled else max(9, left // 3))
        if not circled and not any(r.real for r in (*self.response.poles, *self.response.zeros)):
            left = beyond
        self.zero_column = left + max(0, self.width - left - beyond) // 2

    # --- places ----------------------------------------------------------------------

    def _place(self, root: complex) -> tuple[float, float]:
        """(column, row) offsets from the origin, in cells, upwards positive."""
        x, y = self.scale.place(root)
        return x * ASPECT, y

    def _cell(self, root: complex) -> tuple[int, int]:
        x, y = self._place(root)
        col, row = self.zero_column + _away(x), self.middle - _away(y)
        # A root off an axis must not be drawn on it: that would be another circuit.
        if root.real and col == self.zero_column:
            col += 1 if root.real > 0 else -1
        if root.imag and row == self.middle:
            row -= 1 if root.imag > 0 else -1
        return col, row

    # --- layers ----------------------------------------------------------------------

    def _label(self, col: int, row: int, text: str) -> bool:
        """Write a tick label unless it would touch a root or run out of the picture."""
        cells = {(col + n, row) for n in range(-1, len(text) + 1)}
        if cells & self.taken or col < 0 or col + len(text) > self.width:
            return False
        if not 1 <= row < self.height:
            return False
        self.canvas.put(col, row, text, TICK)
        self.taken |= cells
        return True

    def _circles(self) -> None:
        """Dotted circles: the decades, or ω0 of a complex pair."""
        if self.scale.log:
            radii = [self.scale.radius(value) for value, _ in self._ticks(3.0)]
        elif self.circle:
            radii = [self.circle * self.scale.unit]
        else:
            return
        dots = Dots(self.width, self.height)
        for radius in radii:
            # About three dots apart along the circle (four dots to the row).
            count = max(8, round(math.tau * radius * 4 / 3))
            for n in range(count):
                angle = math.tau * n / count
                x = self.zero_column + 0.5 + NUDGE + radius * ASPECT * math.cos(angle)
                y = self.middle + 0.5 + NUDGE - radius * math.sin(angle)
                if y >= 1:
                    dots.dot(math.floor(x * 2), math.floor(y * 4))
        self.canvas.lay(0, 0, dots, GRID)

    def _axes(self) -> None:
        zero, middle = self.zero_column, self.middle
        sigma, omega = self.canvas.either("σ", "re"), self.canvas.either("jω", "j")
        self.canvas.put(0, middle, "─" * self.width, AXIS)
        for row in range(1, self.height):
            self.canvas.put(zero, row, "│", AXIS)
        self.canvas.put(zero, middle, "┼", AXIS)
        self.canvas.put(self.width - len(sigma), middle - 1, sigma, LABEL)
        self.canvas.put(zero - len(omega) - 1, 1, omega, LABEL)
        self.taken |= {(self.width - 1 - n, middle - 1) for n in range(3)}
        self.taken |= {(zero - n, 1) for n in range(len(omega) + 2)}
        for value, text in self._ticks(4.5):
            col = zero + _away(self._place(complex(-value, 0))[0])
            if col > 0:
                self._tick_across(col, "−" + text)
            if 2 * zero - col < self.width - 1:
                self._tick_across(2 * zero - col, text)
        for value, text in self._ticks(2.0):
            row = middle - _away(self._place(complex(0, value))[1])
            if row >= 1:
                self._tick_down(row, text)
                self._tick_down(2 * middle - row, "−" + text)

    def _tick_across(self, col: int, text: str) -> None:
        if self._label(col - len(text) // 2, self.middle + 1, text):
            self.canvas.put(col, self.middle, "┴", AXIS)

    def _tick_down(self, row: int, text: str) -> None:
        if self._label(self.zero_column + 2, row, text):
            self.canvas.put(self.zero_column, row, "├", AXIS)

    def _ticks(self, rows: float) -> list[tuple[float, str]]:
        """(rad/s, text) of the ticks of half an axis, at least so many rows apart."""
        scale = self.scale
        if scale.log:
            every = max(1, math.ceil(rows / scale.unit - 1e-9))
            first = scale.floor + 1
            return [
                (10.0**e, decade_label(e))
                for e in range(first, math.floor(scale.ceiling) + 1)
                if (e - first) % every == 0
            ]
        far = max(scale.up, scale.across)
        return [(value * scale.factor, f"{value:.10g}") for value in scale.steps(rows, far)]

    def _title(self) -> None:
        unit = self.scale.prefix + self.unit
        unit = unit or fill("figures", "plane.multiples")
        if self.title is not None:
            self.canvas.put(0, 0, self.canvas.words(f"{self.title}  {unit}"), LABEL)
            return
        key = "logarithmic" if self.scale.log else "linear"
        scale = fill("figures", f"plane.{key}", [("unit", unit)])
        col = self.canvas.legend(0, 0, plane_legend())
        self.canvas.put(col, 0, self.canvas.words(scale), LABEL)


def root_signs(
    poles: Sequence[complex],
    zeros: Sequence[complex],
    cell: Callable[[complex], tuple[int, int]],
) -> list[tuple[tuple[int, int], str, str]]:
    """(cell, sign, role) of every place where ``poles`` or ``zeros`` lie, with their number.

    ``cell`` tells where a root lies.
    """
    places: dict[tuple[int, int], Counter[str]] = {}
    for role, roots in ((POLE, poles), (ZERO, zeros)):
        for root in roots:
            places.setdefault(cell(root), Counter())[role] += 1
    found = []
    for place, counts in places.items():
        mixed = counts[POLE] and counts[ZERO]
        sign = "⊗" if mixed else "×" if counts[POLE] else "○"
        # Of unlike numbers one could be read as belonging to either.
        number = 1 if mixed and counts[POLE] != counts[ZERO] else max(counts.values())
        text = f"{sign}{number}" if number > 1 else sign
        found.append((place, text, POLE if counts[POLE] else ZERO))
    return found


def plane_legend() -> list[LegendEntry]:
    """What the signs of poles and zeros are."""
    return [
        ("×", POLE, fill("figures", "plane.pole")),
        ("○", ZERO, fill("figures", "plane.zero")),
    ]


def _away(value: float) -> int:
    """Round halves away from zero, so that mirror images stay mirror images."""
    return math.floor(abs(value) + 0.5 + NUDGE) * (1 if value >= 0 else -1)
