"""Certify many problems of every family: ``python -m tests.studies.certify_all [COUNT]``.

Problems are shared out evenly over the families and checked by two worker processes.
Each is made the way ``generate`` makes it, but an attempt that fails to certify for any
other reason than values too close to a slip is counted as a failure, not silently drawn
again.  Each must come back through circuit text and keep to the ranges promised, and one in
ten is generated and certified a second time.  Exit status 1 if anything failed.
"""

from __future__ import annotations

import math
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from fractions import Fraction
from multiprocessing import get_context

from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES, Family, find
from rungwise.problems.circuits.model import Kind
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate import predict as predicting
from rungwise.problems.generate import reverse as reversing
from rungwise.problems.generate import sketch as sketching
from rungwise.problems.generate.analyse import ATTEMPTS, attempt, generate
from rungwise.problems.generate.certify import CertificationError, IndistinctError, certify
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.kinds import REVERSED
from rungwise.problems.questions.model import Problem, Verdict

from tests.support.preferred import is_preferred

WORKERS = 2
FIRST_SEED = 1_000_000
WAYS_BACK = 9
"""Every so many problems, that of the way back with the same seed is checked as well; no
divisor of the number of families, so that all have their turn."""
SKETCHED = 11
"""The same of the problem that asks for sketches of the circuit."""
PREDICTED = 4
"""And of the problem that asks to read and predict."""


@dataclass
class Report:
    """What came of a batch."""

    families: Counter[str] = field(default_factory=Counter)
    types: Counter[str] = field(default_factory=Counter)
    rungs: Counter[str] = field(default_factory=Counter)
    redrawn: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)

    def add(self, other: Report) -> None:
        self.families += other.families
        self.types += other.types
        self.rungs += other.rungs
        self.redrawn += other.redrawn
        self.failures += other.failures


def check(number: int, report: Report) -> None:
    """Make and check the number-th problem."""
    family = FAMILIES[number % len(FAMILIES)]
    seed = FIRST_SEED + number // len(FAMILIES)
    for k in range(ATTEMPTS):
        try:
            problem = attempt(family, seed, k)
        except IndistinctError as close:
            report.redrawn[f"{family.name}: {close}"] += 1
        except CertificationError as error:
            report.failures.append(f"{family.name}, seed {seed}, attempt {k}: {error}")
        else:
            if problem is not None:
                break
    else:
        report.failures.append(f"{family.name}, seed {seed}: no problem in {ATTEMPTS} attempts")
        return
    found = troubles(problem) + (again(problem) if number % 10 == 0 else [])
    if number % WAYS_BACK == 0:
        found += way_back(family, seed, report)
    if number % SKETCHED == 0:
        found += sketched(problem, report)
    if number % PREDICTED == 0:
        found += predicted(family, seed, report)
    trouble = "; ".join(found)
    if trouble:
        report.failures.append(f"{family.name}, seed {seed}: {trouble}")
        return
    report.families[family.name] += 1
    report.types[facts(problem.ladder).type.value] += 1
    report.rungs.update(q.rung.value for q in problem.questions)


def way_back(family: Family, seed: int, report: Report) -> list[str]:
    """What is wrong with the problem of the same seed that leads back to the circuit."""
    for k in range(ATTEMPTS):
        try:
            problem = reversing.attempt(family, seed, k)
        except IndistinctError as close:
            report.redrawn[f"{family.name}: {close}"] += 1
        except CertificationError as error:
            return [f"way back, attempt {k}: {error}"]
        else:
            if problem is not None:
                break
    else:
        return [f"no way back in {ATTEMPTS} attempts"]
    found: list[str] = []
    if read_circuit(write_circuit(problem.ladder)) != problem.ladder:
        found.append("the circuit of the way back does not come back through circuit text")
    rungs = [q.rung for q in problem.questions]
    if len(set(rungs)) != len(rungs):
        found.append("a question of the way back is asked twice")
    if rungs[0] not in REVERSED:
        found.append("the way back does not begin with the circuit")
    report.rungs.update(q.rung.value for q in problem.questions)
    return found


def sketched(problem: Problem, report: Report) -> list[str]:
    """What is wrong with the problem of the same seed that asks for sketches of the circuit."""
    try:
        sketches = sketching.generate(problem.seed, family=problem.family)
    except (ValueError, RuntimeError) as error:
        return [f"sketches: {error}"]
    found: list[str] = []
    if sketches.ladder != problem.ladder:
        found.append("another circuit is sketched than is analysed")
    for question in sketches.questions:
        if grade(sketches, question, right_text(question)).verdict is not Verdict.RIGHT:
            found.append(f"{question.rung}: the answer shown is not right")
    report.rungs.update(q.rung.value for q in sketches.questions)
    return found


def predicted(family: Family, seed: int, report: Report) -> list[str]:
    """What is wrong with the problem of the same seed that asks to read and predict."""
    try:
        problem = predicting.generate(seed, family=family.name)
    except (ValueError, RuntimeError) as error:
        return [f"predictions: {error}"]
    found = [
        f"{question.rung}: the answer shown is not right"
        for question in problem.questions
        if grade(problem, question, right_text(question)).verdict is not Verdict.RIGHT
    ]
    report.rungs.update(q.rung.value for q in problem.questions)
    return found


def troubles(problem: Problem) -> list[str]:
    """What is wrong with a finished problem."""
    found: list[str] = []
    for separator in ("\n", "; "):
        if read_circuit(write_circuit(problem.ladder, separator)) != problem.ladder:
            found.append("the circuit does not come back through circuit text")
    limits = {"R": (10, 10**6), "L": (Fraction(1, 10**6), 1), "C": (Fraction(1, 10**11), 1e-3)}
    # A coil's wire and a leak are no parts of a drawer: as many of them as the family has.
    row = find(problem.family)
    losses = sum(e.kind is Kind.R and e.name in row.strays for e in row.ladder.elements())
    for element in problem.ladder.elements():
        assert element.value is not None
        least, most = limits[element.kind.value]
        kept = least <= element.value <= most
        if not kept and element.kind is Kind.R and losses:
            losses -= 1
            kept = 1 <= element.value <= 10**7
        if not kept or not is_preferred(element.value):
            found.append(f"{element.name} is no part of a laboratory")
    known = facts(problem.ladder)
    if known.corner_hz is not None and not 10 <= known.corner_hz <= 1e7:
        found.append(f"corner at {known.corner_hz} Hz")
    if known.q is not None and not 0.02 <= known.q <= 30.001:
        found.append(f"Q of {known.q}")
    rungs = [q.rung for q in problem.questions]
    if len(set(rungs)) != len(rungs):
        found.append("a question is asked twice")
    if not all(math.isfinite(q.truth) for q in problem.questions if isinstance(q.truth, float)):
        found.append("a truth is not finite")
    return found


def again(problem: Problem) -> list[str]:
    """What is wrong with it a second time."""
    try:
        certify(problem)
    except CertificationError as error:
        return [f"certified once, but not twice: {error}"]
    if generate(problem.seed, family=problem.family) != problem:
        return ["the same seed made another problem"]
    return []


def batch(first: int, stop: int) -> Report:
    """Problems first … stop − 1."""
    report = Report()
    for number in range(first, stop):
        check(number, report)
    return report


def run(count: int, workers: int = WORKERS) -> Report:
    """Make and check ``count`` problems."""
    size = 250
    starts = range(0, count, size)
    total = Report()
    # spawn: workers must not inherit threads or flint's state from a test process.
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for part in pool.map(batch, starts, [min(s + size, count) for s in starts]):
            total.add(part)
    return total


def main() -> int:
    """Print the counts."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    began = time.perf_counter()
    report = run(count)
    seconds = time.perf_counter() - began
    for family in FAMILIES:
        print(f"{report.families[family.name]:6}  {family.level}  {family.name}")
    for name, tally in ("types", report.types), ("questions", report.rungs):
        print(f"{name}: " + ", ".join(f"{key} {n}" for key, n in tally.most_common()))
    print(f"redrawn because a slip came too close: {report.redrawn.total()}")
    for reason, n in report.redrawn.most_common(5):
        print(f"{n:6}  {reason}")
    for failure in report.failures[:50]:
        print(f"FAILED  {failure}")
    certified = report.families.total()
    print(f"certified {certified} of {count} problems, {len(report.failures)} failures,", end=" ")
    print(f"in {seconds:.1f} s with {WORKERS} workers")
    return int(bool(report.failures) or certified != count)


if __name__ == "__main__":
    sys.exit(main())
