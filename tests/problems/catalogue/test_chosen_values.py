"""Values chosen for a Q of exactly ½ or 1/√2: the rows' proportions, what is drawn, how often.

That Q = 1/√2 makes two poles maximally flat, and Q = ½ a double pole, is held against scipy's
Butterworth prototype and against the pole pair (s + ω0)² by hand.
"""

from __future__ import annotations

import math
from collections import Counter
from fractions import Fraction

import pytest
from rungwise.problems.analysis.response import FilterType, PoleNature, facts
from rungwise.problems.analysis.step import StepResponse
from rungwise.problems.catalogue.chosen_values import chosen, pairs, ratios
from rungwise.problems.catalogue.families import FAMILIES, Family
from rungwise.problems.chance import Chance
from rungwise.problems.circuits import preferred
from rungwise.problems.circuits.model import Element, Kind, Ladder, mapped
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.model import Rung, Task
from scipy.signal import butter

from tests.support.made_once import made_problem
from tests.support.preferred import is_preferred
from tests.support.samples import sample

HALF, FLAT = Fraction(1, 4), Fraction(1, 2)
ROWS = [(row, recipe) for row in FAMILIES for recipe in row.chosen]
each_recipe = pytest.mark.parametrize(
    ("row", "recipe"), ROWS, ids=[f"{row.name}-{n}" for n, (row, _) in enumerate(ROWS)]
)


def valued(row: Family, values: dict[str, Fraction]) -> Ladder:
    return mapped(row.ladder, lambda e: Element(e.kind, e.name, values[e.name]))


@each_recipe
def test_a_recipe_names_every_part_and_gives_its_q_exactly(row: Family, recipe: str) -> None:
    given = dict(ratios(recipe))
    assert set(given) == {e.name for e in row.ladder.elements()}
    known = facts(valued(row, given))
    assert known.q_squared in (HALF, FLAT)
    if known.q_squared == FLAT:
        assert known.type in (FilterType.LOW_PASS, FilterType.HIGH_PASS)
        assert known.maximally_flat
        _, a = butter(2, 1, row.type.value.replace("-", ""), analog=True)
        assert known.q_squared == pytest.approx(a[2] / a[1] ** 2)
    else:
        assert known.pole_nature is PoleNature.DOUBLE


@each_recipe
def test_values_keep_the_proportions_and_are_in_the_laboratory(row: Family, recipe: str) -> None:
    assert len(pairs(recipe, None)) >= 4
    wanted = facts(valued(row, dict(ratios(recipe)))).q_squared
    made = [chosen(recipe, row.omega, Chance(seed, "t")) for seed in range(30)]
    assert all(made)
    for values in filter(None, made):
        ladder = valued(row, values)
        assert facts(ladder).q_squared == wanted
        for element in ladder.elements():
            series = preferred.E12 if element.kind is Kind.L else preferred.E24
            assert element.value is not None
            assert is_preferred(element.value, series)


def test_one_series_for_all_parts_is_kept_to_or_nothing_is_drawn() -> None:
    assert pairs("R=1 L=1 C=2", preferred.E6_STEP) == ()
    assert chosen("R=1 L=1 C=2", (44, 187), Chance(1, "t"), preferred.E6_STEP) is None
    for seed in range(20):
        values = chosen("R1=1 C1=1 R2=1 C2=1", (44, 187), Chance(seed, "t"), preferred.E6_STEP)
        assert values is not None
        assert all(is_preferred(v, preferred.E6) for v in values.values())


def natures(format_: int) -> Counter[str]:
    """The nature of the poles wherever it was asked, in many problems of a format."""
    found: Counter[str] = Counter()
    for seed in range(sample(160, 400)):
        for question in generate(seed, format=format_).questions:
            if question.rung is Rung.POLE_NATURE:
                found[str(question.truth)] += 1
    return found


def test_a_double_pole_is_a_live_answer_and_never_was_before() -> None:
    assert natures(2)["double"] == 0
    now = natures(3)
    assert 0.06 <= now["double"] / now.total() <= 0.3
    assert min(now["real"], now["complex"]) / now.total() >= 0.1


@pytest.mark.parametrize("row", [r for r in FAMILIES if r.chosen], ids=lambda r: r.name)
def test_every_row_meets_the_q_it_names(row: Family) -> None:
    named = {facts(valued(row, dict(ratios(recipe)))).q_squared for recipe in row.chosen}
    for seed in range(60):
        named.discard(facts(made_problem(seed, family=row.name).ladder).q_squared)
        if not named:
            return
    raise AssertionError(named)


@pytest.mark.parametrize("task", [Task.ANALYSE, Task.SKETCH, Task.REVERSE])
def test_other_seeds_keep_their_circuits(task: Task) -> None:
    from rungwise.problems.generate.tasks import generate as of_task

    row = next(r for r in FAMILIES if r.name == "series-rlc-across-l")
    changed = 0
    for seed in range(12):
        old, new = (of_task(seed, task=task, family=row.name, format=n) for n in (2, 3))
        q_squared = facts(new.ladder).q_squared
        if old.ladder == new.ladder:
            assert q_squared not in (HALF, FLAT)
        else:
            changed += 1
    assert 1 <= changed <= 8


def test_critical_damping_does_not_overshoot_and_a_butterworth_does_by_4_3_percent() -> None:
    # Overshoot e^(−π/tan(acos(ζ))) with ζ = 1/2Q: 4.32 % at ζ = 1/√2 (any text on control;
    # value from memory, and worked out here).
    double = facts(read_circuit("series R=2kΩ; series L=10mH; shunt C=10nF"))
    assert double.pole_nature is PoleNature.DOUBLE
    assert StepResponse(double.transfer).overshoot is None
    flat = facts(read_circuit("series R=1kΩ; series L=10mH; shunt C=20nF"))
    over = StepResponse(flat.transfer).overshoot
    assert over is not None
    assert over[1] - 1 == pytest.approx(math.exp(-math.pi), rel=1e-6)
    assert over[1] - 1 == pytest.approx(0.0432, abs=5e-5)
    # Maximally flat: |H|² = 1/(1 + (ω/ω0)⁴), so that 1/|H|² − 1 has no term of ω².
    for share in (0.1, 0.5, 1.0, 2.0):
        gain = abs(flat.transfer(1j * math.sqrt(float(flat.corner_squared or 0)) * share))
        assert 1 / gain**2 - 1 == pytest.approx(share**4, rel=1e-9)
