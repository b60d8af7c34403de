"""Making sheets: against naive sympy, and two processes for one.

``python -m tests.studies.benchmarks sheets [STUDENTS]`` makes sheets for so many
students (300).  What one
process does is measured in seconds of its processor, which other programs don't change much; two
processes against one can only be measured by the clock, so let nothing else run meanwhile.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import reduce
from pathlib import Path
from typing import TypeVar

import sympy
from rungwise.problems.analysis import response
from rungwise.problems.analysis.response import facts
from rungwise.problems.analysis.transfer import TransferFunction
from rungwise.problems.circuits.model import Arm, Element, Group, Joint, Kind, Ladder, Place
from rungwise.problems.questions.model import Problem, Rung
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Plan, PlanSection
from rungwise.tutor.classroom.making.make import MakingJob, make
from rungwise.tutor.classroom.making.workers import Here, Processes, Workers
from rungwise.tutor.classroom.roster import anonymous

T = TypeVar("T")
STUDENTS, PROBLEMS, SAMPLE = 300, 10, 30
FEW = 10
_S = sympy.Symbol("s")


def sheets() -> None:
    """Print all of it."""
    words = [int(word) for word in sys.argv[1:] if word.isdigit()]
    students = words[0] if words else STUDENTS
    against_sympy(students)
    two_processes(students)


def plan_of(problems: int) -> Plan:
    """Circuits of all levels that a sheet is usually made of, and what a climb would ask."""
    return Plan(
        "A sheet", 2026, (PlanSection("By inspection", levels=(1, 2, 3, 4), count=problems),)
    )


# --- against sympy --------------------------------------------------------------------------------


def against_sympy(students: int) -> None:
    """All of a class's JSON files against what one would ask of sympy to write them.

    Three things are asked of sympy, each containing the one before.  H(s) of the circuits and
    its poles.  Then the answers to the questions on the sheet that are figures or formulas.  Then
    H(s) of every other circuit that had to be looked at for these problems: those that were
    drawn and not fit to be asked, and those that a slip makes of the circuit, so that no slip
    leads to the truth.  That is the same work by the same way; the proofs, the choices and their
    reasons, and the files still count for Rungwise only in that they take time.
    """
    plan = plan_of(PROBLEMS)
    chosen = [draft(plan, student).variant.key for student in anonymous(SAMPLE)]
    problems = [key.items[place % PROBLEMS].problem for place, key in enumerate(chosen)]
    for problem in problems:
        _check(problem)
    print(f"\n{students} students × {PROBLEMS} problems as JSON  (processor seconds, one process)")
    made(plan, FEW, ("json",), Here())  # imports
    others, looked = _looked_at(plan), SAMPLE // PROBLEMS * PROBLEMS
    count, rows = len(problems), []
    for _ in range(3):
        poles = cpu(lambda: [_afresh(naive_poles, p) for p in problems]) / count
        answers = cpu(lambda: [_afresh(naive_answers, p) for p in problems]) / count
        more = cpu(lambda: [_afresh(_solved, ladder) for ladder in others]) / looked
        ours = cpu(lambda: made(plan, students, ("json",), Here())) / (students * PROBLEMS)
        rows.append((ours, poles, answers, answers + more))
    ours, *naive = (statistics.median(column) for column in zip(*rows, strict=True))
    print(f"  rungwise: drawn, asked, proved and written          {ours * 1e3:8.2f} ms a problem")
    for what, seconds in zip(
        (
            "H(s) and its poles",
            "these, and what the sheet asks",
            f"these, and {len(others) / looked:.1f} more circuits a problem",
        ),
        naive,
        strict=True,
    ):
        print(f"  sympy: {what:<44} {seconds * 1e3:8.2f} ms: {seconds / ours:.1f} times as long")
    print(
        f"  (goal: at least 20 times; 3 runs, medians; sympy on a sample of {count} of these very "
        "problems,\n  its cache emptied before each)"
    )


def _looked_at(plan: Plan) -> list[Ladder]:
    """Circuits whose response is looked at to draw a few sheets, but for those on the sheets."""
    found: dict[Ladder, None] = {}
    real = response.transfer_function

    def noting(ladder: Ladder) -> TransferFunction:
        found[ladder] = None
        return real(ladder)

    drawn: set[Ladder] = set()
    response.transfer_function = noting  # type: ignore[attr-defined]
    try:
        for student in anonymous(SAMPLE // PROBLEMS):
            key = draft(plan, student).variant.key
            drawn.update(item.problem.ladder for item in key.items)
    finally:
        response.transfer_function = real  # type: ignore[attr-defined]
    return [ladder for ladder in found if ladder not in drawn and _solved(ladder) is not None]


def _solved(ladder: Ladder) -> sympy.Expr | None:
    """H(s); None for what is no circuit, as a slip may make of one."""
    try:
        return naive_transfer(ladder)
    except (AssertionError, IndexError, KeyError, TypeError, ZeroDivisionError):
        return None


def _afresh(job: Callable[[T], object], of: T) -> object:
    sympy.core.cache.clear_cache()
    return job(of)


def _check(problem: Problem) -> None:
    """What is compared comes to the same."""
    known, found = facts(problem.ladder), naive_answers(problem)
    theirs = [complex(pole.evalf(30)) for pole in naive_poles(problem)]
    assert len(known.poles) == len(theirs), problem.ladder
    size = max(map(abs, theirs))
    for pole in known.poles:
        assert min(abs(pole - other) for other in theirs) < 1e-6 * size
    for question in problem.questions:
        if question.rung in found and isinstance(question.truth, int | float):
            answer = float(found[question.rung])
            assert abs(answer - question.truth) <= 1e-6 * abs(question.truth), question


def naive_poles(problem: Problem) -> list[sympy.Expr]:
    """The poles of H(s)."""
    bottom = sympy.fraction(naive_transfer(problem.ladder))[1]
    poles = sympy.roots(sympy.Poly(bottom, _S))
    return [pole for pole, times in poles.items() for _ in range(times)]


def naive_answers(problem: Problem) -> dict[Rung, sympy.Expr]:
    """Answers to the questions of a sheet that are figures or formulas, one after the other."""
    transfer = naive_transfer(problem.ladder)
    top, bottom = (sympy.Poly(part, _S) for part in sympy.fraction(transfer))
    naive_poles(problem)
    asked = {question.rung for question in problem.questions}
    found: dict[Rung, sympy.Expr] = {}
    a = [*reversed(bottom.all_coeffs()), 0, 0][:3]
    if Rung.POLES in asked:
        found[Rung.POLES] = bottom.degree()
    if Rung.ZEROS in asked:
        found[Rung.ZEROS] = top.degree()
    if Rung.ORIGIN_ZEROS in asked:
        found[Rung.ORIGIN_ZEROS] = min(power for (power,) in top.monoms())
    if asked & {Rung.LOW_END, Rung.TYPE, Rung.GAIN}:
        found[Rung.LOW_END] = sympy.limit(transfer, _S, 0)
    if asked & {Rung.HIGH_END, Rung.TYPE, Rung.GAIN}:
        found[Rung.HIGH_END] = sympy.limit(transfer, _S, sympy.oo)
    if Rung.LOW_SLOPE in asked:
        found[Rung.LOW_SLOPE] = 20 * min(power for (power,) in top.monoms())
    if Rung.HIGH_SLOPE in asked:
        found[Rung.HIGH_SLOPE] = 20 * (top.degree() - bottom.degree())
    if Rung.TRANSFER in asked:
        found[Rung.TRANSFER] = naive_transfer(problem.ladder, letters=True)
    if Rung.CORNER in asked:
        root = sympy.sqrt(a[0] / a[2]) if a[2] else a[0] / a[1]
        found[Rung.CORNER] = (root / (2 * sympy.pi)).evalf()
    if Rung.Q in asked:
        found[Rung.Q] = (sympy.sqrt(a[0] * a[2]) / a[1]).evalf()
    if asked & {Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE, Rung.GAIN}:
        edges, most = _edges(transfer)
        if Rung.GAIN in asked:
            found[Rung.GAIN] = most
        if len(edges) == 2:
            found[Rung.LOWER_EDGE], found[Rung.UPPER_EDGE] = edges
            found[Rung.BANDWIDTH] = edges[1] - edges[0]
        elif edges:
            found[Rung.LOWER_EDGE] = found[Rung.UPPER_EDGE] = edges[0]
    return {rung: value for rung, value in found.items() if rung in asked}


def _edges(transfer: sympy.Expr) -> tuple[list[sympy.Expr], sympy.Expr]:
    """Where |H|² is half of what counts, in Hz, and the |H| that counts.

    That is the gain at DC or at high frequency where only one end passes, the larger of
    the two where both do, and the peak where neither does.
    """
    w = sympy.Symbol("w", positive=True)
    squared = sympy.cancel(transfer.subs(_S, sympy.I * w) * transfer.subs(_S, -sympy.I * w))
    most = max(sympy.limit(squared, w, 0), sympy.limit(squared, w, sympy.oo))
    if most == 0:
        slope = sympy.Poly(sympy.fraction(sympy.cancel(sympy.diff(squared, w)))[0], w)
        most = max(squared.subs(w, place) for place in sympy.real_roots(slope) if place > 0)
        most = sympy.simplify(most)
    half = sympy.Poly(sympy.fraction(sympy.cancel(squared - most / 2))[0], w)
    found = sorted(root for root in half.nroots(maxsteps=200) if root.is_real and root > 0)
    return [(root / (2 * sympy.pi)).evalf() for root in found], sympy.sqrt(most).evalf()


def naive_transfer(ladder: Ladder, *, letters: bool = False) -> sympy.Expr:
    """H(s): nodal equations as one would write them down, solved and cancelled."""

    def impedance(arm: Arm) -> sympy.Expr:
        return _impedance(arm, letters)

    volts = [sympy.Symbol("v0")]
    branches: list[tuple[int, int, sympy.Expr]] = []
    for stage in ladder.stages:
        assert stage.arm is not None and stage.place is not Place.BUFFER
        admittance = 1 / impedance(stage.arm)
        if stage.place is Place.SERIES:
            volts.append(sympy.Symbol(f"v{len(volts)}"))
            branches.append((len(volts) - 2, len(volts) - 1, admittance))
        else:
            branches.append((len(volts) - 1, -1, admittance))
    if ladder.load:
        branches.append((len(volts) - 1, -1, 1 / impedance(ladder.load)))
    currents = [sympy.Integer(0) for _ in volts]
    if ladder.source:
        currents[0] += (volts[0] - 1) / impedance(ladder.source)
    for a, b, admittance in branches:
        current = (volts[a] - (volts[b] if b >= 0 else 0)) * admittance
        currents[a] += current
        if b >= 0:
            currents[b] -= current
    if not ladder.source:  # an ideal source holds the first node
        currents[0] = volts[0] - 1
    return sympy.cancel(sympy.solve(currents, volts, dict=True)[0][volts[-1]])


def _impedance(arm: Arm, letters: bool) -> sympy.Expr:
    if isinstance(arm, Element):
        assert arm.value is not None
        value = sympy.Rational(arm.value.numerator, arm.value.denominator)
        if letters:
            value = sympy.Symbol(arm.name)
        return {Kind.R: value, Kind.L: _S * value, Kind.C: 1 / (_S * value)}[arm.kind]
    assert isinstance(arm, Group)
    parts = [_impedance(part, letters) for part in arm.parts]
    if arm.joint is Joint.SERIES:
        return sum(parts)
    return reduce(lambda a, b: a * b / (a + b), parts)


# --- more processes ------------------------------------------------------------------------------


def two_processes(students: int) -> None:
    """JSON by one process and by two."""
    plan = plan_of(PROBLEMS)

    def seconds(workers: Workers) -> float:
        return clock(lambda: made(plan, students, ("json",), workers))

    pairs = [(seconds(Here()), seconds(Processes(2))) for _ in range(5)]
    one, two = (statistics.median(column) for column in zip(*pairs, strict=True))
    ratio = statistics.median(a / b for a, b in pairs)
    print(f"\n{students} students × {PROBLEMS} problems as JSON  (5 pairs by the clock, medians)")
    print(f"  one process      {one:8.2f} s\n  two processes    {two:8.2f} s, their start included")
    print(f"  {ratio:.2f} times as fast  (goal: at least 1.7)")


def made(plan: Plan, students: int, formats: Sequence[str], workers: Workers) -> None:
    """Make sheets for so many into a folder that is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="rungwise-") as folder:
        job = MakingJob(plan, anonymous(students), Path(folder, "out"), formats)
        assert make(job, workers).made == students


def cpu(job: Callable[[], object]) -> float:
    """Seconds of the processor that this process takes for a job."""
    start = time.process_time()
    job()
    return time.process_time() - start


def clock(job: Callable[[], object]) -> float:
    """Seconds by the clock for a job."""
    start = time.perf_counter()
    job()
    return time.perf_counter() - start
