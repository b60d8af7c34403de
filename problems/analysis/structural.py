"""What holds of a circuit whatever its values: its ends, its type, its counts; and how certainly.

The ends follow from powers of s alone (``arms.decay``), in a few microseconds.  What needs the
whole polynomials (poles that cancel, zeros on the jω axis) is asked of the circuit with unrelated
values.

A type is *certain* where opens and shorts alone decide both ends, and where none of this depends
on a resistance inside an arm: ``shunt (L + R) || C`` fed through a resistance is exactly a
low-pass, but whoever takes the coil's resistance for a loss calls it a band-pass.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from ..circuits.model import (
    Arm,
    Element,
    Group,
    Ladder,
    Stage,
    join,
    leaves,
    merged,
    valueless,
)
from .arms import ArmSection, End, decay, is_reactive, plain_end, sections
from .gain_type import FilterType
from .idle import Hidden, Reason, generic, hidden_elements
from .response import Feed, Response, drawn_feed
from .transfer import transfer_function

_MOST_LOSSES = 6
"""Resistances inside arms beyond which no type is called certain."""


@dataclass(frozen=True, slots=True)
class Ends:
    """How H(s) goes at the two ends: as s^low towards DC, as s^−high at high frequency."""

    low: int
    high: int

    def blocks(self, end: End) -> bool:
        """Whether nothing comes out at that end."""
        return (self.low if end is End.LOW else self.high) > 0


def ends(ladder: Ladder) -> Ends:
    """The ends of a circuit for all positive values."""
    return _ends(sections(ladder))


def _ends(cut: Sequence[ArmSection]) -> Ends:
    return Ends(decay(cut, End.LOW), decay(cut, End.HIGH))


@dataclass(frozen=True, slots=True)
class Structure:
    """What holds of a circuit for all values that have nothing to do with each other.

    Args:
        type: its type; ``OTHER`` for shelves and dips.
        ends: how it goes at the ends.
        certain_ends: the ends of which "passes" or "is blocked" is certain.
        order: how many poles H(s) has.
        zero_count: how many finite zeros.
        nulls: pairs of zeros on the jω axis.
        fed: by the first reactive arm; ``None`` where it is not certain which that is.
        hidden: reactive elements that add no pole.
        certain: whether the type is one of the five that have a choice of their own, and certain.
        unseen: whether a part stores energy on its own of which nothing is seen at the output
            (a loop of inductors holds its current for ever).
    """

    type: FilterType
    ends: Ends
    certain_ends: frozenset[End]
    order: int
    zero_count: int
    nulls: int
    fed: Feed | None
    hidden: tuple[Hidden, ...]
    certain: bool
    unseen: bool

    @property
    def pure(self) -> bool:
        """Whether all zeros lie at the origin, or are the one null of a notch."""
        return self.zero_count == self.ends.low + 2 * self.nulls


def structural_facts(ladder: Ladder) -> Structure:
    """What holds of a circuit whatever its values; those that are there are not looked at."""
    bare = all(element.value is None for element in ladder.elements())
    return _structural_facts(ladder if bare else valueless(ladder))


@lru_cache(maxsize=4096)
def _structural_facts(ladder: Ladder) -> Structure:
    plain = merged(generic(ladder))
    cut = sections(plain)
    found_ends = _ends(cut)
    response = Response(transfer_function(plain))
    transfer, nulls = response.transfer, response.axis_zero_pairs
    # As many poles as inductors and capacitors: none of them hides.
    hidden = () if transfer.order == len(plain.reactive()) else hidden_elements(plain)
    sure_ends = frozenset(_sure_ends(plain, cut, found_ends))
    sure = len(sure_ends) == 2 and _sure(plain, response)
    return Structure(
        response.type_exact,
        found_ends,
        sure_ends,
        transfer.order,
        transfer.zero_count,
        nulls,
        _fed(plain, cut),
        hidden,
        sure,
        any(h.reason is Reason.UNSEEN for h in hidden),
    )


def _sure(ladder: Ladder, response: Response) -> bool:
    """Whether no loss hides a null, and a name fits what is there."""
    wanted = 1 if response.type_exact is FilterType.NOTCH else 0
    if response.type_exact not in _NAMED or response.axis_zero_pairs != wanted:
        return False
    losses = _losses(ladder)
    if not losses:
        return True
    ideal = Response(transfer_function(without_losses(ladder, losses)))
    return ideal.axis_zero_pairs == wanted


_NAMED = frozenset(
    {
        FilterType.LOW_PASS,
        FilterType.HIGH_PASS,
        FilterType.BAND_PASS,
        FilterType.NOTCH,
        FilterType.FLAT,
    }
)


def _sure_ends(ladder: Ladder, cut: Sequence[ArmSection], found: Ends) -> Iterator[End]:
    losses = _losses(ladder)
    if len(losses) > _MOST_LOSSES:
        return
    left = [end for end in End if plain_end(cut, end)]
    for size in range(1, len(losses) + 1):
        for some in combinations(losses, size):
            if not left:
                return
            other = sections(without_losses(ladder, some))
            left = [
                end
                for end in left
                if (decay(other, end) > 0) == found.blocks(end) and plain_end(other, end)
            ]
    yield from left


def _losses(ladder: Ladder) -> tuple[str, ...]:
    """Resistances that lie in one arm with something reactive, each by its first name."""
    found: list[str] = []
    for stage in merged(ladder).stages:
        if isinstance(stage.arm, Group) and is_reactive(stage.arm):
            found += _lossy(stage.arm)
    return tuple(found)


def _lossy(group: Group) -> Iterator[str]:
    for part in group.parts:
        if not is_reactive(part):
            yield _first(part)  # several resistances that make one are one
        elif isinstance(part, Group):
            yield from _lossy(part)


def _first(arm: Arm) -> str:
    return next(leaves(arm)).name


def without_losses(ladder: Ladder, names: tuple[str, ...]) -> Ladder:
    """``ladder`` with the resistances ``names``, inside arms, turned ideal.

    They are 0 in a series group, ∞ in a parallel one.
    """
    return Ladder(
        tuple(
            Stage(s.place, None if s.arm is None else _without(s.arm, names))
            for s in merged(ladder).stages
        ),
        ladder.source,
        ladder.load,
    )


def _without(arm: Arm, names: tuple[str, ...]) -> Arm:
    if isinstance(arm, Element) or not is_reactive(arm):
        return arm
    kept = [
        _without(part, names)
        for part in arm.parts
        if is_reactive(part) or _first(part) not in names
    ]
    return join(arm.joint, *kept)


def _fed(ladder: Ladder, cut: Sequence[ArmSection]) -> Feed | None:
    """The feed, where the first reactive arm drawn is the first that affects the output."""
    drawn = drawn_feed(ladder)
    for section in cut:
        for rail in section.rails:
            if rail.reactive:
                stages = merged(ladder).stages
                first = next(s.arm for s in stages if s.arm and is_reactive(s.arm))
                return drawn if first == rail.arm else None
    return None
