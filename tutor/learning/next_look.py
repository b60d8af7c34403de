"""Which look comes next: of what kind, of which circuits, and next to which neighbour.

* Half of the looks ask for the type.  The other kinds are weighed by their rows, and by what is
  still lacking; what is known comes now and then.
* Types of circuits are drawn evenly and independently of what came before, so that nobody gets
  ahead by counting; but a type that has not been met for long is due.
* A look stands in a contrast with the one before it as often as :data:`CONTRASTS` says: one
  change of that circuit flips the answer, to what this learner takes it for.
* Whoever is new begins with a short block of one contrast (low-pass and high-pass of one pole)
  before everything is mixed.

Everything follows from the chance that is given, the learner's answers and the state at first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol, TypeVar

from ...problems.analysis.response import facts
from ...problems.catalogue.groups import SkillGroup
from ...problems.chance import Chance
from ...problems.circuits.model import Ladder
from ...problems.generate.look import make_look
from ...problems.questions.looks import LOOK_KINDS, TYPES, Look, LookKind, look_row
from .recognition import Recognition, look_skill
from .skill_map import AFTER

_T = TypeVar("_T")

SEEDS = 2**62
CONTRASTS = 45
"""Of a hundred looks that may stand in a contrast with the one before, so many do."""
KNOWN_WEIGHT = 0.15
"""What is known weighs so much of what lacks one right look."""
OVERDUE = 12
"""A type that so many looks at types have not shown is due."""
BLOCK = 4
"""Looks of the block of one contrast that a beginner begins with."""

END_KINDS = (LookKind.LOW_END, LookKind.HIGH_END)
AT_ONE_CIRCUIT = (LookKind.TYPE, *END_KINDS, LookKind.POLES, LookKind.ORIGIN_ZEROS)
"""Kinds that ask of one circuit what its facts alone answer."""


class OfCircuit(Protocol):
    """What a look, and what a record keeps of one, have in common."""

    @property
    def seed(self) -> int:
        """Of the look."""

    @property
    def group(self) -> SkillGroup:
        """Of the circuit."""

    @property
    def structure(self) -> str:
        """Of the circuit."""


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


def look_at(ladder: Ladder, kind: LookKind, of: OfCircuit) -> Look | None:
    """A look at a given circuit; ``None`` where that cannot be asked of it.

    Args:
        ladder: the circuit.
        kind: what is asked, one of :data:`AT_ONE_CIRCUIT`.
        of: the look whose circuit it is, or was.
    """
    known = facts(ladder)
    match kind:
        case LookKind.TYPE:
            truth = known.type.value
        case LookKind.LOW_END:
            truth = "passes" if known.gain_low else "blocked"
        case LookKind.HIGH_END:
            truth = "passes" if known.gain_high else "blocked"
        case LookKind.POLES:
            truth = str(known.transfer.order)
        case LookKind.ORIGIN_ZEROS:
            truth = str(known.slope_low // 20)
        case _:
            return None
    if truth not in look_row(kind).answers:
        return None
    return Look(kind, of.seed, ladder, truth, of.structure, of.group)


class NextLook:
    """Chooses the looks of a round.

    Args:
        kinds: what may be asked; empty: all kinds, the type half of the time.
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
        self._kinds = tuple(kinds) or tuple(row.kind for row in LOOK_KINDS)
        self._mixed = not kinds
        self._group = group
        self._today = today
        self._placing = placing
        self._types = 0

    def make(
        self, known: Recognition, before: RoundStep | None, number: int, chance: Chance
    ) -> RoundStep:
        """The next look.

        Args:
            known: what is known of the learner's looks now.
            before: the look that was left last.
            number: how many looks of the round were left.
            chance: for this look alone.

        Raises:
            LookupError: there is nothing to ask of such circuits.
        """
        step = self._contrast(known, before, chance) if self._may_contrast(before, chance) else None
        step = step or self._fresh(known, number, chance)
        self._types += step.look.kind is LookKind.TYPE
        return step

    # What is asked

    def _kind(
        self, known: Recognition, number: int, chance: Chance, failed: Collection[LookKind]
    ) -> LookKind:
        """The kind of the next look, but for those that found no circuit."""
        others = [kind for kind in self._kinds if kind not in failed]
        if self._mixed and LookKind.TYPE in others and len(others) > 1:
            ahead = 2 * self._types - number
            if ahead < 0 or (ahead == 0 and chance.below(2)):
                return LookKind.TYPE
            others.remove(LookKind.TYPE)
        weights = [look_row(kind).weight * self._worth(known, kind) for kind in others]
        return weighed(others, weights, chance)

    def _worth(self, known: Recognition, kind: LookKind) -> float:
        groups = self._groups() if kind is LookKind.TYPE else [SkillGroup.OTHER]
        lacking = (known.lacking(look_skill(kind, group), self._today) for group in groups)
        return max(KNOWN_WEIGHT, *lacking) if groups else KNOWN_WEIGHT

    def _groups(self) -> list[SkillGroup]:
        if self._group is not None:
            return [self._group]
        return [group for group in SkillGroup if group is not SkillGroup.OTHER]

    # Of which circuits

    def _fresh(self, known: Recognition, number: int, chance: Chance) -> RoundStep:
        failed: set[LookKind] = set()
        while len(failed) < len(self._kinds):
            kind = self._kind(known, number, chance, failed)
            group = self._circuits(known, kind, chance)
            wanted = self._wanted(known, kind, number, chance)
            look = self._made(kind, group, wanted, known, chance)
            if look is not None:
                return RoundStep(look)
            failed.add(kind)
        raise LookupError("no circuit can be asked that")

    def _circuits(self, known: Recognition, kind: LookKind, chance: Chance) -> SkillGroup | None:
        """The group that is looked at: what is lacking, and what it builds on before it."""
        groups = self._groups()
        if kind is not LookKind.TYPE or len(groups) == 1:
            return self._group
        weights = []
        for group in groups:
            lacking = known.lacking(look_skill(kind, group), self._today)
            ready = all(self._met(known, below) for below in AFTER[group])
            weights.append(max(KNOWN_WEIGHT, lacking) * (1.0 if ready else 0.1))
        return weighed(groups, weights, chance)

    @staticmethod
    def _met(known: Recognition, group: SkillGroup) -> bool:
        """Whether a group has been seen right, so that others may build on it."""
        skill = look_skill(LookKind.TYPE, group)
        state = known.states.get(skill)
        if state is None:
            return known.known(skill)
        return sum(look.right for look in list(state.cold)[-3:]) >= 2 or known.known(skill)

    def _wanted(
        self, known: Recognition, kind: LookKind, number: int, chance: Chance
    ) -> str | None:
        """The type of the circuit: drawn evenly, but what is overdue comes now."""
        if kind is not LookKind.TYPE:
            return None
        met = [truth for one, truth in known.lately if one is LookKind.TYPE][-OVERDUE:]
        due = [one for one in TYPES if one not in met]
        if len(met) >= OVERDUE and due:
            return chance.pick(due)
        return chance.pick(TYPES)

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
        for some_group, some_type in ((group, wanted), (self._group, wanted), (group, None)):
            try:
                look = make_look(
                    chance.below(SEEDS), kind, group=some_group, wanted=some_type, avoid=seen
                )
            except LookupError:
                continue
            if look.truth in look.answers:
                last = look
                if look.structure not in seen:
                    break
        return last

    # Next to which neighbour

    def _may_contrast(self, before: RoundStep | None, chance: Chance) -> bool:
        return before is not None and not before.scaffold and chance.below(100) < CONTRASTS

    def _contrast(
        self, known: Recognition, before: RoundStep | None, chance: Chance
    ) -> RoundStep | None:
        """The circuit before, but for one change that flips the answer; ``None``: there is none."""
        return None


def weighed(options: Sequence[_T], weights: Iterable[float], chance: Chance) -> _T:
    """One of some options, as likely as its weight says; weights are counted in thousandths."""
    shares = [max(1, round(1000 * weight)) for weight in weights]
    drawn = chance.below(sum(shares))
    for option, share in zip(options, shares, strict=True):
        if drawn < share:
            return option
        drawn -= share
    raise AssertionError("not reached")
