"""Values chosen so that Q is exactly ½, or exactly 1/√2: a double pole, or a Butterworth response.

Values drawn at random never meet such a Q exactly.  A row of the catalogue names ratios that do,
such as ``R=2 L=1 C=1`` for R = 2·√(L/C); scaling all impedances alike, or all frequencies alike,
leaves Q what it is.  So a resistance and a capacitance may be picked, and the other values follow
exactly; what is kept are the pairs of preferred values whose followers are preferred values too.
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cache

from ..chance import Chance
from ..circuits import preferred
from ..circuits.model import Kind

_SERIES = ((4, 4), (2, 4), (4, 2), (2, 2), (2, 1))
"""Steps on the E24 scale of inductors and capacitors, the commonest parts first."""

_ENOUGH = 4
"""With so many pairs no rarer parts are looked for."""

_KEPT = {
    Kind.R: preferred.FINE_RESISTORS,
    Kind.L: preferred.INDUCTORS,
    Kind.C: preferred.CAPACITORS,
}

_TRIES = 60
"""Draws of a level of impedance and frequency before it is held that no parts fit."""


@cache
def ratios(recipe: str) -> Mapping[str, Fraction]:
    """Values in proportion, by the names of the row's pattern: ``R=2 L=1 C=1``."""
    pairs = (part.split("=") for part in recipe.split())
    return {name: Fraction(value) for name, value in pairs}


def _kind(name: str) -> Kind:
    return Kind(name[0])


def _first(given: Mapping[str, Fraction], kind: Kind) -> str:
    return next(name for name in given if _kind(name) is kind)


def _scaled(recipe: str, resistance: Fraction, capacitance: Fraction) -> dict[str, Fraction]:
    """The values of a recipe whose first R and first C are these.

    With impedances scaled by z and times by t, R goes with z, L with z·t and C with t/z.
    """
    given = ratios(recipe)
    r, c = (_first(given, kind) for kind in (Kind.R, Kind.C))
    z, by_c = resistance / given[r], capacitance / given[c]
    by = {Kind.R: z, Kind.L: z * z * by_c, Kind.C: by_c}
    return {name: value * by[_kind(name)] for name, value in given.items()}


@cache
def _places() -> Mapping[Fraction, int]:
    """The places of all preferred values that any part may have."""
    return {preferred.value(place): place for place in range(-14 * 24, 9 * 24)}


@cache
def pairs(recipe: str, step: int | None) -> tuple[tuple[int, int], ...]:
    """Places of R and C within a decade whose followers are preferred values.

    ``recipe`` are values in proportion; ``step`` is as in ``draw_values.draw``.
    """
    found: list[tuple[int, int]] = []
    for coils, capacitors in _SERIES if step is None else ((step, step),):
        steps = {Kind.R: step or 1, Kind.L: coils, Kind.C: capacitors}
        found = list(_pairs(recipe, steps))
        if len(found) >= _ENOUGH:
            break
    return tuple(found)


def _pairs(recipe: str, steps: Mapping[Kind, int]) -> Iterator[tuple[int, int]]:
    given = ratios(recipe)

    def kept(kind: Kind, by: Fraction) -> bool:
        """Whether all parts of a kind are preferred ones where they are scaled by so much."""
        places = (_places().get(given[name] * by) for name in given if _kind(name) is kind)
        return all(place is not None and place % steps[kind] == 0 for place in places)

    def scales(kind: Kind, decade: int) -> list[tuple[int, Fraction]]:
        """Places of the first part of a kind that suit all of that kind, and what they scale by."""
        first = given[_first(given, kind)]
        places = range(decade * preferred.DECADE, (decade + 1) * preferred.DECADE)
        scaled = ((place, preferred.value(place) / first) for place in places)
        return [(place, by) for place, by in scaled if kept(kind, by)]

    # In the middle of the drawers: 1 kΩ and 10 nF, so that the followers are in the table.
    capacitances = scales(Kind.C, -8)
    for r, by_r in scales(Kind.R, 3):
        for c, by_c in capacitances:
            if kept(Kind.L, by_r * by_r * by_c):
                yield r % preferred.DECADE, c % preferred.DECADE


def chosen(
    recipe: str, omega: tuple[int, int], chance: Chance, step: int | None = None
) -> dict[str, Fraction] | None:
    """Values in the proportions of a recipe; ``None`` where no parts of the laboratory fit.

    Args:
        recipe: values in proportion.
        omega: the least and the greatest place of the corner, about.
        chance: draws the levels of impedance and frequency.
        step: every value is of one series, as in ``draw_values.draw``.
    """
    fit = pairs(recipe, step)
    if not fit:
        return None
    decade = preferred.DECADE
    for _ in range(_TRIES):
        r, c = chance.pick(fit)
        r += decade * (1 + chance.below(5))
        wanted = omega[0] + chance.below(omega[1] - omega[0] + 1)
        # The nearest decade in which 1/(R·C) is about the corner wanted.
        c += decade * round(Fraction(-wanted - r - c, decade))
        if not -11 * decade <= c <= -3 * decade:
            continue
        values = _scaled(recipe, preferred.value(r), preferred.value(c))
        if all(_kept(name, value) for name, value in values.items()):
            return values
    return None


def _kept(name: str, value: Fraction) -> bool:
    place, drawer = _places().get(value), _KEPT[_kind(name)]
    return place is not None and drawer.least <= place <= drawer.most
