"""Seeds: what they lead to, the same everywhere, and spread over what is taught."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue import families
from rungwise.problems.catalogue.families import FAMILIES, Family, UnknownFamily, find, of_level
from rungwise.problems.circuits import preferred
from rungwise.problems.circuits.model import CircuitError, Kind
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate.analyse import GenerationError, attempt, family_of, generate, typed
from rungwise.problems.generate.tasks import generate as of_task
from rungwise.problems.questions.kinds import kind
from rungwise.problems.questions.model import FORMAT, TASK_SINCE, Problem, Rung, Task

from tests.golden.make import record
from tests.support.made_once import made_problem
from tests.support.preferred import is_preferred
from tests.support.refusals import refused
from tests.support.samples import sample

EACH = sample(4, 8)
"""Problems of each family."""

each_family = pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)


def draws(family: Family, count: int) -> list[Problem]:
    return [made_problem(seed, family=family.name) for seed in range(count)]


# The same seed ---------------------------------------------------------------------------

PROGRAM = """
import json
from rungwise.problems.generate.analyse import generate
from tests.golden.make import record
for seed in range(24):
    print(json.dumps(record(generate(seed))))
"""


def test_other_processes_and_hash_seeds_make_the_same_problems() -> None:
    outputs = {"".join(f"{json.dumps(record(generate(seed)))}\n" for seed in range(24))}
    for hash_seed in ("0", "271828"):
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM],
            env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": os.getcwd()},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=True,
            timeout=300,
        )
        outputs.add(done.stdout)
    assert len(outputs) == 1
    assert outputs.pop().count("\n") == 24


def test_a_level_and_its_family_lead_to_the_same_problem() -> None:
    for level in families.LEVELS:
        for seed in range(10):
            problem = generate(seed, level=level)
            assert problem.level == level
            assert generate(seed, family=problem.family) == problem
            assert generate(seed, family=problem.family, level=level) == problem


def test_neighbouring_seeds_differ() -> None:
    texts = {write_circuit(p.ladder) for p in draws(find("rc-low-pass"), 50)}
    assert len(texts) >= 45


def test_problem_says_where_it_comes_from() -> None:
    problem = generate(7, family="series-fed-notch")
    assert (problem.format, problem.family, problem.level, problem.seed) == (
        FORMAT, "series-fed-notch", 4, 7,
    )  # fmt: skip


@pytest.mark.parametrize("seed", [-1, 0, 2**64 - 1, 2**80])
def test_any_integer_is_a_seed(seed: int) -> None:
    assert generate(seed, family="rl-low-pass").seed == seed


# What is refused --------------------------------------------------------------------------


def test_unknown_family() -> None:
    with refused(UnknownFamily, says="rc-low-pass"):
        generate(1, family="rc-lowpas")


@pytest.mark.parametrize("level", [0, 8, -1])
def test_unknown_level(level: int) -> None:
    with refused(ValueError, says="levels go from 1 to 7"):
        generate(1, level=level)


def test_family_of_another_level() -> None:
    with refused(ValueError, says="is of level 1, not 2"):
        generate(1, family="rc-low-pass", level=2)


def test_a_family_nothing_fits_gives_up_and_names_it(monkeypatch: pytest.MonkeyPatch) -> None:
    # Q of 10^10 in one place: no laboratory has the parts.
    row = Family("impossible", 1, "series R; series L; shunt C", "none",
                 families.LOW, 2, families.SERIES, {"R": -1}, (240, 240))  # fmt: skip
    monkeypatch.setattr(families, "find", lambda name: row)
    with refused(GenerationError, says="family impossible, seed 5: no problem in"):
        generate(5, family="impossible")


# What is drawn ----------------------------------------------------------------------------


@each_family
def test_parts_are_preferred_and_in_a_laboratory(family: Family) -> None:
    limits = {
        Kind.R: (10, 10**6),
        Kind.L: (Fraction(1, 10**6), 1),
        Kind.C: (Fraction(1, 10**11), Fraction(1, 1000)),
    }
    for problem in draws(family, EACH):
        for element in problem.ladder.elements():
            assert element.value is not None
            # A Q that is met exactly takes rarer parts now and then.
            exact = facts(problem.ladder).q_squared in (Fraction(1, 4), Fraction(1, 2))
            rare = preferred.E12 if element.kind is Kind.L else preferred.E24
            usual = preferred.E24 if element.kind is Kind.R else preferred.E6
            assert is_preferred(element.value, rare if exact else usual)
            least, most = limits[element.kind]
            if family.strays and element.kind is Kind.R:  # a wire's resistance, or a leak
                least, most = 1, 10**7
            assert least <= element.value <= most


@each_family
def test_problem_comes_back_through_circuit_text(family: Family) -> None:
    for problem in draws(family, EACH):
        for separator in ("\n", "; "):
            assert read_circuit(write_circuit(problem.ladder, separator)) == problem.ladder


def test_corner_frequencies_spread_over_six_decades() -> None:
    for name in ("rc-low-pass", "series-rlc-across-c", "shunt-fed-band-pass", "coupling-capacitor"):
        corners = [facts(p.ladder).corner_hz or 0 for p in draws(find(name), sample(60, 120))]
        assert all(10 <= f <= 1e7 for f in corners)
        decades = Counter(len(str(int(f))) for f in corners)
        assert all(decades[n] >= len(corners) / 30 for n in range(2, 8)), (name, decades)


def test_q_spreads_over_its_range() -> None:
    for family in FAMILIES:
        if family.q != families.SHARP:
            continue
        found = [facts(p.ladder).q or 0 for p in draws(family, sample(30, 60))]
        assert all(0.17 <= q <= 30 for q in found)
        for least, most in (0.17, 0.8), (0.8, 3), (3, 30):
            share = sum(least <= q < most for q in found) / len(found)
            assert share >= 0.1, (family.name, least, most, share)


def test_real_poles_are_never_sharp() -> None:
    for family in FAMILIES:
        if family.q == families.APART:
            assert all((facts(p.ladder).q or 1) <= 0.5 for p in draws(family, sample(12, 30)))


def test_order_and_names_vary() -> None:
    problems = draws(find("series-rlc-across-r"), 60)
    orders = {tuple(e.kind for e in p.ladder.reactive()) for p in problems}
    assert orders == {(Kind.L, Kind.C), (Kind.C, Kind.L)}
    assert {len(p.ladder.stages) for p in problems} == {2, 3}
    names = {e.name for p in problems for e in p.ladder.elements()}
    assert {"R1", "R", "Ra"} <= names
    backwards = 0
    for problem in draws(find("t-low-pass-3"), 60):
        inductors = [e.name for e in problem.ladder.elements() if e.kind is Kind.L]
        backwards += inductors == ["L2", "L1"]
    assert 5 <= backwards <= 40


def test_source_and_load_keep_their_names() -> None:
    for seed in range(60):
        ladder = generate(seed).ladder
        assert ladder.source is None or ladder.source.name == "Rs"
        assert ladder.load is None or ladder.load.name == "RL"


def test_every_family_of_a_level_is_met() -> None:
    for level in families.LEVELS:
        rows = of_level(level)
        met = Counter(family_of(seed, level=level).name for seed in range(40 * len(rows)))
        assert set(met) == {f.name for f in rows}
        assert max(met.values()) <= 90


def test_levels_and_types_are_mixed_when_nothing_is_asked_for() -> None:
    rows = [family_of(seed) for seed in range(6000)]
    levels = Counter(f.level for f in rows)
    assert set(levels) == set(families.LEVELS)
    assert min(levels.values()) >= 0.9 * 6000 / len(families.LEVELS)
    assert {f.name for f in rows} == {f.name for f in FAMILIES}
    types = Counter(f.type for f in rows)
    for sort in (families.LOW, families.HIGH, families.BAND, families.NOTCH):
        assert types[sort] >= 300


def test_attempts_are_independent() -> None:
    family = find("rc-high-pass")
    made = [attempt(family, 3, n) for n in range(5)]
    texts = {write_circuit(p.ladder) for p in made if p is not None}
    assert len(texts) == len([p for p in made if p is not None])


# Typed circuits ---------------------------------------------------------------------------


def test_typed_circuit_is_asked_everything_that_makes_sense() -> None:
    ladder = read_circuit("source 600 Ω; series L 10 mH; shunt C 100 nF; load 600 Ω")
    problem = typed(ladder)
    assert (problem.family, problem.level, problem.ladder) == ("", 0, ladder)
    rungs = [q.rung for q in problem.questions]
    assert {Rung.FED, Rung.TYPE, Rung.POLES, Rung.CORNER, Rung.Q} <= set(rungs)
    assert rungs == sorted(rungs, key=list(Rung).index)
    assert typed(ladder) == problem


def test_typed_circuit_needs_values() -> None:
    with refused(CircuitError, says="no value"):
        typed(read_circuit("series R1; shunt C1"))


# ------------------------------------------------------------------------- formats


def test_a_later_family_takes_its_share_and_every_other_seed_leads_where_it_led() -> None:
    rows = families.of_level(5)
    later = {row.name for row in rows if row.since == 2}
    seeds = 3000
    moved: Counter[str] = Counter()
    for seed in range(seeds):
        then = family_of(seed, level=5, format=1)
        now = family_of(seed, level=5, format=2)
        assert then.since == 1
        if now is not then:
            moved[now.name] += 1
    assert set(moved) == later == {"lag-network"}
    # Each row is as likely as any other: within four standard deviations.
    share = 1 / len(rows)
    spread = 4 * math.sqrt(seeds * share * (1 - share))
    assert abs(moved["lag-network"] - seeds * share) < spread
    for level in (1, 2, 3, 4, 6):
        for seed in range(50):
            then, now = (family_of(seed, level=level, format=n) for n in (1, 2))
            assert now is then


@pytest.mark.parametrize("task", [task for task in Task if task not in TASK_SINCE])
def test_a_family_and_a_seed_mean_one_circuit_in_every_format(task: Task) -> None:
    for row in [row for row in FAMILIES if row.since == 1][::7]:
        old, new = (of_task(3, task=task, family=row.name, format=n) for n in (1, 2))
        assert (old.format, new.format) == (1, 2)
        assert replace(new, format=1, questions=old.questions) == old
        assert [q for q in new.questions if kind(q.rung).since == 1] == list(old.questions)


def test_what_came_later_is_not_there_before() -> None:
    with refused(ValueError, says="lag-network came with format 2, after format 1"):
        generate(1, family="lag-network", format=1)
    for number in (0, FORMAT + 1):
        with refused(ValueError, says=f"no format {number}: formats go from 1 to {FORMAT}"):
            generate(1, format=number)
