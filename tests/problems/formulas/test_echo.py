"""What is echoed while an answer is being typed: the reading, in related units too."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.generate.analyse import generate
from rungwise.problems.quantities.convert import related
from rungwise.problems.questions.model import Form, Question, Rung
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.phrases import answer_text as saying


def asked(rung: Rung) -> tuple[Climb, Question]:
    for seed in range(40):
        for level in (1, 2, 3, 4):
            climb = Climb(generate(seed, level=level))
            for question in climb.problem.questions:
                if question.rung is rung:
                    return climb, question
    raise AssertionError(rung)


def echoed(rung: Rung, typed: str) -> list[str]:
    climb, question = asked(rung)
    return saying.echo(climb.basis, question, typed, 60)


# By hand: 4.7 kHz · 2π = 29.53 krad/s; 20·log₁₀ 0.5 = −6.02; 20·log₁₀ 2 = 6.02 dB an octave.
@pytest.mark.parametrize(
    ("rung", "typed", "said"),
    [
        (Rung.CORNER, "4.7k", "4.7 kHz = 29.53 krad/s"),
        (Rung.CORNER, "4k7 Hz", "4.7 kHz = 29.53 krad/s"),
        (Rung.CORNER, "29.53 krad/s", "29.53 krad/s = 4.7 kHz"),
        (Rung.GAIN, "0.5", "0.5 = −6.021 dB"),
        (Rung.GAIN, "-6.021 dB", "−6.021 dB = 0.5"),
        (Rung.GAIN, "0 dB", "0 dB = 1"),
        (Rung.LOW_SLOPE, "20", "20 dB/decade = 6.021 dB/octave"),
        (Rung.LOW_SLOPE, "-6.0206 dB/octave", "−6.0206 dB/octave = −20 dB/decade"),
        (Rung.HIGH_SLOPE, "flat", "0 dB/decade = 0 dB/octave"),
        (Rung.LOW_PHASE, "90", "90° = 1.571 rad"),
        (Rung.HIGH_PHASE, "-1.5708 rad", "−1.5708 rad = −90°"),
    ],
)
def test_figures_are_echoed_in_the_related_unit(rung: Rung, typed: str, said: str) -> None:
    assert echoed(rung, typed) == [said]


def test_counts_ratios_and_choices_have_no_other_unit() -> None:
    assert echoed(Rung.POLES, "2") == ["2"]
    assert echoed(Rung.Q, "0.707") == ["0.707"]


def test_a_formula_is_echoed_with_its_value_in_both_units() -> None:
    first = echoed(Rung.CORNER, "1/(2*pi*1k*1u)")
    assert first and re.search(r"= 159\.2 Hz = 1 krad/s$", first[0])


def test_what_cannot_be_read_is_not_echoed() -> None:
    for typed in ("", "xyz", "4.7k k", "\x1b[2J", "1e400 Hz"):
        assert echoed(Rung.CORNER, typed) == []


@pytest.mark.parametrize(
    "rung", [Rung.CORNER, Rung.GAIN, Rung.LOW_SLOPE, Rung.HIGH_PHASE, Rung.BANDWIDTH]
)
def test_the_echo_does_not_depend_on_the_right_answer(rung: Rung) -> None:
    climb, question = asked(rung)
    assert isinstance(question.truth, int | float)
    other = replace(question, truth=type(question.truth)(question.truth * 3 + 7))
    for typed in ("1", "4.7k", "-20", "3 dB", "1 krad/s", "90", "6 dB/octave"):
        said = saying.echo(climb.basis, question, typed, 60)
        assert said == saying.echo(climb.basis, other, typed, 60)


@given(st.floats(1e-6, 1e12), st.sampled_from(["Hz", "°", "dB/decade", "dB"]))
@settings(max_examples=80)
def test_there_and_back(value: float, unit: str) -> None:
    """Against the definitions, through independent arithmetic."""
    if unit == "dB":
        value = math.log10(value) * 20
    text = related(value, unit)
    number, _, tail = text.partition(" ")
    scale = {"k": 1e3, "M": 1e6, "G": 1e9, "T": 1e12, "m": 1e-3, "µ": 1e-6, "n": 1e-9, "p": 1e-12}
    prefix = 1.0
    if unit in ("Hz", "°") and tail[:1] in scale and not tail.startswith("rad"):
        prefix = scale[tail[0]]
    if "×10" in number:
        mantissa, power = number.split("×10")
        power = power.translate(str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-"))
        number = f"{mantissa}e{power}"
    factor = {"Hz": 2 * math.pi, "°": math.pi / 180, "dB/decade": math.log10(2)}
    expected = 10 ** (value / 20) if unit == "dB" else value * factor[unit]
    found = float(number.replace("−", "-")) * prefix
    assert found == pytest.approx(expected, rel=1e-3)


def test_nothing_without_a_related_unit_gets_one() -> None:
    assert related(1.0, "Ω") == related(1.0, "") == related(0.0, "", gain=True) == ""
    assert related(-1.0, "", gain=True) == related(1e308, "dB") == ""


def test_every_form_can_be_echoed() -> None:
    seen = set()
    for seed in range(12):
        climb = Climb(generate(seed, level=1 + seed % 6))
        for question in climb.problem.questions:
            seen.add(question.form)
            for typed in ("1", "a", "R1", "-20 dB/decade", "½"):
                saying.echo(climb.basis, question, typed, 40)
    assert {Form.CHOICE, Form.COUNT, Form.QUANTITY, Form.SLOPE, Form.ANGLE, Form.FORMULA} <= seen
