"""Circuit drawings in characters, for any ladder."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from ...problems.circuit import Ladder
from .picture import Picture
from .schematic_ink import ink
from .schematic_layout import Layout
from .schematic_symbols import symbol_set


@dataclass(frozen=True)
class Drawing(Picture):
    """A circuit drawing; roles are the constants of `schematic_parts`."""


def draw(
    ladder: Ladder,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    compact: bool = False,
    marked: Collection[str] = (),
) -> Drawing:
    """Draw a ladder.

    Args:
        ladder: any circuit, with or without values.
        ascii: use plain ASCII characters only.
        compact: smaller symbols, names above and values below them: narrower and lower.
        marked: names of elements to point out, with an arrowhead before the name and
            spans of role "marked".
    """
    symbols = symbol_set(ascii, compact)
    layout = Layout(symbols, compact, ascii)
    lines, spans = ink(layout.ladder(ladder), symbols, frozenset(marked))
    return Drawing(tuple(lines), tuple(spans))
