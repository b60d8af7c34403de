"""Which look comes next: of what kind, of which circuits, and next to which neighbour.

* Half of the looks ask for the type.  The other kinds are weighed by their rows, and by what is
  still lacking; what is known comes now and then.
* Types of circuits are drawn by fixed shares, whatever came before, so that nobody gets ahead by
  counting; but a type that has not been met for long is due.  Then the group of circuits is drawn
  among those that have it: what is lacking, and first what it builds on.
* A look stands in a contrast with the one before it as often as may be: one change of that
  circuit flips the answer, where the type is asked to what this learner takes it for.
* Once recognition is known (:attr:`Recognition.ready`), one look in six is of a kind that builds
  upon it: what a circuit puts out, from the curve back, what a change does; every other one where
  recognition lacks nothing more today.  Before, they come where they are asked for by name alone.
* The first round of all begins as ``placing.py`` says.

Everything follows from the chance that is given, the learner's answers and the state at first.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from ...problems.catalogue.groups import LOOKED_AT, SkillGroup
from ...problems.chance import Chance
from ...problems.generate.contrast import contrast_look
from ...problems.generate.look import make_look
from ...problems.generate.look_draw import TYPES_OF_GROUP
from ...problems.questions.looks import (
    AT_SIGHT,
    LOOK_KINDS,
    PREDICTED,
    TYPES,
    Facing,
    Look,
    LookKind,
    look_row,
)
from .placing import Placing, knows_already
from .recognition import Recognition, look_skill, sight_skills
from .skill_map import AFTER

_T = TypeVar("_T")

SEEDS = 2**62
CONTRASTS = 85
"""Of a hundred looks that could stand in a contrast with the one before, so many do."""
KNOWN_WEIGHT = 0.15
"""What is known weighs as much as this share of a right look that is lacking."""
URGENT = 2.0
"""What lacks more than the rest weighs more than its share."""
NOT_READY = 0.1
"""So much less weighs a group whose foundations have not been seen right."""
OVERDUE = 20
"""A type that so many cold looks at types have not shown is due, and comes every other time."""
TYPE_SHARES = (9, 9, 9, 8, 5)
"""How often each type is right: none more often than one in five by more than a twentieth."""
PREDICTED_EACH = 6
"""Once recognition is known, one look in so many is of a kind that builds upon it, at first."""
_TRIES = 4
"""Neighbours asked for before a contrast is given up."""


@dataclass(frozen=True, slots=True)
class RoundStep:
    """What a round shows next.

    Args:
        look: the circuit and question.
        cold: whether it counts: nothing of this circuit has been marked.
        contrast: whether it stands in a contrast with the look before it.
        again: whether its structure comes back after an error.
        scaffold: whether it asks for an end of the circuit that was just misjudged.
    """

    look: Look
    cold: bool = True
    contrast: bool = False
    again: bool = False
    scaffold: bool = False


class NextLook:
    """Chooses the looks of a round.

    Args:
        kinds: what may be asked; empty: all that somebody is ready for, the type half of the time.
        group: circuits of this group alone; ``None``: all.
        today: the learner's own day.
        placing: whether it is the first round, which says where to begin.
    """

    def __init__(
        self,
        kinds: Sequence[LookKind],
        group: SkillGroup | None,
        today: date,
        *,
        placing: bool = False,
    ) -> None:
        self._kinds = tuple(kinds) or AT_SIGHT
        self._mixed = not kinds
        self._group = group
        self._today = today
        self._placing = Placing() if placing else None

    def make(
        self, known: Recognition, before: RoundStep | None, number: int, chance: Chance
    ) -> RoundStep:
        """The next look.

        Args:
            known: what is known of the learner's looks now.
            before: the look that was left last, scaffolds not counted.
            number: how many looks of the round were left.
            chance: for this look alone.

        Raises:
            LookupError: there is nothing to ask of such circuits.
        """
        placed = self._placed(known, number, chance) or self._predicted(known, chance)
        step = placed or self._contrast(known, before, number, chance)
        return step or self._fresh(known, number, chance)

    def _placed(self, known: Recognition, number: int, chance: Chance) -> RoundStep | None:
        """The look that the placing asks for, if it says which."""
        if self._placing is None:
            return None
        asked = self._placing.asks(known, number, chance)
        if asked is None:
            return None
        kind, group, wanted = asked
        look = self._made(kind, group, wanted, known, chance)
        return RoundStep(look) if look is not None else None

    def _predicted(self, known: Recognition, chance: Chance) -> RoundStep | None:
        """A look of a kind that builds upon recognition, if it is time for one."""
        if not self._mixed or not known.ready:
            return None
        at_sight = known.lacks(self._today, sight_skills())
        each = 2 if known.lacks(self._today) and not at_sight else PREDICTED_EACH
        if chance.below(each):
            return None
        weights = [self._worth(known, kind) for kind in PREDICTED]
        kind = weighed(PREDICTED, weights, chance)
        look = self._made(kind, self._group, None, known, chance)
        return RoundStep(look) if look is not None else None

    # What is asked

    def _kind(
        self, known: Recognition, number: int, chance: Chance, failed: Collection[LookKind]
    ) -> LookKind:
        """The kind of the next look, but for those that found no circuit."""
        others = [kind for kind in self._kinds if kind not in failed]
        if self._mixed and LookKind.TYPE in others and len(others) > 1:
            ahead = self._ahead(known, number)
            if ahead < 0 or (ahead == 0 and chance.below(2)):
                return LookKind.TYPE
            others.remove(LookKind.TYPE)
        if not knows_already(known):
            others = [kind for kind in others if known.looks >= _FROM[kind]] or others
        weights = [look_row(kind).weight * self._worth(known, kind) for kind in others]
        return weighed(others, weights, chance)

    @staticmethod
    def _ahead(known: Recognition, number: int) -> int:
        """By how many looks of this round the type was asked more often than all else."""
        asked = list(known.lately)[-number:] if number else []
        return sum((1 if kind is LookKind.TYPE else -1) for kind, _, cold in asked if cold)

    def _worth(self, known: Recognition, kind: LookKind) -> float:
        groups = self._groups() if kind is LookKind.TYPE else [SkillGroup.OTHER]
        lacking = [known.lacking(look_skill(kind, group), self._today) for group in groups]
        return math.pow(max(KNOWN_WEIGHT, *lacking), URGENT)

    def _groups(self) -> list[SkillGroup]:
        if self._group is not None:
            return [self._group]
        return list(LOOKED_AT)

    # Of which circuits

    def _fresh(self, known: Recognition, number: int, chance: Chance) -> RoundStep:
        failed: set[LookKind] = set()
        while len(failed) < len(self._kinds):
            kind = self._kind(known, number, chance, failed)
            wanted = group = None
            if kind is LookKind.TYPE:
                wanted = self._wanted(known, chance)
                group = self._circuits(known, wanted, chance)
            look = self._made(kind, group or self._group, wanted, known, chance)
            if look is not None:
                return RoundStep(look)
            failed.add(kind)
        raise LookupError("no circuit can be asked that")

    def _wanted(self, known: Recognition, chance: Chance) -> str:
        """The type of the circuit: by its share, whatever came before; but what is due comes."""
        lately = [truth for one, truth, cold in known.lately if cold and one is LookKind.TYPE]
        met = lately[-OVERDUE:]
        types = [one for one in TYPES if self._group is None or one in TYPES_OF_GROUP[self._group]]
        due = [one for one in types if one not in met]
        if len(met) >= OVERDUE and due and chance.below(2):
            return chance.pick(due)
        return weighed(types, [TYPE_SHARES[TYPES.index(one)] for one in types], chance)

    def _circuits(self, known: Recognition, wanted: str, chance: Chance) -> SkillGroup:
        """The group that is looked at: what is lacking, and first what it builds on."""
        groups = [group for group in self._groups() if wanted in TYPES_OF_GROUP[group]]
        weights = []
        for group in groups:
            lacking = known.lacking(look_skill(LookKind.TYPE, group), self._today)
            ready = all(self._met(known, below) for below in AFTER[group])
            weights.append(max(KNOWN_WEIGHT, lacking) * (1.0 if ready else NOT_READY))
        return weighed(groups, weights, chance)

    @staticmethod
    def _met(known: Recognition, group: SkillGroup) -> bool:
        """Whether a group has been seen right, so that others may build on it."""
        skill = look_skill(LookKind.TYPE, group)
        state = known.states.get(skill)
        lately = list(state.cold)[-3:] if state is not None else []
        return sum(look.right for look in lately) >= 2 or known.known(skill)

    def _made(
        self,
        kind: LookKind,
        group: SkillGroup | None,
        wanted: str | None,
        known: Recognition,
        chance: Chance,
    ) -> Look | None:
        """A certified look, of a structure that has not been seen as long as there is one."""
        seen, last = frozenset(known.structures), None
        groups = [group] if group is self._group else [group, self._group]
        for one in groups:
            try:
                look = make_look(
                    chance.below(SEEDS),
                    kind,
                    group=one,
                    wanted=wanted,
                    avoid=seen,
                    hard=hardness(known),
                )
            except LookupError:
                continue
            last = look
            if look.structure not in seen:
                break
        return last

    # Next to which neighbour

    def _contrast(
        self, known: Recognition, before: RoundStep | None, number: int, chance: Chance
    ) -> RoundStep | None:
        """The circuit before, but for one change that flips the answer; ``None``: there is none.

        Where the type is asked for, the change leads to what this learner takes it for.
        """
        if before is None or before.look.row.facing is not Facing.CIRCUIT:
            return None
        look = before.look
        if self._mixed and look.kind in PREDICTED:
            return None
        if self._mixed and look.kind is LookKind.TYPE and self._ahead(known, number) > 1:
            return None
        if look.kind is not LookKind.TYPE and self._mixed:
            lacking = known.lacking(look_skill(look.kind, look.group), self._today)
            if lacking < 2:
                return None
        if chance.below(100) >= CONTRASTS:
            return None
        seen = frozenset(known.structures)
        confused = known.confused_with(look.truth) if look.kind is LookKind.TYPE else {}
        others = [answer for answer in look.answers if answer != look.truth]
        for trial in range(_TRIES):
            wanted = None
            if confused and trial < _TRIES - 1:
                wanted = weighed(others, [1 + 2 * confused.get(one, 0) for one in others], chance)
            found = contrast_look(look, chance.below(SEEDS), wanted, seen)
            if found is None or found.truth == look.truth:
                continue
            if self._group in (None, found.group):
                return RoundStep(found, contrast=True)
        return None


_FROM: dict[LookKind, int] = {
    row.kind: (24 * (place >= 6) + 24 * (row.facing is not Facing.CIRCUIT)) * (row.since == 1)
    for place, row in enumerate(LOOK_KINDS)
}
"""After how many looks in all a kind comes first: what is simple to ask before the rest.

Nobody waits for what was asked for by name, as kinds that build upon recognition are."""


def hardness(known: Recognition) -> int:
    """How hard the circuits are (``make_look``): by what is known, and by how it goes."""
    if known.looks < 8 or known.share() < 0.6:
        return 0
    types = sum(known.known(look_skill(LookKind.TYPE, group)) for group in LOOKED_AT)
    return min(3, 1 + types // 3)


def weighed(options: Sequence[_T], weights: Iterable[float], chance: Chance) -> _T:
    """One of some options, as likely as its weight says, to a thousandth.

    Args:
        options: at least one.
        weights: one for each.
        chance: draws.
    """
    shares = [max(1, round(1000 * weight)) for weight in weights]
    drawn = chance.below(sum(shares))
    for option, share in zip(options, shares, strict=True):
        if drawn < share:
            return option
        drawn -= share
    raise AssertionError("not reached")
