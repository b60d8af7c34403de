"""(seed, kind of look) → a certified look.

The right answer is drawn first, so that no answer is likelier than its share; then circuits are
drawn until one has it: an arm for each thing that is wanted (``catalogue.topologies``), told apart
from what cannot be asked in a few microseconds, then valued and proved (``look_truth``).

The same seed gives the same look on every machine and for ever; whatever changes that raises
``LOOK_FORMAT``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from ..analysis.response import FilterType
from ..analysis.structural import ends, unvalued_facts
from ..catalogue.groups import SkillGroup
from ..catalogue.topologies import MOST_ARMS, Role, draw_topology, structure
from ..catalogue.topology_groups import group_of_ladder
from ..catalogue.topology_values import with_values
from ..chance import Chance
from ..circuits.model import Ladder
from ..questions.looks import TYPES, Look, LookKind, look_row
from .look_truth import sound, truth_of

ATTEMPTS = 600
"""Circuits drawn before a look is given up."""
_REPEATED = 300
"""Circuits drawn before one that was to be avoided may come again."""
_HARDER = 60
"""Circuits drawn before the next level's are: the easiest are few, and may all have come."""
_VALUES = 6
"""Sets of values tried for one circuit."""

LEVELS_OF_LOOKS = range(4)
"""How hard the circuits of looks are: arms, groups, hidden parts, buffers."""

_SHARES: Mapping[LookKind, tuple[int, ...]] = MappingProxyType(
    {
        LookKind.TYPE: (9, 9, 9, 8, 5),
        LookKind.POLES: (3, 9, 9, 9, 6),
        LookKind.ORIGIN_ZEROS: (9, 9, 9, 6, 3),
        LookKind.LOW_SLOPE: (9, 9, 9, 6, 3),
        LookKind.HIGH_SLOPE: (9, 9, 9, 6, 3),
        LookKind.CHANGE_CORNER: (7, 7, 6),
        LookKind.CHANGE_Q: (7, 7, 6),
    }
)
"""How often each answer is right; where nothing is said, each as often as any other.

No share passes one over the number of choices by more than a twentieth: whoever does not look
guesses no better."""


@dataclass(frozen=True, slots=True)
class _Build:
    """How the circuits of a level are built.

    ``stops``: at most so many arms stop an end; ``fill``: at most so many more arms; the others
    are chances in twelve (see ``draw_topology``).
    """

    stops: int
    fill: int
    pairs: int
    buffers: int
    decoys: int
    shelves: int = 0


_BUILDS = (
    _Build(2, 1, 0, 0, 0),
    _Build(3, 2, 2, 1, 1),
    _Build(4, 2, 4, 3, 2, 1),
    _Build(4, 3, 6, 4, 4, 2),
)

_OF_GROUP: Mapping[SkillGroup, _Build] = MappingProxyType(
    {
        SkillGroup.ONE_POLE: _Build(1, 1, 0, 0, 0),
        SkillGroup.TAPS: _Build(2, 1, 0, 0, 0),
        SkillGroup.LOADED: _Build(1, 3, 4, 2, 0),
        SkillGroup.L_SECTIONS: _Build(2, 2, 2, 0, 0),
        SkillGroup.LC_ARMS: _Build(2, 3, 2, 0, 0),
        SkillGroup.CASCADES: _Build(2, 2, 1, 9, 0),
        SkillGroup.DECOYS: _Build(2, 2, 2, 1, 12),
        SkillGroup.LADDERS: _Build(4, 1, 2, 1, 0),
    }
)
"""How circuits of one group are built, whatever the level."""

_LOW, _HIGH = FilterType.LOW_PASS.value, FilterType.HIGH_PASS.value
_BAND, _NOTCH, _FLAT = TYPES[2:]

TYPES_OF_GROUP: Mapping[SkillGroup, tuple[str, ...]] = MappingProxyType(
    {
        SkillGroup.ONE_POLE: (_LOW, _HIGH),
        SkillGroup.TAPS: (_LOW, _HIGH, _BAND, _NOTCH),
        SkillGroup.LOADED: (_LOW, _HIGH),
        SkillGroup.L_SECTIONS: (_LOW, _HIGH),
        SkillGroup.LC_ARMS: (_BAND, _NOTCH),
        SkillGroup.CASCADES: (_LOW, _HIGH, _BAND),
        SkillGroup.DECOYS: TYPES,
        SkillGroup.LADDERS: (_LOW, _HIGH, _BAND),
    }
)
"""The types that circuits of a group are drawn of."""


def make_look(
    seed: int,
    kind: LookKind = LookKind.TYPE,
    *,
    group: SkillGroup | None = None,
    wanted: str | None = None,
    avoid: Collection[str] = (),
    hard: int = 1,
) -> Look:
    """A certified look: one right answer, proved.

    Args:
        seed: from 0 up to 2⁶³.
        kind: what it asks.
        group: circuits of this group alone.
        wanted: circuits of this type alone.
        avoid: structures that are not to come again, as long as there are others.
        hard: 0 to 3; without a group, how hard the circuits are.

    Raises:
        LookupError: no circuit of that group and type can be asked that.
    """
    chance = Chance(seed, "look", kind)
    answer = _answer(kind, group, wanted, chance)
    again: Look | None = None
    for attempt in range(ATTEMPTS):
        build = _OF_GROUP[group] if group else _BUILDS[min(hard + attempt // _HARDER, 3)]
        # Nothing comes out of a decoy unseen: it has its share, and no more.
        decoy = chance.below(12) < build.decoys
        drawn = _drawn(kind, answer, wanted, group, build, decoy, chance)
        if drawn is None or (group is not None and group_of_ladder(drawn) is not group):
            continue
        known = structure(drawn) in avoid
        if known and again is not None:
            continue
        look = _valued_look(drawn, kind, seed, chance)
        if look is None or look.truth != answer:
            continue
        if group is None and not _meant(look, decoy):
            continue
        if not known:
            return look
        again = look
        if attempt > _REPEATED:
            break
    if again is not None:
        return again
    raise LookupError(f"no circuit of {group or 'any group'} is a {wanted or answer} for {kind}")


def look_of(ladder: Ladder, kind: LookKind, seed: int = 0) -> Look | None:
    """The certified look at a circuit with values; ``None`` where it cannot be asked that."""
    known = unvalued_facts(ladder)
    truth = None if known is None else truth_of(kind, known)
    if truth is None or sound(ladder, known) is None:
        return None
    return Look(kind, seed, ladder, truth, structure(ladder), group_of_ladder(ladder))


def _valued_look(drawn: Ladder, kind: LookKind, seed: int, chance: Chance) -> Look | None:
    known = unvalued_facts(drawn)
    if known is None or truth_of(kind, known) is None:
        return None
    for _ in range(_VALUES):
        ladder = with_values(drawn, chance)
        look = look_of(ladder, kind, seed) if ladder is not None else None
        if look is not None:
            return look
    return None


def _meant(look: Look, decoy: bool) -> bool:
    """Whether a circuit with idle or doubled parts was meant to be one; a flat one always is."""
    known = unvalued_facts(look.ladder)
    flat = known is not None and known.order == 0
    return flat or (look.group is SkillGroup.DECOYS) == decoy


def _answer(kind: LookKind, group: SkillGroup | None, wanted: str | None, chance: Chance) -> str:
    answers = look_row(kind).answers
    shares = _SHARES.get(kind, (1,) * len(answers))
    if kind is LookKind.TYPE:
        if wanted is not None:
            return wanted
        if group is not None:
            shares = tuple(
                n if a in TYPES_OF_GROUP[group] else 0 for a, n in zip(answers, shares, strict=True)
            )
    return _weighed(answers, shares, chance)


def _weighed(options: Sequence[str], shares: Sequence[int], chance: Chance) -> str:
    drawn = chance.below(sum(shares))
    for option, share in zip(options, shares, strict=True):
        drawn -= share
        if drawn < 0:
            return option
    raise AssertionError("shares add up")


# ------------------------------------------------------------------ which arms a circuit gets


def _drawn(
    kind: LookKind,
    answer: str,
    wanted: str | None,
    group: SkillGroup | None,
    build: _Build,
    decoy: bool,
    chance: Chance,
) -> Ladder | None:
    """One circuit that may have the answer; ``None`` where its ends already say that it has not."""
    types = [t for t in (TYPES_OF_GROUP[group] if group else TYPES) if wanted in (None, t)]
    low, high, poles = _counts(kind, answer)
    fit = [t for t in types or [wanted or ""] if _may_be(t, kind, answer, low, high)]
    if not fit:
        return None
    type_ = chance.pick(fit)
    most = build.stops
    if group is SkillGroup.LADDERS:
        most = 3 + chance.below(2)
    roles = _roles(type_, low, high, poles, most, chance)
    fill = min(chance.below(build.fill + 1), MOST_ARMS - len(roles))
    if not roles and not fill:
        fill = 1
    roles += [Role.SHELF if chance.below(12) < build.shelves else Role.PLAIN for _ in range(fill)]
    if decoy:
        del roles[MOST_ARMS - 1 :]
    found = draw_topology(roles, chance, pairs=build.pairs, buffers=build.buffers, decoy=decoy)
    at = ends(found)
    if at is None or (low is not None and at.low != low) or (high is not None and at.high != high):
        return None
    blocked = (type_ in (_HIGH, _BAND), type_ in (_LOW, _BAND))
    return found if (at.low > 0, at.high > 0) == blocked else None


def _counts(kind: LookKind, answer: str) -> tuple[int | None, int | None, int | None]:
    """(order of the zero at DC, at very high frequency, poles), as far as the answer says."""
    match kind:
        case LookKind.ORIGIN_ZEROS:
            return int(answer), None, None
        case LookKind.LOW_SLOPE:
            return int(answer) // 20, None, None
        case LookKind.HIGH_SLOPE:
            return None, -int(answer) // 20, None
        case LookKind.POLES:
            return None, None, int(answer)
    return None, None, None


def _may_be(type_: str, kind: LookKind, answer: str, low: int | None, high: int | None) -> bool:
    """Whether a circuit of a type may have the answer."""
    match kind:
        case LookKind.TYPE:
            return type_ == answer
        case LookKind.LOW_END:
            low = int(answer == "blocked")
        case LookKind.HIGH_END:
            high = int(answer == "blocked")
        case LookKind.POLES:
            n = int(answer)
            least = {_LOW: 1, _HIGH: 1, _BAND: 2, _NOTCH: 2, _FLAT: 0}.get(type_, 0)
            return n >= least and (n == 0) == (type_ == _FLAT)
        case LookKind.FED:
            return type_ != _FLAT
    if low is not None and (low > 0) != (type_ in (_HIGH, _BAND)):
        return False
    return high is None or (high > 0) == (type_ in (_LOW, _BAND))


def _roles(
    type_: str, low: int | None, high: int | None, poles: int | None, most: int, chance: Chance
) -> list[Role]:
    """What the arms of a circuit of a type are to do."""
    if type_ == _LOW:
        return [Role.HIGH] * (high or poles or 1 + chance.below(most))
    if type_ == _HIGH:
        return [Role.LOW] * (low or poles or 1 + chance.below(most))
    if type_ == _BAND:
        below = low or 1 + (chance.below(3) == 0 and most > 2)
        above = high or 1 + (chance.below(3) == 0 and most > 2)
        if poles is not None:
            below = 1 + chance.below(poles - 1)
            above = poles - below
        both = chance.below(min(below, above) + 1)
        both = max(both, below + above - MOST_ARMS)
        return [Role.BOTH] * both + [Role.LOW] * (below - both) + [Role.HIGH] * (above - both)
    if type_ == _NOTCH:
        more = max(0, (poles or 2) - 2)
        return [Role.NULL] + [Role.SHELF] * more
    return []
