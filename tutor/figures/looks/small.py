"""Small plots and maps that tell one response from another: their shape, and no figures.

Each stick plot is centred on its own breaks, and all that stand together have one scale, so that
slopes compare; the first and the last slope are written below.  On a map the distance from the
origin is drawn by size alone, nearer or farther; every angle is true, and what lies on an axis is
drawn on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from ....problems.analysis.asymptotes import Stick, stick
from ....problems.analysis.response import Response
from ....problems.sketches.write import signed
from ..canvas.braille import COLUMNS, ROWS, Dots
from ..canvas.canvas import Canvas
from ..canvas.paper import AXIS, CURVE, TICK
from ..canvas.picture import Picture
from ..splane import root_signs

BEYOND = 1.0
"""Decades shown on either side of the outermost breaks."""
DEPTH = 84.0
"""Most decibels shown from the highest level down."""
_ASPECT = 2
"""Columns that are as wide as one row is high."""


def small_gains(
    responses: Sequence[Response],
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
) -> list[Picture]:
    """Straight-line gain plots of ``responses``, of one scale, for comparing.

    Each is ``width`` by ``height`` cells, the row of slopes included, in ``ascii`` or not.
    """
    sticks = [stick(response) for response in responses]
    spread = max(_spread(one) for one in sticks) / 2 + BEYOND
    levels = [[level for _, level in _points(one, spread)] for one in sticks]
    tops = [max(found) for found in levels]
    depth = min(DEPTH, max(24.0, *(max(found) - min(found) for found in levels)))
    return [
        _gain(one, top, spread, depth, width, height, ascii)
        for one, top in zip(sticks, tops, strict=True)
    ]


def _middle(one: Stick) -> float:
    """log10 of the frequency in the middle of the breaks; a flat line has its own."""
    places = [math.log10(frequency) for frequency, _ in one.breaks]
    return (places[0] + places[-1]) / 2 if places else 3.0


def _spread(one: Stick) -> float:
    places = [math.log10(frequency) for frequency, _ in one.breaks]
    return places[-1] - places[0] if places else 0.0


def _points(one: Stick, reach: float) -> list[tuple[float, float]]:
    """(decades from the middle, dB) of the ends and corners."""
    middle = _middle(one)
    ends = [(side * reach, one.at(10 ** (middle + side * reach))) for side in (-1, 1)]
    inner = [(math.log10(frequency) - middle, level) for frequency, level in one.breaks]
    return [ends[0], *inner, ends[1]]


def _gain(
    one: Stick,
    top: float,
    reach: float,
    depth: float,
    width: int,
    height: int,
    plain: bool,
) -> Picture:
    canvas = Canvas(width, height, plain)
    columns, rows = width - 1, height - 2
    dots = Dots(columns, rows)
    right, bottom = columns * COLUMNS - 1, rows * ROWS - 1
    margin = 1  # a dot above the highest level
    places = [
        (
            (x + reach) / (2 * reach) * right,
            margin + (top - level) / depth * (bottom - margin),
        )
        for x, level in _points(one, reach)
    ]
    for (x, y), (x2, y2) in pairwise(places):
        _clipped(dots, x, y, x2, y2, bottom)
    for row in range(rows):
        canvas.put(0, row, "│", AXIS)
    canvas.put(0, rows, "└" + "─" * columns, AXIS)
    canvas.lay(1, 0, dots, CURVE)
    first, last = signed(one.slopes[0]), signed(one.slopes[-1])
    unit = "dB/dec"
    canvas.put(1, rows + 1, first, TICK)
    canvas.put(width - len(last), rows + 1, last, TICK)
    if width - len(first) - len(last) >= len(unit) + 6:
        canvas.put((width - len(unit)) // 2 + 1, rows + 1, unit, TICK)
    return Picture(canvas.lines, canvas.spans)


def _clipped(dots: Dots, x: float, y: float, x2: float, y2: float, bottom: int) -> None:
    """A line of dots two thick, as far as it lies on the paper."""
    steps = max(1, round(max(abs(x2 - x), abs(y2 - y)) * 2))
    for step in range(steps + 1):
        col = round(x + (x2 - x) * step / steps)
        row = round(y + (y2 - y) * step / steps)
        if row <= bottom:
            dots.dot(col, row)
            if row < bottom:
                dots.dot(col, row + 1)


def small_map(
    response: Response,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
) -> Picture:
    """Poles (×) and finite zeros (○) of a ``response``; a number says how many lie there.

    The picture is ``width`` by ``height`` cells, in ``ascii`` or not.
    """
    canvas = Canvas(width, height, ascii)
    middle, reach_rows = height // 2, (height - 1) // 2
    zero = min(width - 5, max(width // 2, width - 3 - reach_rows * _ASPECT))
    canvas.put(0, middle, "─" * width, AXIS)
    for row in range(height):
        canvas.put(zero, row, "│", AXIS)
    canvas.put(zero, middle, "┼", AXIS)
    canvas.put(width - 1, middle - 1, canvas.either("σ", "re")[:1], TICK)
    canvas.put(zero + 1, 0, canvas.either("jω", "j"), TICK)
    reach = min(reach_rows, (zero - 1) / _ASPECT)
    sizes = sorted({round(math.log10(abs(r)), 2) for r in (*response.poles, *response.zeros) if r})
    for (x, y), text, role in root_signs(
        response.poles, response.zeros, lambda root: _cell(root, sizes, reach)
    ):
        canvas.put(zero + x, middle - y, text, role)
    return Picture(canvas.lines, canvas.spans)


def _cell(root: complex, sizes: Sequence[float], reach: float) -> tuple[int, int]:
    """(columns, rows) from the origin, upwards positive; never on an axis it does not lie on."""
    if not root:
        return 0, 0
    rank = sizes.index(min(sizes, key=lambda size: abs(size - math.log10(abs(root)))))
    share = (rank + 1.5) / (len(sizes) + 0.5)
    radius = reach * min(1.0, share)
    x = round(root.real / abs(root) * radius * _ASPECT)
    y = round(root.imag / abs(root) * radius)
    if root.real and not x:
        x = 1 if root.real > 0 else -1
    if root.imag and not y:
        y = 1 if root.imag > 0 else -1
    return x, y
