"""``rungwise solve``: the JSON object against numpy and scipy, and the page for people."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
import tomllib
from fractions import Fraction
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from rungwise.problems.analysis.gain_type import FilterType, Limit, Shape
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.model import Element, Kind, Ladder, Place, Stage
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.quantities.units import QuantityError
from rungwise.tutor.cli.solve import page, run
from rungwise.tutor.documents.solved_facts import facts_json
from scipy.optimize import brentq, minimize_scalar

from tests.outside.real_circuits import NAMED
from tests.support.hostile import FRAGMENTS, HEAVY
from tests.support.oracle import response
from tests.support.refusals import refused
from tests.support.strategies import ladders

KEYS = [
    "format", "circuit", "fed", "type", "type_exact", "shape", "depth_db", "floor_db", "traps_hz",
    "margin_db", "borderline", "order", "poles", "zeros", "zeros_at_origin",
    "numerator", "denominator", "slope_low_db_per_decade", "slope_high_db_per_decade",
    "phase_low_deg", "phase_high_deg", "gain_low_db", "gain_high_db", "peak_gain_db", "peak_hz",
    "corner_hz", "q", "bandwidth_hz", "edges_hz", "reactive_elements",
    "independent_reactive_elements", "hidden_elements",
]  # fmt: skip

EXAMPLE = "source 600 Ω\nseries L 10 mH\nshunt C 100 nF\nload 600 Ω\n"


def solved(text: str) -> dict:
    status, out, trouble = run(text, as_json=True)
    assert (status, trouble) == (0, "")
    return json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))


def gain(text: str, f: float) -> float:
    """|H| in dB by an independent nodal analysis."""
    return 20 * math.log10(abs(response(read_circuit(text), [f])[0]))


def test_the_doubly_terminated_section_by_numbers_computed_elsewhere() -> None:
    told = solved(EXAMPLE)
    assert list(told) == KEYS
    # Voltage division by hand: H = RL/(LC·RL s² + (Rs·RL·C + L)s + Rs + RL).
    r, ind, cap = 600.0, 10e-3, 100e-9
    bottom = np.array([ind * cap * r, r * r * cap + ind, 2 * r])
    poles = np.roots(bottom)
    assert told["order"] == 2
    assert sorted(told["poles"]) == pytest.approx(
        [pytest.approx([p.real, p.imag], rel=1e-9) for p in sorted(poles, key=lambda p: p.imag)]
    )
    assert told["zeros"] == []
    assert told["denominator"] == pytest.approx(list(bottom / bottom[0]), rel=1e-12)
    assert told["numerator"] == pytest.approx([r / bottom[0]], rel=1e-12)
    assert told["corner_hz"] == pytest.approx(math.sqrt(bottom[2] / bottom[0]) / math.tau)
    assert told["q"] == pytest.approx(math.sqrt(bottom[0] * bottom[2]) / bottom[1])
    assert (told["type"], told["fed"]) == ("low-pass", "series")
    assert (told["slope_low_db_per_decade"], told["slope_high_db_per_decade"]) == (0, -40)
    assert (told["phase_low_deg"], told["phase_high_deg"]) == (0, -180)
    assert told["gain_low_db"] == pytest.approx(20 * math.log10(0.5), abs=1e-12)
    assert told["gain_high_db"] is None
    edge = brentq(lambda f: gain(EXAMPLE, f) - 20 * math.log10(0.5) + 10 * math.log10(2), 1e3, 1e5)
    assert told["edges_hz"] == [None, pytest.approx(edge, rel=1e-9)]
    assert told["bandwidth_hz"] == told["edges_hz"][1]
    assert (told["peak_hz"], told["peak_gain_db"]) == (0.0, told["gain_low_db"])
    assert (told["reactive_elements"], told["independent_reactive_elements"]) == (2, 2)
    assert (told["hidden_elements"], told["zeros_at_origin"]) == ([], 0)
    assert told["format"] == "rungwise.facts/2"
    assert read_circuit(told["circuit"]) == read_circuit(EXAMPLE)


def test_a_resonant_low_pass_has_its_peak_where_scipy_finds_it() -> None:
    text = "series R1 = 100 Ω; series L1 = 10 mH; shunt C1 = 100 nF"
    told = solved(text)
    found = minimize_scalar(
        lambda x: -gain(text, 10**x), bounds=(2, 6), method="bounded", options={"xatol": 1e-10}
    )
    assert told["peak_hz"] == pytest.approx(10**found.x, rel=1e-5)
    assert told["peak_gain_db"] == pytest.approx(-found.fun, abs=1e-9)


def test_a_band_pass_and_a_notch_between_their_edges() -> None:
    band = "source 1 kΩ; shunt L1 = 1 mH || C1 = 10 nF; load 10 kΩ"
    told = solved(band)
    assert told["type"] == "band-pass"
    low, high = told["edges_hz"]
    for edge in (low, high):
        assert gain(band, edge) == pytest.approx(told["peak_gain_db"] - 10 * math.log10(2))
    assert told["bandwidth_hz"] == pytest.approx(high - low)
    assert told["bandwidth_hz"] == pytest.approx(told["corner_hz"] / told["q"])
    assert (told["zeros"], told["zeros_at_origin"]) == ([[0.0, 0.0]], 1)
    assert (told["gain_low_db"], told["gain_high_db"]) == (None, None)

    notch = "series L1 = 1 mH || C1 = 100 nF; load 1 kΩ"
    told = solved(notch)
    assert told["type"] == "notch"
    w0 = 1 / math.sqrt(1e-3 * 100e-9)
    assert told["zeros"] == [[0.0, pytest.approx(w0)], [0.0, pytest.approx(-w0)]]
    for edge in told["edges_hz"]:
        assert gain(notch, edge) == pytest.approx(-10 * math.log10(2), abs=1e-6)


def test_stiff_values() -> None:
    """1 pF with 1 kH and 1 Ω: Q is about 3·10⁷, and the real part of the poles −R/2L."""
    told = solved("series L1 = 1 kH; series R1 = 1 Ω; shunt C1 = 1 pF")
    assert told["q"] == pytest.approx(math.sqrt(1e3 / 1e-12), rel=1e-14)
    assert told["corner_hz"] == pytest.approx(1 / (math.tau * math.sqrt(1e3 * 1e-12)), rel=1e-14)
    for real, imag in told["poles"]:
        assert real == pytest.approx(-1 / 2e3, rel=1e-14)
        assert abs(imag) == pytest.approx(1 / math.sqrt(1e3 * 1e-12), rel=1e-14)
    low = solved("series R1 = 1 GΩ; shunt C1 = 1 pF; shunt L1 = 1 kH")
    assert low["type"] == "band-pass"
    assert low["bandwidth_hz"] == pytest.approx(1 / (math.tau * 1e9 * 1e-12), rel=1e-12)


def test_a_triple_pole_is_three_times_the_same() -> None:
    stage = "series R{0} = 1 kΩ; shunt C{0} = 1 µF"
    told = solved("; buffer; ".join(stage.format(i) for i in (1, 2, 3)))
    assert told["poles"] == [[-1000.0, 0.0]] * 3
    assert told["denominator"] == [1.0, 3e3, 3e6, 1e9]
    assert (told["q"], told["corner_hz"], told["slope_high_db_per_decade"]) == (None, None, -60)
    # Each stage is down by (2^(1/3) − 1) at the common −3 dB frequency.
    expected = 1000 / math.tau * math.sqrt(2 ** (1 / 3) - 1)
    assert told["edges_hz"] == [None, pytest.approx(expected)]
    assert "triple" in page(read_circuit(told["circuit"]))


def test_exact_cancellation_leaves_a_flat_response() -> None:
    """Two equal time constants in a divider: a compensated attenuator, H = R2/(R1 + R2)."""
    text = "series R1 = 9 MΩ || C1 = 10 pF; shunt R2 = 1 MΩ || C2 = 90 pF"
    told = solved(text)
    assert (told["type"], told["order"]) == ("flat", 0)
    assert told["poles"] == told["zeros"] == []
    assert (told["numerator"], told["denominator"]) == ([0.1], [1.0])
    assert told["gain_low_db"] == told["gain_high_db"] == pytest.approx(-20)
    assert told["reactive_elements"] == 2
    assert "cancel" in page(read_circuit(text))
    # A hair off, and both are back.
    near = solved(text.replace("90 pF", "90.000001 pF"))
    assert (near["order"], near["type"], len(near["zeros"])) == (1, "other", 1)


def test_resistors_only() -> None:
    told = solved("source 1 kΩ; shunt R1 = 1 kΩ; load 500 Ω")
    assert (told["type"], told["order"], told["fed"]) == ("flat", 0, None)
    assert told["gain_low_db"] == pytest.approx(20 * math.log10(0.25))
    assert told["edges_hz"] == [None, None]
    assert told["peak_hz"] is None
    assert told["peak_gain_db"] == pytest.approx(told["gain_low_db"])
    assert told["reactive_elements"] == 0


def test_hidden_elements_are_named() -> None:
    text = "shunt C1 = 1 µF; series R1 = 1 kΩ; shunt C2 = 1 nF || C3 = 2 nF; series L1 = 1 mH"
    told = solved(text)
    assert told["hidden_elements"] == ["C1", "C3", "L1"]
    assert (told["reactive_elements"], told["independent_reactive_elements"]) == (4, 1)
    shown = page(read_circuit(text))
    for name in (
        "C1 lies directly across",
        "C3 and C2 are of the same kind",
        "L1 leads to an open end",
    ):
        assert name in shown


def test_an_undamped_resonance_has_no_peak_and_no_q() -> None:
    told = solved("series L1 = 1 mH; shunt C1 = 1 µF")
    assert told["q"] is None
    assert told["peak_gain_db"] is None
    assert told["poles"][0][0] == 0.0
    assert "without limit" in page(read_circuit(told["circuit"]))


def test_a_circuit_without_values_has_structure_but_no_figures() -> None:
    told = solved("source Rs; series L1; shunt C1; load RL")
    assert list(told) == KEYS
    assert (told["type"], told["order"], told["fed"]) == ("low-pass", 2, "series")
    assert (told["slope_high_db_per_decade"], told["phase_high_deg"]) == (-40, -180)
    figures = [
        "poles", "zeros", "numerator", "denominator", "gain_low_db", "gain_high_db",
        "peak_gain_db", "peak_hz", "corner_hz", "q", "bandwidth_hz",
    ]  # fmt: skip
    assert [told[key] for key in figures] == [None] * len(figures)
    assert told["edges_hz"] == [None, None]
    # One value missing is enough.
    assert solved("series R1 = 1 kΩ; shunt C1")["corner_hz"] is None


def test_coefficients_beyond_a_double_are_exact_integers() -> None:
    text = ";".join(f"series R{i} = 1e−28 Ω; shunt C{i} = 1e−28 F; buffer" for i in range(1, 9))
    status, out, _ = run(text, as_json=True)
    assert status == 0
    told = json.loads(out)
    assert told["denominator"][-1] == 10 ** (56 * 8)
    assert told["denominator"][1] == pytest.approx(8e56)
    assert told["poles"] == [[pytest.approx(-1e56), 0.0]] * 8


def numbers(value: object) -> list[float]:
    if isinstance(value, bool | str) or value is None:
        return []
    if isinstance(value, int | float):
        return [value]
    items = value.values() if isinstance(value, dict) else value
    return [n for item in items for n in numbers(item)]


@settings(max_examples=100)
@given(ladders(valued=None, max_stages=4))
def test_any_circuit_makes_honest_json(ladder: Ladder) -> None:
    told = facts_json(ladder)
    assert list(told) == KEYS
    text = json.dumps(told, allow_nan=False)
    assert json.loads(text) == told
    for n in numbers(told):
        assert not isinstance(n, float) or math.copysign(1, n) == 1 or n < 0, "a negative zero"
    # A part that adds no pole may store energy on its own.
    making = told["reactive_elements"] - len(told["hidden_elements"])
    assert making <= told["independent_reactive_elements"] <= told["reactive_elements"]


@settings(max_examples=60)
@given(ladders(laboratory=True, max_stages=4))
def test_the_coefficients_are_those_of_the_circuit(ladder: Ladder) -> None:
    told = facts_json(ladder)
    frequencies = np.logspace(1, 7, 7)
    expected = response(ladder, frequencies)
    for f, h in zip(frequencies, expected, strict=True):
        s = 2j * math.pi * f
        found = np.polyval(told["numerator"], s) / np.polyval(told["denominator"], s)
        # The matrix of a nodal analysis loses digits where a nearly open arm hangs on it.
        assert abs(found - h) <= 1e-4 * abs(h) + 1e-9


def test_the_page_says_everything() -> None:
    shown = page(read_circuit("source 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF; load 600 Ω"))
    for words in (
        "Low-pass filter, 2 poles, series-fed.",
        "L1, in the series path, is open, and C1, in shunt, is a short",
        "7.118 kHz (44.72 krad/s)",
        "(−38.33 ± j·23.03) krad/s",
        "−40 dB/decade",
        "−180°",
        "0.5833",
        "5.673 kHz",
        "0.5 (−6.021 dB)",
        "L1·C1·RL·s²",
        "s² + 76670·s + 2×10⁹",
        "2, of which 2 independent",
        "reached at DC",
    ):
        assert words in " ".join(shown.split()) or words in shown, f"{words!r} is not in\n{shown}"


def test_a_page_without_values_speaks_in_letters() -> None:
    shown = page(read_circuit("series R1; shunt C1"))
    assert "R1·C1·s + 1" in shown
    assert "2π·R1·C1" in shown
    assert "in letters" in shown
    assert "None" not in shown
    assert not re.search(r"\dHz|\d Hz", shown)


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("width", [40, 80, 100])
def test_pages_fit_their_width(width: int, plain: bool) -> None:
    circuits = [generate(seed, level=level).ladder for level in range(1, 7) for seed in range(4)]
    circuits.append(read_circuit(";".join(f"series L{i}; shunt C{i}" for i in range(1, 21))))
    for ladder in circuits:
        shown = page(ladder, width, ascii=plain)
        assert max(map(len, shown.split("\n"))) <= width, shown
        assert all(c.isprintable() or c == "\n" for c in shown)
        assert shown.isascii() or not plain


@settings(max_examples=40)
@given(ladders(valued=None, max_stages=4))
def test_any_circuit_has_a_page(ladder: Ladder) -> None:
    shown = page(ladder, 40, ascii=True)
    assert shown.isascii()
    assert "nan" not in shown.lower().split()
    for element in ladder.elements():
        assert element.name in shown


@pytest.mark.parametrize(
    ("text", "place", "expected"),
    [
        ("serie L1 = 1 mH", "line 1, column 1", "did you mean series?"),
        ("series R1 = 1k\nshnt C1", "line 2, column 1", "did you mean shunt?"),
        ("series C1 = 4M7", "line 1, column 14", "4.7 mF or 4.7e6 F"),
        ("", "line 1, column 1", "at least one series or shunt line"),
    ],
)
@pytest.mark.parametrize("as_json", [False, True])
def test_what_cannot_be_read_ends_with_2(
    text: str, place: str, expected: str, as_json: bool
) -> None:
    status, out, trouble = run(text, as_json=as_json, width=200)
    assert (status, out) == (2, "")
    assert place in trouble
    assert "there should be" in trouble
    assert expected in trouble


def test_the_caret_stands_under_the_place() -> None:
    _, _, trouble = run("series R1 = 1k\n   shunt X1 = 5" + " " * 200)
    shown, caret = trouble.rstrip("\n").split("\n")[-2:]
    assert shown[caret.index("^")] == "X"
    _, _, trouble = run("series R1 = 1k; " * 30 + "oops", width=60)
    shown, caret = trouble.rstrip("\n").split("\n")[-2:]
    assert shown[caret.index("^") :].startswith("oops")
    assert len(shown) <= 60


@pytest.mark.parametrize("plain", [False, True])
def test_nothing_harmful_is_echoed(plain: bool) -> None:
    for piece in (*FRAGMENTS, *HEAVY):
        for text in (piece, f"series R1 = 5 {piece}", f"series R1; {piece} C1 # {piece}"):
            status, out, trouble = run(text, width=60, ascii=plain)
            assert status in (0, 2)
            for line in (out + trouble).split("\n"):
                assert line.isprintable()
                assert line.isascii() or not plain
                assert len(line) <= 80


def test_the_command_reads_standard_input() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", "solve", "--json", "-"],
        input=EXAMPLE.encode(),
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert list(json.loads(done.stdout)) == KEYS


def test_solving_opens_no_screen() -> None:
    """Neither JSON nor page may wait for the screen library, nor need a test oracle."""
    code = (
        "import sys; from rungwise.tutor.cli.solve import run;"
        "run('series R1 = 1k; shunt C1 = 1n'); run('series R1; shunt C1', True);"
        "print([m for m in ('textual', 'rich', 'numpy', 'sympy', 'sqlite3') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.strip() == "[]"


def test_every_type_and_shape_has_its_words() -> None:
    words = tomllib.loads(files("rungwise.content").joinpath("solve.toml").read_text("utf-8"))
    bench = tomllib.loads(files("rungwise.content").joinpath("bench.toml").read_text("utf-8"))
    for kind in FilterType:
        assert words["type"][kind.value]
        assert words["why"][kind.value]
    named = {kind.value for kind in FilterType} - {"other"} | {kind.value for kind in Shape}
    named |= {"low-pass-trap", "high-pass-trap", "band-pass-trap", "notch-finite"}
    assert named == set(words["type"]) - {"other"} == set(bench["said"]["type"])
    assert {f"near-{limit.value}" for limit in Limit} <= set(words["levels"])


@pytest.mark.parametrize(("text", "called"), NAMED.items())
def test_the_page_gives_real_circuits_their_names(text: str, called: str) -> None:
    words = tomllib.loads(files("rungwise.content").joinpath("solve.toml").read_text("utf-8"))
    shown = page(read_circuit(text))
    assert words["type"][called] + ", " in " ".join(shown.split())
    known = facts(read_circuit(text))
    decided = known.nearest is not None and known.borderline and known.nearest.decides
    assert ("borderline" in shown) is decided


@pytest.mark.parametrize(("text", "called"), NAMED.items())
def test_the_object_tells_how_near_a_name_is(text: str, called: str) -> None:
    told, known = solved(text), facts(read_circuit(text))
    assert (told["type"], told["type_exact"]) == (known.type, known.type_exact)
    assert told["shape"] == (called if known.shape else None)
    assert told["borderline"] is (told["margin_db"] is not None and told["margin_db"] < 3)
    finite = called in ("notch-finite", "dip", "lag-lead")
    assert (told["depth_db"] is not None) is finite
    assert bool(told["traps_hz"]) is called.endswith("-trap")


def test_the_crystal_set_as_an_object() -> None:
    told = solved("source 100 kΩ; shunt (L1 = 250 uH + R1 = 5 Ω) || C1 = 100 pF; load 1 MΩ")
    assert (told["type"], told["type_exact"], told["fed"]) == ("band-pass", "low-pass", "shunt")
    assert told["corner_hz"] == pytest.approx(1.007e6, rel=5e-4)
    assert told["q"] == pytest.approx(48.65, abs=5e-3)
    assert told["bandwidth_hz"] == pytest.approx(20.7e3, rel=1e-3)
    assert told["floor_db"] == pytest.approx(83.7, abs=0.1)


def test_a_borderline_circuit_is_called_so() -> None:
    shown = " ".join(page(read_circuit("series R1 = 10 kΩ; shunt R2 = 1 kΩ + C1 = 100 nF")).split())
    assert "Low-pass filter" in shown
    assert "This is a borderline case: the high-frequency end is 20.8 dB below" in shown
    told = solved("series R1 = 10 kΩ; shunt R2 = 1 kΩ + C1 = 100 nF")
    assert told["borderline"] and told["margin_db"] == pytest.approx(0.828, abs=1e-3)


def test_a_value_too_large_to_write_is_refused_in_words() -> None:
    stage = Stage(Place.SERIES, Element(Kind.R, "R1", Fraction(10) ** 40))
    with refused(QuantityError, says="lies beyond"):
        facts_json(Ladder((stage,)))


def test_a_peak_of_exactly_one_is_zero_decibels() -> None:
    """A lossless tank at resonance passes everything; rounding must not make it −10⁻¹⁵ dB."""
    text = "source 220 Ω; shunt L1 = 470 µH || C1 = 1 µF"
    assert solved(text)["peak_gain_db"] == 0.0
    assert "0 dB at 7.341 kHz" in page(read_circuit(text))
    # A real loss is not rounded away.
    assert solved(text + " || R1 = 1 TΩ")["peak_gain_db"] == pytest.approx(
        20 * math.log10(1e12 / (1e12 + 220)), rel=1e-5
    )


@pytest.mark.parametrize(
    ("circuit", "cause"),
    [
        ("series R1 1k; shunt R2 1k", "there is no inductor and no capacitor"),
        ("shunt C1 1n; load 1k", "never reaches the output"),
        ("series C1 1n; shunt C2 2n", "in the same ratio"),
        ("series L1; shunt L2", "in the same ratio"),
        ("series R1 1k || C1 1n; shunt R2 1k || C2 1n", "each pole falls on a zero"),
    ],
)
def test_a_flat_circuit_is_told_why_it_is_flat(circuit: str, cause: str) -> None:
    assert cause in " ".join(page(read_circuit(circuit), 80).split())


def test_many_arms_share_one_sentence() -> None:
    arms = "; ".join(f"series L{i} 1 mH; shunt C{i} 1 nF" for i in range(1, 20))
    told = " ".join(page(read_circuit(f"source 50; {arms}; load 50"), 80).split())
    assert (
        told.count("in the series path, are open") == 1
        and "C18 and C19, in shunt, are shorts" in told
    )
