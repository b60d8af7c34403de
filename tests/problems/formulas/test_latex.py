"""LaTeX as people type it, written plainly."""

from __future__ import annotations

import pytest
from rungwise.problems.formulas.latex import plain_notation
from rungwise.problems.formulas.layout import echo
from rungwise.problems.formulas.read import parse

LETTERS = ["R1", "RL", "C1", "L1", "ω0", "Q"]


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        (r"$\frac{1}{2\pi R_1 C_1}$", "1/(2·π·R1·C1)"),
        (r"\dfrac{1}{2\pi\sqrt{L_{1}C_{1}}}", "1/(2·π·√(L1·C1))"),
        (r"\frac12", "1/2"),
        (r"\sqrt2", "√(2)"),
        (r"\left(R_1 \parallel R_L\right) \cdot C_1", "(R1 ∥ RL)·C1"),
        (r"\frac{\omega_0^2}{s^2+\frac{\omega_0}{Q}s+\omega_0^{2}}", "ω₀²/(s² + (ω₀/Q)·s + ω₀²)"),
        (r"$$H(s)=\frac{1}{1+s\,R_1\,C_1}$$", "1/(1 + s·R1·C1)"),
        (r"\frac{\frac{1}{sC_1}}{R_1+\frac{1}{sC_1}}", "(1/(s·C1))/(R1 + 1/(s·C1))"),
        (r"1 \times 10^{3}", "1·10³"),
    ],
)
def test_a_formula_is_read_as_it_is_printed(typed: str, read: str) -> None:
    assert echo(parse(plain_notation(typed), LETTERS)) == read


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        (r"1{,}59\,\text{kHz}", "1,59 kHz"),
        (r"-90^\circ", "-90°"),
        (r"-90^{\circ}", "-90°"),
        (r"10\,\mathrm{k\Omega}", "10 kΩ"),
        (r"1.6\cdot10^{3}\ \mathrm{Hz}", "1.6·10^3 Hz"),
        (r"\(1.6\,\text{kHz}\)", "1.6 kHz"),
        (r"\SI{1.59}{\kilo\hertz}", "1.59 kHz"),
        (r"\qty{10}{\kilo\radian\per\second}", "10 krad/s"),
        ("no LaTeX {at all}_1", "no LaTeX {at all}_1"),
    ],
)
def test_figures_and_units_are_written_plainly(typed: str, plain: str) -> None:
    assert plain_notation(typed) == plain


@pytest.mark.parametrize(
    "typed", ["\\", r"\frac", r"\frac{", "}}}$", r"\evil{x}", r"\frac{1}", "$"]
)
def test_what_is_broken_stays_text(typed: str) -> None:
    assert isinstance(plain_notation(typed), str)


def test_what_is_not_known_is_not_dropped() -> None:
    assert "\\evil" in plain_notation(r"\evil{R_1}")
    assert plain_notation("1\\") == "1\\"
