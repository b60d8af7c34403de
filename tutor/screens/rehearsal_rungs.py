"""The problems of a rehearsal as rungs, and how far each of them has come."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from ..rehearsal_words import say
from ..widgets.rungs import Rungs

if TYPE_CHECKING:
    from ..rehearsal import Rehearsal

GIVEN, OPEN, AHEAD = "●", "○", "·"
"""A question with an answer, one that was left open, one still to come."""


class RehearsalRungs(Rungs):
    """One rung a problem, with a dot for each of its questions: what was given, never how good.

    What is to come stays unnamed, as in the drill.
    """

    _rehearsal: Rehearsal | None = None

    def show_rehearsal(self, rehearsal: Rehearsal) -> None:
        """Show how far it has come."""
        self._rehearsal = rehearsal
        self.refresh()

    def _lines(self, width: int, height: int) -> list[Content]:
        exam = self._rehearsal
        if exam is None:
            return [self._rail(width, climbed=False)] * height
        blocks = [self._block(number, width) for number in range(len(exam.problems))]
        room = height // max(1, len(blocks))
        airy = max(0, min(2, room - max(map(len, blocks), default=0)))
        lines: list[Content] = []
        here = 0
        for number, block in enumerate(blocks):
            here = len(lines) if number == exam.number else here
            lines += [*block, *[self._rail(width, climbed=False)] * airy]
        if len(lines) > height:
            first = max(0, min(here - height // 2, len(lines) - height))
            lines = lines[first : first + height]
        return lines + [self._rail(width, climbed=False)] * (height - len(lines))

    def _block(self, number: int, width: int) -> list[Content]:
        """A problem's rung, and its questions below."""
        exam = self._rehearsal
        assert exam is not None
        inner, name = width - 2, say("ask.problem", number=number + 1)
        asked = exam.number == number and not exam.complete
        if asked:
            text = f" ▸ {name}"[:inner].ljust(inner)
            look = "bold $ink-reversed on $ink-copper"
            rung = Content.assemble(("┃", "$ink-copper"), (text, look), ("┃", "$ink-copper"))
        else:
            over = not exam.waits(number)
            ink = "$ink-quiet" if over else "$foreground"
            title = f" {name} "[:inner]
            bar = "─" * (inner - 1 - len(title))
            rung = Content.assemble(("├─", "$ink-line"), (title, ink), (f"{bar}┤", "$ink-line"))
        count = len(exam.problems[number].questions)
        dots: list[tuple[str, str]] = []
        for at in range(count):
            if (number, at) in exam.answers:
                dots.append((GIVEN, "$ink-copper"))
            elif at < exam.reached[number]:
                dots.append((OPEN, "$ink-brass"))
            else:
                dots.append((AHEAD, "$ink-quiet"))
        rows = []
        for first in range(0, count, inner - 3):
            part = dots[first : first + inner - 3]
            side = ("┃", "$ink-copper") if asked else ("│", "$ink-line")
            rows.append(Content.assemble(side, "   ", *part, " " * (inner - 3 - len(part)), side))
        return [rung, *rows]
