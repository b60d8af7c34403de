"""Lists of changes: read, worked through, every fault told with its place."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.circuits.statement import NotationError
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.tutor.drafting.script import (
    MOST_STEPS,
    MOST_TROUBLES,
    Script,
    ScriptError,
    read_script,
)
from rungwise.tutor.language.errors import worded

RLC = "series R1 = 100 Ω; series L1 = 10 mH; shunt C1 = 100 nF"


def read(text: str, circuit: str = RLC) -> Script:
    return read_script(text, read_circuit(circuit))


def after(text: str, circuit: str = RLC) -> str:
    """The circuit after the last step."""
    return write_circuit(read(text, circuit).steps[-1].moment.version.ladder, "; ")


@pytest.mark.parametrize(
    ("line", "circuit"),
    [
        ("R1 = 2.2 kΩ", RLC.replace("100 Ω", "2.2 kΩ")),
        ("R1=2k2", RLC.replace("100 Ω", "2.2 kΩ")),
        ("R1 x 2", RLC.replace("100 Ω", "200 Ω")),
        ("R1 × 2", RLC.replace("100 Ω", "200 Ω")),
        ("R1 * 1/2", RLC.replace("100 Ω", "50 Ω")),
        ("C1 / 10", RLC.replace("100 nF", "10 nF")),
        ("L1 doubles", RLC.replace("10 mH", "20 mH")),
        ("L1 halves", RLC.replace("10 mH", "5 mH")),
        ("tap L1", "series R1 = 100 Ω; series C1 = 100 nF; shunt L1 = 10 mH"),
        ("output across L1 + C1", "series R1 = 100 Ω; shunt L1 = 10 mH + C1 = 100 nF"),
        ("Tap C1, L1", "series R1 = 100 Ω; shunt L1 = 10 mH + C1 = 100 nF"),
        ("load 1 kΩ", f"{RLC}; load 1 kΩ"),
        ("load R2 = 1 kΩ", f"{RLC}; load R2 = 1 kΩ"),
        ("source 50", f"source 50 Ω; {RLC}"),
        ("swap L1 C1", "series R1 = 100 Ω; series C1 = 100 nF; shunt L1 = 10 mH"),
        ("swap L1 and C1", "series R1 = 100 Ω; series C1 = 100 nF; shunt L1 = 10 mH"),
        ("turn L1", "series R1 = 100 Ω; shunt L1 = 10 mH; shunt C1 = 100 nF"),
        ("loss L1 10 Ω", RLC.replace("10 mH", "10 mH + R_L1 = 10 Ω")),
        ("loss C1", RLC.replace("100 nF", "100 nF + R_C1 = 18 Ω")),
        ("without R1", RLC.partition("; ")[2]),
        ("circuit: source 1k; shunt C 1u # bare", "source 1 kΩ; shunt C = 1 µF"),
        ("keep\nR1 x 2\ndrop", RLC),
        ("load 1k\nno load", RLC),
        ("source 1k\nno source", RLC),
    ],
)
def test_each_word_of_the_trade(line: str, circuit: str) -> None:
    text = line if not line.startswith("circuit") else f"R1 x 2\n{line}"
    assert after(text) == circuit


def test_notes_questions_and_the_circuit_that_it_begins_with() -> None:
    script = read(
        "\ufeff# Who damps it?\r\n# And how?\n\ncircuit: series R1 = 1 kΩ; shunt C1 = 1 µF\n"
        "ask: R1 x 2  # twice\nask\n# think\nC1 / 2\n",
    )
    assert [(s.line, s.text, s.note, s.asked) for s in script.steps] == [
        (2, "", "Who damps it? And how?", False),
        (4, "circuit: series R1 = 1 kΩ; shunt C1 = 1 µF", "Who damps it? And how?", False),
        (5, "R1 x 2", "twice", True),
        (7, "", "think", False),
        (8, "C1 / 2", "think", True),
    ]
    first = read("circuit: series R1 = 1 kΩ; shunt C1 = 1 µF\nR1 x 2")
    assert [s.text for s in first.steps] == ["R1 x 2"]
    assert write_circuit(first.ladder, "; ") == "series R1 = 1 kΩ; shunt C1 = 1 µF"
    assert first.start.version.ladder == first.ladder


def troubles(text: str, circuit: str = RLC) -> list[str]:
    with pytest.raises(ScriptError) as caught:
        read(text, circuit)
    return [worded(trouble) for trouble in caught.value.troubles]


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        ("R9 x 2", 1, "a change: a part (R1, L1 or C1) and its value, or tap, load"),
        ("R1 = 2 q", 8, "“q” is not a unit known here"),
        ("R1 =", 5, "a value after the ="),
        ("R1 = 0", 6, "a value greater than zero"),
        ("R1 x", 5, "a value such as 2"),
        ("R1 x -2", 6, "a value greater than zero"),
        ("R1 2", 4, "such as = 2.2 kΩ, x 2, / 2, doubles or halves"),
        ("  R1 x 1e29", 6, "between 10⁻³⁰ and 10³⁰"),
        ("tap R7", 5, "a part of this circuit: R1, L1 or C1"),
        ("output C1", 8, "across and the parts"),
        ("no loss", 4, "no load or no source"),
        ("no load", 1, "a circuit with a load"),
        ("swap R1", 8, "a part of this circuit"),
        ("swap R1 R1", 1, "two different parts"),
        ("loss R1 1", 1, "an inductor or a capacitor"),
        ("loss L1 1 H", 11, "a value such as 10 Ω"),
        ("drop", 1, "a version that has been kept"),
        ("keep two", 6, "the end of the line"),
        ("ask shunt", 5, "a change: a part"),
        ("circuit: series R1; shnt C1", 21, "did you mean shunt?"),
        ("circuit: series R1 = 1 kΩ; load 1 kΩ; R", 39, "source, series, shunt"),
        ("ask", 4, "a change after ask"),
    ],
)
def test_a_fault_is_told_with_its_place_and_what_mends_it(
    line: str, column: int, words: str
) -> None:
    (told,) = troubles(f"# a note\n\n{line}")
    assert told.startswith(f"line 3, column {column}: ") and words in told, told


def test_every_fault_is_told_at_once() -> None:
    told = troubles("R9 x 2\nR1 x 2\nR1 = q\ntap\nask")
    assert [text.split(",")[0] for text in told] == ["line 1", "line 3", "line 4", "line 5"]
    assert len(troubles("bogus\n" * 500)) == MOST_TROUBLES
    (many,) = troubles("R1 x 2\nR1 / 2\n" * 200)
    assert many.startswith(f"line {MOST_STEPS + 1}, ") and f"at most {MOST_STEPS}" in many
    assert "at least one change" in troubles("\n\n")[0]


def test_a_tap_that_is_none_names_those_that_are() -> None:
    (told,) = troubles("tap R1", "source 1k; shunt C1 = 1 µF || R1 = 1 kΩ; load 1k")
    assert "can be taken across: C1 + R1" in told


def attempt(text: str) -> tuple[Script | None, tuple[NotationError, ...]]:
    """The list, or what is wrong in it."""
    try:
        return read(text), ()
    except ScriptError as error:
        return None, error.troubles


HOSTILE = [
    "R1" + " " * 60000 + "x",
    "(" * 60000,
    "R1 = " + "9" * 60000,
    "tap " + "L1 + " * 12000,
    "ask " * 15000,
    "circuit: series " + "(" * 60000,
    "circuit: " + "series R1; " * 6000,
    "# " + "x" * 60000,
    "\x00\u202e\x1b]0;evil\x07" * 5000,
    "R1 x 2\n" * 9000,
    "bogus\n" * 9000,
    "＃" * 60000,
    "load " * 12000,
    "swap R1 L1" + " and" * 15000,
]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_lists_are_read_in_linear_time_and_told_safely(text: str) -> None:
    started = time.thread_time()
    script, told = attempt(text)
    found = [worded(trouble) for trouble in told]
    found += [step.note + step.text for step in script.steps] if script is not None else []
    assert time.thread_time() - started < 20
    assert not any(sign in line for line in found for sign in "\x00\u202e\x1b\x07")


PIECES = """R1 L1 C1 RL x = / 2 1k 10 tap load no source swap turn loss without keep drop ask #
circuit: series shunt ; output across doubles [red] <x> é"""
LINES = st.lists(st.sampled_from([*PIECES.split(), "\x1b"]), max_size=5).map(" ".join)


@settings(max_examples=80, deadline=None)
@given(st.lists(LINES, max_size=8).map("\n".join))
def test_whatever_stands_in_a_list_is_worked_through_or_told(text: str) -> None:
    script, told = attempt(text)
    lines = text.split("\n")
    for trouble in told:
        assert 1 <= trouble.line <= len(lines)
        assert 1 <= trouble.column <= len(lines[trouble.line - 1]) + 1
        assert "{" not in worded(trouble)
    assert (script is None) == bool(told)
    for step in script.steps if script is not None else ():
        assert step.moment.version.facts.transfer.denominator
