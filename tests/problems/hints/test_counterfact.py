"""Every wrong answer to a look meets an exact fact that it contradicts."""

from __future__ import annotations

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.contrast import answer_of, nearest
from rungwise.problems.hints.counterfact import counterfact
from rungwise.problems.hints.counterfact_ends import CounterFact
from rungwise.problems.hints.look import look_hint, right_because
from rungwise.problems.questions.looks import Facing, Look, LookKind, look_row
from rungwise.tutor.phrases import looks as words

from tests.support.made_once import made_look
from tests.support.samples import sample
from tests.support.told import check, near_one
from tests.support.topologies import random_topology

LOOKS = sample(8, 25)
"""Looks of every kind; ``tests.studies.explain_every_answer`` takes 2,000."""
HARDNESS = 4


def looks(kind: LookKind, count: int = LOOKS, first: int = 0) -> list[Look]:
    return [made_look(seed, kind, seed % HARDNESS) for seed in range(first, first + count)]


def wrong(look: Look) -> list[str]:
    return [answer for answer in look.answers if answer != look.truth]


def asked(text: str, kind: LookKind) -> Look:
    ladder = near_one(read_circuit(text))
    truth = answer_of(ladder, kind)
    assert truth is not None
    return Look(kind, 0, ladder, truth, text, SkillGroup.OTHER)


@pytest.mark.parametrize("kind", LookKind)
def test_every_wrong_answer_is_contradicted_by_what_nodal_analysis_finds(kind: LookKind) -> None:
    for look in looks(kind):
        for answered in wrong(look):
            check(look, answered, counterfact(look, answered))


@pytest.mark.parametrize("kind", LookKind)
def test_marked_parts_are_parts_of_the_circuit_that_is_redrawn(kind: LookKind) -> None:
    for look in looks(kind):
        for answered in wrong(look):
            fact = counterfact(look, answered)
            circuit = fact.circuit or look.ladder
            assert set(fact.marked) <= {e.name for e in circuit.elements()}
            if look.row.facing is not Facing.CIRCUIT and fact.circuit is not None:
                assert fact.circuit in look.shown


OF_ONE = (*list(LookKind)[:8], LookKind.DC_OUTPUT, LookKind.CORNER_PHASE)
"""Kinds that ask one thing of one circuit."""


@pytest.mark.parametrize("kind", OF_ONE)
def test_the_lookalike_is_what_was_answered(kind: LookKind) -> None:
    for look in looks(kind):
        for answered in wrong(look):
            other = counterfact(look, answered).lookalike
            assert other is not None
            assert other.valued
            assert answer_of(other, kind) == answered


@pytest.mark.parametrize("kind", LookKind)
def test_a_right_answer_or_no_answer_of_the_kind_is_refused(kind: LookKind) -> None:
    (look,) = looks(kind, 1)
    for answered in (look.truth, "", "anything"):
        with pytest.raises(ValueError, match="no wrong answer"):
            counterfact(look, answered)


def test_circuits_that_no_look_would_show_are_explained_as_truly() -> None:
    chance = Chance(11, "any")
    for _ in range(12):
        ladder = near_one(random_topology(chance, 1 + chance.below(4)))
        for kind in list(LookKind)[:8]:
            truth = answer_of(ladder, kind)
            if truth not in look_row(kind).answers:
                continue
            look = Look(kind, 0, ladder, truth, "", SkillGroup.OTHER)
            for answered in wrong(look):
                fact = counterfact(look, answered)
                check(look, answered, fact)
                assert words.counter(look, fact)


def told(text: str, kind: LookKind, answered: str) -> tuple[CounterFact, str]:
    look = asked(text, kind)
    fact = counterfact(look, answered)
    check(look, answered, fact)
    return fact, words.counter(look, fact)


def test_a_short_across_the_output_refutes_a_notch() -> None:
    fact, text = told("series R1; shunt C1", LookKind.TYPE, "notch")
    assert text == (
        "A notch passes both ends. "
        "Here C1 shorts the output at high frequency, so nothing gets through."
    )
    assert (fact.end, fact.marked, fact.passes) == (End.HIGH, ("C1",), False)
    assert fact.lookalike is not None


def test_a_path_that_survives_refutes_a_band_pass() -> None:
    fact, text = told("series L1; shunt C1; load RL", LookKind.TYPE, "band-pass")
    assert text == (
        "A band-pass blocks both ends. "
        "Here L1 is a short and C1 is open at DC, so the signal gets through."
    )
    assert (fact.end, fact.marked, fact.passes) == (End.LOW, ("L1",), True)


@pytest.mark.parametrize(
    ("text", "kind", "answered", "said"),
    [
        ("shunt C1; series R1; shunt R2", LookKind.TYPE, "low-pass", "lies across the ideal sou"),
        ("series R1; shunt R2; series L1", LookKind.TYPE, "low-pass", "leads to an open end"),
        ("series R1; shunt R2", LookKind.TYPE, "notch", "neither an L nor a C"),
        ("series R1; shunt L1 + C1", LookKind.TYPE, "flat", "L1 + C1 is a short at its resonance"),
        ("series L1 || C1; load RL", LookKind.TYPE, "flat", "L1 ∥ C1 is open at its resonance"),
        ("series R1; shunt C1 || C2", LookKind.POLES, "2", "C2 and C1 combine into one part"),
        ("shunt C1; series R1; shunt C2", LookKind.POLES, "2", "C1 lies across an ideal source"),
        ("series R1; shunt L1 || C1", LookKind.POLES, "1", "a pair is two poles"),
        ("series C1; shunt R1", LookKind.HIGH_SLOPE, "-20", "the zero gives 20 back: 0"),
        ("series C1; shunt L1; load RL", LookKind.ORIGIN_ZEROS, "1", "each block DC"),
        ("source Rs; shunt C1; series L1; load RL", LookKind.FED, "series", "C1, a shunt arm"),
    ],
)
def test_the_reason_fits_the_mistake(text: str, kind: LookKind, answered: str, said: str) -> None:
    assert said in told(text, kind, answered)[1]


def ladder(text: str) -> Ladder:
    return near_one(read_circuit(text))


def test_loops_and_cuts_are_told_by_what_ties_the_part() -> None:
    _, text = told("source Rs; shunt C1; series C2; shunt C3 || R1", LookKind.POLES, "3")
    assert "closes a loop of capacitors, so its voltage follows" in text
    _, text = told("series L1; shunt C2 || R1; series L3; load RL", LookKind.POLES, "2")
    assert "add one pole each" in text  # a resistance lies between: nothing is tied
    _, text = told("series R1 + L1; shunt L2; series L3; load RL", LookKind.POLES, "3")
    assert "meets other inductors and nothing else" in text


@pytest.mark.parametrize("kind", LookKind)
def test_hints_and_reasons_of_every_look_have_words(kind: LookKind) -> None:
    for look in looks(kind):
        found = look_hint(look)
        assert set(found.focus) <= {e.name for e in look.ladder.elements()}
        for level in (1, 2, 3):
            assert words.hint(look, level)
        with pytest.raises(ValueError, match="levels 1, 2 and 3"):
            words.hint(look, 4)
        key, _ = right_because(look)
        assert key.split(".")[0] in ("why", "counter")
        assert words.why(look)


def test_two_changes_are_found_where_one_is_not_enough() -> None:
    start = ladder("source Rs; shunt C1; series L1; shunt C2; load RL")
    found = nearest(start, LookKind.TYPE, "high-pass")
    assert found is not None
    assert answer_of(found, LookKind.TYPE) == "high-pass"
