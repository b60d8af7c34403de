"""The exact core: facts against a naive symbolic solve, and problems per second."""

from __future__ import annotations

import time
from collections.abc import Callable

import sympy
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import Kind, Ladder, Place, Stage, leaves
from rungwise.problems.generate.analyse import generate
from rungwise.problems.grading.grade import grade, right_text

from tests.support.oracle import element

from .timing import once, paired


def six_arms() -> Ladder:
    """A six-pole low-pass ladder between 600 Ω ends, in ordinary values."""
    henries, farads = ("10e-3", "12e-3", "15e-3"), ("100e-9", "82e-9", "68e-9")
    stages = []
    for k in range(3):
        stages += [
            Stage(Place.SERIES, element("L", f"L{k + 1}", henries[k])),
            Stage(Place.SHUNT, element("C", f"C{k + 1}", farads[k])),
        ]
    return Ladder(tuple(stages), element("R", "Rs", 600), element("R", "RL", 600))


def naive_sympy(ladder: Ladder) -> object:
    """Nodal equations as one would write them down, solved and cancelled by sympy."""
    s = sympy.Symbol("s")

    def admittance(kind: Kind, value: object) -> sympy.Expr:
        exact = sympy.Rational(str(value))
        return {"R": 1 / exact, "C": s * exact, "L": 1 / (s * exact)}[kind.value]

    assert ladder.source is not None
    assert ladder.load is not None
    volts = [sympy.Symbol("v0")]
    parts = []
    for stage in ladder.stages:
        assert stage.arm is not None
        (part,) = leaves(stage.arm)
        if stage.place is Place.SERIES:
            volts.append(sympy.Symbol(f"v{len(volts)}"))
            parts.append((len(volts) - 2, len(volts) - 1, admittance(part.kind, part.value)))
        else:
            parts.append((len(volts) - 1, -1, admittance(part.kind, part.value)))
    parts.append((len(volts) - 1, -1, admittance(Kind.R, ladder.load.value)))
    currents = [sympy.Integer(0) for _ in volts]
    currents[0] += (volts[0] - 1) * admittance(Kind.R, ladder.source.value)
    for a, b, y in parts:
        current = (volts[a] - (volts[b] if b >= 0 else 0)) * y
        currents[a] += current
        if b >= 0:
            currents[b] -= current
    solution = sympy.solve(currents, volts, dict=True)[0]
    top, bottom = sympy.fraction(sympy.cancel(solution[volts[-1]]))
    return sympy.Poly(bottom, s).degree(), top


def exact_facts() -> None:
    """Exact H(s) and every exact fact of a six-arm ladder."""
    ladder = six_arms()

    def ours() -> float:
        return once(lambda: [_everything(ladder) for _ in range(200)]) / 200

    def theirs() -> float:
        # sympy caches by expression: a fresh start each time, as for a fresh problem.
        sympy.core.cache.clear_cache()
        return once(lambda: naive_sympy(ladder))

    paired(
        "Exact facts of a six-arm ladder",
        ("rungwise: H(s), type, counts, slopes, ω0, Q", ours),
        ("sympy: naive nodal solve, H(s) only", theirs),
        9,
        "at least 500 times faster",
    )
    paired(
        "The same with certified roots, peak and edges",
        ("rungwise: all of it", lambda: once(lambda: [_roots(ladder) for _ in range(50)]) / 50),
        ("sympy: naive nodal solve, H(s) only", theirs),
        5,
        "no goal",
    )


def _everything(ladder: Ladder) -> object:
    f = facts(ladder)
    return (
        f.type,
        f.transfer.order,
        f.transfer.zero_count,
        f.slope_low,
        f.slope_high,
        f.phase_low,
        f.phase_high,
        f.gain_low,
        f.gain_high,
        f.corner_squared,
        f.q_squared,
        f.fed,
    )


def _roots(ladder: Ladder) -> object:
    f = facts(ladder)
    return _everything(ladder), f.poles, f.zeros, f.peak_hz, f.edges_hz, f.hidden


def problems() -> None:
    """Certified problems made, and answers graded, each second."""
    per_family = 4
    names = [family.name for family in FAMILIES]
    made = []

    def make() -> None:
        made.extend(generate(seed, family=n) for seed in range(per_family) for n in names)

    seconds = once(make)
    print(f"\nCertified generation over all {len(names)} families")
    print(f"  {len(made) / seconds:10.0f} problems a second")

    def rate(answer: Callable[..., str]) -> float:
        jobs = [(p, q, answer(q)) for p in made for q in p.questions]
        start = time.perf_counter()
        for problem, question, text in jobs:
            grade(problem, question, text)
        return len(jobs) / (time.perf_counter() - start)

    print("Grading (facts of the circuit computed afresh for each answer)")
    print(f"  {rate(right_text):10.0f} right answers a second")
    print(f"  {rate(lambda q: '4.2'):10.0f} other answers a second")
