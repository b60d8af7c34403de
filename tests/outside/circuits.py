"""Short builders for the circuits of published tables (all values in SI units)."""

from __future__ import annotations

from collections.abc import Sequence

from rungwise.problems.circuits.model import Arm, Joint, Ladder, Place, Stage, join

from tests.support.oracle import element

Value = float | str


def ladder(
    *stages: tuple[str, Arm], source: Value | None = None, load: Value | None = None
) -> Ladder:
    """("series" | "shunt", arm) pairs between an optional source and load resistance."""
    return Ladder(
        tuple(Stage(Place(place), arm) for place, arm in stages),
        None if source is None else element("R", "Rs", source),
        None if load is None else element("R", "RL", load),
    )


def series(*parts: Arm) -> Arm:
    """Parts in series in one arm."""
    return join(Joint.SERIES, *parts)


def parallel(*parts: Arm) -> Arm:
    """Parts in parallel in one arm."""
    return join(Joint.PARALLEL, *parts)


def normalised(
    values: Sequence[Value],
    *,
    source: Value | None,
    load: Value,
    first: str,
) -> Ladder:
    """A low-pass prototype: ``values`` alternate series L and shunt C, ``first`` to begin."""
    places = ("series", "shunt") if first == "series" else ("shunt", "series")
    stages = []
    for k, value in enumerate(values):
        place = places[k % 2]
        kind = "L" if place == "series" else "C"
        stages.append((place, element(kind, f"{kind}{k + 1}", value)))
    return ladder(*stages, source=source, load=load)


def R(value: Value, name: str = "R1") -> Arm:
    """A resistor in ohms."""
    return element("R", name, value)


def L(value: Value, name: str = "L1") -> Arm:
    """An inductor in henries."""
    return element("L", name, value)


def C(value: Value, name: str = "C1") -> Arm:
    """A capacitor in farads."""
    return element("C", name, value)
