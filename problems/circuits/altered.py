"""Circuits as a slip sees them: a part left out, combined wrongly, a buffer imagined."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from fractions import Fraction

from .model import (
    Arm,
    CircuitError,
    Element,
    Group,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
    leaves,
    mapped,
    merged,
)
from .rearrange import folded


def without_source(ladder: Ladder) -> Ladder | None:
    """The source taken for ideal; ``None`` where it is."""
    return None if ladder.source is None else replace(ladder, source=None)


def without_load(ladder: Ladder) -> Ladder | None:
    """The load taken away; ``None`` where there is none."""
    return None if ladder.load is None else replace(ladder, load=None)


def without(ladder: Ladder, name: str) -> Ladder | None:
    """``ladder`` without the element called ``name``; ``None`` if nothing is left.

    A part of a series group leaves a short, one of a parallel group an open.
    """
    if ladder.source is not None and ladder.source.name == name:
        return without_source(ladder)
    if ladder.load is not None and ladder.load.name == name:
        return without_load(ladder)
    stages: list[Stage] = []
    for stage in ladder.stages:
        arm = stage.arm and arm_without(stage.arm, {name})
        if arm is not None or stage.arm is None:
            stages.append(Stage(stage.place, arm))
    if not any(stage.arm for stage in stages):
        return None
    return replace(ladder, stages=tuple(stages))


def arm_without(arm: Arm, names: Collection[str]) -> Arm | None:
    """What is left of ``arm`` without the elements of these ``names``; ``None`` for nothing."""
    if isinstance(arm, Element):
        return None if arm.name in names else arm
    parts = [kept for part in arm.parts if (kept := arm_without(part, names)) is not None]
    return join(arm.joint, *parts) if parts else None


def scaled(ladder: Ladder, kind: Kind, factor: Fraction) -> Ladder:
    """``ladder`` with every element of ``kind`` multiplied by ``factor``."""

    def change(element: Element) -> Element:
        if element.kind is not kind or element.value is None:
            return element
        return replace(element, value=element.value * factor)

    return mapped(ladder, change)


def with_value(ladder: Ladder, name: str, value: Fraction) -> Ladder:
    """``ladder`` with another ``value`` (in SI base units) of the element called ``name``."""
    return mapped(ladder, lambda e: replace(e, value=value) if e.name == name else e)


def recombined(ladder: Ladder, kind: Kind) -> Iterator[tuple[tuple[str, ...], Ladder]]:
    """Each set of like elements, by name, and the circuit with them joined the other way.

    ``ladder`` is the circuit as it is, ``kind`` that of the elements looked for.
    """
    drawn = merged(ladder)
    for k, stage in enumerate(drawn.stages):
        if stage.arm is None:
            continue
        for group, changed in _recombined(stage.arm, kind):
            stages = list(drawn.stages)
            stages[k] = Stage(stage.place, changed)
            names = tuple(e.name for e in leaves(group) if e.kind is kind)
            yield names, replace(drawn, stages=tuple(stages))


def _recombined(arm: Arm, kind: Kind) -> Iterator[tuple[Group, Arm]]:
    if isinstance(arm, Element):
        return
    like = [p for p in arm.parts if isinstance(p, Element) and p.kind is kind]
    if len(like) > 1:
        others = [p for p in arm.parts if p not in like]
        wrong = join(arm.joint.opposite, *like)
        yield Group(arm.joint, tuple(like)), join(arm.joint, wrong, *others)
    for k, part in enumerate(arm.parts):
        for group, changed in _recombined(part, kind):
            yield group, join(arm.joint, *arm.parts[:k], changed, *arm.parts[k + 1 :])


def buffered(ladder: Ladder) -> Ladder | None:
    """A buffer imagined after every section that could stand alone; ``None`` for fewer than two.

    A section ends with a shunt arm; it can stand alone when it has both a resistance and a
    reactive element of its own.
    """
    stages: list[Stage] = []
    section: list[Stage] = []
    cuts = 0
    for k, stage in enumerate(ladder.stages):
        stages.append(stage)
        if stage.place is Place.BUFFER:
            section = []
            continue
        section.append(stage)
        rest = ladder.stages[k + 1 :]
        ends = stage.place is Place.SHUNT and bool(rest) and rest[0].place is Place.SERIES
        first = cuts == 0 and ladder.source is not None
        if ends and _alone(section, first) and _alone(rest, ladder.load is not None):
            stages.append(Stage(Place.BUFFER))
            section = []
            cuts += 1
    return replace(ladder, stages=tuple(stages)) if cuts else None


def _alone(stages: list[Stage] | tuple[Stage, ...], resistive_end: bool) -> bool:
    kinds = {e.kind for s in stages if s.arm for e in leaves(s.arm)}
    places = {s.place for s in stages}
    reactive = bool(kinds & {Kind.L, Kind.C})
    return (
        reactive
        and Place.SERIES in places
        and Place.SHUNT in places
        and (Kind.R in kinds or resistive_end)
    )


def unbuffered(ladder: Ladder) -> Ladder | None:
    """The buffers left out; ``None`` where there is none."""
    stages = tuple(s for s in ladder.stages if s.place is not Place.BUFFER)
    return None if len(stages) == len(ladder.stages) else replace(ladder, stages=stages)


def across_series_arm(ladder: Ladder) -> Ladder | None:
    """The output of an L-section taken across its series arm; ``None`` for other ladders."""
    drawn = merged(ladder)
    stages = list(drawn.stages)
    if stages and stages[0].place is not Place.SERIES:
        return None
    if len(stages) > 2 or any(s.arm is None for s in stages):
        return None
    shunts = [s.arm for s in stages[1:] if s.arm] + ([ladder.load] if ladder.load else [])
    if not shunts or stages[0].arm is None:
        return None
    rest = Stage(Place.SERIES, join(Joint.PARALLEL, *shunts))
    return Ladder((rest, Stage(Place.SHUNT, stages[0].arm)), ladder.source)


def seen_by(ladder: Ladder, name: str) -> Arm | None:
    """The resistances that one reactive element sees, with the source's voltage at zero.

    Args:
        ladder: a circuit without buffers whose only reactive element is ``name``.
        name: that element.

    Returns:
        Their connection; ``None`` where it is a short or an open.
    """
    if any(s.place is Place.BUFFER for s in ladder.stages):
        return None
    k = next(i for i, s in enumerate(ladder.stages) if s.arm and _has(s.arm, name))
    left: Arm | None = ladder.source  # None: a short
    shorted = ladder.source is None
    for stage in ladder.stages[:k]:
        assert stage.arm is not None
        if stage.place is Place.SERIES:
            left = stage.arm if left is None else join(Joint.SERIES, left, stage.arm)
            shorted = False
        elif not shorted and left is not None:
            left = join(Joint.PARALLEL, left, stage.arm)
    right = folded(ladder.stages[k + 1 :], ladder.load)  # None: an open
    here = ladder.stages[k]
    assert here.arm is not None
    if here.place is Place.SERIES:
        if right is None:
            return None
        outside = right if left is None else join(Joint.SERIES, left, right)
    elif left is None:
        return None
    else:
        outside = left if right is None else join(Joint.PARALLEL, left, right)
    return _around(here.arm, name, outside)


def _has(arm: Arm, name: str) -> bool:
    return any(e.name == name for e in leaves(arm))


def _around(arm: Arm, name: str, outside: Arm) -> Arm | None:
    """What an element of an arm sees, when ``outside`` lies across the arm."""
    if isinstance(arm, Element):
        return outside
    inner = next(part for part in arm.parts if _has(part, name))
    rest = [part for part in arm.parts if part is not inner]
    return _around(inner, name, join(arm.joint, outside, *rest))


def resistance(arm: Arm) -> Fraction:
    """The resistance of an arm of valued resistors, in ohm."""
    if isinstance(arm, Element):
        return arm.amount
    parts = [resistance(part) for part in arm.parts]
    if arm.joint is Joint.SERIES:
        return sum(parts, Fraction(0))
    return 1 / sum((1 / part for part in parts), Fraction(0))


def flips(arm: Arm) -> Iterator[tuple[Group, Arm]]:
    """Each group of an arm taken for the other joint, one at a time."""
    if isinstance(arm, Element):
        return
    yield arm, join(arm.joint.opposite, *arm.parts)
    for k, part in enumerate(arm.parts):
        for group, changed in flips(part):
            yield group, join(arm.joint, *arm.parts[:k], changed, *arm.parts[k + 1 :])


def roles_swapped(ladder: Ladder) -> Ladder | None:
    """Every L taken for a C and every C for an L; L1 becomes C_L1, C1 becomes L_C1.

    ``None`` where there is neither, or a name leaves no room.
    """

    def change(element: Element) -> Element:
        if element.kind is Kind.R:
            return element
        kind = element.kind.dual
        return Element(kind, f"{kind.value}_{element.name}", element.value)

    try:
        return mapped(ladder, change) if ladder.reactive() else None
    except CircuitError:
        return None
