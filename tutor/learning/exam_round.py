"""The page of looks that a rehearsal begins with: every group of circuits, and nothing is marked.

Eight looks ask for the type, one of each group of circuits, and four for what can be counted.  As
in an exam there are no hints, and nothing is told before everything has been handed in.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ...problems.catalogue.groups import LOOKED_AT, SkillGroup
from ...problems.chance import Chance
from ...problems.generate.look import make_look
from ...problems.hints.counterfact_ends import CounterFact
from ...problems.questions.looks import Look, LookKind
from .looks import LookEvent
from .next_look import RoundStep
from .rounds import Round

_COUNTED = (LookKind.POLES, LookKind.ORIGIN_ZEROS, LookKind.LOW_SLOPE, LookKind.HIGH_SLOPE)
EXAM_LOOKS = len(LOOKED_AT) + len(_COUNTED)


@dataclass
class ExamRound(Round):
    """Looks of which nothing is told until :meth:`missed` is asked for."""

    length: int = EXAM_LOOKS
    silent: bool = True
    asked: list[Look] = field(default_factory=list)

    def __post_init__(self) -> None:
        chance = Chance(self.seed, "exam")
        wanted: list[tuple[LookKind, SkillGroup | None]] = [(LookKind.TYPE, g) for g in LOOKED_AT]
        self._wanted = chance.shuffled([*wanted, *((kind, None) for kind in _COUNTED)])
        super().__post_init__()

    def hint(self) -> int:
        """There are none."""
        return 0

    @property
    def missed(self) -> tuple[tuple[Look, str], ...]:
        """(look, id of the answer given, "" for none) of what was not right, as it was asked."""
        pairs = zip(self.asked, self.events, strict=False)
        return tuple((look, event.answered) for look, event in pairs if not event.right)

    def _make(self) -> RoundStep:
        kind, group = self._wanted[self.number]
        seed = Chance(self.seed, "exam", self.number).below(2**60)
        look = make_look(seed, kind, group=group, avoid={look.structure for look in self.asked})
        self.asked.append(look)
        return RoundStep(look)

    def _after(self, step: RoundStep, event: LookEvent, explained: CounterFact | None) -> None:
        """Nothing comes back: what was wrong returns in a later round."""
