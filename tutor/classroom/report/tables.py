"""Paragraphs and tables of a class report, by the keys of their words in ``report.toml``."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from ...documents.pages_form import Cell, Paragraph, Table
from .in_words import say

TableCells = tuple[str | Cell, ...]


def line(key: str, tone: str = "", **values: object) -> Paragraph:
    """The text of a ``key``, filled with ``values``, as a paragraph of a ``tone``."""
    return Paragraph(say(key, **values), tone=tone)


def table(
    name: str,
    keys: Sequence[str],
    rows: Iterable[TableCells],
    texts: Collection[str] = (),
    wide: Sequence[str] = (),
    caption: str = "",
) -> Table:
    """A table whose heads are the texts ``name.key``.

    Args:
        name: of the section that the words stand in.
        keys: of the columns, in order.
        rows: cells in the order of the keys.
        texts: the columns that hold no numbers.
        wide: the columns that take the room that is left; the first where none is named.
        caption: the key of what the table is; without one ``name.title``.
    """
    return Table(
        say(caption or f"{name}.title"),
        tuple(say(f"{name}.{key}") for key in keys),
        tuple(rows),
        tuple(key not in texts for key in keys),
        tuple(map(list(keys).index, wide)) or (0,),
    )
