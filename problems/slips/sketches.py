"""Slips in sketches: straight lines and maps as a mistaken belief would draw them.

Each guess is a whole sketch with one thing spoilt; the grader compares only what is spoilt, so
that a belief is named beside other mistakes.  That learners hold these beliefs of slopes and
phases is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from ..analysis.asymptotes import Sweep
from ..analysis.idle import Reason
from ..analysis.response import TWO_PI, Facts, FilterType, PoleNature
from ..circuits.altered import roles_swapped, without_load, without_source
from ..circuits.model import Ladder
from ..questions.analyse import pass_band_gain
from ..questions.model import Rung
from ..sketches.model import (
    GainSketch,
    MapSketch,
    PhaseSketch,
    Region,
    Sketch,
    as_written,
    gain_sketch,
    map_sketch,
    phase_sketch,
)
from ..sketches.truth import true_gain, true_map, true_phase
from .case import Case, Guess, Topic, altered_facts
from .counts import HIDDEN, hidden_values

TOPIC = Topic("sketches")

GAIN, PHASE, MAP = Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH
LINES = (GAIN, PHASE)

_TRUE: dict[Rung, Callable[[Facts], Sketch]] = {GAIN: true_gain, PHASE: true_phase, MAP: true_map}


def _guess(sketch: Sketch, **values: str) -> Iterator[Guess]:
    yield Guess(as_written(sketch), tuple(values.items()))


def _sloped(case: Case, change: Callable[[int], int]) -> Iterator[Guess]:
    """The gain with other slopes; nothing where some breaks would be none."""
    lines = true_gain(case.facts)
    slopes = [change(slope) for slope in lines.slopes]
    changed = gain_sketch(slopes, lines.breaks, lines.level)
    if changed.breaks or not slopes[0]:
        yield from _guess(changed)


def _moved(case: Case, factor: float) -> Iterator[Guess]:
    """Every break, or the middle of every turn, at so many times its frequency."""
    match _TRUE[case.rung](case.facts):
        case GainSketch() as lines:
            yield from _guess(replace(lines, breaks=tuple(f * factor for f in lines.breaks)))
        case PhaseSketch() as lines:
            yield from _guess(
                PhaseSketch(
                    lines.start,
                    tuple((f * factor, turn) for f, turn in lines.turns),
                    tuple((f * factor, jump) for f, jump in lines.jumps),
                )
            )


# ------------------------------------------------------------------------- frequencies


TOPIC.slip("radians-as-hertz", *LINES)(partial(_moved, factor=TWO_PI))
TOPIC.slip("two-pi-twice", *LINES)(partial(_moved, factor=1 / TWO_PI))


@TOPIC.slip("turn-not-centred", PHASE)
def turn_not_centred(case: Case) -> Iterator[Guess]:
    """The beginning or the end of each turn, a decade away, drawn for its middle."""
    for factor in (10.0, 0.1):
        yield from _moved(case, factor)


def _like(case: Case, *, how: Callable[[Ladder], Ladder | None]) -> Iterator[Guess]:
    """The sketch of an altered circuit, if it is of the same type and pole count."""
    found = altered_facts(how(case.ladder))
    if found and case.facts.is_alike(found) and found.transfer.order == case.order:
        yield from _guess(_TRUE[case.rung](found))


TOPIC.slip("load-ignored", *LINES)(partial(_like, how=without_load))
TOPIC.slip("source-ignored", *LINES)(partial(_like, how=without_source))


@TOPIC.slip("prefix-lost", *LINES)
def prefix_lost(case: Case) -> Iterator[Guess]:
    """Breaks a prefix away."""
    for step in (3, -3, 1.5, -1.5) if case.order == 2 else (3, -3):
        yield from _moved(case, 10.0**step)


# -------------------------------------------------------------------- shape of the gain


@TOPIC.slip("slope-sign", GAIN)
def slope_sign(case: Case) -> Iterator[Guess]:
    """Rises drawn as falls, or the other way round."""
    yield from _sloped(case, lambda slope: -slope)


@TOPIC.slip("band-pass-skirts", GAIN)
def band_pass_skirts(case: Case) -> Iterator[Guess]:
    """40 dB/decade for each skirt of a two-pole band-pass."""
    if case.facts.type is FilterType.BAND_PASS and case.order == 2:
        yield from _sloped(case, lambda slope: 2 * slope)


@TOPIC.slip("twenty-for-forty", GAIN)
def twenty_for_forty(case: Case) -> Iterator[Guess]:
    """One pole's or zero's 20 dB/decade, where several work together."""
    yield from _sloped(case, lambda slope: max(-20, min(20, slope)))


@TOPIC.slip("octave-for-decade", GAIN)
def octave_for_decade(case: Case) -> Iterator[Guess]:
    """6 dB for each decade."""
    yield from _sloped(case, lambda slope: slope * 6 // 20)


@TOPIC.slip("ten-log", GAIN)
def ten_log(case: Case) -> Iterator[Guess]:
    """10·log of a voltage ratio: 10 dB/decade for each pole, and half the level."""
    yield from _sloped(case, lambda slope: slope // 2)
    lines = true_gain(case.facts)
    yield from _guess(replace(lines, level=lines.level / 2))


@TOPIC.slip("origin-zeros-missed", GAIN)
def origin_zeros_missed(case: Case) -> Iterator[Guess]:
    """The poles' bends alone, from a level start."""
    count = case.facts.transfer.zeros_at_origin
    yield from _sloped(case, lambda slope: slope - 20 * count)


@TOPIC.slip("real-poles-merged", *LINES)
def real_poles_merged(case: Case) -> Iterator[Guess]:
    """Two real poles drawn as one break at f₀, where only a pair or a double pole breaks."""
    f = case.facts
    if f.pole_nature is not PoleNature.REAL or f.corner_hz is None:
        return
    if case.rung is GAIN:
        lines = true_gain(f)
        if len(lines.breaks) == 2:
            ends = (lines.slopes[0], lines.slopes[-1])
            yield from _guess(gain_sketch(ends, (f.corner_hz,), lines.level))
    else:
        phase = true_phase(f)
        if len(phase.turns) == 2:
            whole = sum(turn for _, turn in phase.turns)
            yield from _guess(replace(phase, turns=((f.corner_hz, whole),)))


@TOPIC.slip("edges-as-breaks", *LINES)
def edges_as_breaks(case: Case) -> Iterator[Guess]:
    """The −3 dB edges of a complex pair drawn as two breaks."""
    f = case.facts
    lower, upper = f.edges_hz
    if f.pole_nature is not PoleNature.COMPLEX or lower is None or upper is None:
        return
    if case.rung is GAIN:
        lines = true_gain(f)
        low, high = lines.slopes[0], lines.slopes[-1]
        yield from _guess(gain_sketch((low, (low + high) // 2, high), (lower, upper), lines.level))
    else:
        phase = true_phase(f)
        yield from _guess(phase_sketch(phase.start, ((lower, -90), (upper, -90)), phase.jumps))


# ------------------------------------------------------------------ height of the gain


@TOPIC.slip("curve-for-line", GAIN)
def curve_for_line(case: Case) -> Iterator[Guess]:
    """The exact curve's height at the first break given for that of the lines."""
    lines = true_gain(case.facts)
    if lines.breaks:
        height = Sweep(case.facts).gain_db(lines.breaks[0])
        if math.isfinite(height):
            yield from _guess(replace(lines, level=height))


@TOPIC.slip("unity-gain", GAIN)
def unity_gain(case: Case) -> Iterator[Guess]:
    """The pass band drawn at 0 dB though it lies lower."""
    gain = pass_band_gain(case.facts)
    if gain:
        lines = true_gain(case.facts)
        yield from _guess(replace(lines, level=lines.level - 20 * math.log10(gain)))


@TOPIC.slip("pass-band-at-first-break", GAIN)
def pass_band_at_first_break(case: Case) -> Iterator[Guess]:
    """The pass band's height given for that at the first break of several."""
    gain = pass_band_gain(case.facts)
    lines = true_gain(case.facts)
    if gain and len(lines.breaks) > 1 and case.facts.type is FilterType.HIGH_PASS:
        yield from _guess(replace(lines, level=20 * math.log10(gain)))


# ------------------------------------------------------------------ shape of the phase


def _begun_at_zero(case: Case, *, kind: FilterType) -> Iterator[Guess]:
    """A band-pass or a high-pass begun at 0°, as if its poles were all."""
    if case.facts.type is kind:
        yield from _guess(replace(true_phase(case.facts), start=0))


TOPIC.slip("band-pass-as-low-pass", PHASE)(partial(_begun_at_zero, kind=FilterType.BAND_PASS))
TOPIC.slip("high-pass-starts-at-zero", PHASE)(partial(_begun_at_zero, kind=FilterType.HIGH_PASS))


@TOPIC.slip("notch-jump-missed", PHASE)
def notch_jump_missed(case: Case) -> Iterator[Guess]:
    """A notch without its jump."""
    lines = true_phase(case.facts)
    if lines.jumps:
        yield from _guess(replace(lines, jumps=()))


@TOPIC.slip("ninety-for-two", PHASE)
def ninety_for_two(case: Case) -> Iterator[Guess]:
    """One pole's 90°, where two turn the phase together."""
    lines = true_phase(case.facts)
    turns = tuple((place, max(-90, min(90, turn))) for place, turn in lines.turns)
    yield from _guess(replace(lines, turns=turns))


@TOPIC.slip("phase-sign", PHASE)
def phase_sign(case: Case) -> Iterator[Guess]:
    """Poles drawn to lead, and zeros at the origin to lag."""
    lines = true_phase(case.facts)
    turned = tuple((place, -turn) for place, turn in lines.turns)
    yield from _guess(PhaseSketch(-lines.start, turned, lines.jumps))
    yield from _guess(replace(lines, turns=turned))


# ------------------------------------------------------------------------------- maps


@TOPIC.slip("two-poles-always-complex", MAP)
def two_poles_always_complex(case: Case) -> Iterator[Guess]:
    """Two real poles placed as a complex pair."""
    if case.facts.pole_nature in (PoleNature.REAL, PoleNature.DOUBLE):
        yield from _guess(_with_poles(case, ((Region.PAIR, 2),)))


def _pair_elsewhere(case: Case, *, region: Region) -> Iterator[Guess]:
    """A complex pair placed on an axis; on that of jω only where something damps it."""
    damped = region is not Region.AXIS or case.resistors
    if case.facts.pole_nature is PoleNature.COMPLEX and damped:
        yield from _guess(_with_poles(case, ((region, 2),)))


TOPIC.slip("pair-placed-real", MAP)(partial(_pair_elsewhere, region=Region.REAL))
TOPIC.slip("pair-undamped", MAP)(partial(_pair_elsewhere, region=Region.AXIS))


def _with_poles(case: Case, poles: tuple[tuple[Region, int], ...]) -> MapSketch:
    return replace(true_map(case.facts), poles=poles)


def _with_zeros(case: Case, zeros: tuple[tuple[Region, int], ...]) -> MapSketch:
    return replace(true_map(case.facts), zeros=zeros)


@TOPIC.slip("origin-zeros-missed", MAP)
def origin_zeros_left_out(case: Case) -> Iterator[Guess]:
    """No zero placed at the origin."""
    zeros = true_map(case.facts).zeros
    if case.facts.transfer.zeros_at_origin:
        kept = tuple(pair for pair in zeros if pair[0] is not Region.ORIGIN)
        yield from _guess(_with_zeros(case, kept))


@TOPIC.slip("axis-zeros-missed", MAP)
def axis_zeros_missed(case: Case) -> Iterator[Guess]:
    """A notch without its zeros."""
    zeros = true_map(case.facts).zeros
    kept = tuple(pair for pair in zeros if pair[0] is not Region.AXIS)
    if kept != zeros:
        yield from _guess(_with_zeros(case, kept))


@TOPIC.slip("axis-zeros-at-origin", MAP)
def axis_zeros_at_origin(case: Case) -> Iterator[Guess]:
    """The zeros of a notch placed at the origin."""
    zeros = true_map(case.facts).zeros
    if case.facts.type is FilterType.NOTCH:
        moved = [(Region.ORIGIN if r is Region.AXIS else r, n) for r, n in zeros]
        yield from _guess(map_sketch(true_map(case.facts).poles, moved))


@TOPIC.slip("zeros-at-infinity", MAP)
def zeros_at_infinity(case: Case) -> Iterator[Guess]:
    """As many zeros as poles, those of high frequency placed at the origin."""
    lines = true_map(case.facts)
    missing = case.order - case.facts.transfer.zero_count
    if missing > 0:
        yield from _guess(map_sketch(lines.poles, (*lines.zeros, (Region.ORIGIN, missing))))


@TOPIC.slip("poles-zeros-swapped", MAP)
def poles_zeros_swapped(case: Case) -> Iterator[Guess]:
    """Poles placed as zeros, and zeros as poles."""
    lines = true_map(case.facts)
    yield from _guess(MapSketch(lines.zeros, lines.poles))


def _put_right(roots: tuple[tuple[Region, int], ...]) -> Iterator[tuple[tuple[Region, int], ...]]:
    """As many roots, some of them or all in the right half-plane and the rest on the left."""
    total = sum(count for _, count in roots)
    for right in range(1, total + 1):
        left = total - right
        for pairs in range(left // 2 + 1):
            placed = (Region.REAL, left - 2 * pairs), (Region.PAIR, 2 * pairs)
            yield tuple((r, n) for r, n in (*placed, (Region.RIGHT, right)) if n)


@TOPIC.slip("right-half-plane", MAP)
def right_half_plane(case: Case) -> Iterator[Guess]:
    """Poles placed in the right half-plane, or zeros."""
    right = true_map(case.facts)
    for poles in _put_right(right.poles):
        yield from _guess(_with_poles(case, poles))
    for zeros in _put_right(right.zeros):
        yield from _guess(_with_zeros(case, zeros))


def _hidden(case: Case, *, reason: Reason) -> Iterator[Guess]:
    """A pole placed for every part that is hidden for a reason."""
    hidden = [h for h in case.facts.hidden if h.reason is reason]
    if hidden:
        found = true_map(case.facts)
        wrong = map_sketch((*found.poles, (Region.REAL, len(hidden))), found.zeros)
        yield Guess(wrong, hidden_values(hidden))


for _id in ("combinable-counted", "across-source-counted", "dangling-counted"):
    TOPIC.slip(_id, MAP)(partial(_hidden, reason=HIDDEN[_id]))


# ------------------------------------------------------------------------- all of them


@TOPIC.slip("roles-swapped", GAIN, PHASE, MAP)
def roles_swapped_sketch(case: Case) -> Iterator[Guess]:
    """L taken for C and C for L: another shape, with breaks where they were."""
    found = altered_facts(roles_swapped(case.ladder))
    if found is None:
        return
    if case.rung is MAP:
        yield from _guess(true_map(found))
    elif case.rung is GAIN:
        lines, other = true_gain(case.facts), true_gain(found)
        if lines.breaks and len(lines.breaks) == len(other.breaks):
            yield from _guess(replace(lines, slopes=other.slopes))
    else:
        yield from _guess(replace(true_phase(case.facts), start=found.phase_low))
