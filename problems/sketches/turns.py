"""Where a line breaks or turns, and which break drawn stands for which true one.

Breaks and turns are compared in decades.  Those less than two fifths of a decade apart may be
drawn as one in between, and one may be drawn as two, as on paper: what counts are the steps of
one unit (20 dB/decade, 90°, a jump) and where they are taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from .model import GainSketch

FIFTH = 0.2
"""Decades by which a break or a turn may be misplaced."""

ROUNDING = 5e-4
"""Decades by which a truth given to four digits may be off."""

Turns = Sequence[tuple[float, int]]
"""Where (Hz), and by how much."""


def apart(a: float, b: float) -> float:
    """The distance of the frequencies ``a`` and ``b`` in decades."""
    return abs(math.log10(a / b))


def near(a: float, b: float) -> bool:
    """Whether the frequencies ``a`` and ``b`` are one as far as a drawing goes."""
    return apart(a, b) <= FIFTH + ROUNDING


def turns_of(sketch: GainSketch) -> list[tuple[float, int]]:
    """Where the gain breaks, and by how many dB/decade its slope changes."""
    return [
        (place, after - before)
        for place, before, after in zip(
            sketch.breaks, sketch.slopes[:-1], sketch.slopes[1:], strict=True
        )
    ]


def steps(turns: Turns, unit: int) -> list[tuple[float, int]] | None:
    """The ``turns`` as steps of one ``unit`` up or down; ``None`` where one is no multiple."""
    if any(turn % unit for _, turn in turns):
        return None
    return [
        (place, 1 if turn > 0 else -1) for place, turn in turns for _ in range(abs(turn) // unit)
    ]


def same_turns(truth: Turns, drawn: Turns, unit: int) -> bool:
    """Whether the same steps are taken in ``truth`` and as ``drawn``, as far as a drawing goes.

    A single root turns by a ``unit``.
    """
    expected, found = steps(truth, unit), steps(drawn, unit)
    if expected is None or found is None or len(expected) != len(found):
        return False
    return all(
        sign == other and near(place, there)
        for (place, sign), (there, other) in zip(expected, found, strict=True)
    )


def pairs(truth: Sequence[float], drawn: Sequence[float]) -> dict[int, int]:
    """Which place ``drawn`` stands for which of ``truth``: index → index, in order, all it can."""
    found: dict[int, int] = {}
    k = 0
    for j, place in enumerate(drawn):
        while k < len(truth) and truth[k] < place and not near(truth[k], place):
            k += 1
        if k < len(truth) and near(truth[k], place):
            found[j] = k
            k += 1
    return found
