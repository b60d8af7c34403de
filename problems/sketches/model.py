"""What a sketch is: straight-line gain, straight-line phase, a map of poles and zeros.

Plain frozen values, without any circuit: what is graded, what is drawn on a pad and what
figures show.  ``read.py`` and ``read_map.py`` read them from text, ``write.py`` writes them and
``truth.py`` knows the right ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import log10

from ..quantities.convert import SAME
from ..quantities.errors import WordedError

MOST_BREAKS = 12
"""A sketch of more breaks than this is refused: no ladder that is asked has as many."""


class SketchError(WordedError, ValueError):
    """Text that is no sketch; the words say what was found and how to mend it.

    Attributes:
        position: 0-based column in the text as typed.
    """

    def __init__(self, key: str, position: int = 0, **values: object) -> None:
        super().__init__(key, **values)
        self.position = position


class Region(StrEnum):
    """Where a pole or a zero lies on the s-plane."""

    ORIGIN = "origin"  # s = 0
    AXIS = "axis"  # a conjugate pair on the jω axis, away from the origin
    REAL = "real"  # on the negative real axis
    PAIR = "pair"  # a complex conjugate pair inside the left half-plane
    RIGHT = "right"  # anywhere in the right half-plane: no root of a ladder, but it may be answered


class PlotKind(StrEnum):
    """What a straight-line plot shows over frequency."""

    GAIN = "gain"
    PHASE = "phase"


@dataclass(frozen=True, slots=True)
class PlotBend:
    """A break of the gain or a turn of the phase.

    ``frequency`` is where it is in Hz; ``value`` the slope after it in dB/decade, or the change
    of phase in degrees.  A ``jump`` of the phase is a turn all at once.
    """

    frequency: float
    value: int
    jump: bool = False


@dataclass(frozen=True, slots=True)
class GainSketch:
    """A straight-line plot of the gain.

    ``slopes`` in dB/decade from left to right, one more than the ``breaks`` in Hz, which
    ascend.  ``level`` is the height in dB at the first break, or of the whole line where there
    is none.
    """

    slopes: tuple[int, ...] = (0,)
    breaks: tuple[float, ...] = ()
    level: float = 0.0

    @property
    def plot(self) -> PlotKind:
        """What it is a plot of."""
        return PlotKind.GAIN

    @property
    def start(self) -> int:
        """The slope of the first piece in dB/decade."""
        return self.slopes[0]

    @property
    def bends(self) -> tuple[PlotBend, ...]:
        """The breaks from left to right, each with the slope after it."""
        return tuple(map(PlotBend, self.breaks, self.slopes[1:]))

    @property
    def heights(self) -> tuple[float, ...]:
        """Decibels at every break."""
        found = [self.level] if self.breaks else []
        for slope, (one, other) in zip(self.slopes[1:], pairwise(self.breaks), strict=False):
            found.append(found[-1] + slope * log10(other / one))
        return tuple(found)

    def bent(self, start: int, bends: Iterable[PlotBend]) -> GainSketch:
        """The plot with ``start`` as its first slope and other breaks, ``bends``, ascending."""
        bends = tuple(bends)
        slopes = (start, *(bend.value for bend in bends))
        return GainSketch(slopes, tuple(bend.frequency for bend in bends), self.level)

    def tidied(self) -> GainSketch:
        """The plot without breaks that turn nothing; the level is that of the first one left."""
        found = gain_sketch(self.slopes, self.breaks, self.level)
        if not found.breaks:
            return found
        level = self.heights[self.breaks.index(found.breaks[0])]
        return GainSketch(found.slopes, found.breaks, level)


@dataclass(frozen=True, slots=True)
class PhaseSketch:
    """A straight-line plot of the phase.

    ``start`` is the phase in degrees towards DC; each of the ``turns`` is the frequency in Hz
    of its middle and the degrees by which the phase changes there in the end; a jump of the
    phase (where zeros lie on the jω axis) is one of the ``jumps``, given alike.
    """

    start: int = 0
    turns: tuple[tuple[float, int], ...] = ()
    jumps: tuple[tuple[float, int], ...] = ()

    @property
    def end(self) -> int:
        """The phase in degrees at high frequency."""
        return self.start + sum(turn for _, turn in (*self.turns, *self.jumps))

    @property
    def plot(self) -> PlotKind:
        """What it is a plot of."""
        return PlotKind.PHASE

    @property
    def bends(self) -> tuple[PlotBend, ...]:
        """Turns and jumps from left to right, of two at one place the turn first."""
        found = [PlotBend(place, turn) for place, turn in self.turns]
        found += [PlotBend(place, turn, True) for place, turn in self.jumps]
        return tuple(sorted(found, key=lambda bend: (bend.frequency, bend.jump)))

    def bent(self, start: int, bends: Iterable[PlotBend]) -> PhaseSketch:
        """The plot with ``start`` as its first phase and other turns and jumps, ``bends``."""
        bends = tuple(bends)
        turns, jumps = (
            tuple((bend.frequency, bend.value) for bend in bends if bend.jump is jump)
            for jump in (False, True)
        )
        return PhaseSketch(start, turns, jumps)

    def tidied(self) -> PhaseSketch:
        """The plot without turns of 0°, and with those at one place made one."""
        return phase_sketch(self.start, self.turns, self.jumps)


@dataclass(frozen=True, slots=True)
class MapSketch:
    """How many poles and finite zeros lie in each region: counts of roots, a pair being two.

    Regions stand in the order of :class:`Region`, and only those that hold a root.
    """

    poles: tuple[tuple[Region, int], ...] = ()
    zeros: tuple[tuple[Region, int], ...] = ()


LineSketch = GainSketch | PhaseSketch
Sketch = LineSketch | MapSketch


COUNTS = ("breaks", "turns", "poles", "zeros")
"""Parts that say whether there are as many as there should be, which belong to no piece."""


@dataclass(frozen=True, slots=True)
class SketchPart:
    """One piece of a sketch as the learner drew it, and whether it is right.

    Its words are ``content/parts.toml`` under the rung and ``id``, filled with ``values``.
    ``place`` counts pieces of one kind (the second break) from 0.  ``reason`` names what is wrong
    with a wrong one: its words stand under ``reasons`` there.  A right one ``earns`` something
    where it is joined to others that are right (``credit.py``).
    """

    id: str
    right: bool
    values: tuple[tuple[str, str], ...] = ()
    place: int = 0
    reason: str = ""
    earns: bool = False

    @property
    def counts(self) -> bool:
        """Whether it says only that there are as many as there should be, or not."""
        return self.id in COUNTS


def same(a: float, b: float) -> bool:
    """Whether the frequencies ``a`` and ``b`` are drawn as one."""
    return abs(a - b) <= SAME * max(abs(a), abs(b))


def gain_sketch(slopes: Sequence[int], breaks: Sequence[float], level: float) -> GainSketch:
    """The sketch without breaks that turn nothing, and with breaks at one place made one.

    Args:
        slopes: in dB/decade, one more than the breaks.
        breaks: in Hz, ascending; two may be equal.
        level: height in dB at the first break.

    Raises:
        ValueError: the numbers of slopes and breaks do not fit, or the breaks do not ascend.
    """
    if len(slopes) != len(breaks) + 1:
        raise ValueError("a line of n breaks has n + 1 slopes")
    if any(b <= a and not same(a, b) for a, b in pairwise(breaks)):
        raise ValueError("breaks go from left to right")
    kept_slopes, kept = [slopes[0]], list[float]()
    for place, slope in zip(breaks, slopes[1:], strict=True):
        if kept and same(kept[-1], place):
            kept_slopes[-1] = slope
        else:
            kept.append(place)
            kept_slopes.append(slope)
        if kept_slopes[-1] == kept_slopes[-2]:
            kept.pop()
            kept_slopes.pop()
    return GainSketch(tuple(kept_slopes), tuple(kept), level)


def phase_sketch(
    start: int,
    turns: Iterable[tuple[float, int]],
    jumps: Iterable[tuple[float, int]] = (),
) -> PhaseSketch:
    """The sketch with turns in order, those at one place made one, and none of nothing.

    ``start`` is in degrees; ``turns`` and ``jumps`` are (Hz, degrees).
    """
    return PhaseSketch(start, _gathered(turns), _gathered(jumps))


def _gathered(turns: Iterable[tuple[float, int]]) -> tuple[tuple[float, int], ...]:
    found: list[tuple[float, int]] = []
    for place, turn in sorted(turns):
        if found and same(found[-1][0], place):
            found[-1] = (found[-1][0], found[-1][1] + turn)
        else:
            found.append((place, turn))
    return tuple((place, turn) for place, turn in found if turn)


def as_written(sketch: Sketch) -> Sketch:
    """The sketch to the digits that are written of one: it is these that are compared.

    Frequencies have four digits, levels a hundredth of a dB; whatever else is learnt of a sketch
    from its text is in the value already.
    """
    match sketch:
        case GainSketch():
            places = [_four(place) for place in sketch.breaks]
            return gain_sketch(sketch.slopes, places, round(sketch.level, 2) or 0.0)
        case PhaseSketch():
            turns, jumps = (
                [(_four(place), turn) for place, turn in found]
                for found in (sketch.turns, sketch.jumps)
            )
            return phase_sketch(sketch.start, turns, jumps)
    return sketch


def _four(frequency: float) -> float:
    return float(f"{frequency:.3e}")


def map_sketch(
    poles: Iterable[tuple[Region, int]], zeros: Iterable[tuple[Region, int]]
) -> MapSketch:
    """The sketch with the regions of ``poles`` and ``zeros`` in order, each once, none empty."""
    return MapSketch(_counted(poles), _counted(zeros))


def _counted(roots: Iterable[tuple[Region, int]]) -> tuple[tuple[Region, int], ...]:
    counts = dict.fromkeys(Region, 0)
    for region, count in roots:
        counts[region] += count
    return tuple((region, count) for region, count in counts.items() if count)
