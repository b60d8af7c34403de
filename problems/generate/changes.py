"""The smallest changes of a circuit: two parts swapped, an arm turned, the tap moved, a load added.

Every change gives another ladder with the same names wherever a part stays what it was, so that two
circuits can be compared part by part.  A part that is new gets a new name and, where the circuit
has values, a value from the laboratory's drawers that is at work about where the circuit is.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from operator import itemgetter

from ..circuits import preferred
from ..circuits.altered import flips, without
from ..circuits.model import (
    Arm,
    CircuitError,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
    leaves,
    mapped,
)
from ..circuits.rearrange import taps
from ..circuits.write import DEFAULT_NAMES
from ..questions.lookalikes import shape_of


class ChangeKind(StrEnum):
    """What is changed, those first that keep every part and are seen at once."""

    PARTS_SWAPPED = "parts-swapped"  # two parts in each other's place
    ARMS_SWAPPED = "arms-swapped"  # a series arm and a shunt arm in each other's place
    TURNED = "turned"  # an arm from series to shunt, or back
    REJOINED = "rejoined"  # a group from series to parallel, or back
    STAGES_SWAPPED = "stages-swapped"  # two neighbours in the other order
    TAP = "tap"  # the output taken across other parts
    LOAD = "load"  # a load added or taken away
    SOURCE = "source"  # the source's resistance added or taken away
    EXCHANGED = "exchanged"  # an L in the place of a C, or back
    BUFFER = "buffer"  # a buffer put in or taken out
    REMOVED = "removed"  # a part taken away
    ADDED = "added"  # an L joined to a C, or a C to an L, in series or in parallel
    REPLACED = "replaced"  # an L or a C in the place of a resistance


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a circuit: its kind, the names of the parts it touches, and what comes out."""

    kind: ChangeKind
    parts: tuple[str, ...]
    ladder: Ladder


def changes(ladder: Ladder) -> Iterator[Change]:
    """Every smallest change of a circuit, none twice, in the order of :class:`ChangeKind`.

    Looks are drawn from these: another order, or another change, makes other looks of a seed.
    Replaced resistances are not among them (see :func:`replacements`).
    """
    seen = {shape_of(ladder)}
    for change in _all(ladder):
        shape = shape_of(change.ladder)
        if shape not in seen:
            seen.add(shape)
            yield change


def replacements(ladder: Ladder) -> Iterator[Change]:
    """Each resistance inside the circuit replaced by a capacitor, and by an inductor."""
    for stage in ladder.stages:
        for part in leaves(stage.arm) if stage.arm is not None else ():
            if part.kind is not Kind.R:
                continue
            for kind in Kind.C, Kind.L:
                new = _new(ladder, kind, f"{kind.value}{part.name[1:]}")
                found = mapped(ladder, lambda e, p=part, n=new: n if e == p else e)  # type: ignore[misc]
                yield Change(ChangeKind.REPLACED, (part.name, new.name), found)


def _all(ladder: Ladder) -> Iterator[Change]:
    yield from _parts_swapped(ladder)
    yield from _arms_swapped(ladder)
    yield from _turned(ladder)
    yield from _rejoined(ladder)
    yield from _stages_swapped(ladder)
    yield from _tapped(ladder)
    yield from _end_changed(ladder, ChangeKind.LOAD)
    yield from _end_changed(ladder, ChangeKind.SOURCE)
    yield from _exchanged(ladder)
    yield from _buffered(ladder)
    yield from _removed(ladder)
    yield from _added(ladder)


def _names(*arms: Arm | None) -> tuple[str, ...]:
    return tuple(e.name for arm in arms if arm is not None for e in leaves(arm))


def _with_stages(ladder: Ladder, stages: list[Stage]) -> Iterator[Ladder]:
    try:
        yield replace(ladder, stages=tuple(stages))
    except CircuitError:
        return  # nested too deep


def _parts_swapped(ladder: Ladder) -> Iterator[Change]:
    drawn = [e for stage in ladder.stages if stage.arm for e in leaves(stage.arm)]
    for one, other in combinations(drawn, 2):
        if one.kind is not other.kind:
            swap = {one.name: other, other.name: one}
            found = mapped(ladder, lambda e, swap=swap: swap.get(e.name, e))  # type: ignore[misc]
            yield Change(ChangeKind.PARTS_SWAPPED, (one.name, other.name), found)


def _arms_swapped(ladder: Ladder) -> Iterator[Change]:
    for (i, one), (k, other) in combinations(enumerate(ladder.stages), 2):
        if one.arm is None or other.arm is None or one.place is other.place:
            continue
        if isinstance(one.arm, Element) and isinstance(other.arm, Element):
            continue  # two parts swapped
        stages = list(ladder.stages)
        stages[i], stages[k] = Stage(one.place, other.arm), Stage(other.place, one.arm)
        for found in _with_stages(ladder, stages):
            yield Change(ChangeKind.ARMS_SWAPPED, _names(one.arm, other.arm), found)


def _turned(ladder: Ladder) -> Iterator[Change]:
    for i, stage in enumerate(ladder.stages):
        if stage.arm is not None:
            place = Place.SHUNT if stage.place is Place.SERIES else Place.SERIES
            stages = list(ladder.stages)
            stages[i] = Stage(place, stage.arm)
            for found in _with_stages(ladder, stages):
                yield Change(ChangeKind.TURNED, _names(stage.arm), found)


def _rejoined(ladder: Ladder) -> Iterator[Change]:
    for i, stage in enumerate(ladder.stages):
        for group, arm in flips(stage.arm) if stage.arm is not None else ():
            stages = list(ladder.stages)
            stages[i] = Stage(stage.place, arm)
            for found in _with_stages(ladder, stages):
                yield Change(ChangeKind.REJOINED, _names(group), found)


def _stages_swapped(ladder: Ladder) -> Iterator[Change]:
    for i in range(len(ladder.stages) - 1):
        one, other = ladder.stages[i : i + 2]
        if one.arm is not None and other.arm is not None and one.place is not other.place:
            stages = list(ladder.stages)
            stages[i : i + 2] = other, one
            for found in _with_stages(ladder, stages):
                yield Change(ChangeKind.STAGES_SWAPPED, _names(one.arm, other.arm), found)


def _tapped(ladder: Ladder) -> Iterator[Change]:
    for found in taps(ladder)[1:]:
        last = found.stages[-1]
        yield Change(ChangeKind.TAP, _names(last.arm), found)


def _end_changed(ladder: Ladder, kind: ChangeKind) -> Iterator[Change]:
    role = "load" if kind is ChangeKind.LOAD else "source"
    end = ladder.load if kind is ChangeKind.LOAD else ladder.source
    new = None if end else _new(ladder, Kind.R, DEFAULT_NAMES[role])
    named = end or new
    assert named is not None
    found = replace(ladder, load=new) if role == "load" else replace(ladder, source=new)
    yield Change(kind, (named.name,), found)


def _exchanged(ladder: Ladder) -> Iterator[Change]:
    for stage in ladder.stages:
        for part in leaves(stage.arm) if stage.arm is not None else ():
            if part.kind is not Kind.R:
                kind = Kind.C if part.kind is Kind.L else Kind.L
                new = _new(ladder, kind, kind.value + part.name[1:])
                found = mapped(ladder, lambda e, p=part, n=new: n if e == p else e)  # type: ignore[misc]
                yield Change(ChangeKind.EXCHANGED, (part.name, new.name), found)


def _buffered(ladder: Ladder) -> Iterator[Change]:
    for i, stage in enumerate(ladder.stages):
        stages = list(ladder.stages)
        if stage.arm is None:
            del stages[i]
            if stages:
                near = ladder.stages[i - 1].arm if i else None
                yield Change(ChangeKind.BUFFER, _names(near), replace(ladder, stages=tuple(stages)))
        elif i and stage.place is Place.SERIES and ladder.stages[i - 1].place is Place.SHUNT:
            stages.insert(i, Stage(Place.BUFFER))
            before = ladder.stages[i - 1].arm
            yield Change(ChangeKind.BUFFER, _names(before), replace(ladder, stages=tuple(stages)))


def _removed(ladder: Ladder) -> Iterator[Change]:
    for stage in ladder.stages:
        for part in leaves(stage.arm) if stage.arm is not None else ():
            found = without(ladder, part.name)
            if found is not None:
                yield Change(ChangeKind.REMOVED, (part.name,), found)


def _added(ladder: Ladder) -> Iterator[Change]:
    for i, stage in enumerate(ladder.stages):
        for part in leaves(stage.arm) if stage.arm is not None else ():
            if part.kind is Kind.R or stage.arm is None:
                continue
            kind = Kind.C if part.kind is Kind.L else Kind.L
            new = _new(ladder, kind, f"{kind.value}{part.name[1:]}")
            for joint in Joint.PARALLEL, Joint.SERIES:
                stages = list(ladder.stages)
                stages[i] = Stage(stage.place, _joined(stage.arm, part, joint, new))
                for found in _with_stages(ladder, stages):
                    yield Change(ChangeKind.ADDED, (part.name, new.name), found)


def _joined(arm: Arm, part: Element, joint: Joint, new: Element) -> Arm:
    """The arm with a new element joined to one of its parts."""
    if arm == part:
        return join(joint, part, new)
    if isinstance(arm, Element):
        return arm
    return join(arm.joint, *(_joined(inner, part, joint, new) for inner in arm.parts))


# ------------------------------------------------------------------- parts that are new


def _new(ladder: Ladder, kind: Kind, name: str) -> Element:
    """A part that was not there: its name if nobody has it, and a value if the others have one."""
    taken = {e.name for e in ladder.elements()}
    number = 1
    while name in taken:
        name = f"{kind.value}{number}"
        number += 1
    return Element(kind, name, kept_value(ladder, kind) if ladder.valued else None)


def kept_value(ladder: Ladder, kind: Kind) -> Fraction:
    """A kept value of ``kind`` with about the impedance of the parts of ``ladder``."""
    found: dict[Kind, Fraction] = {}
    for element in ladder.elements():
        if element.value is not None:
            found.setdefault(element.kind, element.value)
    r = found.get(Kind.R, Fraction(1000))
    coil, capacitor = found.get(Kind.L), found.get(Kind.C)
    if kind is Kind.R:
        if Kind.R not in found and coil is not None and capacitor is not None:
            return _nearest_square(kind, coil / capacitor)
        return _nearest_square(kind, r * r)
    if kind is Kind.L:
        return _nearest_square(kind, (r * r * (capacitor or Fraction(1, 10**8))) ** 2)
    return _nearest_square(kind, ((coil or Fraction(1, 100)) / (r * r)) ** 2)


@lru_cache(maxsize=4)
def _kept(kind: Kind) -> tuple[tuple[Fraction, Fraction], ...]:
    """The parts in a drawer, ascending, each after its square."""
    drawer = preferred.DRAWERS[kind]
    places = range(drawer.least, drawer.most + 1, drawer.step)
    return tuple((preferred.value(p) ** 2, preferred.value(p)) for p in places)


def _nearest_square(kind: Kind, wanted: Fraction) -> Fraction:
    """The kept part whose square is nearest to a value, by ratio: no root is ever rounded."""
    kept = _kept(kind)
    above = bisect_left(kept, wanted, key=itemgetter(0))
    near = kept[max(above - 1, 0) : above + 1]
    return min(near, key=lambda pair: max(pair[0] / wanted, wanted / pair[0]))[1]


def valued_like(ladder: Ladder, start: Ladder) -> Ladder:
    """``ladder`` with the values of ``start``; parts that are new get one from the drawers."""
    known = {e.name: e.value for e in start.elements()}
    if all(e.name in known for e in ladder.elements()):
        return mapped(ladder, lambda e: Element(e.kind, e.name, known[e.name]))

    def value(element: Element) -> Element:
        found = known.get(element.name) or kept_value(start, element.kind)
        return Element(element.kind, element.name, found)

    return mapped(ladder, value)
