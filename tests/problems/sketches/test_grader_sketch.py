"""Sketches graded piece by piece: tolerances, pieces, slips, and nothing of the key."""

from __future__ import annotations

import math
import re
import time
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.sketch import generate, typed
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.model import (
    Form,
    Mark,
    Problem,
    Question,
    Rung,
    Verdict,
    sketch_of,
)
from rungwise.problems.sketches.compare import agree, compare
from rungwise.problems.sketches.model import (
    GainSketch,
    MapSketch,
    PhaseSketch,
    Region,
    SketchPart,
    gain_sketch,
)
from rungwise.problems.sketches.read import read_gain, read_phase
from rungwise.problems.sketches.read_map import read_map
from rungwise.problems.sketches.write import write
from rungwise.problems.slips.engine import predictions
from rungwise.tutor.language.errors import worded
from rungwise.tutor.language.texts import Words

GAIN, PHASE, MAP = Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH
RIGHT, WRONG, UNCLEAR = Verdict.RIGHT, Verdict.WRONG, Verdict.UNCLEAR

LOW = "series R 1 kΩ; shunt C 100 nF"  # 1.592 kHz
HALF = "series R 1 kΩ; shunt C 100 nF; load 1 kΩ"  # 3.183 kHz, −6.02 dB
HIGH2 = "series R 100 Ω; series C 100 nF; shunt L 10 mH"  # 5.033 kHz, Q √10
BAND = "series C1 10 µF; shunt R1 1 kΩ; buffer; series R2 1 kΩ; shunt C2 100 nF"  # 15.9, 1592 Hz
PEAK = "series L 10 mH + C 100 nF; shunt R 100 Ω"  # 5.033 kHz, −10 dB
NOTCH = "series R 100 Ω; shunt L 10 mH + C 100 nF"  # 5.033 kHz


def question(circuit: str, rung: Rung) -> tuple[Problem, Question]:
    problem = typed(read_circuit(circuit))
    return problem, next(q for q in problem.questions if q.rung is rung)


def mark(circuit: str, rung: Rung, text: str) -> Mark:
    return grade(*question(circuit, rung), text)


def named(found: Mark) -> list[str]:
    return [hit.slip for hit in found.slips]


def pieces(found: Mark) -> dict[str, list[bool]]:
    """Part → whether each of that kind is right."""
    table: dict[str, list[bool]] = {}
    for part in found.parts:
        table.setdefault(part.id, []).append(part.right)
    return table


# ------------------------------------------------------------------------------ tolerances


@pytest.mark.parametrize(
    ("circuit", "rung", "text", "verdict"),
    [
        (LOW, GAIN, "0 to 1.592 kHz, −20; level 0 dB", RIGHT),
        (LOW, GAIN, "0 to 10 krad/s, -6 dB/oct; level 100 %", RIGHT),
        (LOW, GAIN, "0 to 1.59 kHz, −20; level −3 dB", WRONG),
        (LOW, GAIN, "0 to 1.59 kHz, −20; level −2.5 dB", RIGHT),
        (LOW, GAIN, "0 to 1.59 kHz, −20; level 2.6 dB", WRONG),
        # A fifth of a decade is a factor of 1.585.
        (LOW, GAIN, "0 to 2.51 kHz, −20; level 0 dB", RIGHT),
        (LOW, GAIN, "0 to 2.6 kHz, −20; level 0 dB", WRONG),
        (LOW, GAIN, "0 to 1.01 kHz, −20; level 0 dB", RIGHT),
        (LOW, GAIN, "0 to 980 Hz, −20; level 0 dB", WRONG),
        (LOW, GAIN, "0 to 1.59 kHz, −19; level 0 dB", WRONG),
        (LOW, GAIN, "0 to 1.59 kHz, −40; level 0 dB", WRONG),
        (LOW, GAIN, "0; level 0 dB", WRONG),
        (LOW, GAIN, "0 to 1.59 kHz, −20", UNCLEAR),
        # A pair is one break; two that lie together are no worse as a drawing.
        (HIGH2, GAIN, "+40 to 5 kHz, 0; level 0", RIGHT),
        (HIGH2, GAIN, "+40 to 4.5 kHz, +20 to 5.5 kHz, 0; level 0", RIGHT),
        (HIGH2, GAIN, "+40 to 2 kHz, +20 to 12 kHz, 0; level 0", WRONG),
        # The pass band carries the level, wherever a break within its tolerance leaves the slope.
        (HIGH2, GAIN, "+40 to 6.5 kHz, 0; level 0", RIGHT),
        (HIGH2, GAIN, "+40 to 6.5 kHz, 0; level 2.5", RIGHT),
        (HIGH2, GAIN, "+40 to 6.5 kHz, 0; level 4.4", WRONG),  # on the steep line, all the same
        (HIGH2, GAIN, "+40 to 3.2 kHz, 0; level −7.8", WRONG),
        (HIGH2, GAIN, "+40 to 4 kHz, +20 to 6.3 kHz, 0; level −4", RIGHT),  # the pass band at 0
        (HIGH2, GAIN, "+40 to 4 kHz, +20 to 6.3 kHz, 0; level 0", WRONG),  # and at 4 dB
        (PEAK, GAIN, "+20 to 5 kHz, −20; level −10", RIGHT),
        (PEAK, GAIN, "+20 to 7.9 kHz, −20; level −7.6", RIGHT),  # where the lines meet
        (PEAK, GAIN, "+20 to 7.9 kHz, −20; level −7.4", WRONG),
        (BAND, GAIN, "20 to 15.9, 0 to 1590, -20; level 0", RIGHT),
        (BAND, GAIN, "20 to 159, -20; level 20", WRONG),
        (BAND, GAIN, "20 to 15.9, 0 to 1590, 20; level 0", WRONG),
        (LOW, PHASE, "0 to 1.59k, −90", RIGHT),
        (LOW, PHASE, "0 to 1.59k, −π/2", RIGHT),
        (LOW, PHASE, "0 to 1.59k, 90", WRONG),
        (LOW, PHASE, "360 to 1.59k, 270", RIGHT),  # a whole turn higher is the same curve
        (LOW, PHASE, "0 to 1.59k, 270", WRONG),
        (HIGH2, PHASE, "-180 to 5k, -360", RIGHT),
        (HIGH2, PHASE, "180 to 4k, 90 to 6k, 0", RIGHT),
        (HIGH2, PHASE, "180 to 5k, 90", WRONG),
        (NOTCH, PHASE, "0 to 5k, -90 to 5k jump, 90 to 5k, 0", RIGHT),
        (NOTCH, PHASE, "0 to 5k, -90 to 5k, 90 to 5k, 0", RIGHT),
        (NOTCH, PHASE, "0 to 5k, -180", WRONG),
        (NOTCH, PHASE, "0 to 5k, -90 to 9k jump, 90 to 5k, 0", UNCLEAR),
        (NOTCH, PHASE, "0 to 5k, -180 to 9k jump, 0", WRONG),
        (NOTCH, PHASE, "0", WRONG),
        (PEAK, MAP, "poles: complex pair; zeros: 1 at the origin", RIGHT),
        (PEAK, MAP, "poles: 2 real; zeros: 1 at the origin", WRONG),
        (PEAK, MAP, "poles: complex pair; zeros: none", WRONG),
        (PEAK, MAP, "poles: complex pair", UNCLEAR),
    ],
)
def test_verdicts(circuit: str, rung: Rung, text: str, verdict: Verdict) -> None:
    found = mark(circuit, rung, text)
    assert found.verdict is verdict, found
    assert bool(found.trouble) == (verdict is UNCLEAR)
    assert bool(found.parts) == (verdict is not UNCLEAR)
    assert all(part.right for part in found.parts) == (verdict is not WRONG)


def test_breaks_nearer_than_two_fifths_may_be_one_in_between() -> None:
    truth = GainSketch((20, 0, -20), (100, 230), 3.0)
    # Where the outer lines cross it lies higher: 20·log√2.3 = 3.6 dB.
    assert all(part.right for part in compare(truth, GainSketch((20, -20), (152,), 6.6)))
    assert not all(part.right for part in compare(truth, GainSketch((20, -20), (90,), 3.0)))
    far = GainSketch((20, 0, -20), (100, 300), 0.0)
    assert not all(part.right for part in compare(far, GainSketch((20, -20), (173,), 0.0)))


@given(
    st.lists(st.tuples(st.floats(-1, 9), st.sampled_from((-40, -20))), min_size=3, max_size=4),
    st.integers(0, 3),
    st.floats(-60, 20),
    st.lists(st.floats(-0.19, 0.19), min_size=4, max_size=4),
    st.floats(-2.45, 2.45),
)
def test_what_is_drawn_within_the_tolerances_is_right(
    turns: list[tuple[float, int]], start: int, level: float, off: list[float], lift: float
) -> None:
    """Every break moved by its own error, as long as they keep their order, and the top lifted."""
    turns = sorted(turns)
    slopes = [20 * start]
    for _, turn in turns:
        slopes.append(slopes[-1] + turn)
    truth = gain_sketch(slopes, [10**x for x, _ in turns], level)
    moved = [f * 10**d for f, d in zip(truth.breaks, off, strict=False)]
    if moved != sorted(moved):
        return

    def drawn(breaks: list[float], by: float) -> GainSketch:
        """The right slopes with these breaks, the highest break this much off its height."""
        flat = GainSketch(truth.slopes, tuple(breaks), 0)
        return replace(flat, level=max(truth.heights) + by - max(flat.heights))

    assert all(part.right for part in compare(truth, drawn(moved, lift)))
    for j in range(len(moved)):
        wrong = [*moved]
        wrong[j] = truth.breaks[j] * 10**0.9
        if wrong == sorted(wrong):
            assert not all(part.right for part in compare(truth, drawn(wrong, lift)))
    for by in (2.6, -2.6):
        lifted = compare(truth, drawn(moved, by))
        assert [part.id for part in lifted if not part.right] == ["level"]


def test_both_pass_bands_of_a_notch_carry_the_level() -> None:
    truth = GainSketch((0, -20, 20, 0), (100, 1e3, 1e4), -6.0)
    for breaks, right in (
        ((100, 1e3, 1e4), True),
        ((150, 1.5e3, 1.5e4), True),
        ((105, 1.1e3, 1.1e4), True),
        ((150, 1e3, 1e4), False),  # 3.5 dB from one side to the other
        ((70, 1.4e3, 0.7e4), False),  # 12 dB
    ):
        found = compare(truth, GainSketch(truth.slopes, breaks, -6.0))
        assert all(part.right for part in found) is right
        wrong = [(part.id, part.reason) for part in found if not part.right]
        assert right or wrong == [("level", "sides")]
    # Below a lag's pass band there is none: how far down its step lies the breaks say.
    lag = GainSketch((0, -20, 0), (100, 1e3), 0.0)
    assert all(part.right for part in compare(lag, replace(lag, breaks=(150, 0.7e3))))


def test_a_line_without_a_top_is_judged_along_its_first_piece() -> None:
    truth = GainSketch((-20, -40), (1e3,), 0.0)
    assert agree(truth, GainSketch((-20, -40), (1.5e3,), -3.5))
    assert not agree(truth, GainSketch((-20, -40), (1.5e3,), 0.0))
    rising = GainSketch((20,), (), 3.0)
    assert agree(rising, rising)
    assert not agree(rising, replace(rising, level=6.0))


@given(st.data())
def test_right_means_all_pieces_right_and_the_same_thing(data: st.DataObject) -> None:
    """Two sketches of the same kind whose pieces are all right are one drawing."""
    places = st.floats(0, 3).map(lambda x: 10**x)

    def gain() -> GainSketch:
        breaks = sorted(data.draw(st.lists(places, max_size=3, unique=True)))
        slopes = [20 * data.draw(st.integers(-2, 2)) for _ in range(len(breaks) + 1)]
        return gain_sketch(slopes, breaks, data.draw(st.floats(-6, 6)))

    truth, drawn = gain(), gain()
    if all(part.right for part in compare(truth, drawn)):
        assert (truth.slopes[0], truth.slopes[-1]) == (drawn.slopes[0], drawn.slopes[-1])
        if len(truth.breaks) == len(drawn.breaks) and truth.slopes == drawn.slopes:
            for a, b in zip(truth.breaks, drawn.breaks, strict=True):
                assert abs(math.log10(a / b)) <= 0.201
        # Anywhere a fifth of a decade off every break the slopes are the same.
        for x in range(-5, 36):
            f = 10 ** (x / 10)
            if all(abs(math.log10(f / b)) > 0.41 for b in (*truth.breaks, *drawn.breaks)):
                at = [s.slopes[sum(b < f for b in s.breaks)] for s in (truth, drawn)]
                assert at[0] == at[1]


# ---------------------------------------------------------------------------------- pieces


def test_a_wrong_break_leaves_the_rest_right() -> None:
    found = mark(BAND, GAIN, "20 to 15.9, 0 to 9k, -20; level 0")
    assert pieces(found) == {
        "start": [True], "break": [True, False], "slope": [True], "end": [True],
        "breaks": [True], "level": [True],
    }  # fmt: skip
    assert [dict(p.values)["typed"] for p in found.parts if p.id == "break"] == ["15.9 Hz", "9 kHz"]
    assert [p.place for p in found.parts if p.id == "break"] == [0, 1]


def test_a_break_too_few_and_one_too_many() -> None:
    found = pieces(mark(BAND, GAIN, "20 to 15.9, -20; level 0"))
    assert found["start"] == found["end"] == found["level"] == found["break"] == [True]
    assert found["breaks"] == [False]
    found = pieces(mark(BAND, GAIN, "20 to 15.9, 0 to 300, -10 to 1590, -20; level 0"))
    assert found["break"] == [True, False, True]
    assert found["slope"] == [True, False]
    assert found["breaks"] == [False]


def test_wrong_slopes_leave_the_breaks_right() -> None:
    found = pieces(mark(BAND, GAIN, "40 to 15.9, 0 to 1590, -40; level 0"))
    assert found == {
        "start": [False], "break": [True, True], "slope": [True], "end": [False],
        "breaks": [True], "level": [True],
    }  # fmt: skip
    assert pieces(mark(LOW, GAIN, "0; level 0 dB"))["end"] == [False]


def test_pieces_of_a_phase() -> None:
    found = pieces(mark(BAND, PHASE, "0 to 15.9, -90 to 9k, -180"))
    assert found == {
        "start": [False], "turn": [True, False], "turn-change": [True, True], "end": [False],
        "turns": [True],
    }  # fmt: skip
    found = pieces(mark(NOTCH, PHASE, "0 to 5k, -180 to 9k jump, 0"))
    assert found["jump"] == [False]
    assert found["turn"] == found["turn-change"] == found["jump-change"] == found["end"] == [True]
    assert pieces(mark(NOTCH, PHASE, "0 to 5k, -180"))["turns"] == [False]


def test_pieces_of_a_map() -> None:
    found = mark(PEAK, MAP, "poles: 1 real; zeros: 1 at the origin, 1 real")
    assert [(p.id, p.right) for p in found.parts] == [
        ("pole-region", False), ("poles", False),
        ("zero-region", True), ("zero-region", False), ("zeros", False),
    ]  # fmt: skip


def test_a_right_sketch_has_right_pieces_only() -> None:
    for circuit in LOW, HALF, HIGH2, BAND, PEAK, NOTCH:
        for q in typed(read_circuit(circuit)).questions:
            found = compare(sketch_of(q.truth), sketch_of(q.truth))
            assert found
            assert all(part.right for part in found)


def test_what_a_wrong_sketch_is_told_holds_nothing_of_the_key() -> None:
    """No figure of the right sketch is said that the learner has not drawn."""
    words = Words.load()
    figures = re.compile(r"[+−]?\d+(?:\.\d+)?(?: [kMµm]?Hz| dB|°)?")
    tried = 0
    for seed, family in enumerate(FAMILIES):
        problem = generate(seed, family=family.name)
        known = facts(problem.ladder)
        for q in problem.questions:
            if q.form is not Form.SKETCH:
                continue
            for guess in predictions(problem.ladder, known, q)[:6]:
                text = write(sketch_of(guess.value))
                found = grade(problem, q, text, known)
                said = " ".join(words.parts(q.rung, found.parts))
                drawn = set(figures.findall(text))
                hidden = set(figures.findall(right_text(q))) - drawn
                told = {f for f in hidden if "Hz" in f or "dB" in f}
                assert not told & set(figures.findall(said)), (said, q.truth)
                tried += 1
    assert tried > 500


# ----------------------------------------------------------------------------------- slips


@pytest.mark.parametrize(
    ("circuit", "rung", "text", "slip"),
    [
        (LOW, GAIN, "0 to 10 kHz, −20; level 0", "radians-as-hertz"),
        (LOW, GAIN, "0 to 253 Hz, −20; level 0", "two-pi-twice"),
        (LOW, GAIN, "0 to 1.59 kHz, +20; level 0", "slope-sign"),
        (LOW, GAIN, "0 to 1.59 kHz, −6; level 0", "octave-for-decade"),
        (LOW, GAIN, "0 to 1.59 kHz, −10; level 0", "ten-log"),
        (LOW, GAIN, "0 to 1.59 kHz, −20; level −3", "curve-for-line"),
        (LOW, GAIN, "+20 to 1.59 kHz, 0; level 0", "roles-swapped"),
        (HALF, GAIN, "0 to 3.18 kHz, −20; level 0", "unity-gain"),
        (HALF, GAIN, "0 to 1.59 kHz, −20; level 0", "load-ignored"),
        (HIGH2, GAIN, "+20 to 5 kHz, 0; level 0", "twenty-for-forty"),
        (HIGH2, GAIN, "0 to 5 kHz, −40; level 0", "origin-zeros-missed"),
        (PEAK, GAIN, "+40 to 5 kHz, −40; level −10", "band-pass-skirts"),
        (PEAK, GAIN, "+20 to 5 kHz, −20; level 0", "curve-for-line"),
        (BAND, GAIN, "+20 to 159 Hz, −20; level 0", "real-poles-merged"),
        (LOW, PHASE, "0 to 1.59 kHz, +90", "phase-sign"),
        (LOW, PHASE, "0 to 159 Hz, −90", "turn-not-centred"),
        (HIGH2, PHASE, "0 to 5 kHz, −180", "high-pass-starts-at-zero"),
        (HIGH2, PHASE, "180 to 5 kHz, 90", "ninety-for-two"),
        (PEAK, PHASE, "0 to 5 kHz, −180", "band-pass-as-low-pass"),
        (NOTCH, PHASE, "0 to 5 kHz, −180", "notch-jump-missed"),
        (PEAK, MAP, "poles: 2 real; zeros: 1 origin", "pair-placed-real"),
        (PEAK, MAP, "poles: 1 pair on the axis; zeros: 1 origin", "pair-undamped"),
        (PEAK, MAP, "poles: 1 pair; zeros: none", "origin-zeros-missed"),
        (PEAK, MAP, "poles: 1 at the origin; zeros: 1 complex pair", "poles-zeros-swapped"),
        (BAND, MAP, "poles: 1 pair; zeros: 1 origin", "two-poles-always-complex"),
        (NOTCH, MAP, "poles: 1 pair; zeros: 2 origin", "axis-zeros-at-origin"),
        (NOTCH, MAP, "poles: 1 pair; zeros: none", "axis-zeros-missed"),
        (LOW, MAP, "poles: 1 real; zeros: 1 origin", "zeros-at-infinity"),
    ],
)
def test_the_slip_behind_a_wrong_sketch(circuit: str, rung: Rung, text: str, slip: str) -> None:
    found = mark(circuit, rung, text)
    assert found.verdict is WRONG
    assert named(found)[0] == slip, named(found)
    assert Words.load().slip(found.slips[0])


def test_a_slip_is_named_beside_another_mistake() -> None:
    found = mark(HALF, GAIN, "+20 to 20 kHz, −20; level −6")
    assert named(found) == ["radians-as-hertz"]


def test_nobody_is_accused_where_nothing_fits() -> None:
    assert not mark(LOW, GAIN, "0 to 111 Hz, −60; level 9 dB").slips
    assert not mark(LOW, PHASE, "17 to 99 Hz, −33").slips
    assert not mark(LOW, MAP, "poles: 3 real; zeros: 5 real").slips


def test_the_slip_that_explains_more_comes_first() -> None:
    # −7 dB and 159 Hz are what an open output has; −7 dB alone would fit others as well.
    found = mark("series R 10 kΩ; shunt C 100 nF; load 2.2 kΩ", GAIN, "0 to 159, -20; level 0")
    assert named(found)[0] == "load-ignored"
    assert "unity-gain" in named(found)


# ------------------------------------------------------------------------------------ odds


def test_the_answer_shown_is_right_and_comes_back() -> None:
    """Of every family; ``python -m tests.studies.certify_all`` tries many more seeds."""
    for seed in range(1):
        for family in FAMILIES:
            problem = generate(seed, family=family.name)
            for q in problem.questions:
                if q.form is Form.SKETCH:
                    assert grade(problem, q, right_text(q)).verdict is RIGHT
                    assert agree(sketch_of(q.truth), sketch_of(q.truth))
                    read = {GAIN: read_gain, PHASE: read_phase, MAP: read_map}[q.rung]
                    assert read(right_text(q)) == q.truth


def test_sketches_of_two_kinds_are_not_compared() -> None:
    with pytest.raises(TypeError):
        compare(MapSketch(), PhaseSketch(0))


def test_parts_are_plain_values() -> None:
    part = SketchPart("break", True, (("typed", "1 kHz"), ("number", "1")), 0)
    assert part == replace(part)
    assert hash(part)
    assert mark(LOW, MAP, "poles: 2 real; zeros: none").parts[0].values == (
        ("typed", "2 real"), ("region", Region.REAL.value),
    )  # fmt: skip


@pytest.mark.parametrize("rung", [GAIN, PHASE, MAP])
@pytest.mark.parametrize("unit", ["0", "0 to 1k, ", "poles: 2 real, ", "\x1b[31m", "−", "🜁"])
def test_a_megabyte_gets_its_mark_at_once(rung: Rung, unit: str) -> None:
    problem, q = question(BAND, rung)
    grade(problem, q, "warm")
    text = unit * (1_000_000 // len(unit))
    start = time.perf_counter()
    found = grade(problem, q, text)
    assert time.perf_counter() - start < 0.25
    assert found.verdict is UNCLEAR
    assert "too long" in worded(found.trouble)
    assert not any(ord(c) < 32 for c in found.typed)
