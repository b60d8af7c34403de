"""The problems of a sheet as rungs, with a dot for each question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from ..widgets.rungs import Rungs
from ..words import fill

if TYPE_CHECKING:
    from ...problems.sheets import Item
    from ..sheet_filling import Filling

GIVEN, OPEN, HERE = "●", "○", "◉"
"""A question with an answer, one without, the one being asked."""


class SheetRungs(Rungs):
    """One rung a problem, from the top down as on paper: what was answered, never how well."""

    _filling: Filling | None = None

    def show_sheet(self, filling: Filling) -> None:
        """Show how far it has come."""
        self._filling = filling
        self.refresh()

    def _lines(self, width: int, height: int) -> list[Content]:
        filling = self._filling
        rail = self._rail(width, climbed=False)
        if filling is None:
            return [rail] * height
        items = filling.sheet.items
        blocks = [self._block(item, width) for item in items]
        room = height // max(1, len(blocks))
        airy = max(0, min(2, room - max(map(len, blocks), default=0)))
        lines: list[Content] = []
        here = 0
        for item, block in zip(items, blocks, strict=True):
            here = len(lines) if item is filling.item else here
            lines += [*block, *[rail] * airy]
        if len(lines) > height:
            first = max(0, min(here - height // 2, len(lines) - height))
            lines = lines[first : first + height]
        return lines + [rail] * (height - len(lines))

    def _block(self, item: Item, width: int) -> list[Content]:
        filling = self._filling
        assert filling is not None
        inner = width - 2
        name = item.title or fill("filling", "ask.item", [("number", item.number)])
        asked = item is filling.item
        if asked:
            text = f" ▸ {name}"[:inner].ljust(inner)
            look = "bold $ink-reversed on $ink-copper"
            rung = Content.assemble(("┃", "$ink-copper"), (text, look), ("┃", "$ink-copper"))
        else:
            title = f" {name} "[:inner]
            bar = "─" * max(0, inner - 1 - len(title))
            rung = Content.assemble(
                ("├─", "$ink-line"), (title, "$foreground"), (f"{bar}┤", "$ink-line")
            )
        dots: list[tuple[str, str]] = []
        for question in item.questions:
            given = question.number in filling.answers
            if question is filling.asked:
                dots.append((HERE, "bold $ink-copper"))
            else:
                dots.append((GIVEN, "$ink-copper") if given else (OPEN, "$ink-quiet"))
        rows = []
        side = ("┃", "$ink-copper") if asked else ("│", "$ink-line")
        for first in range(0, len(dots), max(1, inner - 3)):
            part = dots[first : first + inner - 3]
            rows.append(Content.assemble(side, "   ", *part, " " * (inner - 3 - len(part)), side))
        return [rung, *rows]
