"""Energy, resonance with a load, current sources and duals: witnesses, and textbooks' examples.

``python -m tests.studies.predicted`` takes 200 problems of every kind; here a few are tried.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache

import pytest
from rungwise.problems.analysis.resonator import PlainResonator, plain_resonator
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.dual import dual, dual_value, has_dual
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.predict import questions_of
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Problem, Question, Rung, Task, Verdict
from rungwise.problems.questions.sources import chosen_circuit, half_duals, plan_of
from rungwise.problems.slips.order import SLIPS
from rungwise.tutor.language.texts import Words

from tests.support import resonance_witness
from tests.support.oracle import element
from tests.support.predicted import Tally, study
from tests.support.samples import sample

WAYS = {"energy": resonance_witness.ENERGY, "source": resonance_witness.SOURCE}
EACH = [(way, rung) for way, rungs in WAYS.items() for rung in rungs]
each_kind = pytest.mark.parametrize(("way", "rung"), EACH, ids=lambda each: str(each))


@cache
def studied(way: str) -> dict[Rung, Tally]:
    return study(way, WAYS[way], wanted=sample(6, 20), seeds=20)


@each_kind
def test_truths_slips_and_explanations(way: str, rung: Rung) -> None:
    found = studied(way)[rung]
    assert found.asked and found.true == found.asked, found.troubles
    assert found.lead >= 0.95 * found.apart, found.troubles
    assert found.wrong and found.explained == found.wrong, found.troubles
    assert found.slips == {slip.id for slip in SLIPS if rung in slip.rungs}


# ------------------------------------------------------------------- textbooks


def resonator(circuit: str) -> PlainResonator:
    found = plain_resonator(read_circuit(circuit))
    assert found is not None
    return found


def test_university_physics_a_resonance_of_q_224() -> None:
    """OpenStax, "University Physics", vol. 2, section 15.5: 0.2 Ω, 4 mH, 2 µF.

    ω0 = 1.12·10⁴ rad/s, Q = 224, bandwidth 50 rad/s; Q is 2π times the energy stored over the
    energy lost in a period.
    """
    found = resonator("series L1 4 mH; series C1 2 µF; shunt R1 0.2 Ω")
    assert found.omega == pytest.approx(1.12e4, rel=2e-3)
    assert found.q() == pytest.approx(224, rel=2e-3)
    assert found.bandwidth_hz() * math.tau == pytest.approx(50, rel=1e-3)
    assert math.tau * found.stored(3) / found.lost(3) == pytest.approx(224, rel=2e-3)


def test_lessons_in_electric_circuits_a_hundred_volts_from_one() -> None:
    """Kuphaldt, "Lessons in Electric Circuits", vol. II, section 6.2: 10 µF, 100 mH, 1 Ω.

    At 159.155 Hz each part has a hundred times the source's voltage, "dangerously high".
    """
    found = resonator("series R1 1 Ω; series C1 10 µF; shunt L1 100 mH")
    assert found.omega / math.tau == pytest.approx(159.155, rel=1e-5)
    assert found.q() == pytest.approx(100)


def test_alexander_and_sadiku_a_parallel_circuit_of_q_1600() -> None:
    """Alexander and Sadiku, example 14.8 (value from memory): 8 kΩ, 0.2 mH, 8 µF, 10 V.

    25 krad/s, Q = 1600, B = 15.625 rad/s, 6.25 mW at resonance.
    """
    found = resonator("source Rs 8 kΩ; shunt L1 0.2 mH || C1 8 µF")
    assert (found.omega, found.q()) == (pytest.approx(25e3), pytest.approx(1600))
    assert found.bandwidth_hz() * math.tau == pytest.approx(15.625)
    assert found.lost(10) * found.omega / math.tau == pytest.approx(6.25e-3)


def test_alexander_and_sadiku_a_series_circuit_of_q_25() -> None:
    """The same, example 14.7 (value from memory): 2 Ω, 1 mH, 0.4 µF; 20 V drive 10 A at 50 krad/s.

    The voltage across L is then ω0·L·10 A = 500 V.
    """
    found = resonator("series R1 2 Ω; series L1 1 mH; shunt C1 0.4 µF")
    assert (found.omega, found.q()) == (pytest.approx(50e3), pytest.approx(25))
    assert 20 * found.q() == pytest.approx(500)
    assert found.stored(10) == pytest.approx(0.5 * 1e-3 * 100)


def test_boylestad_an_ideal_tank_on_a_current_source() -> None:
    """Boylestad, "Introductory Circuit Analysis", example 20.6 (value from memory).

    10 kΩ, 1 mH and 1 µF on 10 mA: 5.03 kHz, Z = 10 kΩ, Q = 316.41, B = 15.90 Hz, 100 V, and
    3.16 A in L and C.
    """
    found = resonator("source Rs 10 kΩ; shunt L1 1 mH || C1 1 µF")
    assert found.omega / math.tau == pytest.approx(5.03e3, rel=1e-3)
    assert found.ohms() * 10e-3 == pytest.approx(100)
    assert found.q() == pytest.approx(316.41, rel=1e-3)
    assert found.bandwidth_hz() == pytest.approx(15.90, rel=2e-3)
    assert 10e-3 * found.q() == pytest.approx(3.16, rel=1e-3)


def test_a_parallel_circuit_on_a_current_source() -> None:
    """A worked problem published on holooly.com (read): 40 Ω, 2 mH, 3 µF on a current source.

    12,910 rad/s, Q = 1.5492, 8,333 rad/s or 1,326.3 Hz.
    """
    found = resonator("source Rs 40 Ω; shunt L1 2 mH || C1 3 µF")
    assert found.omega == pytest.approx(12_910, rel=1e-4)
    assert found.q() == pytest.approx(1.5492, rel=1e-4)
    assert found.bandwidth_hz() == pytest.approx(1326.3, rel=1e-4)


def test_bowick_what_source_and_load_make_of_q() -> None:
    """Bowick, "RF Circuit Design", chapter 2, as quoted on wiki-power.com (read).

    0.05 µH and 25 pF fed from 50 Ω have a Q of 1.1, from 1000 Ω of 22.4; between 150 and 1000 Ω
    the resistance in parallel is 130 Ω, and a Q of 20 at 50 MHz takes a reactance of 6.5 Ω.
    """
    for ohms, q in (50, 1.1), (1000, 22.4):
        found = resonator(f"source Rs {ohms} Ω; shunt L1 0.05 µH || C1 25 pF")
        assert found.q() == pytest.approx(q, rel=2e-2)
    henries = 6.5 / (math.tau * 50e6)
    farads = 1 / (6.5 * math.tau * 50e6)
    tank = f"source Rs 150 Ω; shunt L1 {henries * 1e9:.5f} nH || C1 {farads * 1e12:.4f} pF; "
    loaded = resonator(tank + "load RL 1 kΩ")
    assert loaded.ohms() == pytest.approx(130, rel=5e-3)
    assert loaded.q() == pytest.approx(20, rel=5e-3)
    assert 1 / loaded.q() == pytest.approx(1 / loaded.q(loaded.without_load) + 6.5 / 1000, rel=1e-6)


def test_lessons_in_electric_circuits_norton_and_thevenin() -> None:
    """Kuphaldt, vol. I, sections 10.8 to 10.10 (value from memory): 11.2 V behind 0.8 Ω are 14 A.

    A load of 2 Ω then has 8 V: 32 W of the 44.8 W of the ideal source.
    """
    ladder = read_circuit("source Rs 0.8 Ω; series L1 1 mH + C1 1 µF; load RL 2 Ω")
    asked = question(ladder, "source", Rung.SOURCE_CURRENT)
    volts = dict(asked.values)["volts"]
    assert asked.figure / float(volts.value) * 11.2 == pytest.approx(14)  # type: ignore[union-attr]
    assert question(ladder, "energy", Rung.LOAD_SHARE).figure == pytest.approx(32 / 44.8)


@pytest.mark.parametrize(("kind", "value", "its"), [("L", "2", "2"), ("C", "0.01", "0.01")])
def test_alexander_and_sadiku_a_dual(kind: str, value: str, its: str) -> None:
    """Example 8.14 (value from memory): 2 H become 2 F, 10 mF become 10 mH, with respect to 1 Ω."""
    assert dual_value(element(kind, kind, value), Fraction(1)) == Fraction(its)
    assert dual_value(element("R", "R", "2"), Fraction(1)) == Fraction(1, 2)


def test_the_dual_of_a_butterworth_t_is_the_pi_of_the_same_table() -> None:
    """Shunt or series first, 1, 2, 1 between equal resistances: in every handbook (Zverev)."""
    t = read_circuit("source Rs 1 Ω; series L1 1 H; shunt C1 2 F; series L2 1 H; load RL 1 Ω")
    pi = read_circuit("source Rs 1 Ω; shunt C1 1 F; series L 2 H; shunt C2 1 F; load RL 1 Ω")
    assert dual(t, Fraction(1)) == pi
    assert facts(t).transfer == facts(pi).transfer


# ------------------------------------------------------------------- what is asked


def question(ladder: Ladder, way: str, rung: Rung) -> Question:
    """The question of a kind, from the first stream of chance that asks it."""
    known = facts(ladder)
    for seed in range(60):
        for found in questions_of(way, ladder, known, (seed, "test")):
            if found.rung is rung:
                return found
    raise AssertionError(f"{rung} is not asked")


TANK = "source Rs 600 Ω; shunt L1 1 mH || C1 100 nF; load RL 2 kΩ"
LOOP = "source Rs 60 Ω; series L1 1 mH + C1 100 nF; load RL 20 Ω"


@pytest.mark.parametrize(
    ("circuit", "way", "rung", "text", "slip"),
    [
        (LOOP, "energy", Rung.Q_WITH_LOAD, f"{math.sqrt(1e4) / 60}", "load-costs-nothing"),
        (LOOP, "energy", Rung.Q_WITHOUT_LOAD, f"{math.sqrt(1e4) / 80}", "load-left-on"),
        (LOOP, "energy", Rung.LOAD_SHARE, "0.0625", "share-squared"),
        (LOOP, "energy", Rung.LOAD_SHARE, "0.75", "lost-share"),
        (TANK, "source", Rung.SEEN_RESISTANCE, "2 kΩ", "source-resistance-dropped"),
        (TANK, "source", Rung.SEEN_RESISTANCE, "600", "load-ignored"),
        (TANK, "source", Rung.SEEN_RESISTANCE, "R = 2.6k", "series-for-parallel"),
        (TANK, "source", Rung.PARALLEL_Q, "0.2167", "q-inverted"),
    ],
)
def test_a_mistake_is_named(circuit: str, way: str, rung: Rung, text: str, slip: str) -> None:
    ladder = read_circuit(circuit)
    asked = question(ladder, way, rung)
    problem = Problem(4, "", 0, 0, ladder, (asked,), Task.PREDICT)
    mark = grade(problem, asked, text)
    assert mark.verdict is Verdict.WRONG
    assert mark.slips[0].slip == slip


def test_units_of_energies_voltages_and_currents_are_read() -> None:
    tank, loop = read_circuit(TANK), read_circuit(LOOP)
    for ladder, way, rung in (
        (loop, "energy", Rung.STORED_ENERGY),
        (loop, "energy", Rung.RESONANT_VOLTAGE),
        (tank, "energy", Rung.RESONANT_CURRENT),
    ):
        asked = question(ladder, way, rung)
        problem = Problem(4, "", 0, 0, ladder, (asked,), Task.PREDICT)
        for name in {"J": "W", "V": "VL", "A": "I_L"}[asked.unit], "":
            for factor, prefix in (1e3, "m"), (1e6, "µ"), (1, ""):
                text = f"{asked.figure * factor:.6g} {prefix}{asked.unit}"
                text = f"{name} = {text}" if name else text
                assert grade(problem, asked, text).verdict is Verdict.RIGHT, text
        assert grade(problem, asked, "3 kHz").verdict is Verdict.UNCLEAR
        assert grade(problem, asked, f"Q = {asked.figure:.4g}").verdict is Verdict.UNCLEAR


def test_energies_are_not_told_beside_questions_for_them() -> None:
    ladder = read_circuit(LOOP)
    known, met = facts(ladder), set()
    for seed in range(40):
        kinds = {q.rung for q in questions_of("energy", ladder, known, (seed, "test"))}
        assert not (Rung.ENERGY_Q in kinds and kinds & {Rung.STORED_ENERGY, Rung.LOST_ENERGY})
        met |= kinds
    assert {Rung.ENERGY_Q, Rung.STORED_ENERGY, Rung.LOST_ENERGY} <= met


@pytest.mark.parametrize(
    "circuit",
    [
        "source Rs 1 kΩ; shunt C1 1 nF; series L1 1 mH; load RL 1 kΩ",  # not one loop
        "series L1 1 mH; shunt C1 1 nF; load RL 1 kΩ",
        "shunt L1 1 mH || C1 1 nF; load RL 1 kΩ",  # nothing feeds it
        "source Rs 1 kΩ; shunt (L1 1 mH + R1 1 Ω) || C1 1 nF; load RL 1 kΩ",
        "series R1 1 kΩ; shunt C1 1 nF",
        "series R1 1 kΩ; series L1 1 mH; buffer; shunt C1 1 nF; load RL 1 kΩ",
    ],
)
def test_what_is_no_resonator_in_plain_sight(circuit: str) -> None:
    assert plain_resonator(read_circuit(circuit)) is None


def test_without_a_source_resistance_or_a_load_there_is_no_dual_ladder() -> None:
    for circuit in (
        "series L1 1 mH; shunt C1 1 nF; load RL 1 kΩ",
        "source Rs 1 kΩ; shunt C1 1 nF; series L1 1 mH; shunt C2 1 nF",
        "source Rs 1 kΩ; shunt C1 1 nF; buffer; series L1 1 mH; load RL 1 kΩ",
    ):
        assert not has_dual(read_circuit(circuit))


def test_the_circuits_offered_give_nothing_away() -> None:
    """Every place is right about as often, and a name tells nothing of what was done to a part."""
    places = dict.fromkeys(("first", "second", "third", "fourth"), 0)
    ladder = read_circuit("source Rs 1 kΩ; shunt La 1 mH || Cb 1 nF; load RL 2 kΩ")
    known = facts(ladder)
    for seed in range(80):
        for asked in questions_of("source", ladder, known, (seed, "test")):
            if asked.rung is Rung.WHICH_DUAL:
                places[str(asked.truth)] += 1
                # The same circuit twice, drawn in another order, would rule both out.
                assert len({plan_of(chosen_circuit(c)) for c in asked.choices}) == len(places)
                for choice in asked.choices:
                    names = {e.name for e in chosen_circuit(choice).elements()}
                    assert names <= {"Rs", "RL", "L", "C", "L1", "L2", "C1", "C2"}
                    assert Words.load().choice(asked, choice)
    assert min(places.values()) >= 8


def test_each_half_dual_forgets_what_its_slip_says() -> None:
    ladder = read_circuit("source Rs 1 kΩ; shunt L1 1 mH || C1 1 nF; load RL 2 kΩ")
    made = [slip for slip, _ in half_duals(ladder)]
    assert {"arms-kept", "parts-kept", "joints-kept", "one-part-kept"} == set(made)
    own = facts(ladder).transfer
    for slip, circuit in half_duals(ladder):
        its = facts(circuit).transfer
        assert (its.denominator, its.zeros_at_origin) != (own.denominator, own.zeros_at_origin), (
            slip
        )
