"""H(s) as textbooks write it: standard forms, with what their letters stand for, or without.

A right form is taken or asked about, never marked wrong; a form that says something false is never
taken.
"""

from __future__ import annotations

import pytest
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Rung, Verdict
from rungwise.tutor.language.texts import Words

from .test_grader import asked

RC = "series R1 1 kΩ; shunt C1 100 nF"
HIGH = "series C1 100 nF; shunt R1 1 kΩ"
LOADED = "series R1 1 kΩ; shunt C1 100 nF; load RL 3 kΩ"
LOW = "series R1 1 kΩ; series L1 100 mH; shunt C1 10 nF"
BAND = "series L1 10 mH; series C1 10 nF; shunt R1 220 Ω"
TANK = "series R1 10 kΩ; shunt L1 10 mH; shunt C1 10 nF"
TWO_HIGH = "series C1 10 nF; series R1 100 Ω; shunt L1 10 mH"
NOTCH = "series R1 100 Ω; shunt L1 10 mH + C1 10 nF"


def verdict(circuit: str, text: str) -> Verdict:
    problem, questions = asked(circuit)
    question = questions[Rung.TRANSFER]
    return grade(problem, question, text, None, Words.load().setting(question)).verdict


TAKEN = {
    RC: (
        "1/(1+s/ωc)", "ωc/(s+ωc)", "1/(1+jf/fc)", "1/(1+jω/ωc)", "1/(1+j2πfRC)", "1/(1+sT)",
        "1/(τs+1)", "1/(1+s/ωp) with ωp=1/RC", "1/(1+Ts), T=RC", "10^4/(s+10^4)",
        # letters that H(s) itself may be called
        "a/(s+a), a = 1/RC", "a/(s+a) where a = 1/(R C)", "1/(1+s/a), a=1/(RC)", "a = 1/(1+sRC)",
        "H=k/(s+k), k=1/RC", "H = A/(1+s/ω0), A=1", "h = 1/(1+sRC)",
        # values with their units
        "1/(1+s/ω0), ω0 = 10 krad/s", "1/(1+s/ω0), ω0 = 10^4 rad/s", "1/(1+s/ω0), ω0=10⁴",
        "1/(1+s/ω0), ω0 = 10000 s^-1", "1/(1+s/ω0), ω0=1/(RC)=10 krad/s", "1/(1+sτ), τ = 100 µs",
        "1/(1+jf/f0), f0 = 1.59 kHz", "1/(1+sRC), R=1k, C=100n",
        "1/(1+sRC) with R = 1 kΩ, C = 100 nF",
        # said beside, before, the other way round
        "1/(1+sτ), RC=τ", "1/(1+s/ω0), 1/RC = ω0", "ω0=1/RC: H=1/(1+s/ω0)",
        "with ω0=1/RC, H(s)=ω0/(s+ω0)", "ω0/(s+ω0), f0=1/(2πRC), ω0=2πf0",
        "Zc/(R+Zc), Zc=1/(sC)", "1/(1+jx) with x = ω/ω0", "1/(1+S), S=s/ω0",
    ),
    HIGH: (
        "s/(s+ωc)", "1/(1+ωc/s)", "1/(1-jωc/ω)", "1/(1-jfc/f)", "(jf/fc)/(1+jf/fc)",
        "sτ/(1+sτ), τ=RC", "s/(s+ω0), ω0 = 1/(RC)", "R/(R + XC/j)",
    ),
    LOADED: (
        "0.75/(1+s/ω0)", "K/(1+s/ω0), K=RL/(R1+RL)", "K/(1+sτ), K=RL/(R1+RL), τ=(R1||RL)C1",
        "H0/(1+s/ω0) with H0=RL/(R1+RL) and ω0=(R1+RL)/(R1RLC1)", "A0/(1+jf/f0), A0=0.75",
    ),
    LOW: (
        "ω0²/(s²+(ω0/Q)s+ω0²)", "ω0²/(s²+2ζω0s+ω0²)", "ωn²/(s²+2ζωn s+ωn²)",
        "1/(1+s/(Qω0)+s²/ω0²)", "1/(1-(f/f0)²+jf/(Qf0))", "1/((s/ω0)²+2ζ(s/ω0)+1)",
        r"\frac{1}{1+\frac{2\zeta s}{\omega_0}+\frac{s^2}{\omega_0^2}}",
        # one of two readings is impossible
        "ω0²/(s²+ω0/Q s+ω0²)", "1/(LC)/(s²+R/L s+1/(LC))", "1/LC/(s²+R/L s+1/LC)",
        "ω0²/(s²+ω0s/Q+ω0²), ω0=1/√LC, Q=1/R√L/C", "1/(1+s/(ω0Q)+(s/ω0)²) with Q=√L/C/R",
        # with what the letters stand for
        "ω0²/(s²+2αs+ω0²), α=R/(2L), ω0²=1/(LC)", "ω0²/(s²+(R/L)s+ω0²) with ω0²=1/LC",
        "ω0²/(s²+(ω0/Q)s+ω0²), ω0/Q = R/L, ω0² = 1/(LC)",
        "ω0²/(s²+2ζω0s+ω0²), 2ζω0=R/L, ω0=1/√(LC)",
        "ω0^2/(s^2+(ω0/Q)s+ω0^2), ω0^2=1/LC, Q=ω0 L/R",
        "ω0²/(s²+(ω0/Q)s+ω0²); ω0=31623 rad/s; Q=3.16",
        "ω0²/(s²+(ω0/Q)s+ω0²), ω0=2πf0=31.6 krad/s, Q=√10",
        "ω0²/(s²+Bs+ω0²), B=R/L", "1/(1+as+bs²), a=RC, b=LC",
        "b0/(s²+a1 s+a0), b0=a0=1/(LC), a1=R/L",
        "1/(1+2Dsτ+s²τ²), τ=√(LC), D=R/2·√(C/L)", "1/(S²+S/Q+1) with S = s/ω0",
        "1/(1-x²+jx/Q) with x = f/f0", "K ω0²/(s²+(ω0/Q)s+ω0²), K=1",
    ),
    BAND: (
        "(ω0/Q)s/(s²+(ω0/Q)s+ω0²)", "1/(1+jQ(ω/ω0−ω0/ω))", "1/(1+Q(s/ω0+ω0/s))",
        "2αs/(s²+2αs+ω0²), α=R/(2L)", "1/(1+jv), v=Q(ω/ω0-ω0/ω)", "R/(R+jXL-jXC)",
        "H0·(ω0/Q)s/(s²+(ω0/Q)s+ω0²), H0=1", "s R/L/(s²+s R/L+1/(LC))",
    ),
    TANK: (
        "1/(1+jQ(ω/ω0−ω0/ω)), Q=R√(C/L)", "(s/RC)/(s²+s/RC+1/LC)", "1/RC s/(s²+1/RC s+1/LC)",
        "Zp/(R+Zp), Zp = sL/(1+s²LC)", "Z/(R+Z), Z=sL∥1/(sC)",
    ),
    TWO_HIGH: ("s²/(s²+(ω0/Q)s+ω0²)", "1/(1+ω0/(Qs)+(ω0/s)²)", "1/(1-(ω0/ω)²-jω0/(Qω))"),
    NOTCH: ("(s²+ω0²)/(s²+(ω0/Q)s+ω0²)", "1/(1+ (s ω0/Q)/(s²+ω0²))", "(s²+1/LC)/(s²+sR/L+1/LC)"),
}  # fmt: skip

ASKED = {
    RC: (
        "1/(1+sRC), first order", "low-pass: 1/(1+sRC)", "1/(1+sRC), H(0)=1", "1/(1+s/p1)",
        "H(s)=1/(1+sRC), pole at s = -1/RC", "1/(1+sτ), τ=L/R... no, RC", "1/(1 + s·100µs)",
        "H(s) = 1/(1+sRC), |H| = 1/√(1+(ωRC)²)", "1/(1+jf/f_{3dB})",
    ),
    LOW: (
        "ω0²/((s-p1)(s-p2))", "ω0²/(s²+Δω·s+ω0²)", "H(s) = K·ω0²/(s²+(ω0/Q)s+ω0²)",
        "ω0²/(s²+2αs+ω0²)", "1/(1+2d s/ω0 + s²/ω0²)",
    ),
    BAND: ("A(ω0/Q)s/(s²+(ω0/Q)s+ω0²)",),
}  # fmt: skip

FALSE = {
    RC: (
        "a/(s+a), a = RC", "s/(s+a), a = 1/RC", "1/(1+s/ω0), ω0 = 20 krad/s", "1/(1+sτ), τ = 1 ms",
        "1/(1+s/ω0), 1/RC = 2ω0", "1/(1+sRC), R=2k, C=100n", "1/(1+s/ω0), ω0 = 10 kHz",
        "1/(1+s/ω0), ω0=2/(RC)=20 krad/s", "s/(s+ωc)", "with ω0=1/RC, H(s)=s/(s+ω0)",
    ),
    LOADED: ("1/(1+s/ω0)", "K/(1+s/ω0), K=R1/(R1+RL)", "H0/(1+s/ω0), H0=1"),
    LOW: (
        "ω0/(s²+(ω0/Q)s+ω0²)", "ω0²/(s²+ω0Q s+ω0²)", "s²/(s²+ω0/Q s+ω0²)",
        "ω0²/(s²+(ω0/Q)s+ω0²), ω0/Q = L/R", "ω0²/(s²+(ω0/Q)s+ω0²), ω0² = LC",
        "ω0²/(s²+(ω0/Q)s+ω0²); ω0=31623 rad/s; Q=2", "1/(1+as+bs²), a=LC, b=RC",
        "ω0²/(s²+ω0s/Q+ω0²), ω0=1/√LC, Q=R√L/C", "ω0²/(s²+2αs+ω0²), α=R/L, ω0²=1/(LC)",
    ),
    BAND: ("1/(1+jQ(ω/ω0+ω0/ω))", "(ω0 Q)s/(s²+(ω0/Q)s+ω0²)"),
    NOTCH: ("(s²-ω0²)/(s²+(ω0/Q)s+ω0²)", "(ω0/Q)s/(s²+(ω0/Q)s+ω0²)"),
}  # fmt: skip


def each(table: dict[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    return [(circuit, text) for circuit, texts in table.items() for text in texts]


@pytest.mark.parametrize(("circuit", "text"), each(TAKEN))
def test_a_textbook_form_is_taken(circuit: str, text: str) -> None:
    assert verdict(circuit, text) is Verdict.RIGHT


@pytest.mark.parametrize(("circuit", "text"), each(ASKED))
def test_what_is_not_understood_is_asked_about(circuit: str, text: str) -> None:
    assert verdict(circuit, text) is Verdict.UNCLEAR


@pytest.mark.parametrize(("circuit", "text"), each(FALSE))
def test_a_form_that_says_something_false_is_never_taken(circuit: str, text: str) -> None:
    assert verdict(circuit, text) in (Verdict.WRONG, Verdict.UNCLEAR)
