"""Topologies: every series/shunt ladder that a look may show, as circuits without values.

A topology has one to four arms, each an R, an L, a C or a pair of these in series or in
parallel, in the signal's way or across it, with or without a source's resistance, a load and
buffers in between.  Names are canonical: R1, L1, C1, … in reading order, Rs and RL at the ends.

``structure`` names what is left of a circuit when names, values and the order of parts that may be
exchanged are forgotten.  An arm's *role* is what it does at the two ends of the frequency axis;
``draw_topology`` lays arms of wanted roles into a ladder.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum

from ..chance import Chance
from ..circuits.model import Arm, Element, Group, Joint, Kind, Ladder, Place, Stage, mapped, merged
from ..circuits.write import DEFAULT_NAMES

MOST_ARMS = 4
_ENDS = 4
"""Of 12 ends where a resistance may stand or not, so many have one."""


class Role(Enum):
    """What an arm does to the signal: which ends it stops, whether it nulls in between."""

    PLAIN = "plain"  # a resistance: no end
    LOW = "low"  # stops DC
    HIGH = "high"  # stops high frequency
    BOTH = "both"  # stops both ends, lets a resonance through
    NULL = "null"  # lets both ends through, stops a resonance
    SHELF = "shelf"  # lets both ends through, one of them better


Pattern = tuple[Joint | None, tuple[Kind, ...]]
"""An arm without names: a single part, or parts and how they are joined."""

R, L, C = Kind.R, Kind.L, Kind.C
_SERIES, _PARALLEL = Joint.SERIES, Joint.PARALLEL

# Of a series arm; a shunt arm of the same role is the dual: joints exchanged, L and C too.
_SERIES_ARMS: dict[Role, tuple[Pattern, ...]] = {
    Role.PLAIN: ((None, (R,)),),
    Role.LOW: ((None, (C,)), (_SERIES, (R, C))),
    Role.HIGH: ((None, (L,)), (_SERIES, (R, L))),
    Role.BOTH: ((_SERIES, (L, C)),),
    Role.NULL: ((_PARALLEL, (L, C)),),
    Role.SHELF: ((_PARALLEL, (R, C)), (_PARALLEL, (R, L))),
}
_ORDER = tuple(Kind).index


def _shunt_of(pattern: Pattern) -> Pattern:
    """The shunt arm that does the same: the dual has the opposite joint, C for L, L for C."""
    joint, kinds = pattern
    return joint and joint.opposite, tuple(sorted((k.dual for k in kinds), key=_ORDER))


ARMS: dict[Place, dict[Role, tuple[Pattern, ...]]] = {
    Place.SERIES: _SERIES_ARMS,
    Place.SHUNT: {r: tuple(map(_shunt_of, some)) for r, some in _SERIES_ARMS.items()},
}
"""Every arm, by place and role; the first of a role is a part alone where there is one."""


# --------------------------------------------------------------------------- names and keys


def named(arms: Sequence[tuple[Place, Pattern | None]], *, source: bool, load: bool) -> Ladder:
    """A ladder of ``arms`` with canonical names; a buffer has no pattern.

    ``source`` and ``load`` say whether it has a resistance at that end.
    """
    counts = dict.fromkeys(Kind, 0)

    def part(kind: Kind) -> Element:
        counts[kind] += 1
        return Element(kind, f"{kind.value}{counts[kind]}")

    def arm(pattern: Pattern) -> Arm:
        joint, kinds = pattern
        parts = [part(kind) for kind in kinds]
        return parts[0] if joint is None else Group(joint, tuple(parts))

    stages = tuple(Stage(place, pattern and arm(pattern)) for place, pattern in arms)
    return Ladder(
        stages,
        Element(R, DEFAULT_NAMES["source"]) if source else None,
        Element(R, DEFAULT_NAMES["load"]) if load else None,
    )


def renamed(ladder: Ladder) -> Ladder:
    """The same circuit with canonical names; values stay."""
    counts = dict.fromkeys(Kind, 0)

    def name(element: Element) -> Element:
        if element is ladder.source or element is ladder.load:
            end = "source" if element is ladder.source else "load"
            return Element(R, DEFAULT_NAMES[end], element.value)
        counts[element.kind] += 1
        return Element(element.kind, f"{element.kind.value}{counts[element.kind]}", element.value)

    return mapped(ladder, name)


def structure(ladder: Ladder) -> str:
    """A text that is the same for circuits that differ in nothing but names, values and order.

    Order within an arm, and of neighbouring arms in one place, changes nothing:
    ``series C; shunt L||R; load``.
    """
    told = ["source"] if ladder.source else []
    told += [
        f"{stage.place} {_key(stage.arm)}" if stage.arm else "buffer"
        for stage in merged(ladder).stages
    ]
    return "; ".join([*told, "load"] if ladder.load else told)


def _key(arm: Arm, inner: bool = False) -> str:
    if isinstance(arm, Element):
        return arm.kind.value
    sign = "+" if arm.joint is Joint.SERIES else "||"
    text = sign.join(sorted(_key(part, True) for part in arm.parts))
    return f"({text})" if inner else text


# --------------------------------------------------------------------------- drawing one


def draw_topology(
    roles: Sequence[Role],
    chance: Chance,
    *,
    pairs: int = 0,
    buffers: int = 0,
    decoy: Kind | None = None,
    fed: Place | None = None,
) -> Ladder:
    """Arms of the roles, in random order and places, as a ladder without values.

    Args:
        roles: what the arms are to do, one to four of them.
        chance: draws.
        pairs: of 12 arms that could be a part alone, so many are a pair (R with L or C).
        buffers: of 12 gaps behind a shunt arm, so many hold a buffer.
        decoy: an idle part of this kind is put in, or a part is made of two.
        fed: where the first arm lies that is no resistance alone.
    """
    arms: list[tuple[Place, Pattern | None]] = []
    last_role: Role | None = None
    for role in chance.shuffled(roles):
        place = chance.pick((Place.SERIES, Place.SHUNT))
        if arms and (place, role) == (arms[-1][0], last_role):
            place = place.opposite  # beside its like a part would only make it larger
        if fed is not None and role is not Role.PLAIN:
            place, fed = fed, None
        ways = ARMS[place][role]
        alone = ways[0][0] is None and chance.below(12) >= pairs
        joint, kinds = ways[0] if alone else chance.pick(ways)
        arms.append((place, (joint, tuple(chance.shuffled(kinds)))))
        last_role = role
    if buffers:
        arms = list(_buffered(arms, chance, buffers))
    source, load = _ends(arms, chance)
    if decoy is not None:
        arms, source, load = _with_decoy(arms, source, load, decoy, chance)
    return named(arms, source=source, load=load)


def _ends(arms: Sequence[tuple[Place, Pattern | None]], chance: Chance) -> tuple[bool, bool]:
    """Whether there is a source's resistance, and a load: where nothing would work without, yes."""
    resistor: Pattern = (None, (R,))
    first, last = arms[0], arms[-1]
    source = first[0] is Place.SHUNT or (first[1] != resistor and chance.below(12) < _ENDS)
    load = last[0] is Place.SERIES or (last[1] != resistor and chance.below(12) < _ENDS)
    return source, load


def draw_loop(kinds: Sequence[Kind], chance: Chance) -> Ladder:
    """One loop of the source and a part of each of ``kinds``, the output across one or more.

    A resistance in the loop may be the source's own; one that the output is across, the load.
    ``chance`` draws.
    """
    order = chance.shuffled(kinds)
    across = 1 + chance.below(len(order) - 1)
    way, foot = order[:-across], order[-across:]
    source = R in way and chance.below(2) == 0
    if source:
        way.remove(R)
    arms: list[tuple[Place, Pattern | None]] = [(Place.SERIES, (None, (k,))) for k in way]
    load = len(order) == 2 and foot == [R] and chance.below(2) == 0
    if not load:
        joint = _SERIES if len(foot) > 1 else None
        arms.append((Place.SHUNT, (joint, tuple(foot))))
    return named(arms, source=source, load=load)


def _buffered(
    arms: Sequence[tuple[Place, Pattern | None]], chance: Chance, buffers: int
) -> Iterator[tuple[Place, Pattern | None]]:
    """A buffer between a shunt arm and a series one does not idle either."""
    for number, arm in enumerate(arms):
        yield arm
        after = arms[number + 1][0] if number + 1 < len(arms) else None
        if arm[0] is Place.SHUNT and after is Place.SERIES and chance.below(12) < buffers:
            yield Place.BUFFER, None


def _with_decoy(
    arms: list[tuple[Place, Pattern | None]],
    source: bool,
    load: bool,
    kind: Kind,
    chance: Chance,
) -> tuple[list[tuple[Place, Pattern | None]], bool, bool]:
    """An arm across an ideal source, one that leads to an open end, or a part made of two."""
    alone = [n for n, (_, p) in enumerate(arms) if p and p[0] is None and p[1] != (R,)]
    ways = ["twin"] if alone else []
    if arms[0][0] is Place.SERIES:
        ways.append("across")
    if arms[-1][0] is Place.SHUNT:
        ways.append("dangling")
    other = chance.pick(tuple(k for k in Kind if k is not kind))
    extra: Pattern = (None, (kind,))
    if chance.below(4) == 0:
        extra = chance.pick(tuple(Joint)), (kind, other)
    match chance.pick(ways or [""]):
        case "across":
            arms, source = [(Place.SHUNT, extra), *arms], False
        case "dangling":
            arms, load = [*arms, (Place.SERIES, extra)], False
        case "twin":
            n = chance.pick(alone)
            place, pattern = arms[n]
            assert pattern is not None
            arms[n] = place, (chance.pick(tuple(Joint)), pattern[1] * 2)
    return arms, source, load
