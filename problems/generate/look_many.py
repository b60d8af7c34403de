"""Looks at more than one circuit: four pictures to one circuit, four circuits to one, and pairs.

The others are one change away from the first (two at most), and differ from it and from each other
in what letters alone decide: the type or a slope at an end for a response, the number of poles or
of zeros at the origin or on the axis for a map.  So no value is needed to tell them apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice, zip_longest

from ..analysis.arms import idle_arms
from ..analysis.structural import Ends, Structure, ends, structural_facts
from ..chance import Chance
from ..circuits.model import Element, Ladder, depth, mapped, merged, valueless
from ..questions.looks import LookKind
from .changes import changes, kept_value
from .look_draw import FLAT
from .look_truth import sound

PICTURES = (LookKind.WHICH_RESPONSE, LookKind.WHICH_MAP, LookKind.WHICH_CIRCUIT)
PAIRS = (LookKind.SAME_TYPE, LookKind.WHICH_ONE)

_OTHERS = 3
_SECOND = 4
"""Circuits one change away that are changed again where one change is not enough."""
_LOOKED_AT = 30
"""Circuits looked at for four of different types."""
_MOST_POLES = 4

Signature = tuple[object, ...]


def _response(known: Structure) -> Signature:
    return known.type, known.ends


def _map(known: Structure) -> Signature:
    zeros = known.zero_count - known.ends.low - 2 * known.nulls
    return known.ends.low, known.nulls, zeros, known.order


def may_face(kind: LookKind, known: Structure) -> bool:
    """Whether a circuit may be shown beside others in a look of ``kind``.

    Its type is certain, and all poles are seen; ``known`` is what its structure says.
    """
    if not known.certain or known.order > _MOST_POLES or known.unseen:
        return False
    return bool(known.order) if kind in PICTURES else known.type.value != FLAT


def three_others(
    ladder: Ladder, kind: LookKind, known: Structure, chance: Chance
) -> tuple[Ladder, ...] | None:
    """Three circuits that are told from the first, and from each other, without any value.

    Args:
        ladder: the circuit, with values.
        kind: one of :data:`PICTURES`.
        known: what holds of it.
        chance: chooses.
    """
    signature = _map if kind is LookKind.WHICH_MAP else _response
    taken, blocked = {signature(known)}, {_blocked(known.ends)}
    # Where the ends are the same and not both open, so is the type: no need to look further.
    same_ends = {known.ends}
    found: list[Ladder] = []
    later: list[Ladder] = []

    def take(other: Ladder) -> bool:
        facts = structural_facts(other)
        if signature(facts) in taken or not may_face(kind, facts):
            return False
        valued = _valued(other, ladder)
        if sound(valued, facts) is None:
            return False
        taken.add(signature(facts))
        blocked.add(_blocked(facts.ends))
        same_ends.add(facts.ends)
        found.append(valued)
        return len(found) == _OTHERS

    for other in islice(_near(ladder, chance), _LOOKED_AT):
        at = ends(other)
        if at in same_ends and any(_blocked(at)):
            continue
        if _blocked(at) in blocked:
            later.append(other)  # better another type, if there is one
        elif take(other):
            return tuple(found)
    return tuple(chance.shuffled(found)) if any(map(take, later)) else None


def _blocked(at: Ends) -> tuple[bool, bool]:
    """Which ends are blocked: of four types each has its own."""
    return at.low > 0, at.high > 0


def other_of_pair(
    ladder: Ladder, kind: LookKind, known: Structure, same: bool, chance: Chance
) -> Ladder | None:
    """A circuit one change away (two at most), of the same type or of another.

    Args:
        ladder: the one of the pair.
        kind: the kind of look.
        known: what its structure says.
        same: whether the type is to be the same.
        chance: what draws.
    """
    for other in _near(ladder, chance):
        at = ends(other)
        if not same and at == known.ends and (at.low or at.high):
            continue
        if same and (
            (at.low > 0) != (known.ends.low > 0) or (at.high > 0) != (known.ends.high > 0)
        ):
            continue
        facts = structural_facts(other)
        if (facts.type is known.type) is not same or not may_face(kind, facts):
            continue
        valued = _valued(other, ladder)
        if sound(valued, facts) is not None:
            return valued
    return None


def _near(ladder: Ladder, chance: Chance) -> Iterator[Ladder]:
    """Circuits one change away, those of the same parts first; then some two changes away."""
    start = valueless(ladder)
    names = {e.name for e in start.elements()}
    first = [change.ladder for change in changes(start)]
    kept = [{e.name for e in other.elements()} == names for other in first]
    some = chance.shuffled([other for other, same in zip(first, kept, strict=True) if same])
    more = chance.shuffled([other for other, same in zip(first, kept, strict=True) if not same])
    yield from filter(_at_a_glance, (*some, *more))
    for between in islice(filter(_at_a_glance, _alternating(some, more)), _SECOND):
        again = [change.ladder for change in changes(merged(between))]
        yield from filter(_at_a_glance, chance.shuffled(again))


def _alternating(some: Sequence[Ladder], more: Sequence[Ladder]) -> Iterator[Ladder]:
    for one, other in zip_longest(some, more):
        yield from (ladder for ladder in (one, other) if ladder is not None)


def _at_a_glance(ladder: Ladder) -> bool:
    """Whether nothing idles, and no arm is a group within a group."""
    if any(stage.arm is not None and depth(stage.arm) > 1 for stage in merged(ladder).stages):
        return False
    return next(idle_arms(ladder), None) is None


def _valued(ladder: Ladder, start: Ladder) -> Ladder:
    """Parts that stayed keep their values; new ones get one from the drawers."""
    known = {e.name: e.value for e in start.elements()}
    if all(e.name in known for e in ladder.elements()):
        return mapped(ladder, lambda e: Element(e.kind, e.name, known[e.name]))

    def value(element: Element) -> Element:
        found = known.get(element.name) or kept_value(start, element.kind)
        return Element(element.kind, element.name, found)

    return mapped(ladder, value)
