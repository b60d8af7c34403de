"""Levels in decibels and degrees: how people write them, and by how much they may be off."""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.grading.examples import example
from rungwise.problems.grading.formulas import ReadingCase
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.model import Form, Mark, Problem, Question, Rung, Task, Verdict
from rungwise.tutor.classroom.interchange.qti_answer import marking
from rungwise.tutor.documents.pages_marking import counts_as_right
from rungwise.tutor.language.errors import worded

from tests.support import typed_kinds

RIGHT, WRONG, UNCLEAR = Verdict.RIGHT, Verdict.WRONG, Verdict.UNCLEAR
RC = read_circuit("series R1 10 kΩ; shunt C1 10 nF")


def asked(truth: float, unit: str) -> tuple[Problem, Question]:
    slack = Fraction(1, 2) if unit == "dB" else Fraction(2)
    values = (("asked", "corner"),)
    question = Question(Rung.GAIN_AT, Form.LEVEL, truth, (), unit, slack, values)
    return Problem(4, "", 1, 0, RC, (question,), Task.PREDICT), question


def mark(truth: float, unit: str, text: str) -> Mark:
    return grade(*asked(truth, unit), text)


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("-3 dB", RIGHT), ("−3", RIGHT), ("-3.01dB", RIGHT), ("-3,01 dB", RIGHT),
        ("-3.5 dB", RIGHT), ("-3.52 dB", WRONG), ("-2.52 dB", RIGHT), ("-2.5 dB", WRONG),
        ("3 dB down", RIGHT), ("down by 3 dB", RIGHT), ("a loss of 3 dB", RIGHT),
        ("attenuation of 3 dB", RIGHT), ("3 dB below the source", RIGHT), ("loss = 3 dB", RIGHT),
        ("minus three dB", RIGHT), ("-3 dB or so", RIGHT), ("level = -3 dB", RIGHT),
        # The sign is part of the answer.
        ("3 dB", WRONG), ("+3 dB", WRONG), ("3 dB up", WRONG), ("unity gain", WRONG),
        ("-3 dB up", UNCLEAR), ("lags by 3", UNCLEAR),
        # With its derivation.
        ("20 log(0.707)", RIGHT), ("20·log10(1/√2)", RIGHT), ("20log₁₀(0.707)", RIGHT),
        ("−20·log(√2)", RIGHT), ("20 lg 0.707 = -3 dB", RIGHT), ("10·log(0.5)", RIGHT),
        ("$20\\log_{10}(0.707)$", RIGHT), ("|H| = 0.707 = -3 dB", RIGHT),
        ("20 log(R1/(R1+R1)) + 3", RIGHT), ("-1 dB - 2 dB = -3 dB", RIGHT),
        ("10 log(0.707)", WRONG), ("20 log(0.5)", WRONG), ("-1 dB - 3 dB = -3 dB", UNCLEAR),
        ("0.5 = -3 dB", UNCLEAR),
        # A ratio is no level; a bare one that would be right is asked about.
        ("0.707", UNCLEAR), ("1/√2", UNCLEAR), ("0.707 V/V", UNCLEAR), ("70.7 %", UNCLEAR),
        ("half", UNCLEAR), ("0 %", UNCLEAR), ("0.5", WRONG), ("1.41", WRONG),
        # No answer, or two.
        ("-3 to -2 dB", UNCLEAR), ("-3 dB or -6 dB", UNCLEAR), ("20 log(-1)", UNCLEAR),
        ("20 log(0)", UNCLEAR), ("20 log(", UNCLEAR), ("−3 dB/decade", UNCLEAR),
        ("f = -3 dB", UNCLEAR), ("2000 dB", UNCLEAR), ("?", UNCLEAR),
    ],
)  # fmt: skip
def test_decibels_as_people_write_them(text: str, verdict: Verdict) -> None:
    found = mark(-3.0103, "dB", text)
    assert found.verdict is verdict, found


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("-45°", RIGHT), ("−45", RIGHT), ("-43", RIGHT), ("-42.9°", WRONG), ("lags by 45°", RIGHT),
        ("45° lag", RIGHT), ("minus 45 degrees", RIGHT), ("forty-five degrees lag", RIGHT),
        ("the output lags the input by 45 degrees", RIGHT), ("φ = -45°", RIGHT),
        # Whole turns make no difference.
        ("315°", RIGHT), ("-405°", RIGHT), ("135°", WRONG),
        # Radians, where it says so; a bare figure that would be right in them is asked about.
        ("-π/4", RIGHT), ("-0.785 rad", RIGHT), ("-0.785", UNCLEAR), ("-0.9", WRONG),
        ("-arctan(1)", RIGHT), ("−tan⁻¹(1)", RIGHT), ("−arctan 1 = −45°", RIGHT),
        ("90° − arctan(1) − 90°", RIGHT), ("90 - 135 = -45°", RIGHT), ("-arctan(2)", WRONG),
        ("45", WRONG), ("leads by 45°", WRONG), ("in phase", WRONG), ("in antiphase", WRONG),
        ("input leads the output by 45°", UNCLEAR), ("H = -45°", UNCLEAR),
        ("-45 or -90", UNCLEAR), ("-45 dB", UNCLEAR),
    ],
)  # fmt: skip
def test_degrees_as_people_write_them(text: str, verdict: Verdict) -> None:
    found = mark(-45.0, "°", text)
    assert found.verdict is verdict, found


@pytest.mark.parametrize("truth", [0.0, 6.02, -6.02, -40.0, -0.043, 14.2])
def test_a_bare_ratio_is_asked_about_only_where_it_would_be_right(truth: float) -> None:
    ratio = 10 ** (truth / 20)
    near = abs(ratio - truth) <= 0.5  # then it is right as it stands
    assert mark(truth, "dB", f"{ratio:.5g}").verdict is (RIGHT if near else UNCLEAR)
    assert mark(truth, "dB", f"{ratio * 30:.5g}").verdict is WRONG


@pytest.mark.parametrize("unit", ["dB", "°"])
def test_right_and_wrong_ones_of_every_spelling(unit: str) -> None:
    chance, seen = random.Random(5), Counter[str]()
    for _ in range(60):
        truth = round(chance.choice((-1, 1)) * chance.uniform(2.5, 60), 3)
        problem, question = asked(truth, unit)
        for typed in typed_kinds.answers(problem, None, question, chance):  # type: ignore[arg-type]
            found = grade(problem, question, typed.text, None, typed_kinds.setting(question, typed))
            fine = {
                typed_kinds.RIGHT: (RIGHT,),
                typed_kinds.WRONG: (WRONG,),
                typed_kinds.NEVER: (WRONG, UNCLEAR),
            }
            assert found.verdict in fine[typed.truth], (typed, truth, found)
            seen[typed.kind] += 1
    assert len(seen) >= 6
    assert min(seen.values()) > 5


def test_what_is_shown_of_a_level_is_not_its_ratio() -> None:
    """Who is asked for decibels gets no calculator for them."""
    assert mark(-3.0103, "dB", "-3 dB").understood == "−3 dB"
    assert mark(-3.0103, "dB", "20*log(0.707)").understood == "20·log(0.707) = −3.012 dB"
    assert "dB" not in mark(-6.02, "dB", "0.5 V/V").understood


@pytest.mark.parametrize(("truth", "unit"), [(-4.0, "dB"), (-9.1, "dB"), (-30.0, "°"), (70.2, "°")])
def test_an_example_is_never_the_answer(truth: float, unit: str) -> None:
    _, question = asked(truth, unit)
    assert mark(truth, unit, example(ReadingCase(question))).verdict is WRONG


def test_a_level_has_the_limits_that_a_key_prints() -> None:
    _, question = asked(-3.0103, "dB")
    assert right_text(question) == "−3.01 dB"
    assert counts_as_right(question) == ("from −3.51 dB to −2.52 dB",)
    for text, verdict in (("-3.51", RIGHT), ("-2.52", RIGHT), ("-3.52", WRONG), ("-2.51", WRONG)):
        assert mark(-3.0103, "dB", text).verdict is verdict


def test_a_ratio_of_nothing_is_no_loss() -> None:
    question = Question(Rung.INSERTION_LOSS, Form.QUANTITY, 3.0, (), "dB", Fraction(1, 10))
    problem = Problem(4, "", 7, 0, RC, (question,))
    for text in ("0 %", "0 V/V", "-1 V/V"):
        found = grade(problem, question, text)
        assert found.verdict is UNCLEAR, text
        assert "ratio" in worded(found.trouble)


def test_a_course_system_takes_levels_within_the_same_limits() -> None:
    problem, question = asked(-45.0, "°")
    _, (processing, *_) = marking(problem, question, facts(RC), Fraction(1))
    equal = [n for n in _nodes(processing) if getattr(n, "name", "") == "equal"]
    modes = {(n.attributes["toleranceMode"], n.attributes["tolerance"]) for n in equal}
    assert ("absolute", "2 2") in modes
    assert all(mode == "absolute" for mode, _ in modes)
    values = {n.children[0] for n in _nodes(processing) if getattr(n, "name", "") == "baseValue"}
    assert {"-405", "315"} <= values  # a turn more or less


def _nodes(node: object) -> list[object]:
    children = getattr(node, "children", [])
    return [node, *(one for child in children for one in _nodes(child))]
