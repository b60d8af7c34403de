"""Dual circuits: series for parallel, L for C, a series arm for a shunt arm.

With respect to a resistance R every impedance Z becomes R²/Z, so that voltages and currents change
places: the dual does to a current what the circuit does to a voltage.  A current source beside a
resistance is a voltage source in series with it, so that the dual of a ladder between a source
resistance and a load is such a ladder again; its H(s) is the same but for a constant factor, Rs/RL.
Published in every text on networks, such as Hayt, Kemmerly and Durbin, "Engineering Circuit
Analysis" (from memory); proved anew in the tests.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from .model import Arm, Element, Kind, Ladder, Place, Stage, join, mapped


def has_dual(ladder: Ladder) -> bool:
    """Whether its dual is a ladder: it has a source resistance and a load, and no buffer."""
    ends = ladder.source is not None and ladder.load is not None
    return ends and all(stage.place is not Place.BUFFER for stage in ladder.stages)


def dual_value(element: Element, squared: Fraction) -> Fraction | None:
    """The value of what becomes of an ``element``: L/R², C·R² or R²/R; ``None`` where it has none.

    ``squared`` is R² in Ω².
    """
    if element.value is None:
        return None
    match element.kind:
        case Kind.R:
            return squared / element.value
        case Kind.L:
            return element.value / squared
        case Kind.C:
            return element.value * squared


def dual(ladder: Ladder, squared: Fraction) -> Ladder:
    """The dual of a ``ladder`` that has one (:func:`has_dual`).

    ``squared`` is R² in Ω², of the resistance R that it is taken with respect to.
    """
    return rebuilt(ladder, squared=squared)


def rebuilt(
    ladder: Ladder,
    *,
    squared: Fraction,
    places: bool = True,
    joints: bool = True,
    parts: Callable[[Element], bool] = lambda _: True,
) -> Ladder:
    """The dual, or what comes of it where a step is forgotten.

    Inductors and capacitors are numbered anew, so that names tell nothing of what was done.

    Args:
        ladder: the circuit.
        squared: R² in Ω², of the resistance R that it is taken with respect to.
        places: whether series arms become shunt arms and the reverse.
        joints: whether, within an arm, series becomes parallel and the reverse.
        parts: which elements become their duals.
    """

    def arm_of(arm: Arm) -> Arm:
        if isinstance(arm, Element):
            return arm
        joint = arm.joint.opposite if joints else arm.joint
        return join(joint, *map(arm_of, arm.parts))

    turned = tuple(
        Stage(stage.place.opposite if places else stage.place, stage.arm and arm_of(stage.arm))
        for stage in ladder.stages
    )
    taken: dict[Kind, int] = {Kind.L: 0, Kind.C: 0}
    alone = {kind: _count(ladder, kind, parts) == 1 for kind in taken}

    def named(element: Element) -> Element:
        changed = parts(element)
        kind = element.kind.dual if changed else element.kind
        value = dual_value(element, squared) if changed else element.value
        if kind is Kind.R:
            return replace(element, value=value)
        taken[kind] += 1
        return Element(kind, kind.value if alone[kind] else f"{kind.value}{taken[kind]}", value)

    return mapped(replace(ladder, stages=turned), named)


def _count(ladder: Ladder, kind: Kind, parts: Callable[[Element], bool]) -> int:
    """How many elements of a kind there are afterwards."""
    return sum((e.kind.dual if parts(e) else e.kind) is kind for e in ladder.elements())
