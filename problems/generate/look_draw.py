"""Circuits drawn for looks: what is wanted → arms that do it → a topology that may have it.

How hard a circuit is, or which group it belongs to, says how many arms it may have, and how often
an arm is a pair, a buffer stands between, a part idles.  What is drawn has the ends that are
wanted; everything else is for ``look_truth`` to prove.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from ..analysis.response import FilterType
from ..analysis.structural import ends
from ..catalogue.groups import SkillGroup
from ..catalogue.topologies import MOST_ARMS, Role, draw_loop, draw_topology
from ..catalogue.topology_groups import group_of_ladder
from ..chance import Chance
from ..circuits.model import Kind, Ladder, Place
from ..questions.looks import TYPES, LookKind

LOW, HIGH = FilterType.LOW_PASS.value, FilterType.HIGH_PASS.value
BAND, NOTCH, FLAT = TYPES[2:]
SHELF = FilterType.OTHER.value
"""No type of those that a look asks for: a shelf, a lag, a lead; but poles and slopes it has."""

HARDEST = 3


@dataclass(frozen=True, slots=True)
class Wish:
    """What a circuit is wanted to be, as far as anything is.

    ``types``: any of these; ``low``, ``high``: powers of s at DC and at high frequency;
    ``poles``; ``most``: at most so many arms stop an end; ``fed``: where the first reactive arm
    lies; ``idle``: a part of this kind adds nothing; ``resonant``: an L meets a C, with no buffer
    between; ``group``.
    """

    types: tuple[str, ...] = TYPES
    low: int | None = None
    high: int | None = None
    poles: int | None = None
    most: int = MOST_ARMS
    fed: Place | None = None
    idle: Kind | None = None
    resonant: bool = False
    group: SkillGroup | None = None


@dataclass(frozen=True, slots=True)
class _Build:
    """How circuits are built.

    ``stops``: at most so many arms stop an end; ``fill``: at most so many more arms; ``least``:
    arms at least; the others are chances in twelve (see ``draw_topology``).
    """

    stops: int
    fill: int
    pairs: int
    buffers: int
    decoys: int
    shelves: int = 0
    least: int = 1


_BUILDS = (
    _Build(2, 1, 0, 0, 0),
    _Build(3, 2, 2, 1, 1),
    _Build(4, 2, 4, 3, 2, 1, 2),
    _Build(4, 3, 6, 4, 4, 2, 3),
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
        SkillGroup.REAL_PARTS: _Build(0, 0, 0, 0, 0),
        SkillGroup.OTHER: _Build(0, 0, 0, 0, 0),
    }
)
"""How circuits of one group are built, whatever the level."""

LOOPS: Mapping[SkillGroup | None, tuple[tuple[Kind, ...], ...]] = MappingProxyType(
    {
        SkillGroup.ONE_POLE: ((Kind.R, Kind.C), (Kind.R, Kind.L)),
        SkillGroup.TAPS: ((Kind.R, Kind.L, Kind.C),),
    }
)
"""Groups whose circuits are one loop, and of which parts."""

TYPES_OF_GROUP: Mapping[SkillGroup, tuple[str, ...]] = MappingProxyType(
    {
        SkillGroup.ONE_POLE: (LOW, HIGH),
        SkillGroup.TAPS: (LOW, HIGH, BAND, NOTCH),
        SkillGroup.LOADED: (LOW, HIGH),
        SkillGroup.L_SECTIONS: (LOW, HIGH),
        SkillGroup.LC_ARMS: (BAND, NOTCH),
        SkillGroup.CASCADES: (LOW, HIGH, BAND),
        SkillGroup.DECOYS: TYPES,
        SkillGroup.LADDERS: (LOW, HIGH, BAND),
        SkillGroup.REAL_PARTS: (),
        SkillGroup.OTHER: (),
    }
)
"""The types that circuits of a group are drawn of."""


_ORDERS: Mapping[SkillGroup, tuple[int, ...]] = MappingProxyType(
    {
        SkillGroup.ONE_POLE: (1,),
        SkillGroup.TAPS: (2,),
        SkillGroup.LOADED: (1,),
        SkillGroup.L_SECTIONS: (2,),
        SkillGroup.LC_ARMS: (2,),
        SkillGroup.CASCADES: (2,),
        SkillGroup.DECOYS: (0, 1, 2, 3),
        SkillGroup.LADDERS: (3, 4),
        SkillGroup.REAL_PARTS: (),
        SkillGroup.OTHER: (),
    }
)
_POWERS: Mapping[SkillGroup, tuple[int, ...]] = MappingProxyType(
    {
        SkillGroup.ONE_POLE: (0, 1),
        SkillGroup.TAPS: (0, 1, 2),
        SkillGroup.LOADED: (0, 1),
        SkillGroup.L_SECTIONS: (0, 2),
        SkillGroup.LC_ARMS: (0, 1),
        SkillGroup.CASCADES: (0, 1, 2),
        SkillGroup.DECOYS: (0, 1, 2),
        SkillGroup.LADDERS: (0, 1, 2, 3, 4),
        SkillGroup.REAL_PARTS: (),
        SkillGroup.OTHER: (),
    }
)
"""The powers of s at an end that circuits of a group are drawn of."""


def counts_of_group(kind: LookKind, group: SkillGroup) -> tuple[int, ...] | None:
    """What may be counted in a ``group``: poles, or powers of s; ``None`` for another ``kind``."""
    match kind:
        case LookKind.POLES:
            return _ORDERS[group]
        case LookKind.ORIGIN_ZEROS | LookKind.LOW_SLOPE | LookKind.HIGH_SLOPE:
            return _POWERS[group]
    return None


@dataclass(frozen=True, slots=True)
class Drawn:
    """A topology, and whether it was meant to hold parts that add nothing."""

    ladder: Ladder
    decoy: bool


def draw_circuit(wish: Wish, hard: int, chance: Chance) -> Drawn | None:
    """One topology that may be what is wanted; ``None`` where its ends say that it is not.

    ``wish`` is what is wanted, ``hard`` how hard it may be; ``chance`` draws.
    """
    group = wish.group
    build = _OF_GROUP[group] if group else _BUILDS[min(hard, HARDEST)]
    types = types_of(wish)
    if not types:
        return None
    type_ = chance.pick(types)
    decoy = chance.below(12) < build.decoys or wish.idle is not None
    if group in LOOPS:
        ladder = draw_loop(chance.pick(LOOPS[group]), chance)
    else:
        if group is SkillGroup.LADDERS:
            build = replace(build, stops=3 + chance.below(2), least=3)
        roles = _roles(type_, wish, min(build.stops, wish.most), chance)
        fill = min(chance.below(build.fill + 1), MOST_ARMS - len(roles))
        fill = max(fill, build.least - len(roles))
        # Beside nothing that stops an end, a shelf leaves the type open.
        shelf = build.shelves if type_ in (LOW, HIGH, BAND) else 0
        roles += [Role.SHELF if chance.below(12) < shelf else Role.PLAIN for _ in range(fill)]
        if decoy:
            del roles[MOST_ARMS - 1 :]
        ladder = draw_topology(
            roles,
            chance,
            pairs=build.pairs,
            buffers=0 if wish.resonant else build.buffers,
            decoy=(wish.idle or chance.pick(tuple(Kind))) if decoy else None,
            fed=wish.fed,
        )
    if wish.resonant and {e.kind for e in ladder.reactive()} != {Kind.L, Kind.C}:
        return None
    at = ends(ladder)
    if (at.low > 0, at.high > 0) != (type_ in (HIGH, BAND), type_ in (LOW, BAND)):
        return None
    if wish.low not in (None, at.low) or wish.high not in (None, at.high):
        return None
    if group is not None and group_of_ladder(ladder) is not group:
        return None
    return Drawn(ladder, decoy)


def types_of(wish: Wish) -> tuple[str, ...]:
    """The types that a circuit may have to be what is wanted."""
    return tuple(type_ for type_ in wish.types if _may_be(type_, wish))


def _may_be(type_: str, wish: Wish) -> bool:
    """Whether the ends and the poles wanted go with a type."""
    if wish.low is not None and (wish.low > 0) != (type_ in (HIGH, BAND)):
        return False
    if wish.high is not None and (wish.high > 0) != (type_ in (LOW, BAND)):
        return False
    if wish.fed is not None and type_ == FLAT:
        return False
    least = {LOW: 1, HIGH: 1, BAND: 2, NOTCH: 2, FLAT: 0, SHELF: 1}[type_]
    return wish.poles is None or (wish.poles >= least and (wish.poles > 0) == (type_ != FLAT))


def _roles(type_: str, wish: Wish, most: int, chance: Chance) -> list[Role]:
    """What the arms of a circuit of a type are to do."""
    if type_ == LOW:
        return [Role.HIGH] * (wish.high or wish.poles or 1 + chance.below(most))
    if type_ == HIGH:
        return [Role.LOW] * (wish.low or wish.poles or 1 + chance.below(most))
    if type_ == BAND:
        below = wish.low or 1 + (chance.below(3) == 0 and most > 2)
        above = wish.high or 1 + (chance.below(3) == 0 and most > 2)
        if wish.poles is not None:
            below = 1 + chance.below(wish.poles - 1)
            above = wish.poles - below
        both = max(chance.below(min(below, above) + 1), below + above - MOST_ARMS)
        return [Role.BOTH] * both + [Role.LOW] * (below - both) + [Role.HIGH] * (above - both)
    if type_ == NOTCH:
        return [Role.NULL] + [Role.SHELF] * max(0, (wish.poles or 2) - 2)
    if type_ == SHELF:
        return [Role.SHELF] * (wish.poles or 1 + chance.below(2))
    return []
