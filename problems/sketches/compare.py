"""Sketches compared piece by piece.

A sketch is right when it is the true one within the tolerances of a drawing: every break and
turn within a fifth of a decade (``turns.py``), the level of every pass band within 2.5 dB
(``level.py``), slopes, angles and regions exactly.

The pieces told apart are those the learner drew, so that no piece says what would be right:
where something is missing, only the number of breaks, turns or roots is not right.  A piece that
is wrong has a word for what is wrong with it.  Which pieces earn anything is said in
``credit.py``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from . import credit
from .level import LEVEL, bands, level_right, offs, same_lines, tops
from .model import GainSketch, MapSketch, PhaseSketch, Region, Sketch, SketchPart
from .turns import FIFTH, ROUNDING, Turns, apart, near, pairs, same_turns
from .write import decibels, degrees, hertz, region_words, signed

_TURN, _JUMP = 90, 180


def agree(truth: Sketch, drawn: Sketch) -> bool:
    """Whether a sketch ``drawn`` is right, ``truth`` being the right one.

    Raises:
        TypeError: these are sketches of two kinds.
    """
    match truth, drawn:
        case GainSketch(), GainSketch():
            return same_lines(truth, drawn) and level_right(truth, drawn)
        case PhaseSketch(), PhaseSketch():
            return (
                (drawn.start - truth.start) % 360 == 0
                and same_turns(truth.turns, drawn.turns, _TURN)
                and same_turns(truth.jumps, drawn.jumps, _JUMP)
            )
        case MapSketch(), MapSketch():
            return (dict(truth.poles), dict(truth.zeros)) == (dict(drawn.poles), dict(drawn.zeros))
    raise TypeError("these are sketches of two kinds")


def compare(truth: Sketch, drawn: Sketch) -> tuple[SketchPart, ...]:
    """The pieces of what was ``drawn``, each right or not; all right when it is the ``truth``.

    Raises:
        TypeError: these are sketches of two kinds.
    """
    whole = agree(truth, drawn)
    match truth, drawn:
        case GainSketch(), GainSketch():
            parts = tuple(_gain(truth, drawn))
        case PhaseSketch(), PhaseSketch():
            parts = tuple(_phase(truth, drawn))
        case MapSketch(), MapSketch():
            parts = tuple(_map(truth, drawn))
        case _:  # pragma: no cover - agree() has refused it
            raise TypeError("these are sketches of two kinds")
    earning = credit.earning(truth, drawn)
    return tuple(
        replace(part, earns=whole or (part.right and (part.id, part.place) in earning))
        for part in parts
    )


def explained(truth: Sketch, guess: Sketch, drawn: Sketch) -> float:
    """How much of what is wrong in a sketch ``drawn`` a slip explains; 0 where it does not fit.

    ``guess`` is what the slip predicts, ``truth`` the right one.

    It fits when the sketch is what it predicts in everything that it spoils, whatever else is
    wrong.  Breaks and levels have to come within half the tolerance of the prediction, so that
    chance is not taken for a slip; the more things fit, and the nearer, the larger the figure.
    """
    fit = 0.0
    for right, guessed, found in zip(
        _aspects(truth), _aspects(guess), _aspects(drawn), strict=True
    ):
        if _distance(right, guessed) > 1:
            off = _distance(guessed, found)
            if off > 0.5:
                return 0
            fit += 1 - off
    return fit


class _Places(tuple[float, ...]):
    """Frequencies in Hz, compared in decades."""

    __slots__ = ()


def _aspects(sketch: Sketch) -> tuple[object, ...]:
    """What a slip may spoil and another leave alone."""
    match sketch:
        case GainSketch():
            return sketch.slopes, _Places(sketch.breaks), sketch.level
        case PhaseSketch():
            turns, jumps = sketch.turns, sketch.jumps
            return (
                sketch.start % 360,
                tuple(turn for _, turn in turns),
                tuple(jump for _, jump in jumps),
                _Places(place for place, _ in turns),
                _Places(place for place, _ in jumps),
            )
    return sketch.poles, sketch.zeros


def _distance(a: object, b: object) -> float:
    """How far apart two aspects are, in tolerances."""
    if isinstance(a, _Places) and isinstance(b, _Places) and len(a) == len(b):
        return max((apart(x, y) / (FIFTH + ROUNDING) for x, y in zip(a, b, strict=True)), default=0)
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) / LEVEL
    return 0 if a == b else math.inf


def _typed(text: str, **others: object) -> tuple[tuple[str, str], ...]:
    return (("typed", text), *((name, str(value)) for name, value in others.items()))


# ------------------------------------------------------------------------------- gain


def _gain(truth: GainSketch, drawn: GainSketch) -> Iterator[SketchPart]:
    whole = same_lines(truth, drawn)
    paired = pairs(truth.breaks, drawn.breaks)
    count = len(drawn.breaks)
    yield _slope("start", truth.slopes[0], drawn.slopes[0])
    for j, place in enumerate(drawn.breaks):
        values = _typed(hertz(place), number=j + 1)
        right = whole or j in paired
        yield SketchPart("break", right, values, j, "" if right else _misplaced(truth, place))
        if j + 1 < count:
            there = drawn.slopes[j + 1] if whole else _slope_there(truth, drawn, paired, j)
            yield _slope("slope", there, drawn.slopes[j + 1], j)
    yield _slope("end", truth.slopes[-1], drawn.slopes[-1])
    same = whole or count == len(truth.breaks)
    yield SketchPart("breaks", same, _typed(str(count)), 0, "" if same else "count")
    level = level_right(truth, drawn)
    yield SketchPart(
        "level", level, _typed(decibels(drawn.level)), 0, "" if level else _height(truth, drawn)
    )


def _slope(kind: str, there: int, drawn: int, place: int = 0) -> SketchPart:
    """A piece of a gain, ``there`` being its true slope."""
    values = _typed(signed(drawn), number=place + 1) if kind == "slope" else _typed(signed(drawn))
    reason = ""
    if drawn != there:
        reason = "steepness" if drawn * there > 0 else "direction"
    return SketchPart(kind, not reason, values, place, reason)


def _misplaced(truth: GainSketch, place: float) -> str:
    """What is wrong with a break that stands for no true one."""
    return "twice" if any(near(place, there) for there in truth.breaks) else "place"


def _height(truth: GainSketch, drawn: GainSketch) -> str:
    """What is wrong with the level."""
    off = offs(truth, drawn)
    if any(abs(one) <= LEVEL for one in off):
        return "sides"
    if not tops(drawn):
        return "nowhere"
    return "peak" if bands(drawn)[0].peak else "band"


def _slope_there(truth: GainSketch, drawn: GainSketch, paired: dict[int, int], j: int) -> int:
    """The true slope of the piece after the j-th break that was drawn."""
    if j in paired:
        return truth.slopes[paired[j] + 1]
    if len(truth.breaks) == len(drawn.breaks):
        return truth.slopes[j + 1]
    middle = math.sqrt(drawn.breaks[j]) * math.sqrt(drawn.breaks[j + 1])
    return truth.slopes[sum(place < middle for place in truth.breaks)]


# ------------------------------------------------------------------------------ phase


def _phase(truth: PhaseSketch, drawn: PhaseSketch) -> Iterator[SketchPart]:
    """The same curve a whole turn higher or lower is the same response."""
    shift = drawn.start - truth.start
    start = shift % 360 == 0
    turning = same_turns(truth.turns, drawn.turns, _TURN)
    jumping = same_turns(truth.jumps, drawn.jumps, _JUMP)
    whole = start and turning and jumping
    yield SketchPart("start", start, _typed(degrees(drawn.start)), 0, "" if start else "start")
    yield from _turn_parts("turn", truth.turns, drawn.turns, whole=turning)
    yield from _turn_parts("jump", truth.jumps, drawn.jumps, whole=jumping)
    end = drawn.end == truth.end + (shift if start else 0)
    yield SketchPart("end", end, _typed(degrees(drawn.end)), 0, "" if end else "end")
    counts = len(drawn.turns), len(drawn.jumps)
    same = turning or counts[0] == len(truth.turns)
    right = whole or (same and (jumping or counts[1] == len(truth.jumps)))
    reason = "" if right else "count"
    yield SketchPart("turns", right, _typed(str(sum(counts))), 0, reason)


def _turn_parts(kind: str, truth: Turns, drawn: Turns, *, whole: bool) -> Iterator[SketchPart]:
    """Where each turn is, and by how much it turns."""
    paired = pairs([place for place, _ in truth], [place for place, _ in drawn])
    for j, (place, turn) in enumerate(drawn):
        right = whole or j in paired
        reason = "" if right else "place" if truth or kind == "turn" else "none"
        yield SketchPart(kind, right, _typed(hertz(place), number=j + 1), j, reason)
        there = paired.get(j, j if len(truth) == len(drawn) else None)
        right = whole or (there is not None and truth[there][1] == turn)
        reason = "" if right else "unknown" if there is None else "amount"
        if there is not None and not right and turn * truth[there][1] < 0:
            reason = "direction"
        values = (*_typed(degrees(turn), number=j + 1), ("place", hertz(place)))
        yield SketchPart(f"{kind}-change", right, values, j, reason)


# -------------------------------------------------------------------------------- map


def _map(truth: MapSketch, drawn: MapSketch) -> Iterator[SketchPart]:
    yield from _roots("pole", truth.poles, drawn.poles)
    yield from _roots("zero", truth.zeros, drawn.zeros)


def _roots(
    kind: str, truth: Iterable[tuple[Region, int]], drawn: Iterable[tuple[Region, int]]
) -> Iterator[SketchPart]:
    expected, found = dict(truth), dict(drawn)
    count = sum(found.values())
    same = count == sum(expected.values())
    for place, region in enumerate(Region):
        if region in found:
            right = found[region] == expected.get(region, 0)
            values = _typed(region_words(region, found[region]), region=region.value)
            reason = "" if right else "elsewhere" if same else "number"
            yield SketchPart(f"{kind}-region", right, values, place, reason)
    reason = "" if same else "count"
    yield SketchPart(f"{kind}s", same, _typed(str(count)), 0, reason)
