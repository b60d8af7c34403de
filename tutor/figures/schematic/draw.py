"""Circuit drawings in characters, for any ladder."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ....problems.circuits.model import Ladder
from ..canvas.picture import Picture
from .fold import fold as fold_lines
from .ink import ink
from .layout import Layout
from .symbols import symbol_set

if TYPE_CHECKING:
    from ....problems.analysis.arms import End


@dataclass(frozen=True)
class SchematicDrawing(Picture):
    """A circuit drawing; roles are the constants of `schematic_parts`."""


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
        compact: smaller symbols, names above and values below them: lower, and mostly
            narrower.
        marked: names of elements to point out, with an arrowhead before the name and
            spans of the roles "marked" and "marked-label".
        unknown: names of elements whose values are question marks.
        end: draw the circuit as it is at this end of the frequency axis, every inductor
            and capacitor an open or a short.
    """
    if not compact:
        return _draw(ladder, ascii, False, 3, marked, unknown, end)
    low, narrow = (_draw(ladder, ascii, True, slack, marked, unknown, end) for slack in (2, 3))
    return narrow if narrow.width <= low.width - NOTABLY else low


def fit(
    ladder: Ladder,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    marked: Collection[str] = (),
    unknown: Collection[str] = (),
    end: End | None = None,
) -> SchematicDrawing:
    """Draw a ladder as large as a room allows; where none fits, the one that misses least.

    Args:
        ladder: any circuit, with or without values.
        width: columns of the room.
        height: rows of the room.
        ascii: use plain ASCII characters only.
        marked: names of elements to point out.
        unknown: names of elements whose values are question marks.
        end: draw the circuit as it is at this end of the frequency axis.
    """
    best: SchematicDrawing | None = None
    least = 0
    for compact, slack in ((False, 3), (True, 3), (True, 2)):
        drawing = _draw(ladder, ascii, compact, slack, marked, unknown, end)
        # Scrolling sideways follows the circuit; scrolling down loses the ground rail.
        missing = max(0, drawing.width - width) + 4 * max(0, drawing.height - height)
        if not missing:
            return drawing
        if best is None or missing < least:
            best, least = drawing, missing
    assert best is not None
    return best


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
    lines, spans = fold_lines(drawing.lines, drawing.spans, width, symbol_set(ascii, True))
    return SchematicDrawing(tuple(lines), tuple(spans))


def _draw(
    ladder: Ladder,
    plain: bool,
    compact: bool,
    slack: int,
    marked: Collection[str],
    unknown: Collection[str],
    end: End | None,
) -> SchematicDrawing:
    symbols = symbol_set(plain, compact)
    layout = Layout(symbols, compact, plain, slack, end, frozenset(unknown))
    lines, spans = ink(layout.ladder(ladder), symbols, frozenset(marked))
    return SchematicDrawing(tuple(lines), tuple(spans))
