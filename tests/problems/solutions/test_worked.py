"""Worked solutions: every step has its words, and the steps end at the exact facts."""

from __future__ import annotations

import importlib.resources
import math
import re
import time
import tomllib

import pytest
from hypothesis import assume, given, settings
from rungwise.problems.analysis.asymptotes import stick
from rungwise.problems.analysis.letters import letter_transfer
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.layout import layout
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.model import Rung
from rungwise.problems.sketches.truth import true_phase
from rungwise.problems.solutions.solution import worked_solution
from rungwise.problems.solutions.step import Step, View
from rungwise.problems.solutions.sticks import break_frequencies
from rungwise.tutor.language.texts import Words

from tests.support.strategies import ladders

CIRCUITS = [
    "series R1 = 1 kΩ; shunt C1 = 100 nF",
    "series C1; shunt R1; buffer; series R2; shunt C2",
    "source Rs = 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF; load RL = 600 Ω",
    "source 600 Ω; shunt L1 = 10 mH; series C1 = 100 nF; load 600 Ω",
    "source 1 kΩ; shunt L1 = 1 mH || C1 = 1 nF; load 10 kΩ",
    "series L1 = 100 mH || C1 = 100 nF; load 1 kΩ",
    "source 1 kΩ; shunt L1 = 1 mH + C1 = 1 nF; load 1 kΩ",
    "source 50 Ω; series L1 = 10 mH + C1 = 1 nF; load 50 Ω",
    "series R1 = 100 Ω; shunt L1 = 10 mH + C1 = 100 nF + R2 = 1 Ω",  # its phase turns nowhere
    # hidden elements of every kind, and resistors only
    "shunt C1 = 1 µF; series R1 = 1 kΩ; shunt C2 = 1 µF; shunt C3 = 1 µF; series L1 = 1 mH",
    "series C1 = 1 µF; shunt C2 = 2 µF; series R1 = 1 kΩ; shunt R2 = 1 kΩ; shunt C3 = 1 µF",
    "source 1 kΩ; shunt C1 = 1 µF; series C2 = 1 µF; shunt C3 = 1 µF; load 1 kΩ",
    "series R1 = 1 kΩ; shunt R2 = 1 kΩ",
    "shunt C1 = 1 µF; series L1 = 1 mH",
    # responses without a name, all-pass-like and lossless ones, axis zeros beside others
    "series R1 = 10 kΩ || C1 = 1 nF; shunt R2 = 1 kΩ",
    "series R1 = 1 kΩ || L1 = 1 mH; shunt R2 = 1 kΩ",
    "series C1 = 1 µF; shunt C2 = 1 µF || R1 = 1 kΩ",
    "series C1 = 1 µF; shunt C2 = 1 µF",
    "series L1 = 1 mH; shunt C1 = 1 µF",
    "series L1 = 1 mH; shunt L2 = 1 mH || R1 = 1 kΩ",
    "source 1 kΩ; series L1 = 1 mH || C1 = 1 µF; shunt C2 = 1 µF; load 1 kΩ",
    "series C1 = 1 µF; shunt R1 = 1 kΩ + L1 = 1 mH; load 1 kΩ",
    # real parts: levels decide, with traps, a feed with idle arms before it, a store never seen
    "series R1 = 10 kΩ; shunt R2 = 3.3 kΩ + C1 = 100 nF",
    "series R1 = 10 kΩ || C1 = 1 nF; shunt R2 = 3.3 kΩ",
    "series R1 = 10 kΩ; shunt R2 = 10 Ω + C1 = 100 nF",
    "series R1 = 10 kΩ || C1 = 10 nF; shunt R2 = 10 Ω",
    "source 100 kΩ; shunt (L1 = 250 µH + R1 = 5 Ω) || C1 = 100 pF; load 1 MΩ",
    "source 50 Ω; shunt L1 = 10 µH + R1 = 1 Ω + C1 = 1 nF; load 50 Ω",
    "source 1 kΩ; shunt L1 = 10 mH + R1 = 470 Ω + C1 = 1 nF; load 1 kΩ",
    "series R1 = 10 kΩ || C1 = 10 nF; shunt R2 = 10 kΩ + C2 = 100 nF",
    "source 10 kΩ; shunt R1 = 5 kΩ + (L1 = 1 mH || C1 = 1 µF)",
    "source 1 kΩ; shunt (L1 = 300 µH + R1 = 300 Ω) || C1 = 100 pF",
    "source 1 kΩ; shunt L1 = 300 µH || (C1 = 100 pF + R1 = 300 Ω)",
    "series L1 = 10 mH || C1 = 1 nF; shunt C2 = 100 nF; load 600 Ω",
    "series (L1 = 10 mH + R1 = 50 Ω) || C1 = 1 nF; shunt C2 = 100 nF; load 600 Ω",
    "series R9 = 1 kΩ || (R1 = 1 Ω + L1 = 1 mH + C1 = 1 nF);"
    "shunt R8 = 1 kΩ || (R2 = 10 Ω + L2 = 100 mH + C2 = 100 nF); load 50 Ω",
    "series R1; shunt R2 + C1",
    "source 1 kΩ; shunt R1 = 1 kΩ + C1 = 1 µF; shunt R2 = 1 kΩ + C2 = 1 nF; load 1 kΩ",
    "shunt C1 = 1 µF; series R1 = 1 kΩ; shunt C2 = 1 µF",
    "shunt C1 = 1 µF; series L1 = 1 mH; shunt R1 = 1 kΩ",
    "source 50 Ω; shunt L1 = 1 mH; series L2 = 1 mH; shunt L3 = 1 mH; load 50 Ω",
    # one that cancels by chance, a double pole, a Butterworth pair
    "series R1 = 1 kΩ || C1 = 100 nF; shunt R2 = 10 kΩ || C2 = 10 nF",
    "series R1 = 2 kΩ; series L1 = 1 mH; shunt C1 = 1 nF",
    "series L1 = 1 mH; shunt C1 = 1 nF; load R1 = 500 Ω",
    "series R1 = 1.414213562 kΩ; series L1 = 1 mH; shunt C1 = 1 nF",
    "source Rs = 1 Ω; series L1 = 1 H; shunt C1 = 1 F; load RL = 1 Ω",
    # zeros at the breaks of poles, two zeros at one break, two notches, Q = 1
    "series R1 = 10 Ω; series L1 = 10 mH; shunt C1 = 1 µF; buffer;"
    "series R2 = 1 kΩ || C2 = 100 nF; shunt R3 = 1 kΩ",
    "series R1 = 1 kΩ; series L1 = 1 mH; shunt C1 = 1 nF",
    "series R1 = 2 kΩ || C1 = 100 nF; shunt R2 = 2 kΩ; buffer; series R3 = 2 kΩ || C2 = 100 nF;"
    "shunt R4 = 2 kΩ",
    "source 50 Ω; series L1 = 1 mH || C1 = 1 nF; shunt L2 = 1 mH + C2 = 10 nF; load 50 Ω",
    # longer ones
    "source 50 Ω; series L1 = 10 mH; shunt C1 = 100 nF; series L2 = 10 mH; load 50 Ω",
    "series C1 = 1 nF; shunt R1 = 1 kΩ; series C2 = 1 nF; shunt R2 = 1 kΩ;"
    "series C3 = 1 nF; shunt R3 = 1 kΩ",
    "source 50 Ω; series L1 = 1 mH + C1 = 1 nF; shunt L2 = 1 mH || C2 = 1 nF; load 50 Ω",
    "buffer; series R1 = 1 kΩ; shunt C1 = 1 nF; buffer",
    "series L1 = 1 mH; shunt C1 = 1 nF; load 100 kΩ",
    "series C1 = 1 nF; shunt L1 = 1 mH; load 100 kΩ",
]


def _toml() -> dict[str, dict[str, str]]:
    text = importlib.resources.files("rungwise.content").joinpath("worked.toml").read_text("utf-8")
    return tomllib.loads(text)


def _check(ladder: Ladder) -> tuple[Step, ...]:
    words = Words.load()
    steps = worked_solution(ladder)
    for step in steps:
        for text in words.step(step):
            assert text.strip() == text and text
            assert not re.search(r"[{}]|None|\bnan\b|\binf\b", text), (step, text)
        for line in step.display:
            assert line.isprintable() and len(line) <= 100 and "None" not in line
    return steps


@pytest.mark.parametrize("circuit", CIRCUITS)
def test_every_step_has_words_that_fill(circuit: str) -> None:
    _check(read_circuit(circuit))


@pytest.mark.parametrize("family", [family.name for family in FAMILIES])
def test_every_family_has_a_worked_solution(family: str) -> None:
    for seed in range(2):
        _check(generate(seed, family=family).ladder)


@given(ladders(valued=None, max_stages=4))
@settings(max_examples=60, deadline=None)
def test_any_ladder_has_a_worked_solution(ladder: Ladder) -> None:
    _check(ladder)


def test_no_words_are_left_over() -> None:
    used = {step.id for text in CIRCUITS for step in worked_solution(read_circuit(text))}
    used |= {
        step.id
        for family in FAMILIES
        for step in worked_solution(generate(0, family=family.name).ladder)
    }
    used |= {step.id for step in worked_solution(_long())}
    used |= {
        step.id
        for text in CIRCUITS
        for step in worked_solution(read_circuit(text), asked=frozenset(Rung))
    }
    assert set(_toml()) - used == {
        "type-all-pass"  # no ladder is one, but the type exists
    }


def test_every_entry_has_its_three_parts() -> None:
    for name, entry in _toml().items():
        assert set(entry) == {"title", "say", "why"}, name
        for part in entry.values():
            assert part[-1] in ".!" or part == entry["title"] or part.endswith(":")


def _ids(text: str) -> list[str]:
    return [step.id for step in worked_solution(read_circuit(text))]


def test_the_order_is_that_of_working_by_hand() -> None:
    assert _ids("series L1 = 10 mH; series C1 = 100 nF; shunt R1 = 100 Ω") == [
        "fed-series",
        "independent-all",
        "low-open",
        "low-blocked-open",
        "high-open",
        "high-blocked-open",
        "resonance-clears",
        "type-band-pass",
        "impedances",
        "divider",
        "cleared",
        "standard-two",
        "numbers",
        "poles",
        "zeros-origin-one",
        "slopes",
        "phases",
        "centre",
        "q",
        "nature-complex",
        "sticks-start-rising",
        "sticks-pole-pair",
        "sticks-phase",
        "curve-above",
        "gain-band-pass",
        "bandwidth-band-pass",
        "edges-band-pass-two",
        "check",
    ]


def test_a_notch_with_unequal_ends_has_no_bandwidth_step() -> None:
    ids = _ids("series L1 = 1 mH || C1 = 1 µF; shunt C2 = 1 µF; load 1 kΩ")
    assert "type-notch" in ids and "q" in ids
    assert "corner-two" in ids  # its f0 is not where the null is
    assert not {"bandwidth-notch", "edges-notch-two"} & set(ids)


def test_without_values_no_step_needs_one() -> None:
    ids = _ids("series L1; series C1; shunt R1")
    assert "centre" in ids and "q" in ids
    assert not {"numbers", "nature-complex", "edges-band-pass-two"} & set(ids)


def _display(text: str, id_: str) -> str:
    steps = worked_solution(read_circuit(text))
    return "\n".join(next(step.display for step in steps if step.id == id_))


@pytest.mark.parametrize("circuit", [c for c in CIRCUITS if "buffer" not in c])
def test_the_derivation_ends_at_the_transfer_function(circuit: str) -> None:
    """The steps are worked out arm by arm; H(s) itself comes from another walk."""
    ladder = read_circuit(circuit)
    steps = worked_solution(ladder)
    last = next((s for s in reversed(steps) if s.id in ("cleared", "walk-end")), None)
    drawing = layout(letter_transfer(ladder).formula, lead="H(s) = ", width=72)
    if last is None:
        assert any(s.id == "through" for s in steps)
    else:
        assert list(last.display) == [line.rstrip() for line in drawing]


# OpenStax, University Physics volume 2, ch. 15: 0.2 Ω, 4 mH, 2 µF give ω0 = 1.12e4 rad/s,
# Q = 224 and a bandwidth of 50.0 rad/s; 4 Ω, 3 mH, 800 µF resonate at 103 Hz.
def test_figures_of_a_printed_example() -> None:
    circuit = "series L1 = 4 mH; series C1 = 2 µF; shunt R1 = 0.2 Ω"
    assert "1.779 kHz" in _display(circuit, "centre")  # 1.118e4/2π
    assert "Q = 223.6" in _display(circuit, "q")
    assert "B = 7.958 Hz" in _display(circuit, "bandwidth-band-pass")  # 50/2π
    other = "series L1 = 3 mH; series C1 = 800 µF; shunt R1 = 4 Ω"
    assert "102.7 Hz" in _display(other, "centre")


def test_pole_and_zero_lists() -> None:
    assert _display("series R1 = 2 kΩ; series L1 = 1 mH; shunt C1 = 1 nF", "nature-double") == (
        "p1 = p2 = −1 Mrad/s"
    )
    assert _display("series L1 = 100 mH || C1 = 100 nF; load 1 kΩ", "zero-values") == (
        "z1, z2 = ±j·10 krad/s"
    )
    # One prefix for both parts: (1 kΩ)/(2·100 mH), and the root of 10¹⁰ − 5000².
    assert _display("series L1 = 100 mH + C1 = 1 nF; shunt R1 = 1 kΩ", "nature-complex") == (
        "p1, p2 = (−5 ± j·99.87) krad/s"
    )
    assert _display("series R1 = 1 kΩ; shunt C1 = 1 µF", "pole-one") == "p1 = −1 krad/s"


def _long() -> Ladder:
    stages = [f"series L{i} = {i} mH; shunt C{i} = {i} nF" for i in range(1, 20)]
    return read_circuit("source 50 Ω;" + ";".join(stages) + ";load 50 Ω")


def test_a_circuit_too_long_for_letters_is_worked_with_numbers() -> None:
    start = time.thread_time()
    ids = [step.id for step in worked_solution(_long())]
    assert time.thread_time() - start < 2
    assert "too-large" in ids and "numbers" in ids and "pole-values" in ids


def _lines(text: str) -> list[Step]:
    return [s for s in worked_solution(read_circuit(text)) if s.view is View.GAIN_LINES]


@pytest.mark.parametrize("pairs", [2, 6])
@pytest.mark.parametrize("width", [40, 72])
def test_the_impedance_of_every_arm_is_written(pairs: int, width: int) -> None:
    parts = [f"series L{n} = {n} mH; shunt C{n} = {n} nF" for n in range(1, pairs + 1)]
    steps = worked_solution(read_circuit("; ".join([*parts, "load 50"])), width)
    told = next(told for told in steps if told.id == "walk-arms")
    leads = [f"Z{n}" for n in range(1, 2 * pairs + 1)]
    assert [equation.lead for equation in told.equations] == leads
    text = "\n".join(told.display)
    assert all(f"{lead} = " in text for lead in leads)


def test_the_lines_grow_from_break_to_break() -> None:
    """Slopes and breaks by hand: 1/(2πRC) of the two sections of a buffered cascade."""
    text = "series C1 = 100 nF; shunt R1 = 4.7 kΩ; buffer; series R2 = 10 kΩ; shunt C2 = 1 nF"
    grown = _lines(text)
    assert [(s.id, s.breaks) for s in grown] == [
        ("sticks-start-rising", 0), ("sticks-pole", 1), ("sticks-pole", 2),
    ]  # fmt: skip
    first, second = 1 / (math.tau * 4.7e3 * 100e-9), 1 / (math.tau * 10e3 * 1e-9)
    for told, frequency in zip(grown[1:], (first, second), strict=True):
        shown = dict(told.values)["frequency"]
        value, unit = shown.split(" ")
        assert float(value) * {"Hz": 1, "kHz": 1e3}[unit] == pytest.approx(frequency, rel=1e-3)
    assert [dict(s.values)["after"] for s in grown[1:]] == ["0 dB/decade", "−20 dB/decade"]


@given(ladders(valued=True, laboratory=True, max_stages=4))
@settings(max_examples=60, deadline=None)
def test_the_last_line_has_the_slope_of_the_far_end(ladder: Ladder) -> None:
    """Every pole and zero is told of once, and the turns add up to 20·(zeros − poles)."""
    shape = facts(ladder)
    breaks = break_frequencies(shape)
    turns = sum(one.turn for one in breaks)
    assert shape.slope_low + turns == shape.slope_high
    assert sum(one.poles + 2 * one.pole_pairs for one in breaks) == sum(p != 0 for p in shape.poles)
    assert sum(one.zeros + 2 * one.zero_pairs for one in breaks) == sum(z != 0 for z in shape.zeros)
    drawn = [one.frequency for one in breaks if one.turn]
    assert [f for f, _ in stick(shape).breaks] == drawn


# A textbook's numbers: 3.01 dB at a lone pole, 6.02 dB at a double one, 20·log₁₀ Q at a pair.
@pytest.mark.parametrize(
    ("circuit", "id_", "distance"),
    [
        ("series R1 = 1 kΩ; shunt C1 = 100 nF", "curve-below", "3.01 dB"),
        ("series R1 = 2 kΩ; series L1 = 1 mH; shunt C1 = 1 nF", "curve-below", "6.02 dB"),
        ("series R1 = 100 Ω; series L1 = 1 mH; shunt C1 = 1 nF", "curve-above", "20 dB"),
        ("series R1 = 1 kΩ; series L1 = 1 mH; shunt C1 = 1 nF", "curve-on", "0 dB"),
    ],
)
def test_how_far_the_curve_leaves_the_lines(circuit: str, id_: str, distance: str) -> None:
    (told,) = [s for s in worked_solution(read_circuit(circuit)) if s.view is View.CURVE]
    assert told.id == id_
    if id_ != "curve-on":
        assert dict(told.values)["distance"] == distance


@given(ladders(valued=True, laboratory=True, max_stages=4))
@settings(max_examples=30, deadline=None)
def test_a_step_is_repeatable(ladder: Ladder) -> None:
    assume(sum(1 for _ in ladder.elements()) < 10)
    assert worked_solution(ladder) == worked_solution(ladder)


def test_parts_are_listed_as_a_sentence_lists_them() -> None:
    def told(text: str) -> str:
        words = Words.load()
        return " ".join(" ".join(words.step(s)) for s in worked_solution(read_circuit(text)))

    one = told("series R1 = 1 kΩ; shunt C1 = 1 nF")
    assert "C1 is the only part that stores energy" in one and "of each other" not in one
    many = told("source 50 Ω; series L1 = 1 mH; shunt C1 = 1 nF; series L2 = 2 mH; load 50 Ω")
    assert "L1, C1 and L2 store energy independently" in many
    assert "put a wire in place of L1 and L2" in many


@pytest.mark.parametrize("width", [35, 50, 72])
@pytest.mark.parametrize("family", [f.name for f in FAMILIES])
def test_formulas_keep_to_the_columns_or_to_one_line(family: str, width: int) -> None:
    for plain in (False, True):
        for told in worked_solution(generate(5, family=family).ladder, width, plain):
            for block in "\n".join(told.display).split("\n\n"):
                if "──" in block or "--" in block or "__" in block:  # a drawing, not lines
                    assert max(map(len, block.splitlines())) <= width, block
            # A limit (→ ∞), a lead (f₁) and ± are single signs: they shift no column.
            drawing = "".join(x for x in told.display if "→" not in x and "±" not in x)
            assert not plain or not set("√²³·─│∥×") & set(drawing), drawing


@pytest.mark.parametrize("family", [family.name for family in FAMILIES])
def test_the_phase_adds_up(family: str) -> None:
    """Zeros at the origin are counted once, in the start; every line goes on from the last."""
    ladder = generate(3, family=family).ladder
    known = facts(ladder)
    told = [s for s in worked_solution(ladder) if s.id in ("sticks-phase", "sticks-phase-jump")]
    if not told:
        assert not true_phase(known).bends
        return
    [step] = told
    values = dict(step.values)
    angle = 90 * int(values["origin"])
    assert _degrees(values["low_phase"]) == angle == known.phase_low
    for line in step.display:
        match = re.fullmatch(r"(\S+)° ([+−]) (\d+)° = (\S+)° \(.+ [mkM]?Hz\)", line)
        assert match, line
        assert _degrees(match[1]) == angle
        angle += int(match[3]) * (1 if match[2] == "+" else -1)
        assert _degrees(match[4]) == angle
    assert _degrees(values["high_phase"]) == angle == known.phase_high
    # A root that is no zero at the origin turns by 90°, and all of them are there.
    turned = sum(abs(bend.value) for bend in true_phase(known).bends)
    order, zeros = known.transfer.order, known.transfer.zero_count
    assert turned == 90 * (order + zeros - known.transfer.zeros_at_origin)


def _degrees(text: str) -> int:
    return int(text.removesuffix("°").replace("−", "-"))
