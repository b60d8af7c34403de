"""A line of text of which every stretch has a style: what pages are built of."""

from __future__ import annotations

from dataclasses import dataclass

from ...language.texts import plain as harmless
from ...language.wrap import columns


@dataclass(frozen=True, slots=True)
class StyledLine:
    """Stretches of text, each with a style, in one line.

    A style names an ink of the themes and a weight, as ``bold $ink-copper``; "" is none.  Paper
    and plain lines do without it.
    """

    spans: tuple[tuple[str, str], ...] = ()

    @classmethod
    def of(cls, *parts: StyledLine | tuple[str, str] | str) -> StyledLine:
        """A line of other lines, texts with their style, and texts without one.

        What would move the cursor, or hide or reorder text, is dropped.
        """
        spans: list[tuple[str, str]] = []
        for part in parts:
            if isinstance(part, StyledLine):
                spans += part.spans
            else:
                text, style = (part, "") if isinstance(part, str) else part
                spans.append((harmless(text), style))
        return cls(tuple(spans))

    @property
    def plain(self) -> str:
        """The text alone."""
        return "".join(text for text, _ in self.spans)

    @property
    def width(self) -> int:
        """Columns that it takes."""
        return columns(self.plain)
