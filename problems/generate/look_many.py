"""Looks at more than one circuit: four pictures to one circuit, four circuits to one, and pairs.

The circuits of a look are one change apart, and differ in what letters alone decide: the type or a
slope at an end for a response, the number of poles or of zeros at the origin or on the axis for a
map.  So no value is needed to tell them apart.

Nothing but the question tells which of them is right: of four, each is changed from one that is
there already, so that the first is no more in the middle than any other (a tree drawn from all 16
of four points); names are given anew in reading order; nothing idles in one that does not in all.
"""

from __future__ import annotations

from collections.abc import Iterator

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

_MOST_POLES = 4

Signature = tuple[object, ...]


def _response(known: Structure) -> Signature:
    return known.type, known.ends


def _map(known: Structure) -> Signature:
    zeros = known.zero_count - known.ends.low - 2 * known.nulls
    return known.ends.low, known.nulls, zeros, known.order


def may_face(kind: LookKind, known: Structure) -> bool:
    """Whether a circuit may be shown beside others: its type is certain, and all poles are seen."""
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
    circuits, taken = [ladder], {signature(known)}
    seen, blocked = {known.ends}, {_blocked(known.ends)}

    def take(other: Ladder, start: Ladder) -> bool:
        facts = structural_facts(other)
        if signature(facts) in taken or not may_face(kind, facts):
            return False
        valued = _valued(other, start)
        if sound(valued, facts) is None:
            return False
        circuits.append(valued)
        taken.add(signature(facts))
        seen.add(facts.ends)
        blocked.add(_blocked(facts.ends))
        return True

    def grow(start: Ladder) -> bool:
        """One more circuit, a change away from one that is there: of another type, if it can be."""
        later: list[Ladder] = []
        for other in _near(start, chance):
            at = ends(other)
            if at in seen and any(_blocked(at)):
                continue  # the same ends, not both open: the same type, and as steep
            if _blocked(at) in blocked:
                later.append(other)
            elif take(other, start):
                return True
        return any(take(other, start) for other in later)

    for parent in _tree(chance):
        starts = [circuits[parent], *(circuits[:parent] + circuits[parent + 1 :])]
        if not any(map(grow, starts)):
            return None
    return tuple(circuits[1:])


def _tree(chance: Chance) -> tuple[int, ...]:
    """From which circuit the second, third and fourth come: all trees of four are as likely."""
    drawn = chance.below(16)
    return next(parents for least, parents in _TREES if drawn >= least)


_TREES = ((10, (0, 1, 2)), (4, (0, 0, 1)), (1, (0, 1, 1)), (0, (0, 0, 0)))
"""A path from its end (6 of 16), from its inside (6), a star from a ray (3), from its middle."""


def _blocked(at: Ends) -> tuple[bool, bool]:
    """Which ends are blocked: of four types each has its own."""
    return at.low > 0, at.high > 0


def other_of_pair(
    ladder: Ladder, kind: LookKind, known: Structure, same: bool, chance: Chance
) -> Ladder | None:
    """A circuit one change away, of the same type or of another."""
    # Of one type are often circuits of other parts: so are, as often, those of another.
    kept_first = same or chance.below(3) > 0
    for other in _near(ladder, chance, kept_first=kept_first):
        at = ends(other)
        if not same and at == known.ends and (at.low or at.high):
            continue
        if same and _blocked(at) != _blocked(known.ends):
            continue
        facts = structural_facts(other)
        if (facts.type is known.type) is not same or not may_face(kind, facts):
            continue
        valued = _valued(other, ladder)
        if sound(valued, facts) is not None:
            return valued
    return None


def _near(ladder: Ladder, chance: Chance, *, kept_first: bool = True) -> Iterator[Ladder]:
    """Circuits one change away, those of the same parts first (or last)."""
    start = valueless(ladder)
    names = {e.name for e in start.elements()}
    found = chance.shuffled([change.ladder for change in changes(start)])
    found.sort(key=lambda other: ({e.name for e in other.elements()} == names) is not kept_first)
    return filter(at_a_glance, found)


def at_a_glance(ladder: Ladder) -> bool:
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
