"""Formulas in the circuit's own letters, held against sympy's nodal analysis and textbooks."""

from __future__ import annotations

import math
import time
from contextlib import suppress
from fractions import Fraction

import pytest
import sympy
from hypothesis import assume, given, settings
from rungwise.problems.analysis import letters as symbolic
from rungwise.problems.analysis.letters import figures, formulas, letter_transfer
from rungwise.problems.analysis.letters_algebra import SymbolicTooLargeError
from rungwise.problems.analysis.response import FilterType, facts
from rungwise.problems.analysis.transfer import transfer_function
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import (
    Arm,
    CircuitError,
    Element,
    Joint,
    Ladder,
    Place,
    valueless,
)
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.equal import same
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.layout import echo
from rungwise.problems.formulas.read import parse
from rungwise.problems.generate.analyse import generate
from sympy.polys.matrices import DomainMatrix

from tests.support.refusals import refused
from tests.support.strategies import ladders

# --- an independent solution: Kirchhoff's current law at every node, solved by sympy -------


class _Nodes:
    """Node 0 is ground, node 1 the ideal source of 1 V."""

    def __init__(self, ladder: Ladder) -> None:
        self.s = sympy.Symbol("s")
        self.count = 2
        self.branches: list[tuple[int, int, sympy.Expr]] = []
        self.buffers: list[tuple[int, int]] = []
        here = 1
        if ladder.source is not None:
            here = self.along(ladder.source, here)
        for stage in ladder.stages:
            if stage.place is Place.BUFFER:
                self.buffers.append((here, self.node()))
                here = self.buffers[-1][1]
            elif stage.place is Place.SERIES:
                assert stage.arm is not None
                here = self.along(stage.arm, here)
            else:
                assert stage.arm is not None
                self.between(stage.arm, here, 0)
        if ladder.load is not None:
            self.between(ladder.load, here, 0)
        self.output = here

    def node(self) -> int:
        self.count += 1
        return self.count - 1

    def along(self, arm: Arm, start: int) -> int:
        end = self.node()
        self.between(arm, start, end)
        return end

    def between(self, arm: Arm, a: int, b: int) -> None:
        if isinstance(arm, Element):
            x = sympy.Symbol(arm.name)
            admittance = {"R": 1 / x, "L": 1 / (self.s * x), "C": self.s * x}[arm.kind.value]
            self.branches.append((a, b, admittance))
        elif arm.joint is Joint.PARALLEL:
            for part in arm.parts:
                self.between(part, a, b)
        else:
            for part in arm.parts[:-1]:
                a = self.along(part, a)
            self.between(arm.parts[-1], a, b)

    def solve(self) -> sympy.Expr:
        n = self.count - 1  # node k is row k − 1
        rows = [[sympy.S.Zero] * n for _ in range(n)]
        right = [[sympy.S.Zero] for _ in range(n)]
        fixed = {1, *(after for _, after in self.buffers)}
        for a, b, y in self.branches:
            for here, there in ((a, b), (b, a)):
                if here and here not in fixed:
                    rows[here - 1][here - 1] += y
                    if there:
                        rows[here - 1][there - 1] -= y
        rows[0][0] = right[0][0] = sympy.S.One
        for before, after in self.buffers:
            rows[after - 1][after - 1] = sympy.S.One
            rows[after - 1][before - 1] -= 1
        system = DomainMatrix.from_list_sympy(n, n, rows).to_field()
        known = DomainMatrix.from_list_sympy(n, 1, right).convert_to(system.domain)
        solution = system.lu_solve(known)
        return solution.to_Matrix()[self.output - 1]


def _sympy_text(text: str) -> sympy.Expr:
    """Our own machine text as sympy reads it (never done with text from outside)."""
    names = {name: sympy.Symbol(name) for name in _names(text)}
    return sympy.sympify(text.replace("^", "**"), locals=names)


def _names(text: str) -> set[str]:
    separated = "".join(c if c.isalnum() or c == "_" else " " for c in text)
    return {word for word in separated.split() if not word[0].isdigit()}


@given(ladders(valued=False, max_stages=4))
@settings(max_examples=60, deadline=None)
def test_transfer_agrees_with_nodal_analysis(ladder: Ladder) -> None:
    assume(sum(1 for _ in ladder.elements()) <= 8)
    found = letter_transfer(ladder)
    ours, theirs = _sympy_text(found.text), _Nodes(ladder).solve()
    assert sympy.cancel(ours - theirs) == 0
    # Cancelled, and the coefficients are those of the text.
    top, bottom = sympy.fraction(sympy.cancel(theirs))
    s = sympy.Symbol("s")
    assert sympy.degree(bottom, s) == len(found.denominator) - 1
    assert (top == 0 and found.numerator == ("0",)) or sympy.degree(top, s) == (
        len(found.numerator) - 1
    )
    whole = sum(
        _sympy_text(c) * s**n for n, c in enumerate(reversed(found.denominator))
    ) * ours - sum(_sympy_text(c) * s**n for n, c in enumerate(reversed(found.numerator)))
    assert sympy.cancel(whole) == 0


@given(ladders(valued=True, laboratory=True, max_stages=4))
@settings(max_examples=100, deadline=None)
def test_formulas_agree_with_the_exact_facts(ladder: Ladder) -> None:
    assume(sum(1 for _ in ladder.elements()) <= 9)
    _check_against_facts(ladder)


@pytest.mark.parametrize("family", [family.name for family in FAMILIES])
def test_every_family(family: str) -> None:
    for seed in range(3):
        _check_against_facts(generate(seed, family=family).ladder)


def _check_against_facts(ladder: Ladder) -> None:
    found, known = formulas(ladder), facts(ladder)
    if found.cancelled:
        assert found.order > known.transfer.order
        return
    assert found.order == known.transfer.order
    values = {e.name: float(e.value) for e in ladder.elements() if e.value is not None}

    def value(text: str | None, **more: complex) -> complex | None:
        return None if text is None else evaluate(parse(text, values), values | more)

    expected = {
        "corner_hz": known.corner_hz,
        "corner_rad": None if known.corner_hz is None else 2 * math.pi * known.corner_hz,
        "q": known.q,
        "gain_low": float(known.gain_low),
        "gain_high": float(known.gain_high),
    }
    for name, number in expected.items():
        text = getattr(found, name)
        if text is not None:
            assert number is not None, name
            assert value(text) == pytest.approx(number, rel=1e-9), (name, text)
        else:
            assert number is None or found.order > 2 or _long(ladder, name), name
    if found.bandwidth_hz is not None:
        assert value(found.bandwidth_hz) == pytest.approx(known.bandwidth_hz, rel=1e-6)
    if found.gain is not None:
        top = known.peak_gain if known.type is FilterType.BAND_PASS else None
        ends = max(float(known.gain_low), float(known.gain_high))
        assert value(found.gain) == pytest.approx(ends if top is None else top, rel=1e-6)
    if found.transfer is not None:
        transfer = transfer_function(ladder)
        s = complex(30, 2e4)
        assert value(found.transfer, s=s) == pytest.approx(transfer(s), rel=1e-6)
    for name, tree in figures(ladder).items():
        text = getattr(found, name)
        assert text is None or (parse(text, values) == tree and text.isascii())


def _long(ladder: Ladder, name: str) -> bool:
    """Whether a formula is missing only because our reader would refuse its length."""
    return len(echo(figures(ladder)[name], ascii=True)) > 150


TEXTBOOK = [
    # (circuit, figure, formula): common practice, in every text on filters
    ("series R; shunt C", "corner_hz", "1/(2*pi*R*C)"),
    ("series L; shunt R", "corner_hz", "R/(2*pi*L)"),
    ("series R1; shunt C; load RL", "corner_hz", "(R1 + RL)/(2*pi*R1*RL*C)"),
    ("series R; series L; shunt C", "transfer", "1/(L*C*s^2 + R*C*s + 1)"),
    ("series R; series L; shunt C", "corner_rad", "1/sqrt(L*C)"),
    ("series R; series L; shunt C", "q", "sqrt(L/C)/R"),
    ("series R; series C; shunt L", "transfer", "L*C*s^2/(L*C*s^2 + R*C*s + 1)"),
    ("series L; series C; shunt R", "transfer", "R*C*s/(L*C*s^2 + R*C*s + 1)"),
    ("series L; series C; shunt R", "bandwidth_hz", "R/(2*pi*L)"),
    ("series L; series C; shunt R", "gain", "1"),
    ("series R; shunt L + C", "transfer", "(L*C*s^2 + 1)/(L*C*s^2 + R*C*s + 1)"),
    ("source Rs; shunt L || C", "q", "Rs*sqrt(C/L)"),
    ("source Rs; shunt L || C; load RL", "q", "Rs*RL*sqrt(C/L)/(Rs + RL)"),
    ("source Rs; shunt L || C; load RL", "transfer",
     "L*RL*s/(L*C*Rs*RL*s^2 + L*(Rs + RL)*s + Rs*RL)"),
    ("series L; shunt C; load RL", "transfer", "RL/(L*C*RL*s^2 + L*s + RL)"),
    ("series L; shunt C; load RL", "q", "RL*sqrt(C/L)"),
    ("source Rs; shunt C; series L; load RL", "transfer",
     "RL/(L*C*Rs*s^2 + (Rs*RL*C + L)*s + Rs + RL)"),
    ("source Rs; series L + C; load RL", "bandwidth_hz", "(Rs + RL)/(2*pi*L)"),
    ("series L || C; load RL", "bandwidth_hz", "1/(2*pi*RL*C)"),
    ("series R1; shunt C1; series R2; shunt C2", "q",
     "sqrt(R1*R2*C1*C2)/(R1*C1 + R1*C2 + R2*C2)"),
    ("series C1; shunt R1; buffer; series R2; shunt C2", "gain", "R1*C1/(R1*C1 + R2*C2)"),
    ("series R; shunt C1 || C2", "corner_hz", "1/(2*pi*R*(C1 + C2))"),
    ("series R1; shunt R2", "gain", "R2/(R1 + R2)"),
    ("shunt C; load R", "transfer", "1"),
]  # fmt: skip


@pytest.mark.parametrize(("circuit", "figure", "formula"), TEXTBOOK)
def test_textbook_forms(circuit: str, figure: str, formula: str) -> None:
    assert getattr(formulas(read_circuit(circuit)), figure) == formula


def test_what_has_no_formula_is_none() -> None:
    ladder = read_circuit("series L1; shunt C1; series L2; load RL")
    found = formulas(ladder)
    assert (found.corner_hz, found.q, found.bandwidth_hz) == (None, None, None)
    assert found.order == 3
    lossless = formulas(read_circuit("series L; shunt C"))
    assert lossless.q is None and lossless.corner_rad == "1/sqrt(L*C)"


def test_a_notch_with_unequal_ends_has_no_short_bandwidth() -> None:
    # H = RL(L·C1·s² + 1)/(L(C1 + C2)RL·s² + L·s + RL): 1 at DC, C1/(C1 + C2) at the far end
    found = formulas(read_circuit("series L || C1; shunt C2; load RL"))
    assert (found.gain_low, found.gain_high) == ("1", "C1/(C1 + C2)")
    assert (found.gain, found.bandwidth_hz) == (None, None)
    assert found.q == "RL*sqrt((C1 + C2)/L)"


def test_values_that_cancel_a_pole_leave_no_figures() -> None:
    # R1·C1 = R2·C2: the divider is then frequency-independent.
    text = "series R1 = 1 kΩ || C1 = 100 nF; shunt R2 = 10 kΩ || C2 = 10 nF"
    found = formulas(read_circuit(text))
    assert found.cancelled and found.corner_hz is None and found.transfer is not None


def test_an_altered_circuit_has_its_own_formulas() -> None:
    whole = read_circuit("series R1 = 1 kΩ; shunt C1 = 1 µF; load RL = 2 kΩ")
    bare = Ladder(whole.stages, whole.source, None)
    assert formulas(whole).corner_hz == "(R1 + RL)/(2*pi*R1*RL*C1)"
    assert formulas(bare).corner_hz == "1/(2*pi*R1*C1)"


def test_radicands_hold_no_square() -> None:
    for family in FAMILIES:
        ladder = generate(0, family=family.name).ladder
        q = formulas(ladder).q
        if q is not None:
            names = [e.name for e in ladder.elements()]
            squared = parse(f"({q})^2", names)
            assert same(squared, parse(f"({q})*({q})", names))
            assert "^2" not in q


@pytest.mark.parametrize("kinds", ["LC", "CL", "RC", "RL"])
def test_long_ladders_are_refused_in_time(kinds: str) -> None:
    stages = [f"{'shunt' if i % 2 else 'series'} {kinds[i % 2]}{i}" for i in range(38)]
    ladder = read_circuit("source Rs;" + ";".join(stages) + ";load RL")
    start = time.thread_time()
    with refused(SymbolicTooLargeError, says="too large"):
        formulas(ladder)
    assert time.thread_time() - start < 0.2
    assert issubclass(SymbolicTooLargeError, CircuitError)


@given(ladders(valued=False, max_stages=8))
@settings(max_examples=60, deadline=None)
def test_any_ladder_is_solved_or_refused_in_time(ladder: Ladder) -> None:
    for cache in ("_solved", "_transfer", "_figures", "_texts"):
        getattr(symbolic, cache).cache_clear()
    start = time.thread_time()
    with suppress(SymbolicTooLargeError):
        formulas(ladder)
    assert time.thread_time() - start < 0.2


def test_a_ladder_without_values_has_the_same_formulas() -> None:
    valued = read_circuit("series L = 10 mH; shunt C = 100 nF; load RL = 1 kΩ")
    bare = read_circuit("series L; shunt C; load RL")
    assert formulas(valued) == formulas(bare)
    assert all(e.value == Fraction(e.value or 0) for e in valued.elements())


def test_a_tank_with_coil_loss_has_no_pass_band_gain_in_letters() -> None:
    """Its type is by these values: letters alone take it for a low-pass."""
    lossy = read_circuit("source 100k; shunt (L1 = 250u + R1 = 5) || C1 = 100p; load 1M")
    told = formulas(lossy)
    assert told.gain is None and told.bandwidth_hz is None
    assert told.gain_low == formulas(valueless(lossy)).gain_low
