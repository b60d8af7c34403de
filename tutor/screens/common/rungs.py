"""The ladder: one rung a question, climbed from the bottom and filled on the way up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content
from textual.widget import Widget

from ...learning.course import Outcome

# Symbol, bar and colour of a rung by how it was left: told by shape as well as by colour.
_LOOKS = {
    Outcome.CLEAN: ("✓", "━", "$ink-verdigris"),
    Outcome.RIGHT: ("✓", "─", "$ink-verdigris"),
    Outcome.SHOWN: ("○", "╌", "$ink-brass"),
    Outcome.SKIPPED: ("–", " ", "$ink-quiet"),
    Outcome.SPARED: ("·", " ", "$ink-quiet"),
    Outcome.WORKED: ("◇", "╌", "$ink-brass"),
}
_ENDS = {"━": ("┣", "┫"), "─": ("┠", "┨"), "╌": ("┃", "┃"), " ": ("┃", "┃")}


@dataclass(frozen=True, slots=True)
class RungLine:
    """What the ladder shows of one rung."""

    title: str
    outcome: Outcome


class Rungs(Widget):
    """The ladder of one climb.

    Rungs above the one being asked stay unnamed: their names would tell what kind of circuit
    it is (only some circuits are asked for a bandwidth, say).
    """

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__()
        self._rungs: Sequence[RungLine] = ()
        self._position = 0

    def show(self, rungs: Sequence[RungLine], position: int) -> None:
        """Show these ``rungs``, the one at ``position`` being asked (none, if past the last)."""
        self._rungs, self._position = rungs, position
        self.refresh()

    def render(self) -> Content:
        """The ladder, its lowest rung at the bottom."""
        width, height = self.size
        if width < 6 or height < 1:
            return Content()
        if height == 1:
            return self._line(width)
        lines = self._lines(width, height)
        return Content("\n").join(lines)

    def _line(self, width: int) -> Content:
        """The ladder lying down, for low screens: signs of the rungs left, and the one asked."""
        count = len(self._rungs)
        if not count:
            return Content.styled("─" * width, "$ink-line")
        parts: list[tuple[str, str]] = []
        for i, rung in enumerate(self._rungs):
            if i < self._position:
                symbol, _, style = _LOOKS.get(rung.outcome, ("?", " ", "$ink-quiet"))
                parts.append((f"{symbol} ", style))
            elif i == self._position:
                text = f" ▸ {rung.title} {i + 1}/{count} "
                parts += [(text, "bold $ink-reversed on $ink-copper"), (" ", "$ink-line")]
            else:
                parts.append(("· ", "$ink-line"))
        return Content.assemble(*parts)[:width]

    def _lines(self, width: int, height: int) -> list[Content]:
        count = len(self._rungs)
        if not count:
            return [self._rail(width, climbed=False)] * height
        pitch = max(1, min(4, (height - 1) // count))
        lines: list[Content] = []  # from the bottom up
        for i, rung in enumerate(self._rungs):
            lines.append(self._rung(i, rung, width))
            lines += [self._rail(width, climbed=i < self._position)] * (pitch - 1)
        if len(lines) > height:  # a window that keeps the asked rung in sight
            first = max(0, min(self._position * pitch - height // 2, len(lines) - height))
            lines = lines[first : first + height]
        else:
            lines += [self._rail(width, climbed=self._position >= count)] * (height - len(lines))
        return lines[::-1]

    def _rail(self, width: int, climbed: bool) -> Content:
        side, style = ("┃", "$ink-verdigris") if climbed else ("│", "$ink-line")
        return Content.styled(side + " " * (width - 2) + side, style)

    def _rung(self, i: int, rung: RungLine, width: int) -> Content:
        inner = width - 2
        if i > self._position:
            return Content.styled("│" + "·".center(inner) + "│", "$ink-line")
        if i == self._position:
            text = f" ▸ {rung.title}"[:inner].ljust(inner)
            return Content.assemble(
                ("┃", "$ink-copper"),
                (text, "bold $ink-reversed on $ink-copper"),
                ("┃", "$ink-copper"),
            )
        symbol, bar, style = _LOOKS.get(rung.outcome, ("?", " ", "$ink-quiet"))
        left, right = _ENDS[bar]
        title = f" {symbol} {rung.title} "[: inner - 1]
        rest = bar * (inner - 1 - len(title))
        rail = "$ink-verdigris"
        return Content.assemble(
            (left, rail), (bar, style), (title, "$foreground"), (rest, style), (right, rail)
        )
