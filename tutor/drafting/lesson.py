"""A page of a lesson while it is worked: what is asked before the circuit changes, then looks.

No screen and no words: the full screen and the plain lines work the same :class:`LessonWork`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ...problems.analysis.arms import End
from ...problems.chance import Chance
from ...problems.generate.foretell import PredictedChange, foretell
from ...problems.generate.look import make_look
from ...problems.questions.looks import Look
from .bench import Bench, Version
from .lesson_pages import LessonChart, LessonPage, Turn

LOOKS = 2
"""Looks at the end of a page."""
_BEFORE, _NOW = "A", "B"
_ENDS = {None: End.LOW, End.LOW: End.HIGH, End.HIGH: None}

_CHANGES: dict[Turn, Callable[[Bench], bool]] = {
    Turn.TAP: lambda bench: bench.tap(1),
    Turn.SWAP: Bench.exchange,
    Turn.TURN_OVER: Bench.turn_over,
    Turn.LOAD: Bench.load,
    Turn.LOSS: Bench.lossy,
    Turn.BUFFER: Bench.rebuffer,
}


class LessonWork:
    """One page being worked.

    Args:
        page: the page.
        at: how many of its steps are behind: its moves, the free changes, its looks.
        turn: how often it has been worked before: each time has other looks.

    Attributes:
        end: the end of the frequency axis at which the circuit is drawn; ``None``: as it is.
        before: what lay on the bench before the last change; ``None`` before the first.
    """

    def __init__(self, page: LessonPage, at: int = 0, turn: int = 0) -> None:
        self.page = page
        self.at = min(max(0, at), self.steps)
        self.turn = turn
        moved = min(self.at, len(page.moves))
        self.bench = Bench(page.moments[0].version.ladder)
        self.bench.go_to(page.moments[moved])
        self.end = page.moves[moved - 1].end if moved else None
        self.before: Version | None = page.moments[moved - 1].version if moved else None
        self._predictions: dict[int, PredictedChange] = {}
        self._looks: tuple[Look, ...] = ()

    @property
    def steps(self) -> int:
        """All steps: a move each, the free changes, a look each."""
        return len(self.page.moves) + 1 + LOOKS

    @property
    def done(self) -> bool:
        """Whether everything of the page has been worked."""
        return self.at >= self.steps

    @property
    def free(self) -> bool:
        """Whether the circuit may be changed freely now."""
        return self.at == len(self.page.moves)

    @property
    def number(self) -> int | None:
        """The number of the look that is asked, from 0; ``None``: no look is."""
        number = self.at - len(self.page.moves) - 1
        return number if 0 <= number < LOOKS else None

    @property
    def prediction(self) -> PredictedChange | None:
        """What is asked before the next change; ``None`` after the last."""
        return self._foretold(self.at) if self.at < len(self.page.moves) else None

    @property
    def last(self) -> PredictedChange | None:
        """What was asked before the last change that was foretold; ``None`` before the first."""
        number = min(self.at, len(self.page.moves)) - 1
        return self._foretold(number) if number >= 0 else None

    def _foretold(self, number: int) -> PredictedChange:
        if number not in self._predictions:
            before, after = (m.version.facts for m in self.page.moments[number : number + 2])
            self._predictions[number] = foretell(self.page.moves[number].asked, before, after)
        return self._predictions[number]

    def move(self) -> None:
        """Make the change that was asked about."""
        move = self.page.moves[self.at]
        self.before = self.bench.version
        self.at += 1
        self.bench.go_to(self.page.moments[self.at])
        self.end = move.end

    @property
    def look(self) -> Look | None:
        """The look that is asked."""
        number = self.number
        if number is None:
            return None
        if not self._looks:
            self._looks = looks_of(self.page, self.turn)
        return self._looks[number]

    def go_on(self) -> None:
        """Leave the free changes, or a look that has been answered."""
        self.at = min(self.at + 1, self.steps)

    @property
    def chart(self) -> LessonChart | None:
        """What stands beside the circuit; ``None`` while it would tell what is asked."""
        moves = self.page.moves
        if self.page.veiled and self.at < len(moves):
            return None
        # The question comes with its chart, so that what moves is in sight before it does.
        asked = moves[: self.at + 1]
        found = [move.chart for move in asked if move.chart is not None]
        return found[-1] if found else self.page.chart

    @property
    def shown(self) -> tuple[Version, tuple[Version, ...]]:
        """What is charted: the circuit as it is, and as it was before the last change."""
        now = self.bench.version
        if self.before is None or self.before.ladder == now.ladder:
            return _lettered(now, _BEFORE), ()
        return _lettered(now, _NOW), (_lettered(self.before, _BEFORE),)

    def change(self, turn: Turn) -> bool:
        """Change the circuit freely; whether that could be done."""
        if turn is Turn.END:
            self.end = _ENDS[self.end]
            return True
        return self._changed(_CHANGES[turn])

    def undo(self) -> bool:
        """Take the last free change back; what was foretold stays."""
        settled = self.page.moments[len(self.page.moves)]
        if self.bench.moment.versions == settled.versions:
            self.bench.trouble = "no-past"
            return False
        return self._changed(Bench.undo)

    def turn_part(self, *, up: bool) -> bool:
        """Turn the selected part by one preferred value, ``up`` or down."""
        return self._changed(lambda bench: bench.turn(bench.turning, up))

    def _changed(self, change: Callable[[Bench], bool]) -> bool:
        before = self.bench.version
        if not change(self.bench):
            return False
        self.before, self.end = before, None
        return True


def _lettered(version: Version, letter: str) -> Version:
    return version if version.letter == letter else replace(version, letter=letter)


def looks_of(page: LessonPage, turn: int) -> tuple[Look, ...]:
    """The looks that a ``page`` ends with, no structure twice; others at each further ``turn``."""
    chance = Chance(turn, "lesson", page.key)
    found: list[Look] = []
    for one in page.looks:
        seed, met = chance.below(2**31), tuple(look.structure for look in found)
        found.append(make_look(seed, one.kind, group=one.group, wanted=one.wanted, avoid=met))
    return tuple(found)
