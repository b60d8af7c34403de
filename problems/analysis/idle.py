"""Which reactive parts add no pole of their own, and why.

The reasons, looked for in this order on the circuit as drawn:

1. *across the source*: a shunt arm directly across an ideal source or a buffer's output;
2. *dangling*: a series arm that ends in an open output or in a buffer's input;
3. *combinable*: a second element of the same kind in the same series chain or parallel
   bank (adjacent stages of the same place count as one chain or bank);
4. *dependent* or *unseen*: a loop of capacitors, or a cut-set of inductors, ties it to the
   others, or it stores energy on its own of which nothing is seen at the output (``ties.py``).  It
   is found by comparing the count so far with the pole count of the same circuit with
   values that have nothing to do with each other, so a chance cancellation of a pole
   with a zero never hides an element.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import count, islice

from ..circuits.model import (
    MAX_ELEMENTS,
    Arm,
    Element,
    Group,
    Kind,
    Ladder,
    Place,
    Stage,
    leaves,
    mapped,
    merged,
)
from .terms import Reason as Reason
from .ties import Tie, tie
from .transfer import transfer_function


@dataclass(frozen=True, slots=True)
class Hidden:
    """A hidden element; ``partner`` is the one it combines with, where there is one."""

    name: str
    reason: Reason
    partner: str | None = None


def _sections(ladder: Ladder) -> Iterator[tuple[list[Stage], bool, bool]]:
    """(stages, driven by an ideal source, open at the end), adjacent places merged."""
    section: list[Stage] = []
    ideal = ladder.source is None
    for stage in merged(ladder).stages:
        if stage.place is Place.BUFFER:
            yield section, ideal, True
            section, ideal = [], True
        else:
            section.append(stage)
    yield section, ideal, ladder.load is None


def _combinable(arm: Arm) -> Iterator[Hidden]:
    if isinstance(arm, Element):
        return
    first: dict[Kind, str] = {}
    for part in arm.parts:
        if isinstance(part, Group):
            yield from _combinable(part)
        elif part.kind.reactive:
            if part.kind in first:
                yield Hidden(part.name, Reason.COMBINABLE, first[part.kind])
            else:
                first[part.kind] = part.name


def _structural(ladder: Ladder) -> Iterator[Hidden]:
    for section, ideal, unloaded in _sections(ladder):
        kept = list(section)
        if kept and ideal and kept[0].place is Place.SHUNT:
            yield from _whole(kept.pop(0), Reason.ACROSS_SOURCE)
        if kept and unloaded and kept[-1].place is Place.SERIES:
            yield from _whole(kept.pop(), Reason.DANGLING)
        for stage in kept:
            assert stage.arm is not None
            yield from _combinable(stage.arm)


def _whole(stage: Stage, reason: Reason) -> Iterator[Hidden]:
    assert stage.arm is not None
    return (Hidden(e.name, reason) for e in leaves(stage.arm) if e.kind.reactive)


@cache
def _primes() -> tuple[Fraction, ...]:
    """As many primes as a circuit has elements at most."""
    numbers = (n for n in count(1009, 2) if all(n % k for k in range(3, math.isqrt(n) + 1, 2)))
    return tuple(Fraction(n) for n in islice(numbers, MAX_ELEMENTS))


def generic(ladder: Ladder, resisting: Collection[str] = ()) -> Ladder:
    """``ladder`` with unrelated values (distinct primes), for structural counts.

    Elements named in ``resisting`` become resistances.
    """
    values = iter(_primes())
    taken = {e.name for e in ladder.elements()}

    def fresh(element: Element) -> Element:
        value = next(values)
        if element.name not in resisting:
            return Element(element.kind, element.name, value)
        name = next(n for i in count() if (n := f"R{i}") not in taken)
        taken.add(name)
        return Element(Kind.R, name, value)

    return mapped(ladder, fresh)


def _tied(
    ladder: Ladder, found: Collection[str], reactive: Sequence[str], order: int
) -> Iterator[str]:
    """Elements without whose store of energy the pole count stays, from the output on.

    Each is counted out before the next is tried: of a loop of n capacitors n − 1 are kept.
    """
    out = set(found)
    for name in reversed(reactive):
        if name not in out and transfer_function(generic(ladder, {*out, name})).order == order:
            out.add(name)
            yield name


def hidden_elements(ladder: Ladder) -> tuple[Hidden, ...]:
    """The reactive elements that add no pole, in the order they are drawn."""
    found = {h.name: h for h in _structural(ladder)}
    reactive = [e.name for e in ladder.reactive()]
    order = transfer_function(generic(ladder)).order
    surplus = len(reactive) - len(found) - order
    if surplus > 0:
        for name in (*_tied(ladder, found, reactive, order), *reversed(reactive)):
            if surplus > 0 and name not in found:
                unseen = tie(ladder, name) is Tie.UNSEEN
                found[name] = Hidden(name, Reason.UNSEEN if unseen else Reason.DEPENDENT)
                surplus -= 1
    return tuple(found[name] for name in reactive if name in found)
