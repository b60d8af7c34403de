"""The way back to the circuit: problems, what is proved of them, what they ask and give away."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import islice

import pytest
from rungwise.problems.analysis.design import for_corner, for_q, pair_of
from rungwise.problems.analysis.response import FilterType, facts
from rungwise.problems.catalogue.families import FAMILIES, find
from rungwise.problems.catalogue.groups import LEVELS
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.gaps import (
    BOX,
    boxed,
    place_of,
    unvalued,
    write_boxed,
    write_unvalued,
)
from rungwise.problems.circuits.model import Ladder, leaves
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate.analyse import drawn_circuit
from rungwise.problems.generate.certify import CertificationError, certify
from rungwise.problems.generate.proof import troubles, wanted_figure
from rungwise.problems.generate.reverse import KINDS, generate, made
from rungwise.problems.generate.tasks import generate as of_task
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.kinds import REVERSED, blank_of, face_of
from rungwise.problems.questions.lookalikes import arrangements, candidates, visibly_different
from rungwise.problems.questions.model import (
    Choice,
    Face,
    Problem,
    Question,
    Rung,
    Task,
    Verdict,
)
from rungwise.problems.questions.reverse import (
    differences,
    missing_arm,
    of_choice,
    tuning_range,
)
from rungwise.problems.questions.values import texts
from rungwise.tutor.drafting.gaps import blank_text, blanked
from rungwise.tutor.language.texts import Words
from rungwise.tutor.phrases.responses import lines

from tests.support.made_once import made_problem
from tests.support.refusals import refused
from tests.support.samples import sample

SEEDS = sample(20, 40)
MAIN = {Rung.WHICH_CIRCUIT, Rung.MISSING_ARM, Rung.ELEMENT_VALUE, Rung.LEAST_VALUE}
OF_LEVEL = {
    6: {Rung.WHICH_CIRCUIT, Rung.MISSING_ARM},
    # Values make the type of real parts: neither circuits nor arms drawn without them tell it.
    7: {Rung.ELEMENT_VALUE, Rung.LEAST_VALUE},
}
"""What leads back at a level, where it is not all of ``MAIN``."""


@pytest.fixture(scope="module")
def problems() -> tuple[Problem, ...]:
    """Problems of every level, as many of each family of a level as there are."""
    seeds = range(SEEDS)
    return tuple(made_problem(n, Task.REVERSE, level=level) for level in LEVELS for n in seeds)


def of_kind(kind: str, family: str, seeds: int = 30) -> Problem:
    """The first problem of a family that leads back in one way."""
    for seed in range(seeds):
        drawn = next(d for k in range(200) if (d := drawn_circuit(find(family), seed, k)))
        problem = made(find(family), seed, kind, *drawn, Chance(seed, "test", kind))
        if problem is not None:
            return problem
    raise AssertionError(f"{family} has no way back by {kind}")


# ------------------------------------------------------------------------- generation


def test_every_problem_is_certified_and_begins_with_the_circuit(
    problems: tuple[Problem, ...],
) -> None:
    for problem in problems:
        certify(problem)
        rungs = [q.rung for q in problem.questions]
        assert problem.task is Task.REVERSE
        assert rungs[0] in MAIN
        assert 2 <= len(rungs) <= 4
        assert len(set(rungs)) == len(rungs)
        # What leads back stands first: nothing of it is given away by another question.
        back = [rung in REVERSED for rung in rungs]
        assert back == sorted(back, reverse=True)


def test_every_level_leads_back_in_several_ways(problems: tuple[Problem, ...]) -> None:
    found: dict[int, Counter[Rung]] = {level: Counter() for level in LEVELS}
    for problem in problems:
        found[problem.level][problem.questions[0].rung] += 1
    for level, ways in found.items():
        wanted = OF_LEVEL.get(level, MAIN)
        assert set(ways) == wanted, level
        assert min(ways.values()) >= SEEDS / 20, level


def test_the_same_seed_is_the_same_problem() -> None:
    for level in LEVELS:
        first = generate(11, level=level)
        assert generate(11, level=level) == first == generate(11, family=first.family)
        assert of_task(11, task=Task.REVERSE, level=level) == first
    assert of_task(4, task=None).task is Task.REVERSE
    assert of_task(3, task=None, format=3).task is Task.REVERSE
    with refused(ValueError, says="levels go from 1 to 7"):
        generate(1, level=8)


def test_every_family_leads_back() -> None:
    for family in FAMILIES:
        assert made_problem(1, Task.REVERSE, family=family.name).family == family.name


# ------------------------------------------------------------------------- which circuit


def test_candidates_are_the_same_parts_arranged_otherwise() -> None:
    for family in ("series-rlc-across-c", "shunt-fed-band-pass", "rc-low-pass-3", "pi-low-pass-3"):
        problem = of_kind("which-gain", family)
        parts = sorted((e.name, e.value) for e in problem.ladder.elements())
        for choice in problem.questions[0].choices:
            ladder = read_circuit(dict(texts(choice.values))["valued"])
            assert sorted((e.name, e.value) for e in ladder.elements()) == parts
            assert (ladder.source, ladder.load) == (problem.ladder.source, problem.ladder.load)


def test_one_pole_is_told_by_type_and_corner() -> None:
    """R, L and C make a low-pass in two ways; what is shown has the corner of one of them."""
    problem = of_kind("which-gain", "rc-low-pass")
    found = [known for c in problem.questions[0].choices if (known := of_choice(c))]
    assert Counter(f.type for f in found) == {FilterType.LOW_PASS: 2, FilterType.HIGH_PASS: 2}
    low = sorted(f.corner_hz or 0 for f in found if f.type is FilterType.LOW_PASS)
    assert low[1] > 5 * low[0]


def test_a_hair_is_no_visible_difference() -> None:
    shown = facts(read_circuit("series R 1 kΩ; shunt C 100 nF"))
    near = facts(read_circuit("series R 1.5 kΩ; shunt C 100 nF"))
    far = facts(read_circuit("series R 2.2 kΩ; shunt C 100 nF"))
    for face in (Face.GAIN, Face.MAP):
        assert not visibly_different(shown, shown, face)
        assert not visibly_different(shown, near, face)
        assert visibly_different(shown, far, face)
    # A level of its own is seen in the gain, but not on a map.
    loaded = facts(read_circuit("source 1 kΩ; shunt C 200 nF; load 1 kΩ"))
    assert visibly_different(shown, loaded, Face.GAIN)
    assert not visibly_different(shown, loaded, Face.MAP)


def test_below_level_five_no_part_lies_idle() -> None:
    for seed in range(12):
        for family in ("series-fed-low-pass", "shunt-fed-high-pass", "series-rlc-across-r"):
            problem = generate(seed, family=family)
            if problem.questions[0].rung is Rung.WHICH_CIRCUIT:
                for choice in problem.questions[0].choices:
                    known = of_choice(choice)
                    assert known is not None
                    assert not known.hidden


def test_arrangements_hold_the_tap_the_order_and_the_joint() -> None:
    texts = {
        write_circuit(one, "; ")
        for one in arrangements(read_circuit("source Rs; series L + C; load RL"))
    }
    assert "source Rs; shunt L || C; load RL" in texts
    assert "source Rs; series L; shunt C; load RL" in texts
    assert "source Rs; series L || C; load RL" in texts


def test_resistors_alone_have_no_lookalikes() -> None:
    ladder = read_circuit("series R1 1 kΩ; shunt R2 1 kΩ")
    found = candidates(ladder, facts(ladder), Face.GAIN, Chance(1), same_type=False, traps=True)
    assert found is None


def test_the_reason_holds_of_no_other_choice() -> None:
    problem = of_kind("which-gain", "series-rlc-across-r")
    question = problem.questions[1]
    assert question.rung is Rung.LOOKALIKE_REASON
    other = facts(read_circuit(dict(texts(question.values))["valued"]))
    holds = {c.id for c in differences(facts(problem.ladder), other) if c.holds}
    assert holds & {c.id for c in question.choices} == {question.truth}


# ------------------------------------------------------------------------- the missing arm


@pytest.mark.parametrize(("text", "blank", "truth", "choices"), [
    ("source 50 Ω; series L1 1 mH + C1 1 nF; load 50 Ω", "L1 C1", "in-series", 5),
    ("source 50 Ω; shunt L1 1 mH || C1 1 nF; load 50 Ω", "L1 C1", "in-parallel", 5),
    ("source 50 Ω; shunt L1 1 mH + C1 1 nF; load 50 Ω", "L1 C1", "in-series", 5),
    ("source 50 Ω; series L1 1 mH || C1 1 nF; load 50 Ω", "L1 C1", "in-parallel", 5),
    ("source 50 Ω; shunt C1 1 nF; load 50 Ω", "C1", "capacitor", 5),
    ("source 50 Ω; series C1 1 nF; load 50 Ω", "C1", "capacitor", 5),
])  # fmt: skip
def test_an_arm_alone_decides_the_type(text: str, blank: str, truth: str, choices: int) -> None:
    """One arm between resistances: by hand, each of the five makes another type."""
    ladder = read_circuit(text)
    drawn = missing_arm(ladder, facts(ladder), Chance(1))
    assert drawn is not None
    assert drawn.questions[0].truth == truth
    assert len(drawn.questions[0].choices) == choices
    assert sorted(drawn.blank) == sorted(blank.split())


def test_arms_that_make_the_same_are_not_offered_both() -> None:
    """Before a shunt C, an R and an L make a low-pass each, of one pole and of two."""
    ladder = read_circuit("series R1 1 kΩ; shunt C1 1 nF")
    for seed in range(20):
        drawn = missing_arm(ladder, facts(ladder), Chance(seed))
        assert drawn is not None
        assert dict(texts(drawn.questions[0].values))["order"] == "1"


# ------------------------------------------------------------------------- values


def solved(problem: Problem) -> Question:
    return problem.questions[0]


def test_a_value_gives_what_is_wanted(problems: tuple[Problem, ...]) -> None:
    seen = Counter[str]()
    for problem in problems:
        known = facts(problem.ladder)
        for question in problem.questions:
            values = dict(texts(question.values))
            if question.rung is Rung.ELEMENT_VALUE:
                seen[values["asked"]] += 1
                if "f0" in values:
                    wanted = float(wanted_figure(question, "f0"))
                    assert known.corner_hz == pytest.approx(wanted, rel=2e-3)
                if "q" in values:
                    assert known.q == pytest.approx(float(wanted_figure(question, "q")), rel=2e-3)
            elif question.rung is Rung.MOST_VALUE:
                seen["range"] += 1
                wanted = float(wanted_figure(question, "f1"))
                assert known.corner_hz == pytest.approx(wanted, rel=2e-3)
    assert set(seen) == {"corner", "q", "both", "range"}


def test_what_is_wanted_is_round() -> None:
    problem = of_kind("corner", "series-rlc-across-c")
    text = dict(texts(solved(problem).values))["f0"]
    assert len(text.split(" ")[0].replace(".", "").strip("0")) <= 2


def test_two_values_that_give_one_q_are_not_asked_for() -> None:
    """A load on a fed low-pass: too small and too large a source resistance damp alike."""
    ladder = read_circuit("source 50 Ω; series L 1 mH; shunt C 10 nF; load 100 Ω")
    found = for_q(ladder, "Rs", Fraction("0.4"))
    assert len(found) == 2
    for ohms in found:
        text = f"source {ohms!r} Ω; series L 1 mH; shunt C 10 nF; load 100 Ω"
        assert facts(read_circuit(text)).q == pytest.approx(0.4)
    assert for_q(read_circuit("series R 100 Ω; series L 1 mH; shunt C 10 nF"), "R", Fraction(2))


def test_an_element_without_a_say_has_no_value() -> None:
    ladder = read_circuit("shunt C1 1 nF; series R 1 kΩ; shunt C2 1 nF")
    assert for_corner(ladder, "C1", 1e6) is None
    assert for_corner(ladder, "C2", 1e6) == pytest.approx(1e-9)
    # The resistance of a series R-L-C does not move ω0.
    rlc = read_circuit("series R 1 kΩ; series L 1 mH; shunt C 1 nF")
    assert for_corner(rlc, "R", 1e6) is None
    assert pair_of(read_circuit("source 1 kΩ; shunt C 1 nF; series L 1 mH; load 1 kΩ")) is None


def test_a_broadcast_band_with_one_inductor() -> None:
    """540 to 1600 kHz takes capacitors in the ratio (1600/540)² = 8.779."""
    ladder = read_circuit("source 100 kΩ; shunt L 250 µH || C 100 pF; load 100 kΩ")
    for seed in range(20):
        drawn = tuning_range(ladder, facts(ladder), Chance(seed), broadcast=True)
        assert drawn is not None
        least, most = (float(q.truth) for q in drawn.questions)
        values = dict(texts(drawn.questions[0].values))
        if values["f1"] == "540 kHz":
            assert most / least == pytest.approx(8.779, rel=1e-4)
            return
    raise AssertionError("the band is never drawn")


def test_a_trimmer_takes_its_share() -> None:
    ladder = read_circuit("source 100 kΩ; shunt L 250 µH || C1 100 pF || C2 15 pF; load 100 kΩ")
    drawn = tuning_range(ladder, facts(ladder), Chance(0), broadcast=True)
    assert drawn is not None
    least, most = (float(q.truth) for q in drawn.questions)
    other = {"C1": 15e-12, "C2": 100e-12}[drawn.blank[0]]
    values = drawn.questions[0]
    f1, f2 = (float(wanted_figure(values, key)) for key in ("f1", "f2"))
    assert (most + other) / (least + other) == pytest.approx((f2 / f1) ** 2)


# ------------------------------------------------------------------------- what is proved


def spoilt(problem: Problem, rung: Rung, **fields: object) -> Problem:
    questions = tuple(replace(q, **fields) if q.rung is rung else q for q in problem.questions)
    return replace(problem, questions=questions)


def test_a_wrong_circuit_as_the_right_one_is_caught() -> None:
    problem = of_kind("which-gain", "series-rlc-across-c")
    question = problem.questions[0]
    wrong = next(c.id for c in question.choices if c.id != question.truth)
    with pytest.raises(CertificationError, match=r"another response|cannot be told"):
        certify(spoilt(problem, Rung.WHICH_CIRCUIT, truth=wrong))


def test_the_right_circuit_twice_is_caught() -> None:
    problem = of_kind("which-map", "series-rlc-across-c")
    question = problem.questions[0]
    right = next(c for c in question.choices if c.id == question.truth)
    twice = tuple(c if c.id == right.id else Choice(c.id, right.values) for c in question.choices)
    with pytest.raises(CertificationError, match="cannot be told"):
        certify(spoilt(problem, Rung.WHICH_CIRCUIT, choices=twice))


def test_a_wrong_arm_or_value_is_caught() -> None:
    arm = of_kind("arm", "series-fed-band-pass")
    wrong = next(c.id for c in arm.questions[0].choices if c.id != arm.questions[0].truth)
    with pytest.raises(CertificationError, match="of order"):
        certify(spoilt(arm, Rung.MISSING_ARM, truth=wrong))
    value = of_kind("corner", "rc-low-pass")
    off = float(value.questions[0].truth) * 1.001
    wrong_value = spoilt(value, Rung.ELEMENT_VALUE, truth=off)
    assert any("leads to" in text for text in troubles(wrong_value, facts(value.ladder)))
    with pytest.raises(CertificationError, match="there to be read"):
        certify(replace(value, blank=()))


def test_a_wrong_reason_is_caught() -> None:
    problem = of_kind("which-gain", "series-rlc-across-r")
    question = problem.questions[1]
    wrong = next(c.id for c in question.choices if c.id != question.truth)
    with pytest.raises(CertificationError, match="hold"):
        certify(spoilt(problem, Rung.LOOKALIKE_REASON, truth=wrong))


# ------------------------------------------------------------------------- nothing is given away


def hidden_values(problem: Problem) -> list[str]:
    """The values left out, as they would be written."""
    parts = [e for e in problem.ladder.elements() if e.name in problem.blank]
    return [write_quantity(e.value or 0, e.kind.unit) for e in parts]


def test_no_key_before_an_answer(problems: tuple[Problem, ...]) -> None:
    words = Words.load()
    for problem in problems:
        for question in problem.questions:
            if question.rung not in REVERSED:
                assert blank_of(problem, question) == ()
                continue
            assert face_of(problem, question) is problem.face is not Face.CIRCUIT
            assert blank_of(problem, question) == problem.blank
            said = [words.prompt(question), *(words.hint(problem, question, n) for n in (1, 2))]
            if problem.face is Face.BLANK:
                said.append(blank_text(problem))
            else:
                said += lines(facts(problem.ladder), problem.face)
                assert right_text(question) not in said
            if question.rung in (Rung.ELEMENT_VALUE, Rung.LEAST_VALUE, Rung.MOST_VALUE):
                for value in hidden_values(problem):
                    assert all(f" {value}" not in text for text in said)


def test_the_missing_arm_is_nowhere_in_the_circuit_shown(problems: tuple[Problem, ...]) -> None:
    for problem in problems:
        if problem.questions[0].rung is not Rung.MISSING_ARM:
            continue
        ladder, unknown = blanked(problem, problem.face)
        names = {e.name for e in ladder.elements()}
        assert BOX.name in names and not names & set(problem.blank) and not unknown
        text = blank_text(problem)
        assert text.count("?") == 1
        assert all(name not in text.replace("RL", "").split() for name in problem.blank)


def test_the_unknown_cannot_be_named_in_a_formula() -> None:
    problem = of_kind("corner", "rc-low-pass")
    question = solved(problem)
    name = dict(texts(question.values))["element"]
    assert grade(problem, question, name).verdict is Verdict.UNCLEAR
    assert grade(problem, question, f"2*{name}").verdict is Verdict.UNCLEAR
    other = next(e.name for e in problem.ladder.elements() if e.name != name)
    found = grade(problem, question, f"1/(2π·f0·{other})")
    assert found.verdict is Verdict.RIGHT
    assert grade(problem, question, f"1/(ω0·{other})").verdict is Verdict.RIGHT


def test_values_are_read_as_in_the_laboratory() -> None:
    problem = of_kind("both", "series-rlc-across-r")
    question = solved(problem)
    assert grade(problem, question, right_text(question)).verdict is Verdict.RIGHT
    assert grade(problem, question, f"{float(question.truth):.3e}").verdict is Verdict.RIGHT
    wrong_unit = grade(problem, question, "10 Hz")
    assert wrong_unit.verdict is Verdict.UNCLEAR


# ------------------------------------------------------------------------- slips, by hand


def slips(problem: Problem, text: str) -> list[str]:
    mark = grade(problem, problem.questions[0], text)
    assert mark.verdict is Verdict.WRONG, mark
    return [hit.slip for hit in mark.slips]


def test_slips_of_a_capacitor_for_a_corner() -> None:
    """R = 1 kΩ-ish, C asked for: f for ω, L/R for R·C, a prefix."""
    problem = of_kind("corner", "rc-low-pass")
    question = solved(problem)
    unit, truth = question.unit, float(question.truth)
    tau = 6.283185307179586
    assert "frequency-for-omega" in slips(problem, write_quantity(truth * tau, unit))
    assert slips(problem, write_quantity(truth * 1000, unit))[0] == "prefix-lost"


def test_slips_of_a_tuning_range() -> None:
    problem = of_kind("range", "shunt-fed-band-pass")
    least, most = (float(q.truth) for q in problem.questions[:2])
    unit = solved(problem).unit
    assert slips(problem, write_quantity(most, unit))[0] == "other-extreme"
    ratio = (most / least) ** 0.5
    assert slips(problem, write_quantity(most / ratio, unit))[0] == "ratio-not-squared"


def test_slips_of_an_arm() -> None:
    problem = of_kind("arm", "series-fed-band-pass")
    assert slips(problem, "in-parallel") == ["pair-joined-wrongly"]
    assert slips(problem, "inductor") == ["one-end-stopped"]
    assert slips(problem, "resistor") == ["resistor-for-reactive"]


# ------------------------------------------------------------------------- text with a blank


def test_blanks_in_circuit_text() -> None:
    ladder = read_circuit("source 1 kΩ; series L1 1 mH + (R1 5 Ω || C1 1 nF); shunt C2 2 nF")
    assert write_unvalued(ladder, ("C1",), "; ") == (
        "source 1 kΩ; series L1 = 1 mH + (R1 = 5 Ω || C1 = ?); shunt C2 = 2 nF"
    )
    assert write_boxed(ladder, ("C2",), "; ").endswith("; shunt ?")
    assert place_of(ladder, ("C2",)) == 1
    assert place_of(ladder, ("C1",)) is None
    with pytest.raises(ValueError, match="no arm of their own"):
        boxed(ladder, ("C1",))
    assert unvalued(ladder, ()) == ladder
    assert write_unvalued(ladder, ()) == write_circuit(ladder)


def test_every_kind_has_a_maker() -> None:
    found = set()
    for family in FAMILIES:
        drawn = next(d for k in range(200) if (d := drawn_circuit(family, 1, k)))
        wanting = [kind for kind in KINDS if kind not in found]
        found |= {k for k in wanting if made(family, 1, k, *drawn, Chance(1, k)) is not None}
    assert found == set(KINDS)


def test_names_of_a_blank_are_elements_of_the_circuit(problems: tuple[Problem, ...]) -> None:
    def names(ladder: Ladder) -> set[str]:
        arms = [leaves(s.arm) for s in ladder.stages if s.arm is not None]
        return {e.name for arm in arms for e in arm} | {
            e.name for e in (ladder.source, ladder.load) if e is not None
        }

    for problem in islice(problems, 100):
        assert set(problem.blank) <= names(problem.ladder)
