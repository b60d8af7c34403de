"""Circuit drawings in characters, for any ladder."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import chain
from typing import TYPE_CHECKING

from ....problems.circuits.model import Ladder
from ..canvas.picture import Picture
from .fold import fold as fold_lines
from .ink import ink
from .layout import Layout, extent
from .parts import CAPACITOR, INDUCTOR, RESISTOR, Primitive
from .sizes import SMALL, SymbolSet, sized

if TYPE_CHECKING:
    from ....problems.analysis.arms import End


@dataclass(frozen=True)
class SchematicDrawing(Picture):
    """A circuit drawing; roles are the constants of `schematic_parts`.

    ``size`` is that of its symbols (`sizes`), where it was drawn as large as its room allows.
    """

    size: int | None = None


NOTABLY = 4
"""Columns that are worth a row more."""


@dataclass(frozen=True, slots=True)
class _Way:
    """A way to draw: the size of the symbols, and what is done to save room.

    ``slack`` as in `Layout`; ``tight`` leaves less between neighbours, ``frugal`` draws nothing
    that can be missed, ``flat`` puts names beside lying parts.
    """

    size: int
    slack: int
    tight: bool = False
    frugal: bool = False
    flat: bool = False


_WAYS = (
    _Way(4, 6),
    _Way(3, 5),
    _Way(2, 4),
    _Way(1, 3),
    _Way(1, 2, tight=True),
    _Way(0, 2, tight=True),
    _Way(0, 1, tight=True),
    _Way(0, 1, tight=True, frugal=True),
    _Way(0, 1, tight=True, frugal=True, flat=True),
)
"""From the largest to the smallest."""
LYING = frozenset((RESISTOR, INDUCTOR, CAPACITOR))
_LEADS = ((1, 3), (1, 5), (2, 8), (3, 12), (4, 16))
"""The shortest and the longest leads of lying parts, by size."""
_TALLEST = (1, 2, 4, 8, 12)
"""The most rows, by size, by which the rails are drawn further apart than need be."""


@dataclass(frozen=True)
class Schematic:
    """A circuit to be drawn; a kind of part is the same sign at every size (`sizes`).

    Args:
        ladder: any circuit, with or without values.
        ascii: use plain ASCII characters only.
        marked: names of elements to point out, with an arrowhead before the name and
            spans of the roles "marked" and "marked-label".
        unknown: names of elements whose values are question marks.
        end: draw the circuit as it is at this end of the frequency axis, every inductor
            and capacitor an open or a short.
    """

    ladder: Ladder
    ascii: bool = False
    marked: Collection[str] = ()
    unknown: Collection[str] = ()
    end: End | None = None

    def largest(self, width: int, height: int, most: int | None = None) -> SchematicDrawing | None:
        """With the largest symbols that a room allows, and wires that fill it.

        Args:
            width: columns of the room.
            height: rows of the room.
            most: the largest size to draw it in, as of another drawing that it stands beside.

        Returns:
            The drawing; ``None`` where even the smallest symbols do not fit.
        """
        alike = replace(self, marked=frozenset(self.marked), unknown=frozenset(self.unknown))
        return _largest(alike, width, height, most)

    def fit(self, width: int, height: int, most: int | None = None) -> SchematicDrawing:
        """As `largest` draws it; where nothing fits, as small as it can be, to be scrolled.

        Args:
            width: columns of the room.
            height: rows of the room.
            most: the largest size to draw it in, as of another drawing that it stands for.
        """
        drawing = self.largest(width, height, most)
        if drawing is not None:
            return drawing

        def missing(items: Sequence[Primitive]) -> int:
            wide, high = _size(items, symbols)
            # Scrolling sideways follows the circuit; scrolling down loses the ground rail.
            return max(0, wide - width) + 4 * max(0, high - height)

        symbols = sized(SMALL, self.ascii)
        ways = [way for way in _WAYS if way.size == SMALL]
        best = min((self._layout(way).ladder(self.ladder) for way in ways), key=missing)
        return self._inked(best, symbols, SMALL)

    def fold(self, width: int) -> SchematicDrawing:
        """For a page: compactly, in bands one below the other if it must be.

        Args:
            width: columns of the page; a single arm may still be wider.
        """
        drawing = self.compact()
        if drawing.width <= width:
            return drawing
        symbols = sized(SMALL, self.ascii)
        narrowest: SchematicDrawing | None = None
        for one in chain((drawing,), self.small_ones()):  # the rails say where it can be cut
            lines, spans = fold_lines(one.lines, one.spans, width, symbols)
            found = SchematicDrawing(tuple(lines), tuple(spans))
            if narrowest is None or found.width < narrowest.width:
                narrowest = found
            if narrowest.width <= width:
                break
        assert narrowest is not None
        return narrowest

    def compact(self) -> SchematicDrawing:
        """With the smallest symbols, names above and values below; low rather than narrow."""
        symbols = sized(SMALL, self.ascii)
        best, *others = self._small_layouts(symbols)
        for narrower in others:
            if _size(narrower, symbols)[0] <= _size(best, symbols)[0] - NOTABLY:
                best = narrower
        return self._inked(best, symbols)

    def small_ones(self) -> Iterator[SchematicDrawing]:
        """With the smallest symbols, from the lowest to the highest; some are narrower."""
        symbols = sized(SMALL, self.ascii)
        return (self._inked(items, symbols) for items in self._small_layouts(symbols))

    def _small_layouts(self, symbols: SymbolSet) -> Iterator[list[Primitive]]:
        for slack in range(2, 6):
            layout = Layout(symbols, True, self.ascii, slack, self.end, frozenset(self.unknown))
            yield layout.ladder(self.ladder)

    def lowest(self) -> tuple[int, int]:
        """Columns and rows that it takes at least, where rows are short."""
        layout = self._layout(_WAYS[-1])
        return _size(layout.ladder(self.ladder), layout.symbols)

    def _layout(self, way: _Way) -> Layout:
        return Layout(
            sized(way.size, self.ascii),
            way.tight,
            self.ascii,
            way.slack,
            self.end,
            frozenset(self.unknown),
            lead=_LEADS[way.size][0],
            beside=LYING if way.flat else frozenset(),
            frugal=way.frugal,
        )

    def _inked(
        self, items: Sequence[Primitive], symbols: SymbolSet, size: int | None = None
    ) -> SchematicDrawing:
        lines, spans = ink(items, symbols, frozenset(self.marked))
        return SchematicDrawing(tuple(lines), tuple(spans), size)


def _size(items: Sequence[Primitive], symbols: SymbolSet) -> tuple[int, int]:
    """Columns and rows."""
    left, top, right, bottom = extent(items, symbols)
    return right - left + 1, bottom - top + 1


@lru_cache(32)  # a screen asks how high it is, then for it, and again at the next paint
def _largest(
    drawn: Schematic, width: int, height: int, most: int | None
) -> SchematicDrawing | None:
    for way in _WAYS:
        if most is not None and way.size > most:
            continue
        layout = drawn._layout(way)
        wide, high = _size(layout.ladder(drawn.ladder), layout.symbols)
        if wide > width or high > height:
            continue

        def columns(lead: int, layout: Layout = layout) -> int:
            return _size(replace(layout, lead=lead).ladder(drawn.ladder), layout.symbols)[0]

        longer = range(layout.lead + 1, _LEADS[way.size][1] + 1)
        lead = layout.lead + bisect_right(longer, width, key=columns)
        slack = layout.slack + min(height - high, _TALLEST[way.size])
        items = replace(layout, lead=lead, slack=slack).ladder(drawn.ladder)
        return drawn._inked(items, layout.symbols, way.size)
    return None
