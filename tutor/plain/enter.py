"""Papers entered in plain lines: for pipes, screen readers and scripts.

Every cell asks with a few lines, and one line answers it; the signs are those of the full screen,
and a few more in place of its keys.  The end of the input ends it; nothing entered is lost.
"""

from __future__ import annotations

from ..classroom.entering.grid import EntryGrid
from ..classroom.entering.recognised import PaperQuestion
from ..files.names import sheet_name
from ..language.texts import Words, speaker
from .lines import EndOfInput, PlainLines

BACK, OPEN, STUDENT, WAY, END = "<", ">", "@", "#", "!"
_say = speaker("entering")


class EnterPlainly:
    """A class's papers (``grid``, and the ``title`` of its sheets), entered in ``lines``."""

    def __init__(self, title: str, grid: EntryGrid, lines: PlainLines) -> None:
        self._title, self._grid, self._lines = title, grid, lines

    def run(self) -> None:
        """Ask for cell after cell.

        Raises:
            OSError: a cell can't be kept; all before it are.
        """
        grid, lines = self._grid, self._lines
        done = {"done": f"{grid.done:,}", "count": f"{grid.count:,}"}
        lines.say(_say("plain.opening", title=self._title, **done))
        lines.say(_say("plain.keys"))
        try:
            while True:
                self._ask()
                if not self._answered(lines.read()):
                    return
        except EndOfInput:
            lines.gap()

    def _ask(self) -> None:
        grid, lines = self._grid, self._lines
        number, sheet = grid.columns[grid.column], grid.sheet
        asked = grid.asked
        title = Words.load().title(asked.question.rung) if asked else _say("cell.not-asked")
        named = {"sheet": sheet_name(sheet.number), "name": sheet.known_as}
        lines.gap()
        lines.say(_say("plain.cell", number=number, title=title, **named))
        if asked is not None:
            for text in _known(asked):
                lines.say(text, "  ", "    ")
        there = grid.told(grid.row, grid.column)
        if grid.entered() is not None and there is not None:
            lines.say(_say("plain.there", text=there.text or "–"), "  ")

    def _answered(self, typed: str) -> bool:
        """Do what was typed; whether to go on."""
        grid = self._grid
        if typed == END:
            return False
        if typed == BACK:
            self._tell(grid.undo())
        elif typed == OPEN:
            self._tell("" if grid.next_open() else _say("said.all"))
        elif typed == WAY:
            grid.turn()
            self._tell(_say(f"grid.way-{grid.way.value}"))
        elif typed.startswith(STUDENT):
            name = typed.removeprefix(STUDENT).strip()
            self._tell("" if grid.find(name) else _say("said.none-called", text=name))
        else:
            return self._given(typed)
        return True

    def _given(self, typed: str) -> bool:
        grid = self._grid
        trouble = grid.give(typed)
        if trouble:
            self._tell(trouble)
            return True
        read = grid.told(grid.row, grid.column)
        if read is not None:
            names = "; ".join(read.slips)
            text = _say("plain.slipped", text=read.text, names=names) if names else read.text
            state = _say(f"state.{read.state.value}")
            self._tell(_say("plain.taken", text=text or "–", state=state))
        if grid.step(1):
            return True
        whole = grid.done == grid.count
        self._tell(_say("said.all" if whole else "said.end"))
        return not whole

    def _tell(self, text: str) -> None:
        if text:
            self._lines.say(text)


def _known(asked: PaperQuestion) -> list[str]:
    """What is right, and what slips lead to."""
    if asked.choices:
        return [
            _say(
                "plain.choice-right" if choice.right else "plain.choice",
                letter=choice.letter,
                words="; ".join((choice.words, *choice.names)),
            )
            for choice in asked.choices
        ]
    slips = (
        _say("plain.slip", number=number, typed=slip.typed, names="; ".join(slip.names))
        for number, slip in enumerate(asked.slips, 1)
    )
    return [_say("plain.right", text=asked.right), *slips]
