"""Folds a circuit drawing that is wider than its page into bands, one below the other.

A drawing is cut only where nothing but the two rails cross; the cut ends are dashed and
carry an arrowhead, as on a schematic of several sheets.
"""

from __future__ import annotations

from collections.abc import Iterable

from ..canvas.picture import Span
from .parts import LABEL, MARKED, MARKED_LABEL, TERMINAL, VALUE, WIRE
from .sizes import SymbolSet

STUB = 2
"""Columns that a cut end takes."""


def cuts(lines: tuple[str, ...], spans: Iterable[Span]) -> tuple[list[int], frozenset[int]]:
    """Where the drawing can be cut: the columns right of the cuts, and the rows of the rails.

    The two rails cross such a column, and nothing else does; there are names on both sides.

    Args:
        lines: the drawing.
        spans: what its signs are.
    """
    spans = tuple(spans)
    ends = [span.row for span in spans if span.role == TERMINAL]
    both = frozenset((min(ends), max(ends)))
    width = len(lines[0])
    rails: list[set[int]] = [set() for _ in range(width)]
    others = [0] * width
    names = []
    held: set[int] = set()  # the cell before a text, kept for a mark: it must not be parted
    for span in spans:
        if span.role in (MARKED, MARKED_LABEL):
            continue
        if span.role == LABEL:
            names.append(span.col)
        if span.role in (LABEL, VALUE):
            held.add(span.col - 1)
        for col in range(span.col, span.col + span.length):
            if span.role == WIRE and lines[span.row][col] in "─-":
                rails[col].add(span.row)
            else:
                others[col] += 1
    first, last = min(names), max(names)
    places = [
        col
        for col in range(first + 1, last)
        if rails[col] == both and not others[col] and col not in held
    ]
    return places, both


def bands(lines: tuple[str, ...], places: Iterable[int], width: int) -> list[tuple[int, int]]:
    """(first column, column after the last) of each band of ``lines``, cut at some of ``places``.

    Each is so many columns in ``width`` at most, where it can be.
    """
    found: list[tuple[int, int]] = []
    start, end = 0, len(lines[0])
    ahead = sorted(places)
    while True:
        room = width - (STUB if start else 0)
        ahead = [col for col in ahead if col > start + 1]
        if end - start <= room or not ahead:
            return [*found, (start, end)]
        within = [col for col in ahead if col - start <= room - STUB]
        cut = within[-1] if within else ahead[0]
        found.append((start, cut))
        start = cut


def fold(
    lines: tuple[str, ...], spans: tuple[Span, ...], width: int, symbols: SymbolSet
) -> tuple[list[str], list[Span]]:
    """The lines and spans of the folded drawing.

    Args:
        lines: the drawing.
        spans: what its signs are.
        width: columns of the page.
        symbols: what it was drawn with.
    """
    places, rails = cuts(lines, spans)
    pieces = bands(lines, places, width)
    last = len(pieces) - 1
    whole = max(
        end - start + (STUB if n else 0) + (STUB if n < last else 0)
        for n, (start, end) in enumerate(pieces)
    )
    folded: list[str] = []
    placed: list[Span] = []
    emphasis: list[Span] = []
    for number, (start, end) in enumerate(pieces):
        left = STUB if number else 0
        rows = [row for row, line in enumerate(lines) if line[start:end].strip()]
        if number:
            folded.append(" " * whole)
        shift = len(folded) - rows[0]
        for row in range(rows[0], rows[-1] + 1):
            line = lines[row]
            text = line[start:end]
            if number:
                joined = row in rails
                text = (symbols.mark + symbols.dash if joined else " " * STUB) + text
                if joined:
                    placed.append(Span(row + shift, 0, STUB, WIRE))
            if number < last:
                joined = row in rails
                if joined:
                    placed.append(Span(row + shift, len(text), STUB, WIRE))
                text += symbols.dash + symbols.mark if joined else " " * STUB
            folded.append(text.ljust(whole))
        for span in spans:
            first, after = max(span.col, start), min(span.col + span.length, end)
            if first < after:
                into = emphasis if span.role in (MARKED, MARKED_LABEL) else placed
                into.append(Span(span.row + shift, first - start + left, after - first, span.role))
    return folded, [*placed, *emphasis]
