"""What wrong sketches earn: nothing for what can be guessed, a share for what is understood."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from functools import cache
from random import Random

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.generate.sketch import generate
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Verdict, sketch_of
from rungwise.problems.questions.written import READ
from rungwise.problems.sketches.compare import agree, compare
from rungwise.problems.sketches.credit import share
from rungwise.problems.sketches.model import GainSketch
from rungwise.problems.sketches.weights import EVEN, SketchWeights
from rungwise.problems.sketches.write import write

from tests.support.absurd_sketches import absurd

GAIN, PHASE, MAP = Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH
WHOLE, NOTHING = Fraction(1), Fraction(0)


@cache
def sketched() -> list[tuple[Problem, Question]]:
    """Every sketch that is asked of one circuit of every family; a level line alone is none."""
    found = []
    for seed, family in enumerate(FAMILIES):
        problem = generate(seed, family=family.name)
        for question in problem.questions:
            flat = isinstance(question.truth, GainSketch) and not question.truth.breaks
            if question.form is Form.SKETCH and not flat:
                found.append((problem, question))
    return found


def test_a_thousand_absurd_sketches_earn_nothing() -> None:
    """Flat lines, copied breaks, staircases, mirror images, what is shifted or 10 dB off."""
    chance, tried = Random(12), Counter[str]()
    while tried.total() < 1000:
        for _, question in sketched():
            truth = sketch_of(question.truth)
            for kind, drawn in absurd(truth, chance):
                if agree(truth, drawn):
                    continue  # a staircase that happens to be the right one
                earned = share(compare(truth, truth), compare(truth, drawn))
                assert not earned, (kind, write(truth), write(drawn), earned)
                tried[kind] += 1
    assert len(tried) == 10 and min(tried.values()) > 20, tried


def test_absurd_sketches_typed_are_wrong_and_every_wrong_piece_has_a_word() -> None:
    chance, tried = Random(13), 0
    for problem, question in sketched()[::7]:
        known, truth = facts(problem.ladder), sketch_of(question.truth)
        for kind, drawn in absurd(truth, chance):
            if isinstance(drawn, GainSketch) and not drawn.breaks and drawn.slopes[0]:
                continue  # it can't be typed
            found = grade(problem, question, write(drawn), known)
            if found.verdict is Verdict.UNCLEAR:
                assert kind in ("staircase", "copied", "crowded"), (kind, write(drawn))
                continue
            if found.verdict is Verdict.RIGHT:
                continue
            assert share(compare(truth, truth), found.parts) == 0, (kind, write(drawn))
            assert not any(part.earns for part in found.parts)
            assert all(bool(part.reason) is not part.right for part in found.parts)
            tried += 1
    assert tried > 100


LOW2, HIGH2 = "0 to 1 kHz, −40; level −6 dB", "+40 to 1 kHz, 0; level 0 dB"
BAND = "+20 to 100 Hz, 0 to 10 kHz, −20; level −6 dB"
PEAK = "+20 to 1 kHz, −20; level −10 dB"
NOTCH = "0 to 100 Hz, −20 to 1 kHz, +20 to 10 kHz, 0; level 0 dB"


@pytest.mark.parametrize(
    ("rung", "truth", "drawn", "earned"),
    [
        # One pole for two, at the right place and height: all but that line.
        (GAIN, LOW2, "0 to 1 kHz, −20; level −6 dB", Fraction(3, 4)),
        (GAIN, HIGH2, "+20 to 1 kHz, 0; level 0 dB", Fraction(3, 4)),
        (GAIN, PEAK, "+20 to 1 kHz, −40; level −10 dB", Fraction(3, 4)),
        # The divider forgotten: all but the level.
        (GAIN, LOW2, "0 to 1 kHz, −40; level 0 dB", Fraction(3, 4)),
        (GAIN, BAND, "+20 to 100 Hz, 0 to 10 kHz, −20; level 0 dB", Fraction(5, 6)),
        # One break of two misplaced: that break, and the line beyond it.
        (GAIN, BAND, "+20 to 100 Hz, 0 to 99 kHz, −20; level −6 dB", Fraction(4, 6)),
        (GAIN, BAND, "+20 to 10 Hz, 0 to 10 kHz, −20; level −6 dB", Fraction(4, 6)),
        (GAIN, NOTCH, "0 to 100 Hz, −20 to 1 kHz, +20 to 17 kHz, 0; level 0 dB", Fraction(5, 8)),
        # Every break within its tolerance, but one pass band 3.5 dB higher than the other.
        (GAIN, NOTCH, "0 to 100 Hz, −20 to 1 kHz, +20 to 15 kHz, 0; level 0 dB", Fraction(7, 8)),
        # A pair as two real poles, one of them elsewhere.
        (GAIN, LOW2, "0 to 1 kHz, −20 to 30 kHz, −40; level −6 dB", Fraction(3, 6)),
        # A break too many, half of it right; one too few.
        (GAIN, PEAK, "+20 to 1 kHz, −20 to 50 kHz, −40; level −10 dB", Fraction(4, 6)),
        (GAIN, BAND, "+20 to 100 Hz, −20; level −6 dB", NOTHING),
        # A leak far below the pass band left out: the break of the high-pass is there.
        (GAIN, "0 to 1 Hz, +20 to 1 kHz, 0; level −60 dB", "+20 to 1 kHz, 0; level 0 dB",
         Fraction(3, 6)),
        (GAIN, "0 to 300 Hz, +20 to 1 kHz, 0; level −10 dB", "+20 to 1 kHz, 0; level 0 dB",
         NOTHING),
        # Another filter, or nothing but what can be copied.
        (GAIN, LOW2, "0; level −6 dB", NOTHING),
        (GAIN, LOW2, "0 to 1 kHz, +40; level −6 dB", NOTHING),
        (GAIN, LOW2, "0 to 1 kHz, −80; level −6 dB", NOTHING),
        (GAIN, LOW2, "+40 to 1 kHz, 0; level −6 dB", NOTHING),
        (GAIN, LOW2, "0 to 10 kHz, −40; level −6 dB", NOTHING),
        (GAIN, LOW2, "0 to 1 kHz, −40; level −16 dB", NOTHING),
        (GAIN, LOW2, "0 to 1 kHz, −40; level 4 dB", NOTHING),
        (GAIN, PEAK, "+40 to 1 kHz, −40; level −10 dB", NOTHING),
        (GAIN, BAND, "0 to 100 Hz, −20 to 10 kHz, −40; level −6 dB", NOTHING),
        # The pass band's height, given for that at the first of two breaks.
        (GAIN, "+40 to 100 Hz, +20 to 1 kHz, 0; level −20 dB",
         "+40 to 100 Hz, +20 to 1 kHz, 0; level 0 dB", Fraction(5, 6)),
        (PHASE, "+90 to 100 Hz, 0 to 10 kHz, −90", "+90 to 100 Hz, 0 to 99 kHz, −90",
         Fraction(3, 6)),
        (PHASE, "+90 to 100 Hz, 0 to 10 kHz, −90", "+450 to 9 Hz, 360 to 10 kHz, 270",
         Fraction(3, 6)),
        (PHASE, "0 to 1 kHz, −180", "0 to 1 kHz, −90", NOTHING),
        (PHASE, "0 to 1 kHz, −180", "180 to 1 kHz, 0", NOTHING),
        (PHASE, "0 to 1 kHz, −180", "0 to 10 kHz, −180", NOTHING),
        (PHASE, "0 to 1 kHz, −180", "0", NOTHING),
        (PHASE, "0 to 1 kHz, −90 to 1 kHz jump, +90 to 1 kHz, 0", "0 to 1 kHz, −180", NOTHING),
        (MAP, "poles: 1 pair; zeros: 1 origin", "poles: 2 real; zeros: 1 origin", Fraction(1, 2)),
        (MAP, "poles: 1 pair; zeros: 2 origin", "poles: 1 pair; zeros: 1 pair on the axis",
         Fraction(1, 2)),
        (MAP, "poles: 1 pair; zeros: 1 origin", "poles: 1 pair; zeros: none", NOTHING),
        (MAP, "poles: 1 pair; zeros: none", "poles: 2 real; zeros: none", NOTHING),
        (MAP, "poles: 1 pair; zeros: none", "poles: none; zeros: none", NOTHING),
    ],
)  # fmt: skip
def test_what_is_understood_earns_its_share(
    rung: Rung, truth: str, drawn: str, earned: Fraction
) -> None:
    right, mine = READ[rung](truth), READ[rung](drawn)
    assert share(compare(right, right), compare(right, right)) == WHOLE
    assert share(compare(right, right), compare(right, mine)) == earned


def test_what_is_right_earns_everything_however_many_pieces_it_has() -> None:
    right = READ[GAIN]("+20 to 100 Hz, 0 to 230 Hz, −20; level 3 dB")
    for text in "+20 to 152 Hz, −20; level 6.6 dB", "+20 to 152 Hz, −20; level 3 dB":
        drawn = READ[GAIN](text)
        assert agree(right, drawn)
        assert share(compare(right, right), compare(right, drawn)) == WHOLE
        assert all(part.earns for part in compare(right, drawn))
    assert not agree(right, READ[GAIN]("+20 to 152 Hz, −20; level 9.2 dB"))
    assert not agree(right, READ[GAIN]("+20 to 152 Hz, −20; level 0.4 dB"))
    double = READ[GAIN]("+20 to 152 Hz, −20; level 6.6 dB")
    assert agree(double, right)
    assert not agree(double, replace(right, level=0.0))


def test_no_wrong_sketch_earns_everything_and_only_right_pieces_earn() -> None:
    chance = Random(14)
    for _, question in sketched():
        truth = sketch_of(question.truth)
        if not isinstance(truth, GainSketch):
            continue
        for _ in range(4):
            slopes = tuple(s + chance.choice((0, 0, 20, -20)) for s in truth.slopes)
            places = sorted(f * 10 ** chance.choice((0, 0, 0.1, 0.5)) for f in truth.breaks)
            drawn = GainSketch(slopes, tuple(places), truth.level + chance.choice((0, 0, 4)))
            parts = compare(truth, drawn)
            earned = share(compare(truth, truth), parts)
            assert (earned == WHOLE) is agree(truth, drawn)
            assert all(part.right for part in parts if part.earns)


def test_weights() -> None:
    right, drawn = READ[GAIN](LOW2), READ[GAIN]("0 to 1 kHz, −20; level −6 dB")
    parts = compare(right, right), compare(right, drawn)
    assert share(*parts, SketchWeights(Fraction(2), Fraction(1), Fraction(1))) == Fraction(4, 6)
    assert share(*parts, SketchWeights(breaks=NOTHING)) == Fraction(2, 3)
    nothing = SketchWeights(NOTHING, NOTHING, NOTHING)
    assert share(*parts, nothing) == NOTHING
    assert share(parts[0], parts[0], nothing) == WHOLE
    assert all(EVEN.of(part) == 0 for part in parts[0] if part.id == "breaks")
