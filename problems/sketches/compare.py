"""Sketches compared piece by piece.

A sketch is right when it is the true one within the tolerances of a drawing: every break and
turn within a fifth of a decade, the level within 2.5 dB, slopes and angles exactly.  Breaks
less than two fifths of a decade apart may be drawn as one in between, as on paper.

The pieces told apart are those the learner drew, so that no piece says what would be right:
where something is missing, only the number of breaks, turns or roots is not right.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from .model import GainSketch, MapSketch, PhaseSketch, Region, Sketch, SketchPart
from .write import decibels, degrees, hertz, region_words, signed

FIFTH = 0.2
"""Decades by which a break or a turn may be misplaced."""

LEVEL = 2.5
"""Decibels by which a level may be off: less than the 3 dB between curve and corner."""

_ROUNDING = 5e-4  # of a truth given to four digits, in decades
_TURN, _JUMP = 90, 180

_Turns = Sequence[tuple[float, int]]
"""Where (Hz), and by how much."""


def agree(truth: Sketch, drawn: Sketch) -> bool:
    """Whether a sketch ``drawn`` is right, ``truth`` being the right one.

    Raises:
        TypeError: these are sketches of two kinds.
    """
    return all(part.right for part in _compared(truth, drawn))  # up to the first that is not


def explained(truth: Sketch, guess: Sketch, drawn: Sketch) -> float:
    """How much of what is wrong in a sketch a slip explains; 0 where it does not fit.

    Args:
        truth: the right sketch.
        guess: what the slip predicts.
        drawn: what was drawn.

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
        return max(
            (apart(x, y) / (FIFTH + _ROUNDING) for x, y in zip(a, b, strict=True)), default=0
        )
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) / LEVEL
    return 0 if a == b else math.inf


def compare(truth: Sketch, drawn: Sketch) -> tuple[SketchPart, ...]:
    """The pieces of what was ``drawn``, each right or not; all right when it is the ``truth``.

    Raises:
        TypeError: these are sketches of two kinds.
    """
    return tuple(_compared(truth, drawn))


def _compared(truth: Sketch, drawn: Sketch) -> Iterator[SketchPart]:
    match truth, drawn:
        case GainSketch(), GainSketch():
            return _gain(truth, drawn)
        case PhaseSketch(), PhaseSketch():
            return _phase(truth, drawn)
        case MapSketch(), MapSketch():
            return _map(truth, drawn)
    raise TypeError("these are sketches of two kinds")


def apart(a: float, b: float) -> float:
    """The distance of the frequencies ``a`` and ``b`` in decades."""
    return abs(math.log10(a / b))


def near(a: float, b: float) -> bool:
    """Whether the frequencies ``a`` and ``b`` are one as far as a drawing goes."""
    return apart(a, b) <= FIFTH + _ROUNDING


def _units(turns: _Turns, unit: int) -> list[tuple[float, int]] | None:
    """The turns as steps of one unit up or down; ``None`` where one is no multiple of it."""
    if any(turn % unit for _, turn in turns):
        return None
    return [
        (place, 1 if turn > 0 else -1) for place, turn in turns for _ in range(abs(turn) // unit)
    ]


def _same_turns(truth: _Turns, drawn: _Turns, unit: int) -> bool:
    """Whether the same steps are taken at the same places, as far as a drawing goes."""
    expected, found = _units(truth, unit), _units(drawn, unit)
    if expected is None or found is None or len(expected) != len(found):
        return False
    return all(
        sign == other and near(place, there)
        for (place, sign), (there, other) in zip(expected, found, strict=True)
    )


def _pairs(truth: Sequence[float], drawn: Sequence[float]) -> dict[int, int]:
    """Which place drawn stands for which true one: index → index, in order, as many as can."""
    found: dict[int, int] = {}
    k = 0
    for j, place in enumerate(drawn):
        while k < len(truth) and truth[k] < place and not near(truth[k], place):
            k += 1
        if k < len(truth) and near(truth[k], place):
            found[j] = k
            k += 1
    return found


def _typed(text: str, **others: object) -> tuple[tuple[str, str], ...]:
    return (("typed", text), *((name, str(value)) for name, value in others.items()))


# ------------------------------------------------------------------------------- gain


def turns_of(sketch: GainSketch) -> list[tuple[float, int]]:
    """Where the gain breaks, and by how many dB/decade its slope changes."""
    return [
        (place, after - before)
        for place, before, after in zip(
            sketch.breaks, sketch.slopes[:-1], sketch.slopes[1:], strict=True
        )
    ]


def _gain(truth: GainSketch, drawn: GainSketch) -> Iterator[SketchPart]:
    start = drawn.slopes[0] == truth.slopes[0]
    whole = start and _same_turns(turns_of(truth), turns_of(drawn), 20)
    pairs = _pairs(truth.breaks, drawn.breaks)
    count = len(drawn.breaks)
    yield SketchPart("start", start, _typed(signed(drawn.slopes[0])))
    for j, place in enumerate(drawn.breaks):
        values = _typed(hertz(place), number=j + 1)
        yield SketchPart("break", whole or j in pairs, values, j)
        if j + 1 < count:
            right = drawn.slopes[j + 1] == _slope_there(truth, drawn, pairs, j)
            values = _typed(signed(drawn.slopes[j + 1]), number=j + 1)
            yield SketchPart("slope", whole or right, values, j)
    yield SketchPart("end", drawn.slopes[-1] == truth.slopes[-1], _typed(signed(drawn.slopes[-1])))
    yield SketchPart("breaks", whole or count == len(truth.breaks), _typed(str(count)))
    yield SketchPart("level", _level(truth, drawn), _typed(decibels(drawn.level)))


def _slope_there(truth: GainSketch, drawn: GainSketch, pairs: dict[int, int], j: int) -> int:
    """The true slope of the piece after the j-th break that was drawn."""
    if j in pairs:
        return truth.slopes[pairs[j] + 1]
    if len(truth.breaks) == len(drawn.breaks):
        return truth.slopes[j + 1]
    middle = math.sqrt(drawn.breaks[j]) * math.sqrt(drawn.breaks[j + 1])
    return truth.slopes[sum(place < middle for place in truth.breaks)]


def _level(truth: GainSketch, drawn: GainSketch) -> bool:
    """Whether the height at the first break, or that of the line that leads to it, is right.

    A break that is misplaced within its tolerance must not spoil a steep line's height.
    """
    off = drawn.level - truth.level
    if abs(off) <= LEVEL:
        return True
    if not (truth.breaks and drawn.breaks) or drawn.slopes[0] != truth.slopes[0]:
        return False
    place, true_place = drawn.breaks[0], truth.breaks[0]
    along = truth.slopes[0] * math.log10(place / true_place)
    return apart(place, true_place) <= 2 * FIFTH and abs(off - along) <= LEVEL


# ------------------------------------------------------------------------------ phase


def _phase(truth: PhaseSketch, drawn: PhaseSketch) -> Iterator[SketchPart]:
    """The same curve a whole turn higher or lower is the same response."""
    shift = drawn.start - truth.start
    start = shift % 360 == 0
    turning = _same_turns(truth.turns, drawn.turns, _TURN)
    jumping = _same_turns(truth.jumps, drawn.jumps, _JUMP)
    whole = start and turning and jumping
    yield SketchPart("start", start, _typed(degrees(drawn.start)))
    yield from _turn_parts("turn", truth.turns, drawn.turns, whole=turning)
    yield from _turn_parts("jump", truth.jumps, drawn.jumps, whole=jumping)
    end = drawn.end == truth.end + (shift if start else 0)
    yield SketchPart("end", end, _typed(degrees(drawn.end)))
    counts = len(drawn.turns), len(drawn.jumps)
    same = turning or counts[0] == len(truth.turns)
    right = whole or (same and (jumping or counts[1] == len(truth.jumps)))
    yield SketchPart("turns", right, _typed(str(sum(counts))))


def _turn_parts(kind: str, truth: _Turns, drawn: _Turns, *, whole: bool) -> Iterator[SketchPart]:
    """Where each turn is, and by how much it turns."""
    pairs = _pairs([place for place, _ in truth], [place for place, _ in drawn])
    for j, (place, turn) in enumerate(drawn):
        values = _typed(hertz(place), number=j + 1)
        yield SketchPart(kind, whole or j in pairs, values, j)
        there = pairs.get(j, j if len(truth) == len(drawn) else None)
        right = there is not None and truth[there][1] == turn
        values = (*_typed(degrees(turn), number=j + 1), ("place", hertz(place)))
        yield SketchPart(f"{kind}-change", whole or right, values, j)


# -------------------------------------------------------------------------------- map


def _map(truth: MapSketch, drawn: MapSketch) -> Iterator[SketchPart]:
    yield from _roots("pole", truth.poles, drawn.poles)
    yield from _roots("zero", truth.zeros, drawn.zeros)


def _roots(
    kind: str, truth: Iterable[tuple[Region, int]], drawn: Iterable[tuple[Region, int]]
) -> Iterator[SketchPart]:
    expected, found = dict(truth), dict(drawn)
    for place, region in enumerate(Region):
        if region in found:
            right = found[region] == expected.get(region, 0)
            values = _typed(region_words(region, found[region]), region=region.value)
            yield SketchPart(f"{kind}-region", right, values, place)
    count = sum(found.values())
    yield SketchPart(f"{kind}s", count == sum(expected.values()), _typed(str(count)))
