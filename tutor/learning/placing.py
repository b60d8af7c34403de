"""The first round of all: where to begin.

It opens with a short block of one contrast, low-pass and high-pass of one pole, goes on to the
loops of R, L and C, where band-pass and notch are met, and then to everything.  Whoever is
right goes up at once; whoever is wrong stays a little longer with what is simple.  Somebody wrong
at once is shown one short worked example, and asked the same kind again.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...problems.catalogue.groups import SkillGroup
from ...problems.chance import Chance
from ...problems.questions.looks import LookKind
from .looks import LookEvent
from .recognition import Recognition

BLOCK = 4
"""Looks of the block of one contrast."""
MIXED_FROM = 16
"""From this look on everything is mixed."""
AT_ONCE = 3
"""Somebody who is wrong within so many looks is shown an example."""
FLUENT = 0.75
"""Share of the first looks right from which nobody is shown how it is done."""
PLACED = 12
"""So many cold looks say where somebody stands."""
FLAT_FROM = 6
"""From this look on a circuit that passes everything alike is met."""

Asked = tuple[LookKind, SkillGroup | None, str | None]
"""Kind, group and type of a look."""

_LOOPS = ("band-pass", "notch", "low-pass", "high-pass")


class Placing:
    """What the first round asks, look by look."""

    def __init__(self) -> None:
        self._met: list[str] = []

    def asks(self, known: Recognition, number: int, chance: Chance) -> Asked | None:
        """What the next look asks; ``None``: what any round would.

        Args:
            known: what is known of the learner's looks now.
            number: how many looks were left.
            chance: for this look alone.
        """
        if number >= MIXED_FROM:
            return None
        if number < BLOCK:
            return LookKind.TYPE, SkillGroup.ONE_POLE, chance.pick(("low-pass", "high-pass"))
        waiting = [one for one in _LOOPS[:2] if one not in self._met]
        if number >= FLAT_FROM and not waiting and "flat" not in self._met:
            self._met.append("flat")
            return LookKind.TYPE, SkillGroup.DECOYS, "flat"
        fluent = known.share() >= 0.6
        if number % 3 == 2 and fluent:
            return None  # something else in between, and the other groups
        if fluent and not waiting:
            return None
        wanted = chance.pick(waiting or _LOOPS)
        self._met.append(wanted)
        return LookKind.TYPE, SkillGroup.TAPS, wanted


def is_example(events: Sequence[LookEvent]) -> bool:
    """Whether one short worked example follows the look that was left last: wrong at once.

    Args:
        events: the looks of the first round so far, the last one included.
    """
    looks = [event for event in events if not event.scaffold][:AT_ONCE]
    wrong = [event for event in looks if not event.right]
    return len(wrong) == 1 and bool(events) and events[-1] is wrong[0]


def knows_already(known: Recognition) -> bool:
    """Whether what is ``known`` of looks says that nobody has to be shown how it is done."""
    return known.looks >= PLACED and known.share() >= FLUENT
