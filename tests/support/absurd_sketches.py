"""Sketches that nobody draws who understands the circuit: what guessing and copying come to.

All are drawn by lot from a ``random.Random``; breaks of the right sketch may be copied, as those
of an earlier question can be, and so may its level, which is often 0 dB.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from random import Random

from rungwise.problems.sketches.model import (
    GainSketch,
    MapSketch,
    PhaseSketch,
    Region,
    Sketch,
    gain_sketch,
    map_sketch,
    phase_sketch,
)

SLOPES = tuple(range(-80, 100, 20))
ANGLES = tuple(range(-360, 450, 90))


def absurd(truth: Sketch, chance: Random) -> Iterator[tuple[str, Sketch]]:
    """(what is wrong with it, sketch) of every kind once; all are other than ``truth``.

    Of a gain without a break there are none: whoever draws a level line has understood it.
    """
    kinds: dict[str, Callable[..., Sketch | None]]
    match truth:
        case GainSketch():
            kinds = GAINS if truth.breaks else {}
        case PhaseSketch():
            kinds = PHASES
        case _:
            kinds = MAPS
    for name, make in kinds.items():
        drawn = make(truth, chance)
        if drawn is not None and drawn != truth:
            yield name, drawn


def _places(truth: GainSketch | PhaseSketch, chance: Random, count: int) -> list[float]:
    """Frequencies anywhere on the paper."""
    there = [bend.frequency for bend in truth.bends]
    low, high = min(there) / 100, max(there) * 100
    return sorted(low * (high / low) ** chance.random() for _ in range(count))


def _other(values: tuple[int, ...], right: int, chance: Random) -> int:
    return chance.choice([value for value in values if value != right])


def _level(truth: GainSketch, chance: Random) -> float:
    return chance.choice((truth.level, 0.0, chance.uniform(-60, 20)))


# ------------------------------------------------------------------------------- gain


def _flat(truth: GainSketch, chance: Random) -> GainSketch:
    return GainSketch((0,), (), _level(truth, chance))


def _copied(truth: GainSketch, chance: Random) -> GainSketch | None:
    """The right breaks, and not one slope that is right."""
    slopes = [_other(SLOPES, slope, chance) for slope in truth.slopes]
    drawn = gain_sketch(slopes, truth.breaks, _level(truth, chance))
    return drawn if len(drawn.breaks) == len(truth.breaks) else None


def _staircase(truth: GainSketch, chance: Random) -> GainSketch:
    count = chance.randint(1, 5)
    slopes = [chance.choice(SLOPES) for _ in range(count + 1)]
    return gain_sketch(slopes, _places(truth, chance, count), _level(truth, chance))


def _upside_down(truth: GainSketch, chance: Random) -> GainSketch:
    return replace(
        truth,
        slopes=tuple(-slope for slope in truth.slopes),
        level=chance.choice((1, -1)) * truth.level,
    )


def _shifted(truth: GainSketch, chance: Random) -> GainSketch:
    by = 10.0 ** (chance.choice((1, -1)) * chance.uniform(1, 3))
    return replace(truth, breaks=tuple(place * by for place in truth.breaks))


def _off(truth: GainSketch, chance: Random) -> GainSketch | None:
    """The right shape, three times too high or too low, or more.

    Not where that is the height of the pass band, given for that at the first of several breaks:
    whoever does that means the right drawing.
    """
    by = chance.choice((10, -10, chance.uniform(10, 40), chance.uniform(-40, -10)))
    meant = abs(truth.level + by - max(truth.heights)) < 1
    return None if meant else replace(truth, level=truth.level + by)


def _other_filter(truth: GainSketch, chance: Random) -> GainSketch | None:
    """A low-pass, a high-pass or a band-pass at a break that is copied, whichever is wrong.

    A level end that lies 20 dB below the top is as good as blocked.
    """
    shapes = ((0, -20), (0, -40), (20, 0), (40, 0), (20, -20), (40, -40))

    low, high = (max(truth.heights) - truth.heights[end] > 19 for end in (0, -1))
    ends = truth.slopes[0] > 0 or low, truth.slopes[-1] < 0 or high
    wrong = [shape for shape in shapes if (shape[0] > 0, shape[-1] < 0) != ends]
    return GainSketch(chance.choice(wrong), (chance.choice(truth.breaks),), truth.level)


GAINS: dict[str, Callable[[GainSketch, Random], GainSketch | None]] = {
    "flat": _flat,
    "copied": _copied,
    "staircase": _staircase,
    "upside down": _upside_down,
    "shifted": _shifted,
    "off": _off,
    "other filter": _other_filter,
}


# ------------------------------------------------------------------------------- phase


def _flat_phase(truth: PhaseSketch, chance: Random) -> PhaseSketch:
    return PhaseSketch(chance.choice((truth.start, truth.end, chance.choice(ANGLES))))


def _copied_phase(truth: PhaseSketch, chance: Random) -> PhaseSketch | None:
    """The right turns and jumps as to their places, and not one angle that is right."""
    angles, angle = [truth.start], truth.start
    for bend in truth.bends:
        angle += bend.value
        angles.append(angle)
    there = [bend.frequency for bend in truth.bends]
    if len(set(there)) < len(there):
        return None
    mine = [_other(ANGLES, at, chance) for at in angles]
    while (mine[0] - truth.start) % 360 == 0:
        mine[0] = chance.choice(ANGLES)
    changes = [after - before for before, after in pairwise(mine)]
    return phase_sketch(mine[0], list(zip(there, changes, strict=True)))


def _staircase_phase(truth: PhaseSketch, chance: Random) -> PhaseSketch:
    count = chance.randint(1, 4)
    turns = [_other(ANGLES, 0, chance) for _ in range(count)]
    places = _places(truth, chance, count + 1)
    jumps = [(places.pop(), 180)] if chance.random() < 0.5 else []
    return phase_sketch(chance.choice(ANGLES), list(zip(places, turns, strict=False)), jumps)


def _upside_down_phase(truth: PhaseSketch, _: Random) -> PhaseSketch:
    return PhaseSketch(
        -truth.start,
        tuple((place, -turn) for place, turn in truth.turns),
        tuple((place, -jump) for place, jump in truth.jumps),
    )


def _shifted_phase(truth: PhaseSketch, chance: Random) -> PhaseSketch:
    by = 10.0 ** (chance.choice((1, -1)) * chance.uniform(1, 3))
    turns, jumps = (
        tuple((place * by, turn) for place, turn in bends) for bends in (truth.turns, truth.jumps)
    )
    return PhaseSketch(truth.start, turns, jumps)


def _off_phase(truth: PhaseSketch, chance: Random) -> PhaseSketch:
    return replace(truth, start=truth.start + chance.choice((90, -90, 180, -180)))


PHASES: dict[str, Callable[[PhaseSketch, Random], PhaseSketch | None]] = {
    "flat": _flat_phase,
    "copied": _copied_phase,
    "staircase": _staircase_phase,
    "upside down": _upside_down_phase,
    "shifted": _shifted_phase,
    "off": _off_phase,
}


# ------------------------------------------------------------------------------- map


def _exchanged(truth: MapSketch, _: Random) -> MapSketch | None:
    return MapSketch(truth.zeros, truth.poles) if truth.poles != truth.zeros else None


def _empty(_: MapSketch, __: Random) -> MapSketch:
    return MapSketch()


def _crowded(truth: MapSketch, chance: Random) -> MapSketch:
    """One or more in every region."""
    each = [(region, 2 * chance.randint(1, 2)) for region in Region]
    return map_sketch(each, each)


MAPS: dict[str, Callable[[MapSketch, Random], MapSketch | None]] = {
    "exchanged": _exchanged,
    "empty": _empty,
    "crowded": _crowded,
}
