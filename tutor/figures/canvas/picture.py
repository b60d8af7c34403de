"""The result of every figure: lines of text and spans that name their parts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple


class Span(NamedTuple):
    """``length`` characters from (``row``, ``col``) have the given role."""

    row: int
    col: int
    length: int
    role: str


@dataclass(frozen=True)
class Picture:
    """Lines of equal length, every character one cell wide, and what each part is.

    Spans never overlap, except that spans of an emphasis role ("marked", "marked-label")
    lie on top of others and come last.
    """

    lines: tuple[str, ...]
    spans: tuple[Span, ...] = ()

    @property
    def width(self) -> int:
        """Columns."""
        return len(self.lines[0]) if self.lines else 0

    @property
    def height(self) -> int:
        """Rows."""
        return len(self.lines)

    @property
    def text(self) -> str:
        """The whole picture, without trailing blanks."""
        return "\n".join(line.rstrip() for line in self.lines)


def runs(rows: Iterable[Sequence[str]]) -> Iterable[Span]:
    """Runs of equal roles, row by row; the empty role is skipped."""
    for number, row in enumerate(rows):
        start, role = 0, ""
        for col, current in enumerate(row):
            if current != role:
                if role:
                    yield Span(number, start, col - start, role)
                start, role = col, current
        if role:
            yield Span(number, start, len(row) - start, role)
