"""Formulas as MathML and as typst's mathematics: what is set means what was meant."""

from __future__ import annotations

import cmath
import re
import xml.etree.ElementTree as ET
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.letters import figures, letter_transfer
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.read import parse
from rungwise.problems.formulas.tree import (
    Formula,
    Letter,
    Minus,
    Number,
    Parallel,
    Power,
    Product,
    Quotient,
    SquareRoot,
    Sum,
    add,
    in_parallel,
    multiply,
)
from rungwise.problems.generate.analyse import generate
from rungwise.problems.solutions.solution import worked_solution
from rungwise.problems.solutions.step import Equation
from rungwise.tutor.documents.math.mathml import mathml
from rungwise.tutor.documents.math.nodes import (
    ROOM,
    SPACE,
    Fenced,
    Id,
    MathRow,
    MathText,
    Num,
    Operator,
    line,
    measure,
    nodes,
)
from rungwise.tutor.documents.math.typst import quoted, typst_math

from tests.support.oracle import response

from .math_reading import NS, TypstReader, mathml_value

S = 0.37 + 1.9j


def close(a: complex, b: complex) -> bool:
    return cmath.isclose(a, b, rel_tol=1e-9, abs_tol=1e-300)


def values_of(ladder: Ladder) -> dict[str, complex]:
    return {e.name: complex(float(e.value or 1)) for e in ladder.elements()}


def read_both(formula: Formula, values: dict[str, complex]) -> tuple[complex, complex]:
    set_ = mathml(formula), typst_math(formula)
    return mathml_value(set_[0], values), TypstReader(set_[1], values).value()


# --- against an independent value ----------------------------------------------------------


def test_h_of_every_family_read_off_the_page_is_the_networks() -> None:
    """H(jω) of the formula as set, against a nodal analysis of the circuit."""
    for family in FAMILIES:
        ladder = generate(2, family=family.name).ladder
        formula = letter_transfer(ladder).formula
        omega = 2 * np.pi * 12_345.0
        expected = complex(response(ladder, [omega / (2 * np.pi)])[0])
        for found in read_both(formula, {**values_of(ladder), "s": 1j * omega}):
            assert cmath.isclose(found, expected, rel_tol=1e-6, abs_tol=1e-12), family.name


def test_figures_of_every_family_read_off_the_page_are_the_facts() -> None:
    for family in FAMILIES:
        ladder = generate(2, family=family.name).ladder
        known, found = facts(ladder), figures(ladder)
        for name, true in (
            ("corner_hz", known.corner_hz),
            ("q", known.q),
            ("bandwidth_hz", known.bandwidth_hz),
        ):
            if name in found and true and not known.hidden:
                for value in read_both(found[name], values_of(ladder)):
                    assert cmath.isclose(value, true, rel_tol=1e-4), (family.name, name)


def formulas() -> st.SearchStrategy[Formula]:
    leaf = st.one_of(
        st.sampled_from(["R1", "RL", "C", "L2", "s", "pi", "ω0", "Q", "R_x"]).map(Letter),
        st.sampled_from(["1", "2", "4", "0.25", "4700", "1e-7", "1.5e9"]).map(
            lambda t: Number(Fraction(t))
        ),
    )

    def grown(inner: st.SearchStrategy[Formula]) -> st.SearchStrategy[Formula]:
        return st.one_of(
            st.builds(add, inner, inner),
            st.builds(lambda a, b: add(a, Minus(b)), inner, inner),
            st.builds(multiply, inner, inner),
            st.builds(in_parallel, inner, inner),
            st.builds(Quotient, inner, inner),
            st.builds(Power, inner, st.integers(-3, 4).filter(lambda n: n not in (0, 1))),
            st.builds(SquareRoot, inner),
            st.builds(Minus, inner),
        )

    return st.recursive(leaf, grown, max_leaves=12)


VALUES = {
    "R1": 3.1, "RL": 0.7, "C": 1.3, "L2": 0.9, "s": S, "ω0": 2.2, "Q": 0.8, "R_x": 5.0,
}  # fmt: skip


@settings(max_examples=120, deadline=None)
@given(formulas())
def test_any_formula_as_set_has_its_value(formula: Formula) -> None:
    try:
        expected = evaluate(formula, VALUES)
    except ValueError:
        return
    if abs(expected) > 1e60 or abs(expected) < 1e-60:
        return
    try:
        found = read_both(formula, VALUES)
    except (ZeroDivisionError, OverflowError):
        return
    for value in found:
        assert cmath.isclose(value, expected, rel_tol=1e-6, abs_tol=1e-9 * abs(expected))


@pytest.mark.parametrize("room", [14.0, 25.0, ROOM])
def test_long_sums_are_broken_and_keep_their_value(room: float) -> None:
    terms = tuple(
        Product((Letter(f"R{n}"), Letter(f"C{n}"), Power(Letter("s"), n))) for n in range(2, 12)
    )
    formula = Quotient(Letter("R2"), Sum((*terms, Minus(Letter("L")))))
    values = {f"{k}{n}": 1 + n / 7 for k in "RC" for n in range(2, 12)} | {"s": S, "L": 2.5}
    expected = evaluate(formula, values)
    set_ = mathml(formula, room=room), typst_math(formula, room=room)
    assert "mtable" in set_[0] and "mat(" in set_[1]
    assert measure(nodes(formula, room)) <= room
    assert "mtable" not in mathml(formula, room=200.0)
    assert " style=" not in set_[0]  # a page's policy may forbid it
    assert close(mathml_value(set_[0], values), expected)
    assert close(TypstReader(set_[1], values).value(), expected)


def test_a_reader_of_another_formula_finds_another_value() -> None:
    formula = parse("R1/(R1+1/(s*C))", ("R1", "C"))
    values = {"R1": 2.0, "C": 3.0, "s": S}
    assert close(mathml_value(mathml(formula), values), evaluate(formula, values))
    swapped = mathml(formula).replace("<mo>+</mo>", "<mo>−</mo>")
    assert not close(mathml_value(swapped, values), evaluate(formula, values))


# --- lines of worked solutions -------------------------------------------------------------


def test_lines_of_text_are_read_as_quantities() -> None:
    assert line("f₀ = 1.592 kHz") == MathRow(
        (Id("f", "0"), Operator("="), Num("1.592"), Operator(" "), MathText("kHz"))
    )
    assert line("p1, p2 = (−1 ± j·30) krad/s").items[:3] == (
        Id("p", "1"),
        Operator(","),
        Id("p", "2"),
    )
    assert line("Q = 1.2×10⁻³").items[-1] == Num("1.2", "-3")
    assert line("−90°") == MathRow((Operator("−", prefix=True), Num("90"), MathText("°")))
    assert line("90° − 90° = 0° (1 kHz)") == MathRow((
        Num("90"), MathText("°"), Operator("−"), Num("90"), MathText("°"), Operator("="),
        Num("0"), MathText("°"), SPACE, Fenced(line("1 kHz")),
    ))  # fmt: skip
    assert line("f(−3 dB)") == Id("f", "−3 dB")
    assert line("RL") == Id("R", "L") and line("R_load") == MathText("R_load")
    assert line("so what?") == MathText("so what?")


def test_values_in_lines_are_those_that_were_written() -> None:
    for text, expected in (
        ("Q = 0.7071", 0.7071),
        ("p1 = −89.97 rad/s", -89.97),
        ("z1 = 1.5×10⁷ rad/s", 1.5e7),
    ):
        unit = {"rad/s": 1.0}
        assert close(mathml_value(mathml(text), unit), expected)
        assert close(TypstReader(typst_math(text), unit).value(), expected)


def equations() -> list[Equation]:
    found: list[Equation] = []
    for family in FAMILIES:
        for step in worked_solution(generate(1, family=family.name).ladder):
            found += step.equations
    return found


def test_every_line_of_every_worked_solution_is_understood_and_compiles() -> None:
    """No sign of a worked solution ends as mere text, and typst takes the source as it is."""
    typst = pytest.importorskip("typst")
    known = {"rad/s", "Hz", "°", "dB"} | {p + u for p in "pnµmkMGT" for u in ("rad/s", "Hz")}
    lines = []
    for equation in equations():
        root = ET.fromstring(mathml(equation))
        for text in root.iter(f"{NS}mtext"):
            assert (text.text or "").replace("\xa0", " ") in known | {"−3 dB"}, equation
        lines.append(f"$ {typst_math(equation)} $")
    pdf = typst.compile("\n\n".join(lines).encode())
    assert pdf.startswith(b"%PDF") and len(lines) > 500


# --- hostile text --------------------------------------------------------------------------

HOSTILE = [
    '#read("/etc/passwd")', '" #panic("x") "', "\\", '\\"', '\\" + #{ panic() } + "', "$ #1 $",
    "]#panic()[", "// not seen", "/* not seen", "@ref <label>", "a_b^c & d # e",
    "<script>x</script>", "</math><b>", "&amp;", "frac(1, 2)", "x; y, z", "\u202eevil", "((((",
    "))))", "|||", "1e999999", "R\x00\x1b[31m1", "😀", "=" * 50,
]  # fmt: skip


def test_hostile_text_stays_text() -> None:
    typst = pytest.importorskip("typst")
    source = []
    for text in HOSTILE:
        root = ET.fromstring(mathml(text))
        tags = {node.tag.removeprefix(NS) for node in root.iter()}
        assert tags <= {"math", "mrow", "mi", "mn", "mo", "mtext", "mspace", "msub", "msup"}
        made = typst_math(text)
        outside = re.sub(r'"(?:[^"\\]|\\.)*"', "", made)
        assert "#" not in outside and "$" not in outside and "//" not in outside
        source.append(f"$ {made} $")
    assert typst.compile("\n\n".join(source).encode()).startswith(b"%PDF")


@settings(max_examples=120, deadline=None)
@given(st.text(max_size=30))
def test_any_text_is_well_formed_and_stays_in_its_strings(text: str) -> None:
    ET.fromstring(mathml(text))
    outside = re.sub(r'"(?:[^"\\]|\\.)*"', "", typst_math(text))
    assert not set(outside) & set('#$"@`[]{};&')
    words = set(re.findall(r"[a-zA-Z]{2,}", outside))
    assert words <= {"omega", "sigma", "pi", "thin", "class", "lr"}


def test_strings_of_typst() -> None:
    assert quoted('a"b\\') == '"a\\"b\\\\"'


def test_parallel_and_signs() -> None:
    formula = Parallel((Letter("R1"), Letter("RL")))
    values = {"R1": 3.0, "RL": 6.0}
    assert all(close(v, 2.0) for v in read_both(formula, values))
    assert "∥" in mathml(formula) and "∥" in typst_math(formula)
    assert 'alttext="R1 ∥ RL"' in mathml(formula)
