"""Sketches as values and as text: the right ones, both ways, and every text that is none."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import CircuitError, Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.sketches.model import (
    MOST_BREAKS,
    GainSketch,
    MapSketch,
    PhaseSketch,
    Region,
    Sketch,
    SketchError,
    gain_sketch,
    map_sketch,
    phase_sketch,
)
from rungwise.problems.sketches.paper import frame
from rungwise.problems.sketches.read import read_gain, read_phase
from rungwise.problems.sketches.read_map import read_map
from rungwise.problems.sketches.truth import true_gain, true_map, true_phase
from rungwise.problems.sketches.write import write
from rungwise.tutor.language.errors import worded

from tests.support import hostile
from tests.support.refusals import refused
from tests.support.strategies import ladders

ORIGIN, AXIS, REAL, PAIR, RIGHT = Region

# ------------------------------------------------------------------------------- values


def test_breaks_at_one_place_are_one_and_idle_ones_none() -> None:
    assert gain_sketch((0, -20, -40), (100, 100), 0) == GainSketch((0, -40), (100,), 0)
    assert gain_sketch((0, 0, -20), (10, 100), 1) == GainSketch((0, -20), (100,), 1)
    assert gain_sketch((20, 0, 20), (10, 10.0), 1) == GainSketch((20,), (), 1)


@pytest.mark.parametrize(
    ("slopes", "breaks"), [((0,), (1.0,)), ((0, -20), ()), ((0, -20, 0), (10.0, 9.0))]
)
def test_what_is_no_line_is_refused(slopes: tuple[int, ...], breaks: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match=r"slopes|left to right"):
        gain_sketch(slopes, breaks, 0)


def test_turns_are_gathered_in_order() -> None:
    drawn = phase_sketch(90, [(50, -90), (10, -90), (50, 180), (9, 0)], [(20, 180)])
    assert drawn == PhaseSketch(90, ((10, -90), (50, 90)), ((20, 180),))
    assert drawn.end == 270


def test_regions_stand_in_order_and_only_where_roots_are() -> None:
    drawn = map_sketch([(PAIR, 2), (REAL, 1), (PAIR, 2), (AXIS, 0)], [])
    assert drawn == MapSketch(((REAL, 1), (PAIR, 4)), ())


# ------------------------------------------------------------------------ the right ones


def known(text: str) -> Facts:
    return facts(read_circuit(text))


@pytest.mark.parametrize(
    ("circuit", "gain", "phase", "placed"),
    [
        # 1/(2π·1 kΩ·100 nF) = 1.592 kHz
        (
            "series R 1 kΩ; shunt C 100 nF",
            "0 to 1.592 kHz, −20; level 0 dB",
            "0 to 1.592 kHz, −90",
            "poles: 1 real; zeros: none",
        ),
        # The same with 1 kΩ across the output: half the voltage, twice the corner.
        (
            "series R 1 kΩ; shunt C 100 nF; load 1 kΩ",
            "0 to 3.183 kHz, −20; level −6.02 dB",
            "0 to 3.183 kHz, −90",
            "poles: 1 real; zeros: none",
        ),
        # Sections a hundredfold apart, buffered: 15.92 Hz and 1.592 kHz.
        (
            "series C1 10 µF; shunt R1 1 kΩ; buffer; series R2 1 kΩ; shunt C2 100 nF",
            "+20 to 15.92 Hz, 0 to 1.592 kHz, −20; level 0 dB",
            "+90 to 15.92 Hz, 0 to 1.592 kHz, −90",
            "poles: 2 real; zeros: 1 at the origin",
        ),
        # f₀ = 5.033 kHz; across R the lines meet at −20·log Q, Q = √(L/C)/R = √10.
        (
            "series L 10 mH + C 100 nF; shunt R 100 Ω",
            "+20 to 5.033 kHz, −20; level −10 dB",
            "+90 to 5.033 kHz, −90",
            "poles: 1 complex pair; zeros: 1 at the origin",
        ),
        # A notch with Q = 0.1: real poles at f₀·(1 ± √0.96)/0.2 on both sides of the null.
        (
            "series R 3.162277660168379 kΩ; shunt L 10 mH + C 100 nF",
            "0 to 508.4 Hz, −20 to 5.033 kHz, +20 to 49.82 kHz, 0; level 0 dB",
            "0 to 508.4 Hz, −90 to 5.033 kHz jump, +90 to 49.82 kHz, 0",
            "poles: 2 real; zeros: 1 pair on the jω axis",
        ),
        # With complex poles the lines of its gain turn nowhere, and those of its phase jump.
        (
            "series R 100 Ω; shunt L 10 mH + C 100 nF",
            "0; level 0 dB",
            "0 to 5.033 kHz, −90 to 5.033 kHz jump, +90 to 5.033 kHz, 0",
            "poles: 1 complex pair; zeros: 1 pair on the jω axis",
        ),
        ("series R1 9 kΩ; shunt R2 1 kΩ", "0; level −20 dB", "0", "poles: none; zeros: none"),
        (
            "series L 10 mH; shunt C 100 nF",
            "0 to 5.033 kHz, −40; level 0 dB",
            "0 to 5.033 kHz jump, −180",
            "poles: 1 pair on the jω axis; zeros: none",
        ),
    ],
)
def test_sketches_worked_by_hand(circuit: str, gain: str, phase: str, placed: str) -> None:
    found = known(circuit)
    assert write(true_gain(found)) == gain
    assert write(true_phase(found)) == phase
    assert write(true_map(found)) == placed


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_lines_follow_from_roots_found_by_numpy(family: object) -> None:
    """Breaks, turns and regions, worked out from numpy's roots of the polynomials."""
    ladder = generate(5, family=family.name).ladder  # type: ignore[attr-defined]
    found = facts(ladder)
    top = np.roots([float(c) for c in found.transfer.numerator])
    bottom = np.roots([float(c) for c in found.transfer.denominator])
    origin = sum(abs(z) < 1e-9 * max(abs(bottom), default=1) for z in top)
    scale = max(abs(bottom), default=1.0)
    turns = [(abs(z) / math.tau, 20) for z in top if abs(z) > 1e-9 * scale]
    turns += [(abs(p) / math.tau, -20) for p in bottom]
    lines, phase = true_gain(found), true_phase(found)
    assert lines.slopes[0] == 20 * origin
    assert phase.start == 90 * origin
    # Slopes between the breaks, and the phase far from all turns.
    for f in np.geomspace(1e-2, 1e11, 100):
        if min((abs(math.log10(f / place)) for place, _ in turns), default=1) > 1e-3:
            slope = 20 * origin + sum(turn for place, turn in turns if place < f)
            assert lines.slopes[sum(place < f for place in lines.breaks)] == slope
    # At high frequency arg H goes to 90° times the difference of the counts.
    assert phase.end == 90 * (len(top) - len(bottom))
    real = sum(abs(p.imag) < 1e-6 * abs(p) for p in bottom)
    placed = true_map(found)
    assert dict(placed.poles).get(REAL, 0) == real
    assert dict(placed.poles).get(PAIR, 0) == len(bottom) - real
    axis = sum(abs(z.real) < 1e-9 * abs(z) for z in top if abs(z) > 1e-9 * scale)
    assert (dict(placed.zeros).get(ORIGIN, 0), dict(placed.zeros).get(AXIS, 0)) == (origin, axis)


@given(ladders(laboratory=True, max_stages=4))
def test_counts_of_any_ladder_add_up(ladder: Ladder) -> None:
    try:
        found = facts(ladder)
    except CircuitError:
        assume(False)  # passes nothing at all
    lines, phase, placed = true_gain(found), true_phase(found), true_map(found)
    assert lines.slopes[-1] == found.slope_high
    assert phase.end == found.phase_high
    assert sum(n for _, n in placed.poles) == found.transfer.order
    assert sum(n for _, n in placed.zeros) == found.transfer.zero_count
    assert all(a < b for a, b in pairwise(lines.breaks))


# ----------------------------------------------------------------------------- the paper


def test_the_paper_holds_the_sketch_and_gives_nothing_away() -> None:
    shares: list[float] = []
    for seed in range(3):
        for family in FAMILIES:
            found = facts(generate(seed, family=family.name).ladder)
            low, high, bottom, top = frame(found)
            for bound in low, high:
                assert math.log10(bound) == pytest.approx(round(math.log10(bound)), abs=1e-9)
            lines, phase = true_gain(found), true_phase(found)
            places = [*lines.breaks, *(f for f, _ in phase.turns), *(f for f, _ in phase.jumps)]
            for place in places:
                assert low * 9.99 <= place <= high / 9.99, "a decade beyond every break"
            assert math.log10(high / low) >= 2
            assert bottom + 20 <= lines.level <= top - 20
            assert bottom % 20 == top % 20 == 0
            assert frame(found) == (low, high, bottom, top), "always the same paper"
            if len(places) == 2 and len(lines.breaks) == 1:
                shares.append(math.log10(places[0] / low) / math.log10(high / low))
    # Where the corner lies on the paper says nothing: anywhere from a fifth to four fifths.
    assert min(shares) < 0.3
    assert max(shares) > 0.7
    assert 0.4 < sum(shares) / len(shares) < 0.6


# ---------------------------------------------------------------------------- both ways

_PLACES = st.lists(
    st.floats(-3, 11).map(lambda x: 10**x), min_size=0, max_size=MOST_BREAKS, unique=True
).map(sorted)


@given(_PLACES, st.data())
def test_a_gain_comes_back(places: list[float], data: st.DataObject) -> None:
    assume(all(b / a > 1.001 for a, b in pairwise(places)))
    slopes = [data.draw(st.integers(-9, 9)) * 20]
    for _ in places:
        slopes.append(slopes[-1] + 20 * data.draw(st.sampled_from((-4, -3, -2, -1, 1, 2))))
    if not places:
        slopes = [0]
    level = round(data.draw(st.floats(-300, 300)), 2)
    drawn = gain_sketch(slopes, places, level)
    back = read_gain(write(drawn))
    assert back.slopes == drawn.slopes
    assert back.breaks == pytest.approx(drawn.breaks, rel=6e-4)
    assert back.level == pytest.approx(drawn.level, abs=1e-9)
    assert read_gain(write(back)) == back, "once rounded it stays what it is"
    assert write(back) == write(drawn)


@given(_PLACES, st.data())
def test_a_phase_comes_back(places: list[float], data: st.DataObject) -> None:
    assume(all(b / a > 1.02 for a, b in pairwise(places)))
    angles = st.sampled_from((-270, -180, -90, -45, 45, 90, 180))
    turns = [(place, data.draw(angles)) for place in places[:6]]
    jumps = [(place, data.draw(st.sampled_from((-180, 180, 360)))) for place in places[4:8]]
    drawn = phase_sketch(90 * data.draw(st.integers(-4, 4)), turns, jumps)
    back = read_phase(write(drawn))
    assert (back.start, back.end) == (drawn.start, drawn.end)
    assert [turn for _, turn in back.turns] == [turn for _, turn in drawn.turns]
    assert [jump for _, jump in back.jumps] == [jump for _, jump in drawn.jumps]
    assert read_phase(write(back)) == back
    assert write(back) == write(drawn)


_ROOTS = st.dictionaries(st.sampled_from(Region), st.integers(1, 8)).map(
    lambda found: [(r, 2 * n if r in (AXIS, PAIR) else n) for r, n in found.items()]
)


@given(_ROOTS, _ROOTS)
def test_a_map_comes_back(poles: list[tuple[Region, int]], zeros: list[tuple[Region, int]]) -> None:
    drawn = map_sketch(poles, zeros)
    assert read_map(write(drawn)) == drawn


# -------------------------------------------------------------------- as people write them

BAND = GainSketch((20, 0, -20), (340.0, 12e3), -6.0)


@pytest.mark.parametrize(
    "text",
    [
        "+20 to 340 Hz, 0 to 12 kHz, −20; level −6 dB",
        "+20, 340, 0, 12k, -20, level -6",
        "20,340,0,12k,-20;level -6",
        "20 to 340 then flat to 12k then -20 dB/decade; level: -6 dB",
        "+20 | 340 Hz | 0 | 12 kHz | -20 | -6 dB",
        "+20 -> 340 Hz -> 0 -> 12 kHz -> -20; -6dB",
        "-6 dB: 20 until 340 Hz, 0 until 12 000 Hz, then -20",
        "level -6 dB, slope +20 dB/dec until 340Hz, horizontal up to 12kHz, finally −20 dB/dec",
        "6 dB/octave to 340 Hz, 0 to 12 kHz, -6 dB/oct; level -6 dB",
        "+20 dB per decade to 340 hertz, 0 dB/decade to 0.012 MHz, −20 dB / decade; height −6",
        "20 to 2.13628 krad/s, 0 to 75.3982 krad/s, -20; level −6 dB",
        "+20 to 3.4×10² Hz, 0 to 1.2e4 Hz, −20, level −6 dB",
        "+20 to 340, 0 to 12k, -20\nlevel -6 dB",
        "+20 to 340, +20 to 1k, 0 to 12k, -20; level -6".replace("+20 to 1k, ", ""),
        "+20 unitl 340 Hz, 0 unitl 12 kHz, -20; levl -6 dB",
        "＋２０, 340 Hz, 0, 12 kHz, −20; level −6 dB",
        "start +20, break 340 Hz, slope 0, break 12 kHz, end −20, level 50.1187 %",
    ],
)
def test_one_gain_in_many_spellings(text: str) -> None:
    found = read_gain(text)
    assert found.slopes == BAND.slopes
    assert found.breaks == pytest.approx(BAND.breaks, rel=1e-4)
    assert found.level == pytest.approx(BAND.level, abs=1e-3)


NOTCH = PhaseSketch(0, ((1000.0, -180),), ((1000.0, 180),))


@pytest.mark.parametrize(
    "text",
    [
        "0 to 1 kHz, −90 to 1 kHz jump, +90 to 1 kHz, 0",
        "0, 1k, -90, 1k jump, 90, 1k, 0",
        "0 to 1 kHz, -90 jump at 1 kHz to +90, to 1 kHz, 0",
        "0° to 1k, −90° to 1k, +90° to 1k, 0°",  # in the middle of a turn it can only be a jump
        "0 rad, 1 kHz, −π/2, 1 kHz jumping, +π/2, 1 kHz, 0",
        "flat to 1k, -90 deg to 1.0001k jump, 90 degrees to 1k, 0",
    ],
)
def test_one_notch_in_many_spellings(text: str) -> None:
    found = read_phase(text)
    assert (found.start, found.end) == (0, 0)
    assert sum(turn for _, turn in found.turns) == -180
    assert [jump for _, jump in found.jumps] == [180]
    assert all(f == pytest.approx(1000, rel=1e-3) for f, _ in (*found.turns, *found.jumps))


@pytest.mark.parametrize(
    ("text", "poles", "zeros"),
    [
        ("poles: 2 real; zeros: 1 at the origin", [(REAL, 2)], [(ORIGIN, 1)]),
        ("2 real poles, one zero at the origin", [(REAL, 2)], [(ORIGIN, 1)]),
        ("two real poles and a zero at s = 0", [(REAL, 2)], [(ORIGIN, 1)]),
        ("zero at origin, poles: both real", [(REAL, 2)], [(ORIGIN, 1)]),
        ("Poles complex pair\nzeros none", [(PAIR, 2)], []),
        ("poles: 1 pair; zeros: 0", [(PAIR, 2)], []),
        ("a complex conjugate pair of poles, no zeros", [(PAIR, 2)], []),
        ("poles: 2 complex; zeros: 2 on the jω axis", [(PAIR, 2)], [(AXIS, 2)]),
        ("poles: 1 pair; zeros: a pair on the imaginary axis", [(PAIR, 2)], [(AXIS, 2)]),
        ("poles: 2 pairs; zeros: 2 at 0", [(PAIR, 4)], [(ORIGIN, 2)]),
        ("poles: one on the negative real axis; zeros: zero", [(REAL, 1)], []),
        ("zero poles, zero zeros", [], []),
        ("poles: none; zeros: none", [], []),
        ("poles: 1 reel, 1 complx pair; zeroes: 3 orign", [(REAL, 1), (PAIR, 2)], [(ORIGIN, 3)]),
        ("poles 1 real 1 complex pair, zeros 3 origin", [(REAL, 1), (PAIR, 2)], [(ORIGIN, 3)]),
        ("1 real and 1 complex pair of poles; no zeros", [(REAL, 1), (PAIR, 2)], []),
        ("poles: a double real one; zeros: none", [(REAL, 2)], []),
        ("poles: 1 jw pair; zeros: none", [(AXIS, 2)], []),
        ("poles: 1 in the right half; zeros: none", [(RIGHT, 1)], []),
        ("poles: a complex pair in the right half-plane; zeros: none", [(RIGHT, 2)], []),
        (
            "poles: 1 real, 1 on the positive real axis; zeros: 1 rhp",
            [(REAL, 1), (RIGHT, 1)],
            [(RIGHT, 1)],
        ),
        ("poles: a pair on the positive jω axis; zeros: none", [(AXIS, 2)], []),
    ],
)
def test_maps_in_many_spellings(
    text: str, poles: list[tuple[Region, int]], zeros: list[tuple[Region, int]]
) -> None:
    assert read_map(text) == map_sketch(poles, zeros)


# ------------------------------------------------------------------------ what is no sketch


@pytest.mark.parametrize(
    ("text", "position", "says"),
    [
        ("", 0, "nothing"),
        ("0 to 1k, -20", 12, "level is missing"),
        ("0 to 1k; level 0", 16, "slope is missing"),
        ("level 0 dB", 10, "first slope"),
        ("0 to 1k, -20; level", 19, "its height in dB is missing"),
        ("0 to 1k, -20; level 3 level 4", 22, "twice"),
        ("0 to 2k, -20 to 1k, -40; level 0", 16, "left to right"),
        ("0 to -5, -20; level 0", 5, "“-5” is not a frequency"),
        ("0 to 0, -20; level 0", 5, "“0” is not a frequency"),
        ("0 to 1 kΩ, -20; level 0", 7, "a frequency belongs here"),
        ("0 to 1 kHzz, -20; level 0", 7, "did you mean Hz"),
        ("340 Hz to 0, 20; level 0", 4, "a slope in dB/decade belongs here"),
        ("0 to 1k, -20; level 5 Hz", 22, "a level"),
        ("0 to 1k, -20; level 2000 dB", 20, "beyond"),
        ("0 to 1k, -2000; level 0", 9, "beyond"),
        ("20 340 0 12k -20; level 0", 0, "commas"),
        ("0 to 1k jump, -20; level 0", 8, "no jumps"),
        ("+20; level 0", 0, "slopes everywhere"),
        ("rhubarb", 0, "not understood"),
        ("0 to 1k, -20; level 0 %", 20, "above 0"),
        ("0" + " to 1k, -20" * 20 + "; level 0", 137, "more than"),
        ("9" * 2000, 0, "at most"),
    ],
)
def test_what_is_no_gain_is_told(text: str, position: int, says: str) -> None:
    with refused(SketchError, says=says) as caught:
        read_gain(text)
    assert caught.value.position == position


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0 to 1k", "an angle is missing"),
        ("0 jump", "frequency is missing"),
        ("jump 0 to 1k, 90", "first angle"),
        ("0 to 1k, 90; level 0", "no level"),
        ("0 to 1k, 90000", "beyond"),
        ("0 to 1k, 20 dB", "an angle in degrees belongs here"),
    ],
)
def test_what_is_no_phase_is_told(text: str, says: str) -> None:
    with refused(SketchError, says=says):
        read_phase(text)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("poles: 2 real", "the zeros are missing"),
        ("zeros: none", "the poles are missing"),
        ("2 real", "poles or zeros"),
        ("poles: 2; zeros: none", "has no place"),
        ("poles: 2 real at the origin; zeros: none", "two places"),
        ("poles: 1 complex; zeros: none", "come in pairs"),
        ("poles: 3 on the jω axis; zeros: none", "come in pairs"),
        ("poles: 1 at the origin in the right half; zeros: none", "two places"),
        ("poles: 99 real; zeros: none", "too many"),
        ("poles: xyzzy; zeros: none", "not understood"),
        ("poles:; zeros: none", "places are missing"),
    ],
)
def test_what_is_no_map_is_told(text: str, says: str) -> None:
    with refused(SketchError, says=says):
        read_map(text)


READERS = (read_gain, read_phase, read_map)


@pytest.mark.parametrize("read", READERS)
@given(text=st.text(max_size=60))
def test_any_text_is_read_or_refused(read: Callable[[str], Sketch], text: str) -> None:
    refusal: SketchError | None = None
    try:
        found = read(text)
    except SketchError as error:
        refusal = error
    if refusal is None:
        assert write(read(write(found))) == write(found)
    else:
        assert 0 <= refusal.position <= len(text)
        assert worded(refusal)


@pytest.mark.parametrize("read", READERS)
def test_text_that_means_harm(read: Callable[[str], Sketch]) -> None:
    samples = ("0 to 1k, -20; level 0", "0 to 1 kHz jump, 180", "poles: 1 real; zeros: none")
    hostile.survey(read, (SketchError,), samples, 2_000, seed=3)


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("unit", ["0", "0, ", "0 to 1k, ", "pole ", "level ", "- ", "1e9", "ﷺ"])
def test_a_megabyte_is_refused_at_once(read: Callable[[str], Sketch], unit: str) -> None:
    text = unit * (1_000_000 // len(unit))
    start = time.perf_counter()
    with pytest.raises(SketchError):
        read(text)
    with pytest.raises(SketchError):
        read(text[:1024] + "\x00")
    assert time.perf_counter() - start < 0.5
