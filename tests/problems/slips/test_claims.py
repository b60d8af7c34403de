"""No slip is shown with a sentence that is false of the circuit.

Each claim of a sentence that is shown is held against a witness that goes another way
(``tests/support/slip_witness.py``), over every family, several seeds and every guess.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate import sketch as sketching
from rungwise.problems.generate.analyse import drawn_circuit, typed
from rungwise.problems.questions.model import Problem, Question, Rung, Task
from rungwise.problems.slips import claims
from rungwise.problems.slips.case import Case
from rungwise.problems.slips.claims import SlipClaim, SlipSaying, holds
from rungwise.problems.slips.engine import Prediction, guesses, predictions
from rungwise.problems.slips.sentences import SENTENCES

from tests.support.made_once import made_problem
from tests.support.samples import sample
from tests.support.slip_witness import WITNESSES, Claimed
from tests.support.word_corpus import BY_HAND

SEEDS = sample((1,), (1, 2))


def problems_of(family: str) -> Iterator[tuple[Problem, Facts]]:
    """What is asked of circuits of a family: every question of analysing, and the other tasks'."""
    for seed in SEEDS:
        problem = made_problem(seed, family=family)
        yield typed(problem.ladder), facts(problem.ladder)
        for task in Task.SKETCH, Task.REVERSE:
            problem = made_problem(seed, task, family=family)
            yield problem, facts(problem.ladder)


def rows(slip: str, key: str, rung: Rung) -> Iterator[tuple[SlipClaim, ...]]:
    """The claims of every row with that sentence."""
    for row in SENTENCES[slip]:
        if row.key == key and (not row.rungs or rung in row.rungs):
            yield row.claims


def false_claims(problem: Problem, known: Facts, question: Question) -> Iterator[str]:
    """Sentences shown of one question that a witness contradicts."""
    case = Case(problem.ladder, known, question)
    for found in predictions(problem.ladder, known, question):
        said = SlipSaying(case, found.value, found.values)
        if not any(_all_true(c, said) for c in rows(found.slip, found.says, question.rung)):
            yield (
                f"{question.rung}: {found.slip}.{found.says} to {str(found.value)[:60]} "
                f"{dict(found.values)} of {write_circuit(problem.ladder)}"
            )


def _all_true(claimed: tuple[SlipClaim, ...], said: SlipSaying) -> bool:
    return all(_true(claim, said) for claim in claimed)


_KNOWN: dict[object, bool] = {}


def _true(claim: SlipClaim, said: SlipSaying) -> bool:
    of_circuit = claim in claims.OF_CIRCUIT
    rest = () if of_circuit else (said.answer, tuple(sorted(said.filled.items())), said.truth)
    key = (claim, said.case.ladder, said.case.rung, rest)
    if key not in _KNOWN:
        _KNOWN[key] = WITNESSES[claim](Claimed(said))
    return _KNOWN[key]


@pytest.mark.parametrize("family", [row.name for row in FAMILIES])
def test_no_sentence_shown_is_false(family: str) -> None:
    _KNOWN.clear()
    false = [
        line
        for problem, known in problems_of(family)
        for question in problem.questions
        for line in false_claims(problem, known, question)
    ]
    assert not false, "\n".join(false)


UNSOLVED = {"compensated divider and a resonance", "a large ladder", "a large divider"}
"""Too large for the witness, or with a pole and a zero that cancel for exact arithmetic alone."""


@pytest.mark.parametrize("name", sorted(set(BY_HAND) - UNSOLVED))
def test_nor_is_one_shown_of_an_odd_circuit(name: str) -> None:
    ladder = read_circuit(BY_HAND[name])
    _KNOWN.clear()
    known = facts(ladder)
    false = [
        line
        for problem in (typed(ladder), sketching.typed(ladder))
        for question in problem.questions
        for line in false_claims(problem, known, question)
    ]
    assert not false, "\n".join(false)


@cache
def circuits() -> tuple[Case, ...]:
    """Circuits of every family, with a question that stands for none in particular."""
    found, question = list[Case](), None
    for row in FAMILIES:
        for number in range(len(SEEDS)):
            drawn = drawn_circuit(row, 5, number)
            if drawn is not None:
                ladder, known = drawn
                question = question or typed(ladder).questions[0]
                found.append(Case(ladder, known, question))
    return tuple(found)


@pytest.mark.parametrize("claim", sorted(claims.OF_CIRCUIT))
def test_a_claim_about_the_circuit_is_true_just_where_its_witness_says_so(
    claim: SlipClaim,
) -> None:
    seen = set()
    for case in circuits():
        if claim in _OF_TWO_POLES and case.order != 2:
            continue
        said = SlipSaying(case, "")
        held, true = holds(claim, said), bool(WITNESSES[claim](Claimed(said)))
        assert held is true or (true and claim in CAUTIOUS), write_circuit(case.ladder)
        seen.add(held)
    assert True in seen, "no family has it"


S = SlipClaim
_OF_TWO_POLES = {
    S.NO_COMPLEX, S.REAL_APART, S.DOUBLE_POLE, S.PAIR_IN_SERIES, S.PAIR_IN_PARALLEL, S.RESONANCE,
    S.NO_R_IN_F0, S.R_IN_F0, S.ALL_R_IN_Q, S.PRODUCT_IN_F0, S.BUTTERWORTH_AT_MOST, S.EDGES_ABOUT_F0,
    S.BAND_IS_F0_OVER_Q, S.CROSS_TERM, S.BUFFER_BETWEEN, S.NO_PICTURE_AT_F0,
}  # fmt: skip
"""What makes sense of two poles alone."""

CAUTIOUS = {
    S.PAIR_IN_PARALLEL, S.PRODUCT_IN_F0, S.ONE_SERIES_LIMB, S.ONE_DIVIDER, S.BELOW_SOURCE,
    S.NO_PICTURE_AT_F0, S.EDGES_ABOUT_F0, S.TERMINATED,
}  # fmt: skip
"""What is not claimed of every circuit of which it would be true."""


def test_every_claim_is_made_and_has_a_witness() -> None:
    made = {claim for found in SENTENCES.values() for row in found for claim in row.claims}
    assert made == set(SlipClaim) == set(WITNESSES)


def test_a_sentence_that_is_first_and_claims_nothing_leaves_none_after_it() -> None:
    for slip, found in SENTENCES.items():
        for row in found[:-1]:
            assert row.claims or row.rungs, f"{slip}: nothing after {row.key} is ever said"


# ------------------------------------------------------------- sentences that were false once

PART = {
    "buffered band-pass": "series C1 100 nF; shunt R1 1 kΩ; buffer; series R2 1 kΩ; shunt C2 1 nF",
    "unbuffered band-pass": "series C1 100 nF; shunt R1 1 kΩ; series R2 2.2 kΩ; shunt C2 1 nF",
    "tank": "source Rs 600 Ω; shunt L1 10 mH || C1 100 nF; load RL 2 kΩ",
    "series band-pass": "source Rs 600 Ω; series L1 10 mH + C1 100 nF; load RL 2 kΩ",
    "R-L buffer R-C": "series L1 10 mH; shunt R1 1 kΩ; buffer; series R2 2.2 kΩ; shunt C1 10 nF",
    "fed low-pass": "source Rs 600 Ω; shunt C1 100 nF; series L1 10 mH; load RL 200 Ω",
    "band-pass of Q 0.6": "series L1 10 mH + C1 100 nF; shunt R1 527 Ω",
    "low-pass of Q 0.6": "series R1 527 Ω; series L1 10 mH; shunt C1 100 nF",
    "wide band-pass": "series L1 10 mH + C1 100 nF; shunt R1 2.2 kΩ",
    "R-C low-pass": "series R1 1 kΩ; shunt C1 100 nF",
    "parallel coils": "series R1 1 kΩ; shunt L1 10 mH || L2 22 mH",
}


def told(circuit: str, rung: Rung) -> dict[str, list[Prediction]]:
    """What is said of a circuit's wrong answers, by slip."""
    problem = typed(read_circuit(PART[circuit]))
    known = facts(problem.ladder)
    found: dict[str, list[Prediction]] = {}
    for question in problem.questions:
        if question.rung is rung:
            for one in predictions(problem.ladder, known, question):
                found.setdefault(one.slip, []).append(one)
    return found


@pytest.mark.parametrize(
    ("circuit", "rung", "slip", "key"),
    [
        # Nothing is open or short at f0 of R-C sections, and nothing there divides.
        ("buffered band-pass", Rung.GAIN, "unity-gain", "chain"),
        ("unbuffered band-pass", Rung.GAIN, "unity-gain", "chain"),
        ("buffered band-pass", Rung.GAIN, "divider-inverted", None),
        ("unbuffered band-pass", Rung.GAIN, "divider-inverted", None),
        ("tank", Rung.GAIN, "divider-inverted", "sentence"),
        ("tank", Rung.GAIN, "unity-gain", "tank"),
        ("series band-pass", Rung.GAIN, "unity-gain", "series"),
        # The output of a tank is taken across its L and C.
        ("tank", Rung.GAIN, "gain-q-at-resistor", "tank"),
        ("series band-pass", Rung.GAIN, "gain-q-at-resistor", "sentence"),
        # No resonance spans a buffer.
        ("R-L buffer R-C", Rung.CORNER, "load-cannot-matter", "buffered"),
        ("R-L buffer R-C", Rung.Q, "one-resistance", "buffered"),
        ("fed low-pass", Rung.CORNER, "load-cannot-matter", "sentence"),
        ("fed low-pass", Rung.Q, "one-resistance", "sentence"),
        # A band-pass peaks whatever its poles are.
        ("band-pass of Q 0.6", Rung.POLE_NATURE, "no-peak-no-pair", None),
        ("band-pass of Q 0.6", Rung.POLE_NATURE, "pair-placed-real", "sentence"),
        ("low-pass of Q 0.6", Rung.POLE_NATURE, "no-peak-no-pair", "sentence"),
        # Damping shifts f0 where resistances enter it.
        ("fed low-pass", Rung.CORNER, "damped-frequency", "resistive"),
        ("low-pass of Q 0.6", Rung.CORNER, "damped-frequency", "sentence"),
        # There is no L to change places with.
        ("R-C low-pass", Rung.TYPE, "roles-swapped", "capacitors"),
        ("fed low-pass", Rung.TYPE, "roles-swapped", "sentence"),
        # What answers a choice does not grow with the resistance.
        ("wide band-pass", Rung.POLE_NATURE, "more-r-more-q", "nature"),
        ("wide band-pass", Rung.Q, "more-r-more-q", "sentence"),
        ("buffered band-pass", Rung.TYPE, "section-order", "sentence"),
        ("unbuffered band-pass", Rung.TYPE, "section-order", "loaded"),
    ],
)
def test_what_is_said_is_what_is_true(circuit: str, rung: Rung, slip: str, key: str | None) -> None:
    found = {one.says for one in told(circuit, rung).get(slip, [])}
    assert found == (set() if key is None else {key})


def test_half_the_band_is_half_of_it_whatever_the_q() -> None:
    (half,) = told("wide band-pass", Rung.BANDWIDTH)["half-band"]
    problem = typed(read_circuit(PART["wide band-pass"]))
    (question,) = (q for q in problem.questions if q.rung is Rung.BANDWIDTH)
    assert half.value == pytest.approx(question.figure / 2)


def test_guesses_are_kept_apart_whether_or_not_something_is_said() -> None:
    """The circuits that seeds mean depend on the guesses, and those on no sentence."""
    problem = typed(read_circuit(PART["buffered band-pass"]))
    known = facts(problem.ladder)
    (gain,) = (q for q in problem.questions if q.rung is Rung.GAIN)
    of_all = {g.slip for g in guesses(problem.ladder, known, gain)}
    assert "divider-inverted" in of_all
    assert of_all - {p.slip for p in predictions(problem.ladder, known, gain)} == {
        "divider-inverted"
    }
