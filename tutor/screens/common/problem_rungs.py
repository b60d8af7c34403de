"""Problems as rungs, from the top down, with a sign for each of their questions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content

from .rungs import Rungs


@dataclass(frozen=True, slots=True)
class ProblemRung:
    """One problem: its name, whether it is asked about and whether it is over, and its questions.

    ``signs`` are (sign, look), one a question.
    """

    name: str
    asked: bool
    signs: Sequence[tuple[str, str]]
    over: bool = False


class ProblemRungs(Rungs):
    """A ladder of whole problems; the one asked about is kept in sight."""

    _problems: Sequence[ProblemRung] = ()

    def show_problems(self, problems: Sequence[ProblemRung]) -> None:
        """Show these ``problems``, from the top down."""
        self._problems = problems
        self.refresh()

    def _lines(self, width: int, height: int) -> list[Content]:
        rail = self._rail(width, climbed=False)
        rungs = self._problems
        blocks = [_block(rung, width) for rung in rungs]
        room = height // max(1, len(blocks))
        airy = max(0, min(2, room - max(map(len, blocks), default=0)))
        lines: list[Content] = []
        here = 0
        for rung, block in zip(rungs, blocks, strict=True):
            here = len(lines) if rung.asked else here
            lines += [*block, *[rail] * airy]
        if len(lines) > height:
            first = max(0, min(here - height // 2, len(lines) - height))
            lines = lines[first : first + height]
        return lines + [rail] * (height - len(lines))


def _block(rung: ProblemRung, width: int) -> list[Content]:
    """A problem's rung, and its questions below."""
    inner = width - 2
    if rung.asked:
        text = f" ▸ {rung.name}"[:inner].ljust(inner)
        look = "bold $ink-reversed on $ink-copper"
        head = Content.assemble(("┃", "$ink-copper"), (text, look), ("┃", "$ink-copper"))
    else:
        ink = "$ink-quiet" if rung.over else "$foreground"
        title = f" {rung.name} "[:inner]
        bar = "─" * max(0, inner - 1 - len(title))
        head = Content.assemble(("├─", "$ink-line"), (title, ink), (f"{bar}┤", "$ink-line"))
    side = ("┃", "$ink-copper") if rung.asked else ("│", "$ink-line")
    rows = []
    fit = max(1, inner - 3)
    for first in range(0, len(rung.signs), fit):
        part = rung.signs[first : first + fit]
        rows.append(Content.assemble(side, "   ", *part, " " * (fit - len(part)), side))
    return [head, *rows]
