"""Equality of formulas, held against sympy and mpmath on random formulas."""

from __future__ import annotations

import random
from collections.abc import Callable
from fractions import Fraction

import mpmath
import pytest
import sympy
from rungwise.problems.formulas.equal import same
from rungwise.problems.formulas.layout import echo
from rungwise.problems.formulas.read import parse
from rungwise.problems.formulas.tree import (
    Formula,
    FormulaError,
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
    letters_of,
    multiply,
)

from tests.support.refusals import refused

LETTERS = {"R": "R", "R1": "R1", "R2": "R2", "L": "L", "C": "C", "C1": "C1", "Q": "Q", "ω0": "ω0"}

EQUAL = [
    ("1/2πRC", "(1/2π)·(1/RC)"),
    ("√(L/C)/R", "(1/R)√(L/C)"),
    ("√(L/C)/R", "√L/(R√C)"),
    ("√(L/C)/R", "√(LC)/(RC)"),
    ("R√(C/L)", "R/√(L/C)"),
    ("1/√(LC)", "√(1/(LC))"),
    ("1/√LC", "(LC)^-0.5"),
    ("√(L²/C)", "L/√C"),
    ("√(12R)", "2√(3R)"),
    ("√8+√2", "3√2"),
    ("√2·√3", "√6"),
    ("1/(1+√2)", "√2-1"),
    ("1/(√R+√C)", "(√R-√C)/(R-C)"),
    ("√(1/4)", "0.5"),
    ("√(R1²+2R1R2+R2²)", "R1+R2"),
    ("√((R1+R2)/(LC(R1+R2)^3))", "1/((R1+R2)√(LC))"),
    ("√(1/(LC)-R²/(4L²))", "√(4L/C-R²)/(2L)"),
    ("√(-4)", "2j"),
    ("√(-R)", "j√R"),
    ("(√(R-L))²", "R-L"),
    ("1/(1+jωRC)", "1/(1+sRC)"),
    ("jω", "s"),
    ("j²", "-1"),
    ("(1+j)(1-j)", "2"),
    ("R1∥R2", "R1R2/(R1+R2)"),
    ("R1||R2||R", "1/(1/R1+1/R2+1/R)"),
    ("10k", "1e4"),
    ("√(10m·100n)", "√1e-9"),
    ("√((R-L)^4)", "(R-L)²"),
    ("√(R-L)√(L-R)", "j√((R-L)²)"),
    ("π·π", "π²"),
    ("√(1e36·R+1e36·L)", "1e18√(R+L)"),
    (f"√(R+{'9' * 40}L)", f"√({'9' * 40}L+R)"),  # beyond what flint factors
    (f"√(-{'9' * 19}(R+L))", f"j√({'9' * 19}(R+L))"),
    ("(s+1)^16-(s+1)^16+s", "s"),
    ("√√(L)", "√√L"),  # nested roots: by ball arithmetic
    ("√(3+2√2)", "1+√2"),
    ("√((R-L)²)", "√((L-R)²)"),
    ("√(s²)√(s²)", "s²"),
    ("((R+L+C+1)^16)^16", "((1+C+L+R)^16)^16"),  # too many terms: by ball arithmetic
]

DIFFERENT = [
    ("1/2πRC", "1/(2π)·RC"),
    ("√(L/C)/R", "R√(C/L)"),
    ("√(LC)", "LC"),
    ("√2", "1.41421356237309504880168872420969807857"),
    ("π", "3.14159265358979323846264338327950288420"),
    ("√(R+L)", "√R+√L"),
    ("1/(2πRC)", "1/(RC)"),
    ("1/(1+sRC)", "1/(1+jsRC)"),
    ("√((R-L)²)", "R-L"),  # |R − L|
    ("√(1/(R-L))", "1/√(R-L)"),  # not for R < L
    ("√(3+2√2)", "1+√3"),
    ("√R", "-√R"),
    ("s", "ω"),
    ("R1", "R2"),
    ("((R+L+C+1)^16)^16", "((R+L+C+1)^16)^15"),
]


def _same(a: str, b: str) -> bool:
    return same(parse(a, LETTERS), parse(b, LETTERS))


@pytest.mark.parametrize(("a", "b"), EQUAL)
def test_equal(a: str, b: str) -> None:
    assert _same(a, b) and _same(b, a)


@pytest.mark.parametrize(("a", "b"), DIFFERENT)
def test_different(a: str, b: str) -> None:
    assert not _same(a, b) and not _same(b, a)


@pytest.mark.parametrize("typed", ["1/0", "1/(R-R)", "0^-1", "R/(j²+1)", "1/(√8-2√2)", "R∥(-R)"])
def test_dividing_by_zero_is_refused(typed: str) -> None:
    with refused(FormulaError, says="divides by zero"):
        _same(typed, "R")


# --- random formulas --------------------------------------------------------------------

NAMES = ("R1", "L", "C")


def _tree(chance: random.Random, depth: int, roots: bool) -> Formula:
    kind = chance.randrange(10) if depth else chance.randrange(2)
    if kind == 0:
        return Number(Fraction(chance.randrange(1, 7)))
    if kind == 1:
        return Letter(chance.choice(NAMES if roots else (*NAMES, "s")))
    first = _tree(chance, depth - 1, roots)
    if kind == 8:
        return Power(first, chance.choice((-2, 2, 3)))
    if kind == 9 and roots:
        return SquareRoot(first)
    second = _tree(chance, depth - 1, roots)
    if kind in (2, 3):
        return add(first, Minus(second) if kind == 2 and not roots else second)
    return {
        4: multiply, 5: multiply, 6: Quotient, 7: Quotient, 9: in_parallel
    }[kind](first, second)  # fmt: skip


_SYMBOLS = {name: sympy.Symbol(name, positive=True) for name in (*NAMES, "s")}


def _to_sympy(f: Formula) -> sympy.Expr:
    match f:
        case Number(value):
            return sympy.Rational(value.numerator, value.denominator)
        case Letter(name):
            return _SYMBOLS[name]
        case Minus(x):
            return -_to_sympy(x)
        case Sum(parts):
            return sympy.Add(*map(_to_sympy, parts))
        case Product(parts):
            return sympy.Mul(*map(_to_sympy, parts))
        case Quotient(top, bottom):
            return _to_sympy(top) / _to_sympy(bottom)
        case Power(base, n):
            return _to_sympy(base) ** n
        case SquareRoot(x):
            return sympy.sqrt(_to_sympy(x))
        case Parallel(parts):
            return 1 / sympy.Add(*(1 / _to_sympy(p) for p in parts))


def _from_sympy(e: sympy.Expr) -> Formula | None:
    """Back from sympy; ``None`` for what a formula cannot say."""
    if e.is_Rational:
        size: Formula = Number(Fraction(abs(int(e.p))))
        if e.q != 1:
            size = Quotient(size, Number(Fraction(int(e.q))))
        return Minus(size) if e.p < 0 else size
    if e.is_Symbol:
        return Letter(e.name)
    if e.is_Add or e.is_Mul:
        parts = [_from_sympy(a) for a in e.args]
        if None in parts:
            return None
        out = parts[0]
        for part in parts[1:]:
            out = (add if e.is_Add else multiply)(out, part)
        return out
    if e.is_Pow and e.exp.is_Rational and e.exp.q <= 2 and abs(e.exp.p) <= 16:
        base = _from_sympy(e.base)
        if base is None:
            return None
        return Power(SquareRoot(base) if e.exp.q == 2 else base, int(e.exp.p))
    return None


_REWRITE: list[Callable[[sympy.Expr], sympy.Expr]] = [
    sympy.expand,
    sympy.together,
    sympy.factor,
    sympy.radsimp,
]


@pytest.mark.parametrize("roots", [False, True], ids=["rational", "roots"])
def test_what_sympy_rewrites_is_the_same(roots: bool) -> None:
    chance = random.Random(20)
    compared = 0
    for _ in range(150):
        formula = _tree(chance, chance.randrange(2, 5), roots)
        value = _to_sympy(formula)
        if value.has(sympy.zoo, sympy.nan):
            continue
        other = _from_sympy(chance.choice(_REWRITE)(value))
        if other is None:
            continue
        assert same(formula, other), f"{echo(formula)}  and  {echo(other)}"
        compared += 1
    assert compared > 80


def _damaged(f: Formula, chance: random.Random) -> Formula:
    """The formula with one small part changed, often without changing its value."""
    match f:
        case Number(value):
            return Number(value + chance.randrange(2))
        case Letter(name):
            return Letter(chance.choice((name, *NAMES)))
        case Sum((first, *rest)):
            return Sum((_damaged(first, chance), *chance.sample(rest, len(rest))))
        case Product((first, *rest)):
            return Product((*chance.sample(rest, len(rest)), _damaged(first, chance)))
        case Quotient(top, bottom):
            return multiply(_damaged(top, chance), Power(bottom, -1))
        case Power(base, n):
            return Quotient(Power(_damaged(base, chance), n + 1), base)
        case SquareRoot(x):
            return Quotient(_damaged(x, chance), SquareRoot(x))
        case _:
            return f


def _mp(f: Formula, at: dict[str, mpmath.mpc]) -> mpmath.mpc:
    match f:
        case Number(value):
            return mpmath.mpf(value.numerator) / value.denominator
        case Letter(name):
            return at[name]
        case Minus(x):
            return -_mp(x, at)
        case Sum(parts):
            return mpmath.fsum(_mp(p, at) for p in parts)
        case Product(parts):
            return mpmath.fprod(_mp(p, at) for p in parts)
        case Quotient(top, bottom):
            return _mp(top, at) / _mp(bottom, at)
        case Power(base, n):
            return _mp(base, at) ** n
        case SquareRoot(x):
            return mpmath.sqrt(_mp(x, at))
        case Parallel(parts):
            return 1 / mpmath.fsum(1 / _mp(p, at) for p in parts)


def test_verdicts_agree_with_values_to_60_digits() -> None:
    chance = random.Random(21)
    verdicts = {True: 0, False: 0}
    with mpmath.workdps(60):
        points = [
            {name: mpmath.mpf(chance.randrange(10, 10**6)) / 9973 for name in (*NAMES, "s")}
            for _ in range(4)
        ]
        for _ in range(1500):
            a = _tree(chance, chance.randrange(1, 5), chance.random() < 0.5)
            b = _damaged(a, chance)
            try:
                verdict = same(a, b)
                gaps = [abs(_mp(a, p) - _mp(b, p)) / (1 + abs(_mp(a, p))) for p in points]
            except (FormulaError, ZeroDivisionError):
                continue
            assert verdict == all(gap < mpmath.mpf(10) ** -40 for gap in gaps), (
                f"{echo(a)}  and  {echo(b)}"
            )
            verdicts[verdict] += 1
    assert min(verdicts.values()) > 200


def test_letters_are_found() -> None:
    assert letters_of(parse("√(L/C)/(R1∥2)+s^2-π", LETTERS)) == {"L", "C", "R1", "s", "pi"}
