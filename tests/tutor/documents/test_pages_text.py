"""Plain text: what stands there can be read in 78 columns, and the circuit read back."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace

import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Face, Task
from rungwise.problems.sheets.model import FixedCircuit, Plan, PlanSection, ProblemLot, Student
from rungwise.problems.sheets.variant import variant
from rungwise.tutor.documents.pages_pictures import GainPicture
from rungwise.tutor.language.texts import Words

from tests.support.pages import key_html, key_pdf, key_text, sheet_text

from .by_hand import made, mixed
from .hostile_names import STUDENTS


def width(line: str) -> int:
    return sum(1 + (unicodedata.east_asian_width(c) in "WF") for c in line)


@pytest.mark.parametrize("level", range(1, 7))
def test_no_line_is_longer_than_the_page(level: int) -> None:
    found = made([(task, seed, level) for task in Task for seed in (level, 40 + level)])
    for text in (sheet_text(found.sheet), key_text(found.sheet, found.key)):
        assert max(map(width, text.splitlines())) <= 78
        assert not re.search(r"[^\S\n]$", text, re.MULTILINE)


@pytest.mark.parametrize(
    "circuit",
    [
        "; ".join(f"series R{i} = {i} kΩ; shunt C{i} = {i} nF" for i in range(1, 21)),
        "; ".join(f"series L{i} = {i} mH; shunt C{i} = {i} nF" for i in range(1, 8)),
        "source 50 Ω; series ((L1 = 1 mH || C1 = 1 nF) + (R1 = 1 kΩ || (L2 = 2 mH + C2 = 3 nF)))"
        " || R9 = 10 kΩ; shunt (C5 = 1 nF + (L5 = 1 mH || R5 = 50 Ω)) || C6 = 2 nF; buffer;"
        " series L7 = 1 mH; shunt C7 = 1 nF; load 1 kΩ",
    ],
    ids=["long", "wide", "deep"],
)
def test_the_largest_circuits_that_are_typed_fit_the_page(circuit: str) -> None:
    typed = FixedCircuit(read_circuit(circuit), "A typed one")
    plan = Plan("Large", 1, (PlanSection(task=Task.SKETCH, circuits=(typed,)),))
    found = variant(plan, Student(1), [ProblemLot(0, circuit=0)])
    for text in (sheet_text(found.sheet), key_text(found.sheet, found.key)):
        assert max(map(width, text.splitlines())) <= 78
    html, data = key_html(found.sheet, found.key), key_pdf(found.sheet, found.key)
    assert "Problem 1: A typed one" in html and data.startswith(b"%PDF-")


def test_the_circuit_in_words_is_the_circuit() -> None:
    found = made([(Task.ANALYSE, seed, level) for level in range(1, 7) for seed in (1, 2)])
    blocks = re.findall(r"to output:\n((?:  \S.*\n)+)\n", sheet_text(found.sheet))
    ladders = [item.ladder for item in found.sheet.items]
    assert [read_circuit(block) for block in blocks] == ladders


def test_every_question_stands_there_with_its_choices_points_and_unit() -> None:
    found = mixed()
    text = " ".join(sheet_text(found.sheet).split())
    words = Words.load()
    for item in found.sheet.items:
        for asked in item.questions:
            title, prompt = words.title(asked.rung), " ".join(words.prompt(asked).split())
            points = "1 point" if asked.points == 1 else "1.5 points"
            assert f"{asked.number} {title} ({points}) {prompt}" in text
            for letter, choice in zip("abcdefgh", asked.choices, strict=False):
                assert f"{letter}) {' '.join(words.choice(asked, choice).split())}" in text
            if asked.unit:
                assert re.search(rf"\.\.\. {re.escape(asked.unit)}( |$)", text)


@pytest.mark.parametrize("seed", range(8))
def test_what_is_asked_for_is_a_question_mark(seed: int) -> None:
    found = made(((Task.REVERSE, seed, 2),))
    (item,) = found.sheet.items
    text = sheet_text(found.sheet)
    assert ("?" in text.split("1.1  ")[0]) == (item.face is Face.BLANK)


def test_a_gain_is_told_in_words_that_agree_with_its_curve() -> None:
    found = made(((Task.REVERSE, 0, 4),))
    (item,) = found.sheet.items
    assert item.face is Face.GAIN
    text = " ".join(sheet_text(found.sheet).split())
    told = re.search(r"The gain is (.*?)\. ", text.replace("kHz.", "kHz. "))
    assert told is not None
    pairs = re.findall(r"(−?[\d.]+) dB at ([\d.]+) (Hz|kHz|MHz)", text)
    assert len(pairs) >= 9
    scale = {"Hz": 1.0, "kHz": 1e3, "MHz": 1e6}
    for level, number, unit in pairs:
        hertz = float(number) * scale[unit]
        near = min(item.gain, key=lambda point: abs(point[0] / hertz - 1))
        assert abs(float(level.replace("−", "-")) - near[1]) < 2.0


def test_a_gain_that_falls_far_is_told_down_to_where_the_curve_ends() -> None:
    """Two poles fall 40 dB a decade: −100 dB is still a gain, as it is in the picture's words."""
    points = tuple((10.0**k, max(-200.0, -40.0 * k)) for k in range(7))
    words = " ".join(" ".join(GainPicture(points).text()).split())
    for k in range(1, 5):
        assert f"{write_quantity(-40 * k, 'dB')} at {write_quantity(10**k, 'Hz')}" in words
    assert "nothing at 1 MHz" in words


@pytest.mark.parametrize("student", STUDENTS, ids=lambda s: str(s.number))
def test_no_name_breaks_out_of_its_line(student: Student) -> None:
    found = made()
    plain = sheet_text(replace(found.sheet, student=Student(student.number, "N", "I")))
    text = sheet_text(replace(found.sheet, student=student))
    assert not [c for c in text if unicodedata.category(c)[0] == "C" and c != "\n"]
    assert max(map(width, text.splitlines())) <= 78
    # What follows the names is the same for everyone.
    assert text.split("You have 90", 1)[1] == plain.split("You have 90", 1)[1]


def test_chinese_instructions_are_folded_by_their_width() -> None:
    found = made(instructions="请仔细阅读每一道题目并写出计算过程。" * 12)
    lines = sheet_text(found.sheet).splitlines()
    assert max(map(width, lines)) <= 78
    assert "".join(lines).count("请仔细阅读") == 12
