"""Hypothesis strategies for circuits: elements, arms, ladders with groups and buffers."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from hypothesis import strategies as st
from rungwise.problems.circuits.model import (
    MAX_NESTING,
    Arm,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    depth,
    join,
)

_DIGITS = st.integers(100, 999)


def laboratory_values(kind: Kind) -> st.SearchStrategy[Fraction]:
    """Three-digit values of parts a laboratory has: 1 Ω–10 MΩ, 1 µH–1 H, 1 pF–1 mF."""
    low, high = {Kind.R: (0, 6), Kind.L: (-6, -1), Kind.C: (-12, -4)}[kind]
    return st.builds(
        lambda digits, power: Fraction(digits) * Fraction(10) ** (power - 2),
        _DIGITS,
        st.integers(low, high),
    )


def exact_values() -> st.SearchStrategy[Fraction]:
    """Any positive rational from 10⁻²⁹ to 10²⁹: quotients that no decimal holds as well."""
    return st.builds(
        lambda n, d, power: Fraction(n, d) * Fraction(10) ** power,
        st.integers(1, 999),
        st.integers(1, 999),
        st.integers(-26, 26),
    )


def values(kind: Kind, *, valued: bool | None = True) -> st.SearchStrategy[Fraction | None]:
    """Mostly laboratory values, some awkward ones; ``valued=None`` leaves some out."""
    some = st.one_of(laboratory_values(kind), laboratory_values(kind), exact_values())
    if valued is None:
        return st.none() | some
    return some if valued else st.none()


@st.composite
def ladders(
    draw: st.DrawFn,
    *,
    valued: bool | None = True,
    laboratory: bool = False,
    max_stages: int = 5,
    buffers: bool = True,
    kinds: Sequence[Kind] = tuple(Kind),
) -> Ladder:
    """Any ladder: groups, buffers, ideal or resistive ends, plain or fancy names.

    Args:
        draw: hypothesis' own.
        valued: every element has a value; ``False``: none; ``None``: some.
        laboratory: only values of parts a laboratory has.
        max_stages: stages at most.
        buffers: whether ideal buffers may stand between stages.
        kinds: kinds of element in the arms.
    """
    names = _Names(draw)

    def element(kind: Kind, wanted: str | None = None) -> Element:
        value = draw(laboratory_values(kind) if laboratory else values(kind, valued=valued))
        return Element(kind, names.new(kind, wanted), value)

    def arm(levels: int) -> Arm:
        if levels == 0 or draw(st.integers(0, 2)):
            return element(draw(st.sampled_from(kinds)))
        joint = draw(st.sampled_from(Joint))
        return join(joint, *(arm(levels - 1) for _ in range(draw(st.integers(2, 3)))))

    places = [Place.SERIES, Place.SHUNT]
    wanted = [draw(st.sampled_from(places)) for _ in range(draw(st.integers(1, max_stages)))]
    if buffers and draw(st.integers(0, 3)) == 0:
        wanted.insert(draw(st.integers(0, len(wanted))), Place.BUFFER)
    source = element(Kind.R, "Rs") if draw(st.booleans()) else None
    stages = [
        Stage(place, None if place is Place.BUFFER else arm(draw(st.integers(0, 2))))
        for place in wanted
    ]
    load = element(Kind.R, "RL") if draw(st.booleans()) else None
    return Ladder(tuple(stages), source, load)


class _Names:
    """Unused names: usually R1, R2 …, now and then the bare letter or something longer."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.taken: set[str] = set()

    def new(self, kind: Kind, wanted: str | None) -> str:
        style = self.draw(st.integers(0, 9))
        if wanted is None or style == 0:
            wanted = {1: kind.value, 2: f"{kind.value}a", 3: f"{kind.value}_x9"}.get(style)
        count = 1
        while wanted is None or wanted in self.taken:
            wanted = f"{kind.value}{count}"
            count += 1
        self.taken.add(wanted)
        return wanted


def deep_arm(levels: int = MAX_NESTING) -> Arm:
    """An arm nested exactly so deep, series and parallel in turn."""
    arm: Arm = Element(Kind.R, "R0", Fraction(1))
    for level in range(1, levels + 1):
        joint = Joint.SERIES if level % 2 else Joint.PARALLEL
        arm = join(joint, arm, Element(Kind.R, f"R{level}", Fraction(level)))
    assert depth(arm) == levels
    return arm
