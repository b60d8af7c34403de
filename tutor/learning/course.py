"""What happens in a climb, and what it adds up to: one account for screens and for records.

A climb tells each :class:`Move` as it is made; the record keeps that same value as a row, reads
it back as the same value, and both add moves up with the same :class:`Course`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from ...problems.questions.model import Rung, Verdict

HINT_LEVELS = 3


class Outcome(StrEnum):
    """How a rung was left."""

    OPEN = "open"  # not left yet
    CLEAN = "clean"  # right at the first try, without a hint
    RIGHT = "right"  # right, after a wrong try or with a hint
    SHOWN = "shown"  # the learner asked to be shown the answer
    SKIPPED = "skipped"
    WORKED = "worked"  # shown worked, as an example: it was never the learner's to answer
    SPARED = "spared"  # not asked: the answer before it showed that it is known


class MoveKind(StrEnum):
    """What a learner can do on a rung."""

    ANSWERED = "answered"
    HINTED = "hinted"
    SHOWN = "shown"
    SKIPPED = "skipped"
    WORKED = "worked"
    SPARED = "spared"
    GIVEN = "given"  # an answer taken without a mark, or none (""): a rehearsal


class Other(StrEnum):
    """What happens to a climb as a whole."""

    BEGAN = "began"
    LEFT = "left"  # for another climb, before its end
    TOOK_OVER = "took-over"  # no more steps are shown worked


@dataclass(frozen=True, slots=True)
class Move:
    """Something done on a rung: enough to do it again.

    ``text``, ``verdict``, ``understood``, ``trouble`` and ``slips`` belong to an answer,
    ``level`` to a hint.  ``seconds`` passed since the move before, or since the rung was
    first asked for, as far as somebody looked at a clock.
    """

    kind: MoveKind
    rung: Rung
    text: str = ""
    verdict: Verdict | None = None
    understood: str = ""
    trouble: str = ""
    slips: tuple[str, ...] = ()
    level: int = 0
    seconds: float = 0.0


@dataclass(slots=True)
class RungCourse:
    """What has happened on one rung.

    ``tries`` counts the answers that were understood and ``wrong`` those of them marked wrong;
    ``hints`` is the highest level shown (0 to 3), ``slips`` are those named by any of the marks,
    in order, each once.
    """

    rung: Rung
    tries: int = 0
    wrong: int = 0
    hints: int = 0
    slips: list[str] = field(default_factory=list)
    seconds: float = field(default=0.0, compare=False)  # how long, not how far
    outcome: Outcome = Outcome.OPEN


class Course:
    """Where a climb of these ``rungs``, in order, has come to, as its moves tell it."""

    def __init__(self, rungs: Iterable[Rung]) -> None:
        self.rungs = tuple(map(RungCourse, rungs))
        self._position = 0

    @property
    def position(self) -> int:
        """How many rungs have been left: the place, from 0, of the one being asked."""
        return self._position

    @property
    def done(self) -> bool:
        """Whether every rung has been left."""
        return self._position >= len(self.rungs)

    def take(self, move: Move) -> RungCourse | None:
        """Add the next move.

        A move on another rung than the next one (an event in between was lost) is taken as
        made on that rung; one on a rung that was left already, or is none, as not made.
        What was given in a rehearsal leaves no rung: its marks follow.

        Returns:
            The rung that the move has left, if it has left one.
        """
        if move.kind is MoveKind.GIVEN:
            return None
        ahead = range(self._position, len(self.rungs))
        place = next((i for i in ahead if self.rungs[i].rung == move.rung), None)
        if place is None:
            return None
        self._position, found = place, self.rungs[place]
        found.seconds += move.seconds
        outcome = self._outcome(found, move)
        if outcome is None:
            return None
        found.outcome = outcome
        self._position += 1
        return found

    @staticmethod
    def _outcome(found: RungCourse, move: Move) -> Outcome | None:
        """How a move leaves its rung; ``None`` where it does not."""
        match move.kind:
            case MoveKind.ANSWERED:
                found.tries += move.verdict is not Verdict.UNCLEAR
                found.wrong += move.verdict is Verdict.WRONG
                found.slips += [slip for slip in move.slips if slip not in found.slips]
                if move.verdict not in (Verdict.RIGHT, Verdict.ROUGH):
                    return None
                return Outcome.RIGHT if found.hints or found.wrong else Outcome.CLEAN
            case MoveKind.HINTED:
                found.hints = max(found.hints, min(move.level, HINT_LEVELS))
                return None
            case MoveKind.SHOWN:
                return Outcome.SHOWN
            case MoveKind.SKIPPED:
                return Outcome.SKIPPED
            case MoveKind.WORKED:
                return Outcome.WORKED
            case MoveKind.SPARED:
                return Outcome.SPARED
        return None  # given: its mark follows
