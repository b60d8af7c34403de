"""Circuits on which words are tried: every family, random ladders, and rare cases by hand."""

# ruff: noqa: E501 - one circuit a line is easier to read

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue.families import FAMILIES, find
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import (
    Arm,
    CircuitError,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
)
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import ATTEMPTS, drawn_circuit, generate, typed
from rungwise.problems.generate.predict import WAYS
from rungwise.problems.generate.predict import made as predicted
from rungwise.problems.generate.reverse import KINDS, made
from rungwise.problems.generate.sketch import typed as sketched
from rungwise.problems.questions.model import Problem, Question

from tests.support.samples import sample

SEEDS = sample(range(1), range(2))
"""Seeds of each family."""
RANDOM = sample(80, 200)
"""Random ladders."""
RARE = ("tank-with-coil-loss",)
RARE_WAYS = (
    ("shunt-fed-band-pass", "change"),
    ("doubly-terminated-low-pass", "curve"),
    ("receiver-tank", "change"),
    ("series-rlc-split-capacitor", "outputs"),
)
"""Families, and ways to predict, whose second seed asks, or leads to, what no first one does."""

BY_HAND = {
    "capacitive divider": "source 1 kΩ; series C 10 nF; shunt C 22 nF",
    "capacitive divider, ideal source": "series C 10 nF; shunt C 22 nF",
    "capacitive divider that leaks": "series C 10 nF; shunt C 22 nF || R 1 kΩ",
    "capacitive divider as a low-pass": "series C1 = 1 µF; shunt C2 = 1 µF; series R 1 kΩ; shunt C3 = 10 nF",
    "inductive divider": "series L 1 mH; shunt L 2 mH; load 1 kΩ",
    "inductive divider as a high-pass": "series L1 = 1 mH; shunt L2 = 1 mH; series C 10 nF; load 1 kΩ",
    "maximally flat": "series L 20 mH; shunt C 1 µF; load 100 Ω",
    "lossless": "series L 10 mH; shunt C 100 nF",
    "a small overshoot": "series R 350 Ω; series L 10 mH; shunt C 100 nF",
    "lossless notch": "series L1 = 10 mH; shunt L2 = 10 mH + C 1 nF",
    "compensated divider": "series R1 = 9 MΩ || C1 = 10 pF; shunt R2 = 1 MΩ || C2 = 90 pF",
    "compensated divider and a pole": "series R1 = 9 kΩ || C1 = 10 pF; shunt R2 = 1 kΩ || C2 = 90 pF; buffer; series R 1 kΩ; shunt C 1 nF",
    "compensated divider and a resonance": "series R1 = 9 kΩ || C1 = 10 pF; shunt R2 = 1 kΩ || C2 = 90 pF; buffer; series L 1 mH + C 1 nF; load 100 Ω",
    "low shelf": "series R 10 kΩ; shunt R 1 kΩ + C 100 nF",
    "a rise in the middle": "series R1 = 1 kΩ || (L1 = 10 mH + C1 = 100 nF + R2 = 1 kΩ); shunt R3 = 1 kΩ",
    "a dip in the middle": "series R1 100 Ω; shunt L1 = 10 mH + C1 = 100 nF + R2 = 100 Ω",
    "low-pass with a trap": "source 50 Ω; series L1 = 1 mH || C1 = 1 nF; shunt C2 = 10 nF; load 50 Ω",
    "two resonances in one arm": "source 600 Ω; series L1 = 1 mH || C1 = 1 nF; shunt L2 = 2 mH + C2 = 10 nF; series L3 = 3 mH || C3 = 1 nF; load 1 kΩ",
    "two resonances in one group": "source 600 Ω; shunt L1 = 1 mH + C1 = 1 nF + (L2 = 2 mH || C2 = 10 nF); load 600 Ω",
    "two traps in one group": "source 600 Ω; shunt (L1 = 1 mH + C1 = 1 nF) || (L2 = 2 mH + C2 = 10 nF); load 600 Ω",
    "two traps, one resonance each": "source 600 Ω; shunt L1 = 1 mH + C1 = 1 nF; series R 100 Ω; shunt L2 = 2 mH + C2 = 10 nF; load 600 Ω",
    "two tanks": "source 600 Ω; shunt L1 = 1 mH || C1 = 1 nF; series R 100 Ω; shunt L2 = 2 mH || C2 = 10 nF; load 600 Ω",
    "lossy capacitor": "series R 1 kΩ; shunt C 100 nF + R2 = 10 Ω",
    "lossy capacitor and coil": "series R 1 kΩ; shunt C 100 nF + R2 = 10 Ω + L 1 mH",
    "two lossy resonances": "series R 1 kΩ || L 1 mH || C 1 nF; shunt (C2 = 100 nF || R2 = 10 Ω) + L2 = 1 mH",
    "capacitors in a loop": "source 50 Ω; shunt C1 = 1 nF; series C2 = 1 nF; shunt C3 = 1 nF; load 50 Ω",
    "low-pass of two poles and a zero": "source 1 kΩ; series L 10 mH; shunt C 100 nF + R 220 Ω; load 1 kΩ",
    "high-pass of two poles, one zero off": "source 1 kΩ; series C1 = 10 nF || R 10 kΩ; shunt L 10 mH; load 1 kΩ",
    "a large ladder": "; ".join(
        f"series R{i} = 1 kΩ + L{i} = 1 mH; shunt C{i} = 1 nF || R{i}a = 10 kΩ" for i in range(1, 10)
    ),
    "a large divider": "; ".join(
        f"series C{i}a = 1 nF || R{i} = 1 kΩ; shunt C{i} = 1 nF || L{i} = 1 mH" for i in range(1, 10)
    ),
    "a capacitive divider behind a section": "series R 1 kΩ; shunt C 1 nF; buffer; series C1 = 1 nF; shunt C2 = 1 nF",
    "two idle capacitors": "shunt C1 = 1 nF; buffer; series R 1 kΩ; shunt R2 = 1 kΩ; buffer; series C2 = 1 nF",
    "nothing at all": "series R 1 kΩ",
    "an open coil": "series L 1 mH",
    "tank behind a coupling capacitor": "source 1 kΩ; series C1 = 100 pF; shunt L 100 µH || C2 = 250 pF; load 10 kΩ",
    "a double pole": "series R1 = 1 kΩ; shunt C1 = 1 nF; buffer; series R2 = 1 kΩ; shunt C2 = 1 nF",
    "a double zero": "series R1 = 2 kΩ || C1 = 100 nF; shunt R2 = 2 kΩ; buffer; series R3 = 2 kΩ || C2 = 100 nF; shunt R4 = 2 kΩ",
    "a zero at the break of a pair": "series R1 = 10 Ω; series L1 = 10 mH; shunt C1 = 1 µF; buffer; series R2 = 1 kΩ || C2 = 100 nF; shunt R3 = 1 kΩ",
    "equal ends, buffered": "series R1 = 1 kΩ; shunt R2 = 1 kΩ; buffer; series C 1 nF; shunt R 1 kΩ",
    "resonant with many resistors": "source 50 Ω; series L 10 mH + R1 = 5 Ω; shunt C 100 nF || R2 = 10 kΩ; load 1 kΩ",
    "a star of coils": "source 50 Ω; series L1 = 1 mH; shunt L2 = 1 mH; series L3 = 1 mH; load 50 Ω",
    "a lossy trap and an open coil": "source 468 Ω; shunt R1 = 43 kΩ + C2 = 42 nF + L3 = 940 µH; series L4 = 610 µH",
    "a series resonator with losses": "source 50 Ω; series L = 100 µH + R = 33 Ω + C = 1 nF; load 50 Ω",
    "a tank with two losses": "source 1 kΩ; shunt (L = 1 mH + R1 = 10 Ω) || C = 1 nF || R2 = 220 kΩ; load 10 kΩ",
    "a lossy tank among resistors": "source 50 Ω; "
    + "; ".join(f"series R{i} = 100 Ω; shunt R{i}a = 100 kΩ" for i in range(1, 6))
    + "; shunt (L = 1 mH + R = 10 Ω) || C = 1 nF; load 10 kΩ",
    "fed by an arm of its own": "shunt R1 = 1 kΩ; series R2 = 1 kΩ; shunt C 1 nF",
    "a coil fed by an arm of its own": "shunt R1 = 1 kΩ; series L 1 mH; shunt R2 = 2 kΩ",
    "two sections and a load": "series R1 = 1 kΩ; shunt C1 = 100 nF; series R2 = 2.2 kΩ; shunt C2 = 33 nF; load RL = 10 kΩ",
}  # fmt: skip


def _element(chance: Chance, names: Iterator[int]) -> Element:
    kind = chance.pick((Kind.R, Kind.L, Kind.C, Kind.L, Kind.C))
    least = {Kind.R: 1, Kind.L: -6, Kind.C: -11}[kind]
    value = Fraction(10 + chance.below(90)) * Fraction(10) ** (least + chance.below(4) - 1)
    return Element(kind, f"{kind}{next(names)}", value)


def _arm(chance: Chance, names: Iterator[int], depth: int) -> Arm:
    if depth == 0 or chance.below(2):
        return _element(chance, names)
    joint = chance.pick(tuple(Joint))
    return join(joint, *(_arm(chance, names, depth - 1) for _ in range(2 + chance.below(2))))


def random_ladder(seed: int) -> Ladder:
    """A ladder of one to six stages, buffers among them, any arms at all."""
    chance = Chance(seed, "words")
    names = iter(range(1, 99))
    stages = []
    for _ in range(1 + chance.below(6)):
        place = chance.pick((Place.SERIES, Place.SHUNT) * 4 + (Place.BUFFER,))
        arm = None if place is Place.BUFFER else _arm(chance, names, 2)
        stages.append(Stage(place, arm))
    ends = [
        Element(Kind.R, name, Fraction(10 + chance.below(990))) if chance.below(3) else None
        for name in ("Rs", "RL")
    ]
    return Ladder(tuple(stages), *ends)


@cache
def problems() -> tuple[tuple[str, Problem], ...]:
    """Every problem with a label; all the questions that make sense are asked of each."""
    found: list[tuple[str, Problem]] = []
    wanted = [(family.name, seed) for family in FAMILIES for seed in SEEDS]
    wanted += [(name, 1) for name in RARE if 1 not in SEEDS]
    for name, seed in wanted:
        drawn = generate(seed, family=name)
        found.append((f"{name}, seed {seed}", drawn))
        found.append((f"{name}, seed {seed}, all", typed(drawn.ladder)))
        found.append((f"{name}, seed {seed}, sketched", sketched(drawn.ladder)))
    for label, text in BY_HAND.items():
        found.append((label, typed(read_circuit(text))))
        found.append((f"{label}, sketched", sketched(read_circuit(text))))
    drawn_at_random = 0
    seed = 0
    while drawn_at_random < RANDOM:
        try:
            found.append((f"random ladder {seed}", typed(random_ladder(seed))))
            found.append((f"random ladder {seed}, sketched", sketched(random_ladder(seed))))
            drawn_at_random += 1
        except CircuitError:
            pass  # passes nothing at all
        seed += 1
    return tuple(found)


@cache
def asked() -> tuple[tuple[str, Problem, Question], ...]:
    """Every question of every problem."""
    every = (*problems(), *ways_back(), *predictions())
    return tuple((label, p, q) for label, p in every for q in p.questions)


_KNOWN: dict[int, tuple[Problem, Facts]] = {}


def known_of(problem: Problem) -> Facts:
    """The facts of a problem, shared by all that is asked of its circuit.

    Found by the problem's identity, since circuits take longer to tell apart.
    """
    if id(problem) not in _KNOWN:
        _KNOWN[id(problem)] = problem, _facts(problem.ladder)
    return _KNOWN[id(problem)][1]


_facts = cache(facts)


@cache
def ways_back() -> tuple[tuple[str, Problem], ...]:
    """Problems that lead back to a circuit: of every family, in every way it lends itself to."""
    found: list[tuple[str, Problem]] = []
    for family in FAMILIES:
        for seed in SEEDS[: 1 if family.level > 4 else sample(1, 2)]:
            drawn = next(d for k in range(ATTEMPTS) if (d := drawn_circuit(family, seed, k)))
            for kind in KINDS:
                chance = Chance(seed, "corpus", family.name, kind)
                problem = made(family, seed, kind, *drawn, chance)
                if problem is not None:
                    found.append((f"{family.name}, seed {seed}, {kind}", problem))
    return tuple(found)


@cache
def _drawn(family: str, seed: int) -> tuple[Ladder, Facts]:
    """The circuit of a family's seed."""
    row = find(family)
    return next(d for k in range(ATTEMPTS) if (d := drawn_circuit(row, seed, k)))


@cache
def predictions() -> tuple[tuple[str, Problem], ...]:
    """Problems that ask to read and to predict: of every family, all that it lends itself to."""
    found: list[tuple[str, Problem]] = []
    wanted = [(family, seed, way) for family in FAMILIES for seed in SEEDS for way in WAYS]
    wanted += [(find(name), 1, way) for name, way in RARE_WAYS if 1 not in SEEDS]
    for family, seed, way in wanted:
        drawn = _drawn(family.name, seed)
        problem = predicted(family, seed, way, *drawn, (seed, "corpus", family.name, way))
        if problem is not None:
            found.append((f"{family.name}, seed {seed}, {way}", problem))
    rare = read_circuit(BY_HAND["a small overshoot"])
    of_series = find("series-rlc-across-c")
    stream = (1, "corpus", of_series.name, "rare")
    problem = predicted(of_series, 1, "step", rare, facts(rare), stream)
    assert problem is not None
    return (*found, ("a small overshoot, step", problem))
