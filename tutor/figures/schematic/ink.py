"""Drawing primitives → characters."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from ..canvas.canvas import Canvas
from ..canvas.picture import Span, runs
from .layout import extent
from .parts import MARKED, MARKED_LABEL, WIRE, Primitive, Symbol, TextPart, Wire
from .sizes import SymbolSet

_UP, _RIGHT, _DOWN, _LEFT = 1, 2, 4, 8


def ink(
    items: Sequence[Primitive], symbols: SymbolSet, marked: Collection[str]
) -> tuple[list[str], list[Span]]:
    """Characters of a layout, ``items``, in ``symbols``, and the spans that say what they are.

    Elements of names that are ``marked`` are pointed out.
    """
    left, top, right, bottom = extent(items, symbols)
    width, height = right - left + 1, bottom - top + 1
    bits = [[0] * width for _ in range(height)]
    canvas = Canvas(width, height)
    marks = [[""] * width for _ in range(height)]
    for item in items:
        if isinstance(item, Wire):
            _lay(item, bits, left, top)
    for y, row in enumerate(bits):
        for x, directions in enumerate(row):
            if directions:
                canvas.put(x, y, symbols.wires[directions], WIRE)

    def put(x: int, y: int, text: str, role: str, mark: str) -> None:
        canvas.put(x, y, text, role)
        if mark:
            marks[y][x : x + len(text)] = [mark] * len(text)

    for item in items:
        if isinstance(item, Symbol):
            glyphs = symbols.shapes[item.shape, item.upright]
            for number, line in enumerate(glyphs.rows):
                x = item.x - glyphs.x - left
                y = item.y - glyphs.y + number - top
                put(x, y, line, item.role, MARKED if item.name in marked else "")
        elif isinstance(item, TextPart):
            mark = MARKED_LABEL if item.name in marked else ""
            x, y = item.x - left, item.y - top
            put(x, y, item.text, item.role, mark)
            if mark and item.mark:
                put(x - 1, y, symbols.mark, MARKED, MARKED)
    return list(canvas.lines), [*canvas.spans, *runs(marks)]


def _lay(wire: Wire, bits: list[list[int]], left: int, top: int) -> None:
    x, x2 = sorted((wire.x - left, wire.x2 - left))
    y, y2 = sorted((wire.y - top, wire.y2 - top))
    for col in range(x, x2):
        bits[y][col] |= _RIGHT
        bits[y][col + 1] |= _LEFT
    for row in range(y, y2):
        bits[row][x] |= _DOWN
        bits[row + 1][x] |= _UP
