"""Circuit drawings in characters, for any ladder."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from ....problems.circuits.model import Ladder
from ..canvas.picture import Picture
from .fold import fold as fold_lines
from .ink import ink
from .layout import Layout, extent
from .parts import CAPACITOR, INDUCTOR, RESISTOR, Primitive
from .sizes import SMALL, sized
from .symbols import SymbolSet, symbol_set

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


def draw(
    ladder: Ladder,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    compact: bool = False,
    marked: Collection[str] = (),
    unknown: Collection[str] = (),
    end: End | None = None,
) -> SchematicDrawing:
    """Draw a ladder.

    Args:
        ladder: any circuit, with or without values.
        ascii: use plain ASCII characters only.
        compact: the smallest symbols there are (`sizes`), names above and values below them.
        marked: names of elements to point out, with an arrowhead before the name and
            spans of the roles "marked" and "marked-label".
        unknown: names of elements whose values are question marks.
        end: draw the circuit as it is at this end of the frequency axis, every inductor
            and capacitor an open or a short.
    """
    if not compact:
        return _draw(ladder, ascii, False, 3, marked, unknown, end)
    best, *others = small_ones(ladder, ascii=ascii, marked=marked, unknown=unknown, end=end)
    for narrower in others:
        if narrower.width <= best.width - NOTABLY:
            best = narrower
    return best


def small_ones(
    ladder: Ladder,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    marked: Collection[str] = (),
    unknown: Collection[str] = (),
    end: End | None = None,
) -> list[SchematicDrawing]:
    """Drawings with the smallest symbols, from the lowest to the highest; some are narrower.

    Args:
        ladder: any circuit.
        ascii: use plain ASCII characters only.
        marked: names of elements to point out.
        unknown: names of elements whose values are question marks.
        end: the end of the frequency axis.
    """
    return [_draw(ladder, ascii, True, slack, marked, unknown, end) for slack in range(2, 6)]


def fit(
    ladder: Ladder,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    marked: Collection[str] = (),
    unknown: Collection[str] = (),
    end: End | None = None,
    most: int | None = None,
) -> SchematicDrawing:
    """Draw a ladder as `largest` does; where none fits, as small as it can be, to be scrolled.

    Args:
        ladder: any circuit, with or without values.
        width: columns of the room.
        height: rows of the room.
        ascii: use plain ASCII characters only.
        marked: names of elements to point out.
        unknown: names of elements whose values are question marks.
        end: draw the circuit as it is at this end of the frequency axis.
        most: the largest size to draw it in, as of another drawing that it stands for.
    """
    drawing = largest(
        ladder, width, height, ascii=ascii, marked=marked, unknown=unknown, end=end, most=most
    )
    if drawing is not None:
        return drawing
    best, least = _WAYS[-1], -1
    for way in _WAYS:
        if way.size != _WAYS[-1].size:
            continue
        items = _layout(way, ascii, end, unknown).ladder(ladder)
        wide, high = _size(items, sized(way.size, ascii))
        # Scrolling sideways follows the circuit; scrolling down loses the ground rail.
        missing = max(0, wide - width) + 4 * max(0, high - height)
        if least < 0 or missing < least:
            best, least = way, missing
    items = _layout(best, ascii, end, unknown).ladder(ladder)
    lines, spans = ink(items, sized(best.size, ascii), frozenset(marked))
    return SchematicDrawing(tuple(lines), tuple(spans), best.size)


def fold(
    ladder: Ladder,
    width: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    marked: Collection[str] = (),
    unknown: Collection[str] = (),
) -> SchematicDrawing:
    """Draw a ladder for a page: compactly, in bands one below the other if it must be.

    Args:
        ladder: any circuit, with or without values.
        width: columns of the page; a single arm may still be wider.
        ascii: use plain ASCII characters only.
        marked: names of elements to point out.
        unknown: names of elements whose values are question marks.
    """
    drawing = draw(ladder, ascii=ascii, compact=True, marked=marked, unknown=unknown)
    if drawing.width <= width:
        return drawing
    symbols = sized(SMALL, ascii)
    folded = (
        fold_lines(one.lines, one.spans, width, symbols)
        for one in (drawing, *small_ones(ladder, ascii=ascii, marked=marked, unknown=unknown))
    )
    narrowest: SchematicDrawing | None = None
    for lines, spans in folded:  # where a drawing can be cut depends on its rails
        found = SchematicDrawing(tuple(lines), tuple(spans))
        if narrowest is None or found.width < narrowest.width:
            narrowest = found
        if narrowest.width <= width:
            break
    assert narrowest is not None
    return narrowest


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


def largest(
    ladder: Ladder,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    marked: Collection[str] = (),
    unknown: Collection[str] = (),
    end: End | None = None,
    most: int | None = None,
) -> SchematicDrawing | None:
    """Draw a ladder with the largest symbols that a room allows, and wires that fill it.

    A kind of part is the same sign at every size (`sizes`).

    Args:
        ladder: any circuit, with or without values.
        width: columns of the room.
        height: rows of the room.
        ascii: use plain ASCII characters only.
        marked: names of elements to point out.
        unknown: names of elements whose values are question marks.
        end: draw the circuit as it is at this end of the frequency axis.
        most: the largest size to draw it in, as of another drawing that it stands beside.

    Returns:
        The drawing; ``None`` where even the smallest symbols do not fit.
    """
    return _largest(ladder, width, height, ascii, frozenset(marked), frozenset(unknown), end, most)


@lru_cache(32)  # a screen asks how high it is, then for it, and again at the next paint
def _largest(
    ladder: Ladder,
    width: int,
    height: int,
    plain: bool,
    marked: frozenset[str],
    unknown: frozenset[str],
    end: End | None,
    most: int | None,
) -> SchematicDrawing | None:
    for way in _WAYS:
        if most is not None and way.size > most:
            continue
        symbols = sized(way.size, plain)
        layout = _layout(way, plain, end, unknown)
        items = layout.ladder(ladder)
        wide, high = _size(items, symbols)
        if wide > width or high > height:
            continue
        for lead in range(layout.lead + 1, _LEADS[way.size][1] + 1):
            longer = replace(layout, lead=lead)
            stretched = longer.ladder(ladder)
            if _size(stretched, symbols)[0] > width:
                break
            layout, items = longer, stretched
        spare = min(height - high, _TALLEST[way.size])
        if spare > 0:
            items = replace(layout, slack=layout.slack + spare).ladder(ladder)
        lines, spans = ink(items, symbols, marked)
        return SchematicDrawing(tuple(lines), tuple(spans), way.size)
    return None


def lowest(
    ladder: Ladder,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    end: End | None = None,
) -> tuple[int, int]:
    """Columns and rows that a ladder takes at least, where rows are short.

    Args:
        ladder: any circuit.
        ascii: whether plain ASCII characters are used.
        end: the end of the frequency axis at which it is drawn.
    """
    way = _WAYS[-1]
    return _size(_layout(way, ascii, end).ladder(ladder), sized(way.size, ascii))


def _layout(way: _Way, plain: bool, end: End | None, unknown: Collection[str] = ()) -> Layout:
    return Layout(
        sized(way.size, plain),
        way.tight,
        plain,
        way.slack,
        end,
        frozenset(unknown),
        lead=_LEADS[way.size][0],
        beside=LYING if way.flat else frozenset(),
        frugal=way.frugal,
    )


def _size(items: Sequence[Primitive], symbols: SymbolSet) -> tuple[int, int]:
    """Columns and rows."""
    left, top, right, bottom = extent(items, symbols)
    return right - left + 1, bottom - top + 1


def _draw(
    ladder: Ladder,
    plain: bool,
    compact: bool,
    slack: int,
    marked: Collection[str],
    unknown: Collection[str],
    end: End | None,
) -> SchematicDrawing:
    symbols = sized(SMALL, plain) if compact else symbol_set(plain)
    layout = Layout(symbols, compact, plain, slack, end, frozenset(unknown))
    lines, spans = ink(layout.ladder(ladder), symbols, frozenset(marked))
    return SchematicDrawing(tuple(lines), tuple(spans))
