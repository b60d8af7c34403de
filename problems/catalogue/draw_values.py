"""A row of the catalogue and chance → a circuit of preferred values.

A corner, a Q and a common impedance level are drawn on the logarithmic scale of
``preferred.py``; the level from where every part can be had; then each part is the
nearest that a laboratory keeps.  All of it is integer arithmetic, so there is nothing a
machine could round otherwise, and hardly a draw is wasted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from operator import attrgetter

from ..chance import Chance
from ..circuits import preferred
from ..circuits.model import (
    Arm,
    Element,
    Group,
    Kind,
    Ladder,
    Stage,
    join,
    leaves,
    mapped,
)
from .chosen_values import chosen
from .families import Family

# Reactances from 1 Ω to about 30 kΩ: an ideal 1 H at 1 MHz is in no laboratory.
_REACTANCE = (0, 108)
_ALONE, _SHARED = 2, 6
"""How far a reactance may lie from its size, in places: more where there are several of its
kind, lest they all be equal.  Resistances have their row's spread."""


def draw(
    family: Family, chance: Chance, step: int | None = None, recipe: str = ""
) -> Ladder | None:
    """One circuit of the family; ``None`` where no parts of the laboratory fit the targets.

    Args:
        family: a row of the catalogue.
        chance: what draws.
        step: every value is of one series: every ``step``-th place of ``preferred.py``.
        recipe: one of the row's ``chosen`` proportions, which the values are to have exactly,
            if parts of the laboratory fit.
    """
    found = chosen(recipe, family.omega, chance, step) if recipe else None
    values = found or _values(family, chance, step)
    if values is None:
        return None
    return _arranged(family.ladder, values, chance)


def _between(chance: Chance, least: int, most: int) -> int:
    return least + chance.below(most - least + 1)


def _values(family: Family, chance: Chance, step: int | None) -> dict[str, Fraction] | None:
    """Preferred values: a corner, a Q and a common impedance level, then the nearest parts."""
    omega = _between(chance, *family.omega)
    q = _between(chance, *family.q)
    fine = chance.below(3) == 0
    kinds = [element.kind for element in family.ladder.elements()]
    offsets: dict[Element, int] = {}
    for element in family.ladder.elements():
        if element.name in family.levels:
            offsets[element] = _between(chance, *family.levels[element.name])
            continue
        if element.kind is Kind.R:
            spread = family.spread
        else:
            spread = _ALONE if kinds.count(element.kind) == 1 else _SHARED
        offsets[element] = family.sizes.get(element.name, 0) * q + _between(chance, -spread, spread)
    stray = family.strays
    return fitted(offsets, omega, chance, lambda e: _drawer(e, fine, step, e.name in stray))


def fitted(
    offsets: Mapping[Element, int],
    omega: int,
    chance: Chance,
    drawer_of: Callable[[Element], preferred.PartsKept] = lambda e: preferred.DRAWERS[e.kind],
) -> dict[str, Fraction] | None:
    """Values by name: a common impedance level is drawn, then each part is the nearest kept.

    Args:
        offsets: places by which each element's impedance at ω lies above the common level.
        omega: the place of ω.
        chance: draws the level.
        drawer_of: which parts are kept of an element's kind.
    """
    least, most = -preferred.DECADE * 12, preferred.DECADE * 12
    for element, offset in offsets.items():
        drawer = drawer_of(element)
        match element.kind:
            case Kind.R:
                low, high = drawer.least, drawer.most
            case Kind.L:
                low = max(drawer.least + omega, _REACTANCE[0])
                high = min(drawer.most + omega, _REACTANCE[1])
            case Kind.C:
                low, high = -omega - drawer.most, -omega - drawer.least
        least, most = max(least, low - offset), min(most, high - offset)
    if least > most:
        return None
    level = _between(chance, least, most)
    values: dict[str, Fraction] = {}
    for element, offset in offsets.items():
        ohms = level + offset
        place = {Kind.R: ohms, Kind.L: ohms - omega, Kind.C: -omega - ohms}[element.kind]
        nearest = drawer_of(element).nearest(place)
        if nearest is None:
            return None
        values[element.name] = preferred.value(nearest)
    return values


def _drawer(element: Element, fine: bool, step: int | None, stray: bool) -> preferred.PartsKept:
    drawer = preferred.DRAWERS[element.kind]
    if stray and element.kind is Kind.R:
        drawer = preferred.LOSSES
    if step is not None:
        return replace(drawer, step=step)
    if fine and element.kind is Kind.R and not stray:
        return preferred.FINE_RESISTORS
    return drawer


def _arranged(pattern: Ladder, values: dict[str, Fraction], chance: Chance) -> Ladder:
    """The pattern with values, its order varied where that changes nothing, and new names."""
    stages: list[Stage] = []
    # The order of neighbours in one place does not matter.
    for place, run in groupby(pattern.stages, attrgetter("place")):
        arms = [stage.arm for stage in run if stage.arm is not None]
        if not arms:
            stages.append(Stage(place))
            continue
        parts = [_shuffled(arm, chance) for arm in chance.shuffled(arms)]
        if len(arms) > 1 and chance.below(4) == 0:
            stages.append(Stage(place, join(place.joint, *parts)))
        else:
            stages.extend(Stage(place, part) for part in parts)
    drawn = [e for stage in stages if stage.arm for e in leaves(stage.arm)]
    names = _names(drawn, chance)
    arranged = Ladder(tuple(stages), pattern.source, pattern.load)
    return mapped(arranged, lambda e: Element(e.kind, names.get(e.name, e.name), values[e.name]))


def _shuffled(arm: Arm, chance: Chance) -> Arm:
    if isinstance(arm, Element):
        return arm
    return Group(arm.joint, tuple(_shuffled(part, chance) for part in chance.shuffled(arm.parts)))


def _names(elements: list[Element], chance: Chance) -> dict[str, str]:
    """New names: numbered along the circuit, numbered at random, lettered, or bare."""
    style = chance.below(8)
    ordered = elements if style < 4 else chance.shuffled(elements)
    counts = {kind: sum(e.kind is kind for e in elements) for kind in Kind}
    letters = "abcdefgh"
    seen = dict.fromkeys(Kind, 0)
    names: dict[str, str] = {}
    for element in ordered:
        kind = element.kind
        if style == 7:
            suffix = letters[seen[kind]]
        elif style in (3, 6) and counts[kind] == 1:
            suffix = ""
        else:
            suffix = str(seen[kind] + 1)
        seen[kind] += 1
        names[element.name] = kind.value + suffix
    return names
