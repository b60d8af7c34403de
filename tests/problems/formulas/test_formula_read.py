"""Typed formulas: spellings, errors with their place, round trips, hostile text."""

from __future__ import annotations

import time
from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.formulas.equal import same
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.layout import echo, layout
from rungwise.problems.formulas.read import Beside, parse
from rungwise.problems.formulas.tree import (
    Formula,
    FormulaError,
    Letter,
    Minus,
    Number,
    Power,
    Quotient,
    SquareRoot,
    add,
    in_parallel,
    letters_of,
    multiply,
)
from rungwise.tutor.language.errors import worded

from tests.support.hostile import SLOWEST, survey

LETTERS = {
    **{name: name for name in ("R1", "C1", "L1", "Rs", "RL", "ω0", "f0", "Q")},
    "R": "R1",
    "C": "C1",
    "L": "L1",
}

SPELLINGS = [
    # implicit products bind tighter than a quotient's bar
    ("1/2πRC", "1/(2·π·R1·C1)"),
    ("1/(2*pi*R1*C1)", "1/(2·π·R1·C1)"),
    ("1 / 2 pi R1 C1", "1/(2·π·R1·C1)"),
    ("1/2*pi*R1*C1", "(1/2)·π·R1·C1"),
    ("1/2·(1/(πR₁C₁))", "(1/2)·(1/(π·R1·C1))"),
    ("½/πRC", "(1/2)/(π·R1·C1)"),
    # two and a half, and a product where a sign says so
    ("2½", "2 + 1/2"),
    ("2½/R", "(2 + 1/2)/R1"),
    ("2·½", "2·(1/2)"),
    # roots and how far they reach
    ("1/2π√LC", "1/(2·π·√(L1·C1))"),
    ("1/(2π√(L1·C1))", "1/(2·π·√(L1·C1))"),
    ("1/(2*pi*sqrt(L1*C1))", "1/(2·π·√(L1·C1))"),
    ("(LC)^-0.5/2π", "(1/√(L1·C1))/(2·π)"),
    ("(LC)^(-1/2)", "1/√(L1·C1)"),
    ("√L/C", "√(L1)/C1"),
    ("√(L/C)/R", "√(L1/C1)/R1"),
    ("√LC s", "√(L1·C1)·s"),
    ("√LCs", "√(L1·C1)·s"),
    ("√L C", "√(L1)·C1"),
    ("√2R", "√(2)·R1"),
    ("√C²", "√(C1²)"),
    ("√√L", "√(√(L1))"),
    # powers
    ("LCs²+RCs+1", "L1·C1·s² + R1·C1·s + 1"),
    ("L1C1s^2 + R1C1s + 1", "L1·C1·s² + R1·C1·s + 1"),
    ("L1 C1 s**2", "L1·C1·s²"),
    ("s^(-1)", "s⁻¹"),
    ("s⁻¹", "s⁻¹"),
    ("(s+1)²", "(s + 1)²"),
    ("(√R)²", "(√(R1))²"),
    ("(s²)³", "(s²)³"),
    ("-s²", "−s²"),
    ("(-s)²", "(−s)²"),
    ("R-(-C)", "R1 − (−C1)"),
    ("--R", "−(−R1)"),
    # letters: indices, case, Greek, the longest name
    ("R₁·C₁", "R1·C1"),
    ("r1c1", "R1·C1"),
    ("R_1 C_1", "R1·C1"),
    ("ω₀²+w0 s/Q+omega0^2", "ω₀² + ω₀·s/Q + ω₀²"),
    ("1/(1+jωRC)", "1/(1 + j·ω·R1·C1)"),
    ("1/(1+j*w*R*C)", "1/(1 + j·ω·R1·C1)"),
    ("RsRLC", "Rs·RL·C1"),
    ("RLs", "RL·s"),
    ("2 PI f_0", "2·π·f₀"),
    # parallel
    ("R||RL", "R1 ∥ RL"),
    ("(R1∥RL)C", "(R1 ∥ RL)·C1"),
    ("R // RL // Rs", "R1 ∥ RL ∥ Rs"),
    ("1/sC∥R+L", "((1/(s·C1)) ∥ R1) + L1"),
    # labels and brackets
    ("H(s) = R(s+1)", "R1·(s + 1)"),
    ("f0 = ω0/2π", "ω₀/(2·π)"),
    ("H(jω)=Vout/Vin=R/[R+{1/(sC)}]", "R1/(R1 + 1/(s·C1))"),
    # numbers, prefixes, units
    ("4.7k", "4700"),
    ("4,7k", "4700"),
    ("10m·100n", "0.01·1e-7"),
    ("1/(2π·10 kΩ·100 nF)", "1/(2·π·10000·1e-7)"),
    ("2.2meg R", "2200000·R1"),
    ("100µ", "0.0001"),
    ("1e-7·R", "1e-7·R1"),
    ("٣R", "3·R1"),
    ("0", "0"),
    ("10³", "10³"),
]


@pytest.mark.parametrize(("typed", "read"), SPELLINGS)
def test_spellings(typed: str, read: str) -> None:
    assert echo(parse(typed, LETTERS)) == read


@pytest.mark.parametrize(
    ("typed", "position", "expected"),
    [
        ("", 0, "a number, a letter"),
        ("R1+", 3, "a number, a letter"),
        ("(R1", 3, "to close the bracket"),
        ("(R1]", 3, "“)”"),
        ("R1)", 2, "the end"),
        ("R12", 0, "one of the letters R1"),
        ("R1 2", 3, "a sign before a number"),
        ("s2", 1, "a sign before a number"),
        ("R1 + Rx", 6, "one of the letters"),
        ("2^17", 1, "from −16 to 16"),
        ("s^R", 2, "a whole exponent"),
        ("s^2^2", 3, "brackets round the first power"),
        ("1,000R1", 0, "1.000 or 1000"),
        ("R1 = C1 + 2 = 3", 12, "one formula"),
        ("1e99", 0, "power of ten"),
        ("9" * 41, 0, "at most 40 digits"),
        ("R1" + " " * 600, 512, "at most 512"),
        ("+".join(["1"] * 200), 256, "at most 256"),
        ("(" * 80 + "1", 64, "64 levels"),
        ("√" * 80 + "1", 64, "64 levels"),
        ("-" * 80 + "1", 64, "64 levels"),
    ],
)
def test_refusals_name_the_place(typed: str, position: int, expected: str) -> None:
    with pytest.raises(FormulaError) as caught:
        parse(typed, LETTERS)
    assert caught.value.position == position
    assert expected in worded(caught.value)


def test_a_refusal_never_carries_a_control_character() -> None:
    for typed in ("\x1b[31mR1", "R1\x07", "\u202eR1", "R1\ud800"):
        with pytest.raises(FormulaError) as caught:
            parse(typed, LETTERS)
        assert worded(caught.value).isprintable()


def test_an_exact_spelling_wins_over_the_other_case() -> None:
    assert letters_of(parse("Ls", {"L", "LS"})) == {"L", "s"}
    assert letters_of(parse("ls", {"L", "LS"})) == {"LS"}
    with pytest.raises(FormulaError):  # could be either
        parse("ra", {"Ra", "RA"})


def test_a_table_of_values_serves_as_the_letters() -> None:
    assert letters_of(parse("R1*C1", {"R1": 1e3, "C1": 1e-6})) == {"R1", "C1"}


def test_letters_not_allowed_are_refused() -> None:
    with pytest.raises(FormulaError):
        parse("ω0", {"R1"})
    with pytest.raises(FormulaError):
        parse("__import__('os')", {"R1"})


# --- round trips ------------------------------------------------------------------------

_ATOMS = st.one_of(
    st.sampled_from(["R1", "C1", "L1", "RL", "s", "j", "pi", "ω", "ω0"]).map(Letter),
    st.builds(
        lambda digits, places: Number(Fraction(digits, 10**places)),
        st.integers(0, 10**8),
        st.integers(0, 12),
    ),
)


def _compound(children: st.SearchStrategy[Formula]) -> st.SearchStrategy[Formula]:
    return st.one_of(
        st.builds(add, children, children),
        st.builds(lambda a, b: add(a, Minus(b)), children, children),
        st.builds(multiply, children, children),
        st.builds(in_parallel, children, children),
        st.builds(Quotient, children, children),
        st.builds(Minus, children),
        st.builds(SquareRoot, children),
        st.builds(Power, children, st.integers(-16, 16)),
    )


FORMULAS: st.SearchStrategy[Formula] = st.recursive(_ATOMS, _compound, max_leaves=12)


@given(FORMULAS, st.booleans())
@settings(max_examples=120, deadline=None)
def test_reading_the_echo_gives_the_same_formula(formula: Formula, only: bool) -> None:
    text = echo(formula, ascii=only)
    assert text.isascii() or not only
    assert parse(text, LETTERS) == formula


@given(FORMULAS, st.booleans(), st.sampled_from([None, 40]))
@settings(max_examples=120, deadline=None)
def test_a_drawing_is_a_rectangle(formula: Formula, only: bool, width: int | None) -> None:
    lines = layout(formula, lead="H = ", ascii=only, width=width)
    assert len({len(line) for line in lines}) == 1
    assert all(line.isascii() for line in lines) or not only
    assert sum(line.startswith("H = ") for line in lines) == 1


@pytest.mark.parametrize(
    ("typed", "drawing"),
    [
        ("1/2π√LC", ["     1     ", "───────────", "     _____ ", " 2π·√L1·C1 "]),
        ("√(L/C)/R", ["  ┌──── ", "  │ L1  ", "  │──── ", " ╲│ C1  ", "────────", "   R1   "]),
        ("s²+s/Q", ["      s ", "s² + ───", "      Q "]),
        ("(1+1/s)²", ["⎛     1 ⎞²", "⎜1 + ───⎟ ", "⎝     s ⎠ "]),
        ("R1+RL-(Rs-s)", ["R1 + RL − (Rs − s)"]),
    ],
)
def test_drawings(typed: str, drawing: list[str]) -> None:
    assert layout(parse(typed, LETTERS)) == drawing


def test_a_drawing_in_ascii() -> None:
    assert layout(parse("√(L/C)/2", LETTERS), lead="Q = ", ascii=True) == [
        "       ____ ",
        "      | L1  ",
        "      |---- ",
        "     \\| C1  ",
        "Q = --------",
        "       2    ",
    ]


def test_a_long_sum_is_broken_before_a_sign() -> None:
    lines = layout(parse("+".join(["R1C1"] * 12), LETTERS), width=40)
    assert len(lines) > 1 and all(len(line) <= 40 for line in lines)
    assert all(line.lstrip().startswith("+") for line in lines[1:])


# --- values -----------------------------------------------------------------------------


def test_values() -> None:
    values = {"R1": 1e3, "C1": 1e-6, "s": 1000j}
    assert evaluate(parse("1/(1+RCs)", LETTERS), values) == pytest.approx(0.5 - 0.5j)
    assert evaluate(parse("1/(1+jωRC)", LETTERS), values) == pytest.approx(0.5 - 0.5j)
    assert evaluate(parse("R∥R∥R", LETTERS), values) == pytest.approx(1000 / 3)
    assert evaluate(parse("-√4·π^2", LETTERS), values) == pytest.approx(-19.739208802178716)


@pytest.mark.parametrize("typed", ["1/0", "1/(R1-R1)", "0^-1", "(1e40)^16", "R1∥(-R1)", "L1"])
def test_values_that_do_not_exist(typed: str) -> None:
    with pytest.raises(FormulaError):
        evaluate(parse(typed, LETTERS), {"R1": 1e3})


# --- hostile text -----------------------------------------------------------------------

_TRUTH = parse("1/(L1*C1*s^2 + R1*C1*s + 1)", LETTERS)
_VALUES = dict.fromkeys(LETTERS, 1.5) | {"s": 2j}


def _everything(text: str) -> None:
    formula = parse(text, LETTERS)
    echo(formula)
    layout(formula)
    same(formula, _TRUTH)
    evaluate(formula, _VALUES)


def test_hostile_text() -> None:
    samples = [typed for typed, _ in SPELLINGS]
    outcomes = survey(_everything, (FormulaError,), samples, count=25_000)
    assert min(outcomes.values()) > 500  # both outcomes are really tried


@pytest.mark.parametrize(
    "typed",
    [
        "((((((s+1)^16)^16)^16)^16)^16)^16",
        "(R1+C1+L1+Rs+RL+Q+s+f0+1)^16",
        "((9e39)^16)^16",
        "(√2+√3+√5+√7+√11+√13+√17+√19)^16",
        "(√R1+√C1+√L1+√Rs+√RL+√Q+√f0)^16",
        "√((R1+C1+L1+Rs+RL+Q+f0+1)^3)",
        "√(18446744073709551557·18446744073709551533)",
        "∥".join(f"(s+R1·{n})" for n in range(1, 28)),
        "√((R1^8+C1^8+L1)^3+Rs^3-RL)",
        "/".join(["s"] * 128),
        "1/(1+" * 30 + "s" + ")" * 30,
        "√(1+" * 30 + "R1" + ")" * 30,
    ],
)
def test_explosive_formulas_are_bounded_in_time(typed: str) -> None:
    times = []
    for _ in range(3):
        start = time.thread_time()
        with suppress(FormulaError):
            _everything(typed)
        times.append(time.thread_time() - start)
    assert min(times) <= SLOWEST


@pytest.mark.parametrize(
    ("typed", "tight", "spaced", "loose"),
    [
        ("R1/L1 s", "R1/(L1*s)", "(R1/L1)*s", "(R1/L1)*s"),
        ("1/2pi R1 C1", "1/(2*pi*R1*C1)", "(1/(2*pi))*R1*C1", "(1/2)*pi*R1*C1"),
        ("1/L1C1 + R1/L1 s", "1/(L1*C1) + R1/(L1*s)", "1/(L1*C1) + (R1/L1)*s",
         "(1/L1)*C1 + (R1/L1)*s"),
        ("1/(R1)(C1)^2", "1/(R1*C1^2)", "1/(R1*C1^2)", "(1/R1)*C1^2"),
    ],
)  # fmt: skip
def test_side_by_side_after_a_slash_in_three_ways(
    typed: str, tight: str, spaced: str, loose: str
) -> None:
    for beside, meant in zip(Beside, (tight, spaced, loose, loose), strict=True):
        assert same(parse(typed, LETTERS, beside), parse(meant, LETTERS)), beside


@pytest.mark.parametrize(
    ("typed", "near", "far"),
    [
        ("√L1/C1", "√(L1)/C1", "√(L1/C1)"),
        ("√L1/C1/R1", "√(L1)/C1/R1", "√(L1/C1)/R1"),
        ("1/R1√L1/C1", "1/(R1·√(L1))/C1", "1/R1·√(L1/C1)"),
        ("√L1 /C1", "√(L1)/C1", "√(L1)/C1"),  # a blank ends it
        ("√(L1)/C1", "√(L1)/C1", "√(L1)/C1"),  # so do brackets
        ("1/√L1C1", "1/√(L1·C1)", "1/√(L1·C1)"),
    ],
)
def test_a_root_may_reach_over_a_slash(typed: str, near: str, far: str) -> None:
    assert same(parse(typed, LETTERS), parse(near, LETTERS))
    assert same(parse(typed, LETTERS, Beside.FAR), parse(far, LETTERS))
