"""What people type: every kind is taken or asked about, and nothing that contradicts itself passes.

``python -m tests.studies.typed_kinds`` is the long one.
"""

from __future__ import annotations

import re

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Form, Mark, Rung, Verdict
from rungwise.tutor.language.errors import worded
from rungwise.tutor.language.texts import Words

from tests.studies.typed_kinds import study
from tests.support.typed_kinds import NEVER, RIGHT, WRONG

from .test_grader import LOADED, PAIR, RC, SERIES, TANK, asked

HIGH = "series C1 100 nF; shunt R1 1 kΩ"
NOTCH = "source Rs 1 kΩ; shunt L1 10 mH + C1 100 nF; load RL 10 kΩ"


def mark(circuit: str, rung: Rung, text: str, decimal: str = "") -> Mark:
    problem, questions = asked(circuit)
    setting = Words.load().setting(questions[rung], decimal)
    return grade(problem, questions[rung], text, None, setting)


def test_answers_by_construction() -> None:
    found = study(4_000, seed=11)
    assert not found.faults, found.faults[:5]
    right, unclear = found.count(RIGHT), found.count(RIGHT, Verdict.UNCLEAR)
    assert right > 1_500
    assert found.count(WRONG) > 800
    assert found.count(NEVER) > 500
    assert unclear <= 0.03 * right, found.asked[:5]


TAKEN = [
    # names, fillers, units
    (RC, Rung.CORNER, "the cut-off frequency is about 1.6 kHz"),
    (RC, Rung.CORNER, "f0 : 1.59 kHz"), (RC, Rung.CORNER, "1590 cycles per second"),
    (RC, Rung.CORNER, "1.59 kc/s"), (RC, Rung.CORNER, "ω0 = 10⁴ s⁻¹"),
    (RC, Rung.CORNER, "f0 = 1591.5 1/s"), (RC, Rung.CORNER, "10'000 rad/s"),
    (RC, Rung.CORNER, "[1.59 kHz]"), (RC, Rung.CORNER, "1.59 [kHz]"),
    # derivations
    (RC, Rung.CORNER, "f0 = 1/(2πRC) = 1.59 kHz"),
    (RC, Rung.CORNER, "ω0 = 1/RC = 10 krad/s, so f0 = 1.59 kHz"),
    (RC, Rung.CORNER, "τ = RC = 100 µs → f0 = 1/(2πτ) = 1.59 kHz"),
    (RC, Rung.CORNER, "1/(2πτ) with τ = RC"), (SERIES, Rung.Q, "Q = 1/R √(L/C) = 3.16"),
    (SERIES, Rung.Q, "Q = f0/B = 3.16"), (LOADED, Rung.GAIN, "20·log10(0.75) = −2.5 dB"),
    (RC, Rung.CORNER, r"$f_c = \frac{1}{2\pi R_1 C_1} \approx 1.59\,\mathrm{kHz}$"),
    # both units
    (RC, Rung.CORNER, "1.59 kHz (10 krad/s)"), (RC, Rung.CORNER, "1.59 kHz / 10 krad/s"),
    (LOADED, Rung.GAIN, "0.75 (i.e. −2.5 dB)"), (LOADED, Rung.GAIN, "a loss of 2.5 dB"),
    (SERIES, Rung.BANDWIDTH, "B = f0/Q = 5.03k/3.16 = 1.59 kHz"),
    (SERIES, Rung.BANDWIDTH, "B = R/L = 10 krad/s"), (SERIES, Rung.BANDWIDTH, "f2 − f1 = 1.59 kHz"),
    (SERIES, Rung.CORNER, "ω0 = 1/√(LC) = 31.6 krad/s ⇒ f0 = ω0/2π = 5.03 kHz"),
    # letters
    (SERIES, Rung.Q, "XL/R"), (SERIES, Rung.Q, "Z0/R"), (SERIES, Rung.Q, "ω0L/R"),
    (RC, Rung.TRANSFER, "1/(1+sτ)"), (RC, Rung.TRANSFER, "H(p) = 1/(1+pRC)"),
    (RC, Rung.TRANSFER, "1/(1+jf/fc)"), (RC, Rung.TRANSFER, "K/(1+sτ), τ = RC, K = 1"),
    (RC, Rung.TRANSFER, r"\frac{1}{1+s R_1 C_1}"), (RC, Rung.TRANSFER, "-jXC/(R-jXC)"),
    (PAIR, Rung.TRANSFER, "ω0²/(s²+(ω0/Q)s+ω0²)"), (PAIR, Rung.TRANSFER, "1/(1+j2πfRC-(2πf)²LC)"),
    (PAIR, Rung.TRANSFER, "1/((s/ω0)²+s/(ω0Q)+1) with ω0=1/√(LC), Q=√(L/C)/R"),
    (LOADED, Rung.TRANSFER, "Z/(R1+Z) with Z = RL∥1/(sC1)"),
    (LOADED, Rung.TRANSFER, r"\frac{R_L\parallel\frac{1}{sC_1}}{R_1+R_L\parallel\frac{1}{sC_1}}"),
    # slopes and phases in words
    (PAIR, Rung.HIGH_SLOPE, "the gain rolls off at 40 dB per decade"),
    (PAIR, Rung.HIGH_SLOPE, "minus forty dB per decade"),
    (PAIR, Rung.HIGH_SLOPE, "falls at -40 dB/decade"), (PAIR, Rung.LOW_SLOPE, "flat (0 dB/decade)"),
    (HIGH, Rung.LOW_SLOPE, "falls 20 dB/decade towards DC"),
    (PAIR, Rung.HIGH_PHASE, "the output lags the input by 180°"),
    (RC, Rung.HIGH_PHASE, "−90 Grad"), (RC, Rung.HIGH_PHASE, r"$-\frac{\pi}{2}$"),
    (PAIR, Rung.LOW_PHASE, "in phase (0°)"),
    # counts
    (PAIR, Rung.POLES, "it is of second order"), (SERIES, Rung.POLES, "a complex pair"),
    (NOTCH, Rung.ZEROS, "a pair on the jω axis"), (SERIES, Rung.ORIGIN_ZEROS, "a zero at s = 0"),
    (SERIES, Rung.ZEROS, "one"), (PAIR, Rung.POLES, "H(s) has two poles"),
    # choices
    (RC, Rung.TYPE, "LP (low-pass)"), (RC, Rung.TYPE, "a) low-pass"),
    (RC, Rung.TYPE, "it's a first-order RC low-pass filter"),
    (RC, Rung.TYPE, "low-pass, because C1 shorts the highs"), (RC, Rung.LOW_END, "it passes DC"),
    (RC, Rung.LOW_END, "a) passes it, perhaps reduced"),
]  # fmt: skip


@pytest.mark.parametrize(("circuit", "rung", "text"), TAKEN)
def test_a_right_answer_is_taken_as_it_is_typed(circuit: str, rung: Rung, text: str) -> None:
    found = mark(circuit, rung, text)
    assert found.verdict is Verdict.RIGHT, worded(found.trouble)


ASKED = [
    (RC, Rung.CORNER, "T = 1.59 kHz"), (RC, Rung.CORNER, "ω0 = 1.59 kHz"),
    (RC, Rung.CORNER, "f0 = 10 krad/s"), (RC, Rung.CORNER, "Q = 1.59 kHz"),
    (SERIES, Rung.LOWER_EDGE, "f2 = 4.3 kHz"), (SERIES, Rung.LOWER_EDGE, "f0 − B/2 = 4.24 kHz"),
    (RC, Rung.CORNER, "15.9–14.6 kHz"),
    (RC, Rung.CORNER, "1.5 to 1.7 kHz"), (RC, Rung.CORNER, "1.59 ± 0.05 kHz"),
    (RC, Rung.CORNER, "1.59 kHz or 3 kHz"), (RC, Rung.CORNER, "1.59 kHz (20 krad/s)"),
    (RC, Rung.CORNER, "f0 = 2πRC = 1.59 kHz"), (RC, Rung.CORNER, "1591.5 s⁻¹"),
    (RC, Rung.CORNER, "1/(2πτ)"), (SERIES, Rung.Q, "ζ = 3.16"), (SERIES, Rung.Q, "Q = 3.16 = 10"),
    (LOADED, Rung.GAIN, "0.75 (−3.5 dB)"), (LOADED, Rung.GAIN, "a loss of 0.75"),
    (PAIR, Rung.HIGH_SLOPE, "falls at +40 dB/decade"), (PAIR, Rung.HIGH_SLOPE, "-40 or -20"),
    (HIGH, Rung.LOW_SLOPE, "falls 20 dB/decade"), (HIGH, Rung.LOW_SLOPE, "-20 dB/decade to DC"),
    (RC, Rung.HIGH_PHASE, "leads by -90°"), (RC, Rung.HIGH_PHASE, "the input lags by 90°"),
    (RC, Rung.HIGH_PHASE, "-1.57"), (PAIR, Rung.HIGH_PHASE, "antiphase"),
    (SERIES, Rung.POLES, "2 zeros"), (PAIR, Rung.POLES, "a complex pair"),
    (NOTCH, Rung.ZEROS, "2 zeros at the origin"), (SERIES, Rung.ZEROS, "order 1"),
    (PAIR, Rung.POLES, "2 or 3"), (PAIR, Rung.POLES, "2-3"), (PAIR, Rung.POLES, "-2"),
    (RC, Rung.TYPE, "b) low-pass"), (RC, Rung.TYPE, "second-order low-pass"),
    (RC, Rung.TYPE, "an LC low-pass"), (RC, Rung.TYPE, "not a high-pass"),
    (RC, Rung.TYPE, "low-pass or high-pass"), (RC, Rung.TYPE, "low-pass, high-pass"),
    (RC, Rung.HIGH_END, "it passes DC"), (RC, Rung.LOW_END, "passes or blocks"),
    (RC, Rung.TRANSFER, "Vin/Vout = 1 + sRC"), (RC, Rung.TRANSFER, "1/(1+sRC) = 1/(1+2sRC)"),
    (RC, Rung.TRANSFER, "1/(1+sτ) with τ = L/R"), (RC, Rung.TYPE, "?"), (RC, Rung.CORNER, "idk"),
    (RC, Rung.HIGH_SLOPE, "-"), (PAIR, Rung.POLES, "I don't know"),
]  # fmt: skip


@pytest.mark.parametrize(("circuit", "rung", "text"), ASKED)
def test_what_contradicts_itself_is_asked_about(circuit: str, rung: Rung, text: str) -> None:
    found = mark(circuit, rung, text)
    assert found.verdict is Verdict.UNCLEAR
    assert worded(found.trouble)


def test_a_derivation_is_checked_letter_by_letter() -> None:
    """With Rs = RL their values are alike, and the formula is another circuit's all the same."""
    assert mark(TANK, Rung.GAIN, "RL/(Rs+RL) = 0.5").verdict is Verdict.RIGHT
    assert mark(TANK, Rung.GAIN, "Rs/(Rs+RL) = 0.5").verdict is Verdict.UNCLEAR


@pytest.mark.parametrize(
    ("text", "decimal", "verdict"),
    [
        ("1,591 kHz", ",", Verdict.RIGHT), ("1.591 Hz", ",", Verdict.RIGHT),
        ("1,591 Hz", ".", Verdict.RIGHT), ("1.591 kHz", ".", Verdict.RIGHT),
        # The other sign makes it right: a hand may slip, so that it is asked about.
        ("1.591 kHz", ",", Verdict.UNCLEAR), ("1,591 kHz", ".", Verdict.UNCLEAR),
        ("2,591 kHz", ",", Verdict.WRONG), ("1,591 kHz", "", Verdict.UNCLEAR),
        ("1'591.5 Hz", "", Verdict.RIGHT), ("1.591,5 Hz", ".", Verdict.RIGHT),
    ],
)  # fmt: skip
def test_a_separator_is_read_as_the_writer_has_it(
    text: str, decimal: str, verdict: Verdict
) -> None:
    assert mark(RC, Rung.CORNER, text, decimal).verdict is verdict


_ODD = ("rather high", "1/(2π", "f0 = x + y", "somewhere about", "2 3 4", "%&", "lots of it")


@pytest.mark.parametrize("circuit", [RC, SERIES, TANK, PAIR, HIGH, NOTCH])
def test_what_is_said_shows_how_an_answer_looks_and_gives_none_away(circuit: str) -> None:
    problem, questions = asked(circuit)
    known = facts(problem.ladder)
    for question in questions.values():
        if question.form in (Form.CHOICE, Form.SKETCH):
            continue
        for text in _ODD:
            found = grade(problem, question, text, known)
            assert found.verdict is Verdict.UNCLEAR, (question.rung, text)
            trouble = worded(found.trouble)
            assert "column" not in trouble
            if example := re.search(r"(?:such as|look like) (\S.*)\Z", trouble):
                shown = grade(problem, question, example[1], known)
                assert shown.verdict is Verdict.WRONG, trouble


def test_a_formula_that_breaks_off_says_how_far_it_was_understood() -> None:
    trouble = worded(mark(RC, Rung.CORNER, "1/(2π R1 X)").trouble)
    assert trouble.startswith("after “1/(2π R1” comes “X”")
    assert "one of the letters R1, C1" in trouble
