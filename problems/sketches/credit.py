"""What a piece of a wrong sketch earns: what guessing it would not have found.

A slope can be guessed, a break can be copied from another question, and a level is often 0 dB.
So nothing counts by itself; a piece counts where it is joined to others that are right:

* a sketch of another kind of filter earns nothing: the ends of a gain have to go the right way
  (up, level or down, where level at 20 dB below the top is as good as blocked), a phase has to
  start and to end at the right angles, a map has to hold as many poles and as many zeros as there
  are;
* a gain whose pass band is 10 dB off or more is nowhere near the right one and earns nothing;
* a break of the gain counts where it lies at a true one and both lines at it have the true slope;
  where there are as many breaks as there should be, or the slopes at both ends are right, one of
  the two may be off by one root, such as 20 dB/decade for 40;
* a line of the gain counts with the true slope at a break that counts, and the level where it is
  right on a line or at a corner that counts;
* a turn of the phase, among as many as there should be, counts where it lies at a true one,
  starts at the right angle and turns by as much; the start and the end count with the turn next
  to them;
* of a map the poles count, or the zeros, if all of them lie right and there are any;
* how many breaks, turns or roots there are never counts.

The share is that of what counts in all that was drawn, or in all of the right sketch, whichever
is more, so that neither leaving out nor drawing too much pays.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from ..analysis.limits import BLOCKED_DB
from .level import UNIT, bands, offs, same_lines, tops
from .model import GainSketch, MapSketch, PhaseSketch, Region, Sketch, SketchPart
from .turns import near, pairs
from .weights import EVEN, SketchWeights

FAR = 10.0
"""Decibels from which on a level is none of this circuit's: a factor of three."""

_ROUNDING = 0.01
"""Decibels to which levels are written."""

_MEANT = 0.5
"""Decibels from the pass band's height within which it was given for that at the first break."""

Piece = tuple[str, int]
"""The id and the place of a :class:`SketchPart`."""


def share(
    right: Iterable[SketchPart], drawn: Iterable[SketchPart], weights: SketchWeights = EVEN
) -> Fraction:
    """The share of its points that a sketch earns.

    ``right`` are the pieces of the right one, ``drawn`` its own, and ``weights`` what each weighs.
    """
    drawn = tuple(drawn)
    if all(part.right for part in drawn):
        return Fraction(1)
    of = max(sum(map(weights.of, parts), Fraction(0)) for parts in (tuple(right), drawn))
    earned = sum((weights.of(part) for part in drawn if part.earns), Fraction(0))
    return earned / of if of else Fraction(0)


def earning(truth: Sketch, drawn: Sketch) -> frozenset[Piece]:
    """The pieces of ``drawn`` that earn something if they are right, ``truth`` being right.

    Raises:
        TypeError: these are sketches of two kinds.
    """
    match truth, drawn:
        case GainSketch(), GainSketch():
            return frozenset(_gain(truth, drawn))
        case PhaseSketch(), PhaseSketch():
            return frozenset(_phase(truth, drawn))
        case MapSketch(), MapSketch():
            return frozenset(_map(truth, drawn))
    raise TypeError("these are sketches of two kinds")


def _way(slope: int) -> int:
    return (slope > 0) - (slope < 0)


def _gain(truth: GainSketch, drawn: GainSketch) -> set[Piece]:
    if _ends(truth) != _ends(drawn) or not drawn.breaks or _far(truth, drawn):
        return set()
    last = len(drawn.breaks)
    if same_lines(truth, drawn):
        corners, lines = set(range(last)), set(range(last + 1))
    else:
        corners, lines = _joined(truth, drawn)
    found = {("break", j) for j in corners}
    for line in lines:
        found.add(("start", 0) if not line else ("end", 0) if line == last else ("slope", line - 1))
    carriers = bands(drawn)
    if carriers and all(top.piece in (corners if top.peak else lines) for top in carriers):
        found.add(("level", 0))
    return found


def _ends(gain: GainSketch) -> tuple[int, int]:
    """Which way the ends of a gain go; a level one so far down that it is blocked goes down."""
    heights = gain.heights or (gain.level,)
    blocked = max((top.height for top in tops(gain)), default=heights[0]) - BLOCKED_DB
    low, high = _way(gain.slopes[0]), _way(gain.slopes[-1])
    return low or int(heights[0] <= blocked), high or -int(heights[-1] <= blocked)


def _far(truth: GainSketch, drawn: GainSketch) -> bool:
    """Whether the pass band is nowhere near; its height may stand at the first break by mistake."""
    off = min(map(abs, offs(truth, drawn)))
    wanted = max((top.height for top in tops(truth)), default=truth.level)
    return off >= FAR - _ROUNDING and abs(drawn.level - wanted) > _MEANT


def _joined(truth: GainSketch, drawn: GainSketch) -> tuple[set[int], set[int]]:
    """The breaks and the lines of ``drawn`` that hold each other up."""
    corners, lines = set[int](), set[int]()
    ends = drawn.slopes[0] == truth.slopes[0] and drawn.slopes[-1] == truth.slopes[-1]
    whole = ends or len(drawn.breaks) == len(truth.breaks)
    for j, k in pairs(truth.breaks, drawn.breaks).items():
        mine, right = drawn.slopes[j : j + 2], truth.slopes[k : k + 2]
        held = {j + n for n in (0, 1) if mine[n] == right[n]}
        if len(held) == 2 or (held and whole and all(map(_miscounted, mine, right))):
            corners.add(j)
            lines |= held
    return corners, lines


def _miscounted(slope: int, right: int) -> bool:
    """Whether a slope goes the right way, with one root too many or too few."""
    return _way(slope) == _way(right) and abs(slope - right) <= UNIT


def _phase(truth: PhaseSketch, drawn: PhaseSketch) -> set[Piece]:
    shift = drawn.start - truth.start
    if shift % 360 or drawn.end - truth.end != shift or len(drawn.bends) != len(truth.bends):
        return set()
    expected = []
    angle = truth.start + shift
    for bend in truth.bends:
        expected.append((bend, angle))
        angle += bend.value
    found: set[Piece] = set()
    counted = {True: 0, False: 0}
    angle, last = drawn.start, len(drawn.bends) - 1
    for place, bend in enumerate(drawn.bends):
        kind, number = "jump" if bend.jump else "turn", counted[bend.jump]
        if any(
            (bend.value, bend.jump, angle) == (right.value, right.jump, at)
            and near(bend.frequency, right.frequency)
            for right, at in expected
        ):
            found |= {(kind, number), (f"{kind}-change", number)}
            found |= {("start", 0)} if place == 0 else set()
            found |= {("end", 0)} if place == last else set()
        counted[bend.jump] += 1
        angle += bend.value
    return found


def _map(truth: MapSketch, drawn: MapSketch) -> set[Piece]:
    halves = (("pole", truth.poles, drawn.poles), ("zero", truth.zeros, drawn.zeros))
    if any(sum(n for _, n in right) != sum(n for _, n in mine) for _, right, mine in halves):
        return set()
    return {
        (f"{kind}-region", place)
        for kind, right, mine in halves
        if dict(right) == dict(mine)
        for place, _ in enumerate(Region)
    }
