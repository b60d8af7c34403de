"""Making sheets: against naive sympy, PDF for small and large classes, and two processes for one.

``python -m tests.benchmarks sheets [STUDENTS]`` makes sheets for so many students (300).  What one
process does is measured in seconds of its processor, which other programs don't change much; two
processes against one can only be measured by the clock, so let nothing else run meanwhile.
"""

from __future__ import annotations

import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import reduce
from pathlib import Path

import sympy
from rungwise.problems.circuit import Arm, Element, Group, Joint, Kind, Ladder, Place
from rungwise.problems.problem import Problem, Rung
from rungwise.problems.response import facts
from rungwise.problems.sheets import Plan, Section
from rungwise.problems.sheets_lots import draft
from rungwise.tutor.paper.making import Job, make
from rungwise.tutor.paper.making_crew import Here, Processes, Workers
from rungwise.tutor.paper.roster import anonymous

STUDENTS, PROBLEMS, SAMPLE = 300, 10, 30
FEW = 10
_S = sympy.Symbol("s")


def sheets() -> None:
    """Print all of it."""
    words = [int(word) for word in sys.argv[1:] if word.isdigit()]
    students = words[0] if words else STUDENTS
    against_sympy(students)
    two_processes(students)
    pages(students)


def plan_of(problems: int) -> Plan:
    """Circuits of all levels that a sheet is usually made of, and what a climb would ask."""
    return Plan("A sheet", 2026, (Section("By inspection", levels=(1, 2, 3, 4), count=problems),))


# --- against sympy --------------------------------------------------------------------------------


def against_sympy(students: int) -> None:
    """All of a class's JSON files against what one would ask of sympy to write them.

    Sympy is given the circuits, and asked for H(s), its poles, and the answers to the questions
    on the sheet that are figures or formulas.  What Rungwise does besides counts for it only in
    that it takes time: drawing circuits until one is fit to be asked, predicting what each slip
    would answer, proving each answer by another way, and the files.
    """
    plan = plan_of(PROBLEMS)
    chosen = [draft(plan, student).variant.key for student in anonymous(SAMPLE)]
    problems = [key.items[place % PROBLEMS].problem for place, key in enumerate(chosen)]
    for problem in problems:
        _check(problem)
    print(f"\n{students} students × {PROBLEMS} problems as JSON  (processor seconds, one process)")
    made(plan, FEW, ("json",), Here())  # imports
    rows = []
    for _ in range(3):
        poles = cpu(lambda: [_afresh(naive_poles, p) for p in problems]) / len(problems)
        answers = cpu(lambda: [_afresh(naive_answers, p) for p in problems]) / len(problems)
        ours = cpu(lambda: made(plan, students, ("json",), Here())) / (students * PROBLEMS)
        rows.append((poles, answers, ours, poles / ours, answers / ours))
    columns = [statistics.median(column) for column in zip(*rows, strict=True)]
    print(f"  sympy: H(s) and its poles                {columns[0] * 1e3:8.2f} ms a problem")
    print(f"  sympy: these, and what the sheet asks    {columns[1] * 1e3:8.2f} ms")
    print(f"  rungwise: draw, ask, prove, write        {columns[2] * 1e3:8.2f} ms")
    print(
        f"  {columns[3]:.1f} times faster than H(s) and poles alone, {columns[4]:.1f} times faster "
        f"than what the sheet asks\n  (goal: at least 20; 3 runs, medians; sympy on a sample of "
        f"{SAMPLE} of these very problems, its cache emptied before each)"
    )


def _afresh(job: Callable[[Problem], object], problem: Problem) -> object:
    sympy.core.cache.clear_cache()
    return job(problem)


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

    That is the gain at DC or at very high frequency where only one end passes, the larger of
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


# --- more processes, more students ----------------------------------------------------------------


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


def pages(students: int, problems: int = 3) -> None:
    """Sheet and key as PDF, for few students and for many."""
    plan = plan_of(problems)
    made(plan, 2, ("pdf",), Here())
    before = _megabytes()
    few = statistics.median(cpu(lambda: made(plan, FEW, ("pdf",), Here())) / FEW for _ in range(3))
    at_few = _megabytes()
    many = cpu(lambda: made(plan, students, ("pdf",), Here())) / students
    print(f"\nPDF of sheet and key, {problems} problems  (processor seconds, one process)")
    print(f"  {FEW:5} students {few * 1e3:8.1f} ms a student, memory {before} → {at_few} MB")
    print(f"  {students:5} students {many * 1e3:8.1f} ms a student, memory up to {_megabytes()} MB")
    print(f"  {many / few:.2f} times as long  (goal: constant, 0.8 to 1.2)")


def made(plan: Plan, students: int, formats: Sequence[str], workers: Workers) -> None:
    """Make sheets for so many into a folder that is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="rungwise-") as folder:
        job = Job(plan, anonymous(students), Path(folder, "out"), formats)
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


def _megabytes() -> int:
    """Most memory that this process has had, in MB."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak >> (20 if sys.platform == "darwin" else 10)
