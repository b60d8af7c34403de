"""Plain numbers as people write them: a factor, a proportion, per cent, two and a half."""

from __future__ import annotations

from fractions import Fraction

import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.grading.grade import grade
from rungwise.problems.quantities.units import Quantity
from rungwise.problems.questions.model import (
    TOLERANCE,
    Form,
    Problem,
    Question,
    Rung,
    Task,
    Value,
    Verdict,
)

RIGHT, WRONG, UNCLEAR = Verdict.RIGHT, Verdict.WRONG, Verdict.UNCLEAR
TANK = read_circuit("source 10 kΩ; shunt L1 = 1 mH || C1 = 1 nF; load 30 kΩ")
GIVEN: tuple[tuple[str, Value], ...] = (
    ("load", "RL"),
    ("resistances", "Rs and RL"),
    ("first_level", Quantity(Fraction(6), "dB")),
)
"""RL has 30 kΩ of 40 kΩ in one loop at f₀: three quarters of the power."""
PULSE = read_circuit("source 50; shunt L1 = 1 mH || C1 = 1 nF; load 50")
VOLTS: tuple[tuple[str, Value], ...] = (("source", "Rs"), ("volts", "5 V"))


def asked(rung: Rung, truth: float, unit: str = "") -> tuple[Problem, Question]:
    ladder, values = (PULSE, VOLTS) if unit else (TANK, GIVEN)
    form = Form.QUANTITY if unit else Form.RATIO
    question = Question(rung, form, truth, (), unit, TOLERANCE, values)
    return Problem(4, "", 1, 0, ladder, (question,), Task.PREDICT), question


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("1.31", RIGHT), ("×1.31", RIGHT), ("x1.31", RIGHT), ("x 1,31", RIGHT), ("1.31x", RIGHT),
        ("1.31 ×", RIGHT), ("1.31:1", RIGHT), ("1.31 : 1", RIGHT), ("a factor of 1.31", RIGHT),
        ("by a factor of 1.31", RIGHT), ("1.31 times", RIGHT), ("131 %", RIGHT),
        ("131 percent", RIGHT), ("131 per cent", RIGHT), ("131 pct", RIGHT),
        ("1.31 x 10^0", RIGHT), ("x1.31e0", RIGHT),
        # Not one number, or another one.
        ("x", UNCLEAR), ("xx1.31", UNCLEAR), ("1.31 to 1", UNCLEAR), ("1.31:2", UNCLEAR),
        ("1:1.31", UNCLEAR), ("×0.76", WRONG), ("31 per cent", WRONG), ("1.31x0", UNCLEAR),
    ],
)  # fmt: skip
def test_a_factor(text: str, verdict: Verdict) -> None:
    assert grade(*asked(Rung.RATIO_OF_LEVEL, 1.31), text).verdict is verdict, text


def test_two_and_a_half() -> None:
    assert grade(*asked(Rung.RATIO_OF_LEVEL, 2.5), "2½").verdict is RIGHT
    assert grade(*asked(Rung.RATIO_OF_LEVEL, 1.0), "2½").verdict is WRONG


@pytest.mark.parametrize("text", ["75 %", "75 per cent", "3/4", "¾", "0.75"])
def test_a_share_in_per_cent(text: str) -> None:
    assert grade(*asked(Rung.LOAD_SHARE, 0.75), text).verdict is RIGHT, text


def test_a_share_in_per_cent_without_its_sign_is_named_as_that() -> None:
    mark = grade(*asked(Rung.LOAD_SHARE, 0.75), "75")
    assert mark.verdict is WRONG
    assert mark.slips[0].slip == "percent-left-out"


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("100 mA", RIGHT), ("100 mA peak", RIGHT), ("100 mA (peak)", RIGHT), ("0.1 A pk", RIGHT),
        ("70.7 mA rms", UNCLEAR), ("200 mA peak-to-peak", UNCLEAR), ("200 mA pp", UNCLEAR),
    ],
)  # fmt: skip
def test_a_peak_value(text: str, verdict: Verdict) -> None:
    assert grade(*asked(Rung.SOURCE_CURRENT, 0.1, "A"), text).verdict is verdict, text
