"""Looks at more than one circuit: four pictures to one circuit, four circuits to one, and pairs.

The circuits of a look are one change apart, and differ in what letters alone decide: the type or a
slope at an end for a response, the number of poles or of zeros at the origin or on the axis for a
map, which ends are blocked for a step response.  So no value is needed to tell them apart.

Nothing but the question tells which of them is right: of four, each is changed from one that is
there already, so that the first is no more in the middle than any other (a tree drawn from all 16
of four points); names are given anew in reading order; nothing idles in one that does not in all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from ..analysis.response import Facts, facts
from ..analysis.structural import Ends, Structure, ends, structural_facts
from ..chance import Chance
from ..circuits.model import Element, Ladder, Place, depth, merged, valueless
from ..questions.looks import LookKind
from .changes import ChangeKind, changes, valued_like
from .look_draw import FLAT
from .look_truth import poles_mean, sound

PICTURES = (
    LookKind.WHICH_RESPONSE, LookKind.WHICH_MAP, LookKind.WHICH_CIRCUIT, LookKind.STEP_OF_CIRCUIT,
)  # fmt: skip
PAIRS = (LookKind.SAME_TYPE, LookKind.WHICH_ONE)

_MOST_POLES = 4
_MOST_APART = 5.0
"""Poles further apart than this: where a step starts, or ends, is not seen on one axis of time."""
_MOST_Q = 6.0
"""Somebody counts no more swings than this before the response is where it ends."""

Signature = tuple[object, ...]


def _response(known: Structure) -> Signature:
    return known.type, known.ends


def _map(known: Structure) -> Signature:
    zeros = known.zero_count - known.ends.low - 2 * known.nulls
    return known.ends.low, known.nulls, zeros, known.order


def _step(known: Structure) -> Signature:
    """Where a step response starts (at zero, or not) and where it ends."""
    return _blocked(known.ends)


_SIGNATURES: Mapping[LookKind, Callable[[Structure], Signature]] = MappingProxyType(
    {LookKind.WHICH_MAP: _map, LookKind.STEP_OF_CIRCUIT: _step}
)


def step_is_seen(found: Facts) -> bool:
    """Whether one axis of time shows both where a step response starts and where it ends."""
    sizes = [abs(pole) for pole in found.poles]
    if max(sizes) > _MOST_APART * min(sizes):
        return False
    return all(abs(pole) <= -2 * _MOST_Q * pole.real for pole in found.poles)


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

    Step responses are, where one axis of time shows their start and their end.

    Args:
        ladder: the circuit, with values.
        kind: one of :data:`PICTURES`.
        known: what holds of it.
        chance: chooses.
    """
    signature = _SIGNATURES.get(kind, _response)
    by_gain = kind in (LookKind.WHICH_RESPONSE, LookKind.WHICH_CIRCUIT)
    circuits, shown, taken = [ladder], [facts(ladder)], {signature(known)}
    seen, blocked = {known.ends}, {_blocked(known.ends)}

    def take(other: Ladder, start: Ladder) -> bool:
        its = structural_facts(other)
        if signature(its) in taken or not may_face(kind, its):
            return False
        valued = valued_like(other, start)
        found = sound(valued, its)
        if found is None:
            return False
        if by_gain and not all(_told_apart(found, one) for one in shown):
            return False  # with these values they differ where no chart reaches
        if kind is LookKind.STEP_OF_CIRCUIT and not step_is_seen(found):
            return False
        circuits.append(valued)
        shown.append(found)
        taken.add(signature(its))
        seen.add(its.ends)
        blocked.add(_blocked(its.ends))
        return True

    def grow(start: Ladder) -> bool:
        """One more circuit, a change away from one that is there: of another type, if it can be."""
        later: list[Ladder] = []
        for other in near(start, chance):
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


def _told_apart(one: Facts, other: Facts) -> bool:
    """Whether a chart about either of two circuits tells it from the other: by 6 dB, somewhere.

    The rule of ``lookalikes.visibly_different`` at fewer frequencies, the outermost first.
    """
    gains = [_gain_of(found) for found in (one, other)]
    for found in (one, other):
        middle = poles_mean(found)
        for k in _PROBES:
            s = 1j * middle * 10 ** (k / 4)
            high, low = sorted((abs(gain(s)) for gain in gains), reverse=True)
            if high >= _FLOOR and high >= 2 * low:
                break
        else:
            return False
    return True


def _gain_of(found: Facts) -> Callable[[complex], complex]:
    top, bottom = (
        tuple(map(float, p)) for p in (found.transfer.numerator, found.transfer.denominator)
    )

    def gain(s: complex) -> complex:
        above = below = 0j
        for c in top:
            above = above * s + c
        for c in bottom:
            below = below * s + c
        return above / below

    return gain


_PROBES = (-8, 8, 0, -4, 4, -2, 2, -6, 6, -1, 1, -3, 3, -5, 5, -7, 7)
"""Quarters of a decade from the poles' mean."""
_FLOOR = 1e-3


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
    """A circuit one change away, of the same type or of another.

    Args:
        ladder: the one of the pair.
        kind: the kind of look.
        known: what its structure says.
        same: whether the type is to be the same.
        chance: what draws.
    """
    # Of one type are often circuits of other parts: so are, as often, those of another.
    kept_first = same or chance.below(3) > 0
    for other in near(ladder, chance, kept_first=kept_first):
        at = ends(other)
        if not same and at == known.ends and (at.low or at.high):
            continue
        if same and _blocked(at) != _blocked(known.ends):
            continue
        its = structural_facts(other)
        if (its.type is known.type) is not same or not may_face(kind, its):
            continue
        valued = valued_like(other, ladder)
        if sound(valued, its) is not None:
            return valued
    return None


def near(ladder: Ladder, chance: Chance, *, kept_first: bool = True) -> Iterator[Ladder]:
    """Circuits one change away that are taken in at a glance.

    Args:
        ladder: the circuit.
        chance: puts them in order.
        kept_first: those of the same parts come first, else last.
    """
    found = chance.shuffled(list(changes(valueless(ladder))))
    found.sort(key=lambda change: (change.kind in _KEEP_PARTS) is not kept_first)
    return (change.ladder for change in found if at_a_glance(change.ladder))


_KEEP_PARTS = frozenset(
    {
        ChangeKind.PARTS_SWAPPED,
        ChangeKind.ARMS_SWAPPED,
        ChangeKind.TURNED,
        ChangeKind.REJOINED,
        ChangeKind.STAGES_SWAPPED,
        ChangeKind.TAP,
        ChangeKind.BUFFER,
    }
)


def at_a_glance(ladder: Ladder) -> bool:
    """Whether nothing idles, and no arm is a group within a group."""
    driven, last = ladder.source is None, None
    for stage in ladder.stages:
        if stage.place is Place.BUFFER:
            if last is Place.SERIES:
                return False  # leads into a buffer, which takes no current
            driven, last = True, None
            continue
        if driven and last is None and stage.place is Place.SHUNT:
            return False  # lies across an ideal source
        last = stage.place
    if last is Place.SERIES and ladder.load is None:
        return False
    return all(
        stage.arm is None or isinstance(stage.arm, Element) or depth(stage.arm) < 2
        for stage in merged(ladder).stages
    )
