"""The grader: every spelling of an answer, every verdict, and text that means harm."""

from __future__ import annotations

import math
import unicodedata
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue import families
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.generate.sketch import sketch_questions
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.analyse import questions_for
from rungwise.problems.questions.model import (
    TOLERANCE,
    Form,
    Mark,
    Problem,
    Question,
    Rung,
    Verdict,
)
from rungwise.tutor.language.errors import worded

from tests.studies import right_answers
from tests.support import hostile
from tests.support.samples import sample


def asked(circuit: str) -> tuple[Problem, dict[Rung, Question]]:
    """A typed circuit and all its questions, sketches among them."""
    ladder = read_circuit(circuit)
    known = facts(ladder)
    found = (*questions_for(known, Chance(1)), *sketch_questions(known))
    return Problem(1, "", 0, 0, ladder, found), {q.rung: q for q in found}


def mark(circuit: str, rung: Rung, text: str) -> Mark:
    problem, questions = asked(circuit)
    return grade(problem, questions[rung], text)


RC = "series R1 1 kΩ; shunt C1 100 nF"  # 1591.549 Hz, the reciprocal of 2π·100 µs
LOADED = "series R1 1 kΩ; shunt C1 100 nF; load RL 3 kΩ"  # 2122.066 Hz, gain 3/4
SERIES = "series L1 10 mH + C1 100 nF; shunt R1 100 Ω"  # 5032.9 Hz, Q √10 = 3.1623
TANK = "source Rs 10 kΩ; shunt L1 100 µH || C1 1 nF; load RL 10 kΩ"  # 503.3 kHz, Q 15.811
PAIR = "series R1 1 kΩ; series L1 10 mH; shunt C1 100 nF"


RIGHT, ROUGH, WRONG, UNCLEAR = Verdict.RIGHT, Verdict.ROUGH, Verdict.WRONG, Verdict.UNCLEAR


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("1591.549", RIGHT), ("1591.5 Hz", RIGHT), ("1.59k", RIGHT), ("1.6 kHz", RIGHT),
        ("1,5915 kHz", RIGHT), ("1k59", RIGHT), ("1.59154943e3", RIGHT), ("10 krad/s", RIGHT),
        ("10000 rad/s", RIGHT), ("1e4rad/s", RIGHT), ("f0 = 1.59 kHz", RIGHT), ("≈1.59 kHz", RIGHT),
        ("１５９１ Hz", RIGHT), ("1 591 Hz", RIGHT), ("0.00159 MHz", RIGHT), ("1592", RIGHT),
        ("1/(2πR1C1)", RIGHT), ("1/(2*pi*R*C)", RIGHT), ("1/2πRC", RIGHT), ("f=1/(2πRC) Hz", RIGHT),
        ("1/(R1*C1) rad/s", RIGHT), ("1/(2*pi*1k*100n)", RIGHT), ("1/(2*3.14159*R1*C1)", RIGHT),
        ("1e4/(2π)", RIGHT), ("10000/6.283", RIGHT),
        # Off by 1.5 %, 0.9 % and 1.1 %, with more digits than deserve trust.
        ("1.57 kHz", ROUGH), ("1606 Hz", ROUGH), ("1.574k", ROUGH), ("1.600 kHz", ROUGH),
        ("1/(2*3.1*R1*C1)", ROUGH),
        # 2 kHz is the truth rounded to one digit, but far outside 2 %.
        ("2 kHz", WRONG), ("1.55k", WRONG), ("1630", WRONG), ("-1591.5 Hz", WRONG), ("0", WRONG),
        ("1591 rad/s", WRONG), ("10 kHz", WRONG), ("1/(R1*C1)", WRONG), ("2πRC", WRONG),
        ("1/(2πR1*2C1)", WRONG), ("1/(2π√(R1C1))", WRONG), ("1e30", WRONG), ("1e-30 Hz", WRONG),
        ("", UNCLEAR), ("   ", UNCLEAR), ("nan", UNCLEAR), ("inf", UNCLEAR), ("-inf Hz", UNCLEAR),
        ("1e400", UNCLEAR), ("kHz", UNCLEAR), ("1591 Ω", UNCLEAR), ("159 dB", UNCLEAR),
        ("1,591 Hz", UNCLEAR), ("10 m", UNCLEAR), ("1/(2πRX)", UNCLEAR), ("1/0", UNCLEAR),
        ("1/(R1-R1)", UNCLEAR), ("√(-R1)", UNCLEAR), ("s", UNCLEAR), ("1/(sC1)", UNCLEAR),
        ("jR1", UNCLEAR), ("about 1.6 kHz", RIGHT), ("((((", UNCLEAR), ("1591 Hz Hz", UNCLEAR),
        ("R1^16*R1^16*R1^16*R1^16*R1^16*R1^16*R1^16*R1^16*R1^16", UNCLEAR),
    ],
)  # fmt: skip
def test_a_frequency(text: str, verdict: Verdict) -> None:
    found = mark(RC, Rung.CORNER, text)
    assert found.verdict is verdict, found
    assert bool(found.trouble) == (verdict is UNCLEAR)
    assert bool(found.understood) == (verdict is not UNCLEAR)


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("3.162", RIGHT), ("3.1", ROUGH), ("3.2", RIGHT), ("3.16", RIGHT), ("√10", RIGHT),
        ("sqrt(10)", RIGHT),
        ("√(L1/C1)/R1", RIGHT), ("(1/R1)*sqrt(L1/C1)", RIGHT), ("√(L/C)/R", RIGHT),
        ("316.2 %", RIGHT), ("1/0.3162", RIGHT), ("Q = 3.16", RIGHT), ("3", WRONG),
        ("0.316", WRONG), ("R1√(C1/L1)", WRONG), ("10 dB", UNCLEAR), ("3.16 Hz", UNCLEAR),
        ("Q", UNCLEAR), ("f0/B", UNCLEAR),
    ],
)  # fmt: skip
def test_a_ratio(text: str, verdict: Verdict) -> None:
    assert mark(SERIES, Rung.Q, text).verdict is verdict


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("0.75", RIGHT), ("3/4", RIGHT), ("75 %", RIGHT), ("-2.5 dB", RIGHT), ("−2.499 dB", RIGHT),
        ("RL/(R1+RL)", RIGHT), ("0.75 V/V", RIGHT), ("|H| = 0.75", RIGHT), ("0.76", ROUGH),
        ("1", WRONG), ("0 dB", WRONG), ("2.5 dB", WRONG), ("-1.25 dB", WRONG), ("1/4", WRONG),
        ("R1/(R1+RL)", WRONG), ("4/3", WRONG),
        ("0", UNCLEAR), ("-2.5", UNCLEAR), ("75 Hz", UNCLEAR), ("1e29 dB", UNCLEAR),
    ],
)  # fmt: skip
def test_a_gain(text: str, verdict: Verdict) -> None:
    assert mark(LOADED, Rung.GAIN, text).verdict is verdict


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("-40", RIGHT), ("−40 dB/decade", RIGHT), ("-40dB/dec", RIGHT), ("-12 dB/octave", RIGHT),
        ("-12 dB/oct", RIGHT), ("-12.04 dB/octave", RIGHT), ("-40.0", RIGHT),
        ("40", WRONG), ("-20", WRONG), ("-6 dB/octave", WRONG), ("-12", WRONG), ("flat", WRONG),
        ("-40 dB/octave", WRONG), ("-39", WRONG), ("-11 dB/oct", WRONG),
        ("-40 Hz", UNCLEAR), ("steep", UNCLEAR), ("-40 dB", UNCLEAR), ("inf", UNCLEAR),
    ],
)  # fmt: skip
def test_a_slope(text: str, verdict: Verdict) -> None:
    assert mark(PAIR, Rung.HIGH_SLOPE, text).verdict is verdict


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("-90", RIGHT), ("−90°", RIGHT), ("-90 deg", RIGHT), ("-π/2 rad", RIGHT), ("-pi/2", RIGHT),
        ("-π/2", RIGHT), ("-1.571 rad", RIGHT), ("-1.57 rad", RIGHT), ("-90.0", RIGHT),
        ("90", WRONG), ("0", WRONG), ("-180", WRONG), ("-45", WRONG), ("270", WRONG),
        ("π/2", WRONG), ("-90 rad", WRONG), ("-91", WRONG), ("-90 Hz", UNCLEAR), ("down", UNCLEAR),
    ],
)  # fmt: skip
def test_an_angle(text: str, verdict: Verdict) -> None:
    assert mark(RC, Rung.HIGH_PHASE, text).verdict is verdict


def test_towards_dc_plus_and_minus_180_are_one_angle() -> None:
    high_pass = "series R1 1 kΩ; series C1 100 nF; shunt L1 10 mH"
    assert mark(high_pass, Rung.LOW_PHASE, "180").verdict is RIGHT
    assert mark(high_pass, Rung.LOW_PHASE, "-180").verdict is RIGHT
    # At the high end the question says to follow the phase, so there the sign counts.
    assert mark(PAIR, Rung.HIGH_PHASE, "180").verdict is WRONG


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("2", RIGHT), ("two", RIGHT), ("Two", RIGHT), ("2 poles", RIGHT), ("two poles", RIGHT),
        ("+2", RIGHT), ("2.0", RIGHT), ("２", RIGHT), ("٢", RIGHT), ("two.", RIGHT),
        ("3", WRONG), ("zero", WRONG), ("none", WRONG), ("no poles", WRONG), ("ten", WRONG),
        ("-2", UNCLEAR), ("2.5", UNCLEAR), ("1/2", UNCLEAR), ("a few", UNCLEAR), ("2 3", UNCLEAR),
        ("½", UNCLEAR), ("²", UNCLEAR), ("99999", UNCLEAR), ("2 Hz", UNCLEAR),
        ("two of them", RIGHT), ("two or three", UNCLEAR), ("2 or 3", UNCLEAR),
        ("twopence", UNCLEAR),
    ],
)  # fmt: skip
def test_a_count(text: str, verdict: Verdict) -> None:
    assert mark(PAIR, Rung.POLES, text).verdict is verdict


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("low-pass", RIGHT), ("LP", RIGHT), ("lowpass", RIGHT), ("Low Pass", RIGHT), ("a", RIGHT),
        ("A)", RIGHT), ("(a)", RIGHT), ("1", RIGHT), ("1.", RIGHT), ("choice 1", RIGHT),
        ("low-pass filter", RIGHT), ("LOW–PASS", RIGHT), ("lowp", RIGHT),
        ("b", WRONG), ("2", WRONG), ("HP", WRONG), ("band stop", WRONG), ("band-stop", WRONG),
        ("bandstop", WRONG), ("notch", WRONG), ("flat", WRONG), ("5", WRONG),
        ("6", UNCLEAR), ("0", UNCLEAR), ("z", UNCLEAR), ("low or high", UNCLEAR), ("a b", UNCLEAR),
        ("band", UNCLEAR), ("-", UNCLEAR), ("yes", UNCLEAR), ("all-pass", UNCLEAR),
    ],
)  # fmt: skip
def test_a_type(text: str, verdict: Verdict) -> None:
    assert mark(RC, Rung.TYPE, text).verdict is verdict


@pytest.mark.parametrize(
    ("rung", "text", "verdict"),
    [
        (Rung.LOW_END, "passes", RIGHT), (Rung.LOW_END, "pass", RIGHT), (Rung.LOW_END, "a", RIGHT),
        (Rung.LOW_END, "blocked", WRONG), (Rung.LOW_END, "blocks", WRONG),
        (Rung.HIGH_END, "block", RIGHT), (Rung.FED, "shunt", RIGHT), (Rung.FED, "shunt-fed", RIGHT),
        (Rung.FED, "parallel", RIGHT), (Rung.FED, "series fed", WRONG),
    ],
)  # fmt: skip
def test_other_words(rung: Rung, text: str, verdict: Verdict) -> None:
    assert mark(RC, rung, text).verdict is verdict


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("1/(L1C1s²+R1C1s+1)", RIGHT), ("H(s) = 1/(1+s*R1*C1+s^2*L1*C1)", RIGHT),
        ("(1/(sC1))/(R1+sL1+1/(sC1))", RIGHT), ("1/(LCs^2+RCs+1)", RIGHT),
        ("1/(1-ω²L1C1+jωR1C1)", RIGHT), ("(1/(L1C1))/(s²+(R1/L1)s+1/(L1C1))", RIGHT),
        ("1/(1e-9 s² + 1e-4 s + 1)", RIGHT), ("1e9/(s²+1e5 s+1e9)", RIGHT),
        ("1/(L1*100n*s^2+1k*C1*s+1)", RIGHT), ("1/(1.002e-9*s^2 + 1e-4*s + 1)", RIGHT),
        ("1/(1.01e-9*s^2 + 1e-4*s + 1)", ROUGH), ("1/(1.05e-9*s^2 + 1e-4*s + 1)", WRONG),
        ("1/(1e-9 s² + 1)", WRONG), ("L1C1s²+R1C1s+1", WRONG), ("1/(R1C1s+1)", WRONG),
        ("1/(L1C1s²+L1s/R1+1)", WRONG), ("s/(L1C1s²+R1C1s+1)", WRONG), ("1", WRONG),
        ("1/(L1C1s²+R1C1s+X)", UNCLEAR), ("√s", UNCLEAR), ("0", UNCLEAR), ("1/0", UNCLEAR),
        ("j", UNCLEAR), ("1/(L1C1s²+", UNCLEAR), ("low-pass", UNCLEAR), ("1/(ωL1)", UNCLEAR),
        ("(s+1)^16*(s+1)^16*(s+1)^16*(s+1)^16", UNCLEAR),
    ],
)  # fmt: skip
def test_a_transfer_function(text: str, verdict: Verdict) -> None:
    found = mark(PAIR, Rung.TRANSFER, text)
    assert found.verdict is verdict, found


def test_a_bandwidth_may_be_built_on_f0_and_q() -> None:
    assert mark(SERIES, Rung.BANDWIDTH, "f0/Q").verdict is RIGHT
    assert mark(SERIES, Rung.BANDWIDTH, "R1/(2πL1)").verdict is RIGHT
    assert mark(SERIES, Rung.BANDWIDTH, "R1/L1 rad/s").verdict is RIGHT
    wrong = mark(SERIES, Rung.BANDWIDTH, "f0*Q")
    assert wrong.verdict is WRONG and "bandwidth-times-q" in [h.slip for h in wrong.slips]
    assert mark(SERIES, Rung.UPPER_EDGE, "f0*(√(1+1/(4Q²))+1/(2Q))").verdict is RIGHT
    assert mark(SERIES, Rung.UPPER_EDGE, "√(f0²+B²/4)+B/2").verdict is RIGHT
    # The corner itself must not be answered by its own name.
    assert mark(SERIES, Rung.CORNER, "f0").verdict is UNCLEAR


def test_letters_must_be_right_even_where_the_value_is() -> None:
    """With Rs = RL, Rs for RL gives the right number; as a formula it is another circuit."""
    assert mark(TANK, Rung.GAIN, "RL/(Rs+RL)").verdict is RIGHT
    assert mark(TANK, Rung.GAIN, "Rs/(Rs+RL)").verdict is WRONG
    assert mark(TANK, Rung.GAIN, "0.5").verdict is RIGHT


@given(st.integers(0, 10**6), st.integers(1, 9), st.fractions(Fraction(-3, 100), Fraction(3, 100)))
@settings(max_examples=120, deadline=None)
def test_the_verdict_on_a_number_is_the_stated_rule(seed: int, digits: int, off: Fraction) -> None:
    """The rule of the docstring, restated with decimals and worked on the text alone."""
    problem, questions = asked(RC)
    truth = 10000 / math.tau
    text = f"{truth * (1 + float(off)):.{digits}g}"
    value = float(text)
    error = abs(value - truth) / truth
    mantissa = text.partition("e")[0].replace(".", "")
    kept = len(mantissa.rstrip("0") if "." not in text else mantissa)
    correct = float(f"{truth:.{kept}g}") == value
    verdict = grade(problem, questions[Rung.CORNER], text).verdict
    if abs(error - 0.02) < 1e-9 or abs(error - 0.005) < 1e-9:
        return
    if error > TOLERANCE:
        assert verdict is WRONG
    elif error < 0.005 or correct:
        assert verdict is RIGHT
    else:
        assert verdict is ROUGH


def test_what_is_shown_as_the_answer_is_right() -> None:
    for seed, family in enumerate(families.FAMILIES):
        problem = generate(seed, family=family.name)
        known = facts(problem.ladder)
        for question in problem.questions:
            assert grade(problem, question, right_text(question), known).verdict is RIGHT
            shown = grade(problem, question, "?", known).answer
            assert grade(problem, question, shown, known).verdict is RIGHT


def test_no_right_answer_is_rejected() -> None:
    """Of 3,000; ``python -m tests.studies.right_answers`` grades 10,000."""
    tried, rejected = right_answers.study(3_000)
    assert tried >= 3_000
    assert not rejected, rejected[:5]


def test_understood_and_typed_are_safe_to_show() -> None:
    found = mark(RC, Rung.CORNER, "1.59\u202e kHz\x1b[31m\x07")
    assert found.verdict is UNCLEAR
    found = mark(RC, Rung.TYPE, "\x1b[31mlow\x07 pass\u202e")
    for text in (found.typed, found.understood, worded(found.trouble)):
        assert all(unicodedata.category(c)[0] != "C" for c in text)
    assert mark(RC, Rung.CORNER, " 1.59\tkHz \n").typed == "1.59 kHz"


def test_how_it_was_read_is_echoed() -> None:
    assert mark(RC, Rung.CORNER, "1k59").understood == "1.59 kHz"
    assert mark(RC, Rung.CORNER, "10krad/s").understood == "10 krad/s"
    assert mark(RC, Rung.CORNER, "1/2πRC").understood == "1/(2·π·R1·C1) = 1.592 kHz"
    assert mark(PAIR, Rung.POLES, "two").understood == "2"
    assert mark(RC, Rung.TYPE, "LP").understood == "low-pass"


def test_trouble_says_what_and_how_to_mend() -> None:
    assert "1.591" in worded(mark(RC, Rung.CORNER, "1,591 Hz").trouble)
    assert "a to e" in worded(mark(RC, Rung.TYPE, "rhubarb").trouble)
    assert "dB" in worded(mark(LOADED, Rung.GAIN, "-2.5").trouble)
    assert "R1" in worded(mark(RC, Rung.CORNER, "1/(2πXC1)").trouble)
    assert "1024" in worded(mark(RC, Rung.CORNER, "9" * 2000).trouble)


def test_an_unclear_answer_names_no_slip_and_a_right_one_neither() -> None:
    assert not mark(RC, Rung.CORNER, "?!").slips
    assert not mark(RC, Rung.CORNER, "1.59k").slips
    assert not mark(RC, Rung.CORNER, "1.57k").slips


_SAMPLES = {
    Form.CHOICE: ("low-pass", "b", "(2)"),
    Form.COUNT: ("2", "two poles"),
    Form.QUANTITY: ("1.59 kHz", "1/(2*pi*sqrt(L1*C1))", "10 krad/s", "1k59"),
    Form.RATIO: ("0.707", "sqrt(L1/C1)/R1"),
    Form.GAIN: ("-6 dB", "0.5", "RL/(Rs+RL)"),
    Form.SLOPE: ("-40 dB/decade", "-12 dB/oct"),
    Form.ANGLE: ("-90°", "-π/2 rad"),
    Form.LEVEL: ("-3 dB", "20 log(0.707)", "a loss of 3 dB"),
    Form.FORMULA: ("1/(L1*C1*s^2+R1*C1*s+1)", "H(s)=s/(s+1)"),
    Form.SKETCH: ("0 to 5.28 kHz, −40; level −0.83 dB", "flat, 1k, -20 dB/dec; level 0"),
}


@pytest.mark.parametrize("form", list(Form))
def test_hostile_text_gets_a_mark_at_once(form: Form) -> None:
    """16,000 strings over the ten forms; whatever is typed, the mark is safe to print."""
    problem, questions = asked("source Rs 100 Ω; series L1 10 mH; shunt C1 100 nF; load RL 1 kΩ")
    known = facts(problem.ladder)
    level = Question(Rung.GAIN_AT, Form.LEVEL, -3.0, unit="dB", tolerance=Fraction(1, 2))
    level = replace(level, values=(("asked", "corner"),))
    question = next(q for q in (*questions.values(), level) if q.form is form)
    seen: set[Verdict] = set()

    def read(text: str) -> None:
        found = grade(problem, question, text, known)
        seen.add(found.verdict)
        for shown in (found.typed, found.understood, worded(found.trouble)):
            assert not any(unicodedata.category(c) in ("Cc", "Cs") for c in shown), shown

    hostile.survey(read, (), _SAMPLES[form], sample(1_600, 3_200), seed=list(Form).index(form))
    assert {WRONG, UNCLEAR} <= seen


@pytest.mark.parametrize(
    ("circuit", "rung", "text", "verdict"),
    [
        # A right answer as many write it by hand, which the reader's rule would make wrong.
        (PAIR, Rung.TRANSFER, "(1/(L1C1))/(s^2 + R1/L1 s + 1/(L1C1))", RIGHT),
        (PAIR, Rung.TRANSFER, "1/L1C1/(s^2 + R1/L1 s + 1/L1C1)", RIGHT),
        (PAIR, Rung.TRANSFER, "(1/(L1C1))/(s^2 + (R1/L1) s + 1/(L1C1))", RIGHT),
        (PAIR, Rung.Q, "1/R1 √(L1/C1)", RIGHT),
        (PAIR, Rung.Q, "(1/R1) √(L1/C1)", RIGHT),
        # Wrong either way stays wrong.
        (PAIR, Rung.TRANSFER, "(1/(L1C1))/(s^2 + R1/C1 s + 1/(L1C1))", WRONG),
        (PAIR, Rung.Q, "2/R1 √(L1/C1)", WRONG),
        # The corner was asked before Q, so that Q may be built on it.
        (PAIR, Rung.Q, "ω0 L1/R1", RIGHT),
        (PAIR, Rung.Q, "1/(2π fc R1 C1)", RIGHT),
        (PAIR, Rung.Q, "R1/(ω0 L1)", WRONG),
        (TANK, Rung.BANDWIDTH, "fr/Q", RIGHT),
        # No figure is built on itself.
        (PAIR, Rung.CORNER, "ω0/2π", UNCLEAR),
        (PAIR, Rung.Q, "Q", UNCLEAR),
    ],
)
def test_formulas_as_people_write_them(
    circuit: str, rung: Rung, text: str, verdict: Verdict
) -> None:
    found = mark(circuit, rung, text)
    assert found.verdict is verdict, found


def test_letters_tell_a_slip_from_the_truth_where_figures_cannot() -> None:
    found = mark(TANK, Rung.UPPER_EDGE, "f0 + B/2")  # 0.05 % off: no figure shows it
    assert found.verdict is WRONG
    assert [hit.slip for hit in found.slips] == ["arithmetic-edges"]


@pytest.mark.parametrize("circuit", [RC, SERIES, TANK, PAIR])
def test_what_was_not_understood_is_not_answered_by_the_example(circuit: str) -> None:
    """The message shows how an answer looks; that must never be the answer itself."""
    problem, questions = asked(circuit)
    for question in questions.values():
        if question.form in (Form.SLOPE, Form.ANGLE):
            trouble = worded(grade(problem, question, "it depends on the load").trouble)
            example = trouble.rpartition("such as ")[2]
            assert grade(problem, question, example).verdict is WRONG, trouble


def test_a_folded_phase_is_told_that_it_was_folded() -> None:
    three = (
        "series C1 1 nF; shunt R1 1 kΩ; series C2 1 nF; shunt R2 1 kΩ; series C3 1 nF; shunt R3 1k"
    )
    assert mark(three, Rung.LOW_PHASE, "270°").verdict is RIGHT
    folded = mark(three, Rung.LOW_PHASE, "-90")
    assert folded.verdict is WRONG
    assert [hit.slip for hit in folded.slips] == ["phase-folded"]


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("ω0 = 10000", RIGHT), ("ω₀ = 10 krad/s", RIGHT), ("w0: 1e4", RIGHT), ("ω = 10k", RIGHT),
        ("ω0 = 1/(R1*C1)", RIGHT), ("ω0 = 1591.5 Hz", UNCLEAR), ("ω0 = 1591.5", WRONG),
        ("f0: 1.59 kHz", RIGHT), ("f0 = 10000", WRONG), ("1.59 kHz.", RIGHT), ("1591.", RIGHT),
    ],
)  # fmt: skip
def test_the_name_before_a_frequency_says_what_it_is_in(text: str, verdict: Verdict) -> None:
    found = mark(RC, Rung.CORNER, text)
    assert found.verdict is verdict, found


def test_numbers_are_echoed_as_people_write_them() -> None:
    found = mark(PAIR, Rung.TRANSFER, "1/(1.034e-14 s^2 + 7.05e-9 s + 9.671e13)")
    assert found.understood == "1/(1.034e-14·s² + 7.05e-9·s + 9.671e13)"
