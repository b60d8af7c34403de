"""All topologies there are, and any one of them: more than looks ever draw."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from rungwise.problems.catalogue.topologies import ARMS, Pattern, named
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Joint, Kind, Ladder, Place

PATTERNS: tuple[Pattern, ...] = tuple(
    dict.fromkeys(p for place in ARMS.values() for some in place.values() for p in some)
)
"""Every arm of one part, or of two different ones."""
TWINS: tuple[Pattern, ...] = tuple((j, (k, k)) for j in Joint for k in (Kind.L, Kind.C, Kind.R))
"""Two parts of a kind that make one: for decoys."""


def topologies(arms: int, *, twins: bool = False) -> Iterator[Ladder]:
    """Every ladder of so many arms without buffers, idle parts and all, many more than once."""
    stage = tuple(product((Place.SERIES, Place.SHUNT), PATTERNS + (TWINS if twins else ())))
    for some in product(stage, repeat=arms):
        for source, load in product((False, True), repeat=2):
            yield named(some, source=source, load=load)


def random_topology(chance: Chance, arms: int) -> Ladder:
    """One of `topologies`, with a buffer now and then, each arm as likely."""
    drawn = [(chance.pick((Place.SERIES, Place.SHUNT)), chance.pick(PATTERNS)) for _ in range(arms)]
    some: list[tuple[Place, Pattern | None]] = []
    for number, arm in enumerate(drawn):
        some.append(arm)
        after = drawn[number + 1][0] if number + 1 < len(drawn) else None
        if arm[0] is Place.SHUNT and after is Place.SERIES and chance.below(12) < 3:
            some.append((Place.BUFFER, None))
    return named(some, source=chance.below(2) == 0, load=chance.below(2) == 0)
