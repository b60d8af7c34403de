"""What follows from earlier answers, against circuits that have those very answers."""

from __future__ import annotations

import math
from functools import cache

import pytest
from rungwise.problems.analysis.response import Facts, FilterType, facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.analyse import TYPES, pass_band_gain, questions_for
from rungwise.problems.questions.follows import FOLLOWS, Own, in_hertz, relations_for
from rungwise.problems.questions.kinds import kind
from rungwise.problems.questions.model import Form, Problem, Question, Rung
from rungwise.problems.questions.own_response import own_response

from tests.support.samples import whole

SEEDS = (3, 11)


@cache
def asked(family: str, seed: int) -> tuple[Problem, Facts, tuple[Question, ...]]:
    problem = generate(seed, family=family)
    known = facts(problem.ladder)
    return problem, known, questions_for(known, Chance(seed, "all"))


def answers(known: Facts, questions: tuple[Question, ...]) -> dict[Rung, Own]:
    """The right answers, frequencies in Hz, and H(s) as a function."""
    return {q.rung: known.transfer if q.rung is Rung.TRANSFER else in_hertz(q) for q in questions}


def alike(found: object, truth: object, within: float) -> bool:
    if isinstance(found, int | float) and isinstance(truth, int | float):
        return abs(found - truth) <= within * abs(truth)
    return found == truth


def test_every_relation_gives_another_circuits_answers_from_another_circuits_answers() -> None:
    """Facts of the other circuit are worked out from its H(s), by no such formula."""
    every = {(rung, place) for rung, rows in FOLLOWS.items() for place in range(len(rows))}
    # Of Q by ω0 the elements are those of this circuit, and sketches are drawn: the next tests.
    left = {
        (rung, at)
        for rung, at in every
        if FOLLOWS[rung][at].takes != (Rung.CORNER,) and kind(rung).form is not Form.SKETCH
    }
    for family in (row.name for row in reversed(FAMILIES)):  # those with losses come last
        if not left and not whole():
            break
        _, one, questions = asked(family, SEEDS[0])
        _, other, theirs = asked(family, SEEDS[1])
        truths, own = answers(one, questions), answers(other, theirs)
        for question in questions:
            if question.rung not in own or one.type is not other.type:
                continue
            order = list(Rung)[: list(Rung).index(question.rung)]  # what stands before it
            earlier = {rung: truths[rung] for rung in order if rung in truths}
            for relation in relations_for(one, question, earlier):
                if own.keys() >= set(relation.takes) and relation.takes != (Rung.CORNER,):
                    found = relation.of(one, own)
                    assert alike(found, own[question.rung], 0.005), (family, relation)
                    left.discard((question.rung, FOLLOWS[question.rung].index(relation)))
    assert not left


def test_the_response_with_another_circuits_figures_is_the_other_circuits() -> None:
    """Whose H(s) is worked out from its elements; the sketches are those of a response."""
    types = set()
    for family in (row.name for row in FAMILIES[:: 1 if whole() else 3]):
        _, one, _ = asked(family, SEEDS[0])
        _, other, _ = asked(family, SEEDS[1])
        gain = pass_band_gain(other)
        found = own_response(one, other.corner_hz, other.q, None if gain is None else float(gain))
        if found is None or one.type is not other.type:
            continue
        types.add((one.type, one.transfer.order))
        for side in ("numerator", "denominator"):
            mine, theirs = (getattr(r.transfer, side) for r in (found, other))
            assert [float(c) for c in mine] == pytest.approx([float(c) for c in theirs]), family
    assert {name for name, order in types if order == 2} == set(TYPES) - {FilterType.FLAT}
    assert {name for name, order in types if order == 1} == {
        FilterType.LOW_PASS, FilterType.HIGH_PASS
    }  # fmt: skip


def test_zeros_elsewhere_have_no_standard_form() -> None:
    trap = facts(read_circuit("series R1 1 kΩ; shunt L1 1 mH + C1 10 nF; shunt C2 100 nF"))
    lead = facts(read_circuit("series R1 10 kΩ || C1 10 nF; shunt R2 1 kΩ"))
    assert own_response(trap, 1000.0) is None
    assert own_response(lead, 1000.0) is None


@pytest.mark.parametrize(
    ("circuit", "formulas"),
    [
        ("series R1 1 kΩ; shunt L1 10 mH; shunt C1 10 nF", ("R/(ωL)", "ωRC")),
        ("series L1 10 mH; series C1 10 nF; shunt R1 220 Ω", ("ωL/R", "1/(ωRC)")),
    ],
)
def test_q_follows_from_a_corner_as_the_elements_have_it(
    circuit: str, formulas: tuple[str, ...]
) -> None:
    """With another ω0 the two formulas of Q give two values, and both follow."""
    ladder = read_circuit(circuit)
    known = facts(ladder)
    r, coil, c = (
        float(next(e.value for e in ladder.elements() if e.name == n)) for n in ("R1", "L1", "C1")
    )  # type: ignore[arg-type]
    own = 3000.0
    omega = math.tau * own
    hand = {"R/(ωL)": r / (omega * coil), "ωRC": omega * r * c, "ωL/R": omega * coil / r,
            "1/(ωRC)": 1 / (omega * r * c)}  # fmt: skip
    found = [
        relation.of(known, {Rung.CORNER: own})
        for relation in FOLLOWS[Rung.Q]
        if relation.takes == (Rung.CORNER,)
    ]
    assert sorted(found) == pytest.approx(sorted(hand[f] for f in formulas))  # type: ignore[type-var]


def test_a_relation_that_does_not_hold_here_is_left_out() -> None:
    """A loop of capacitors has two poles of three stores: what is asked tells, and nothing else."""
    truths: dict[Rung, Own] = {Rung.INDEPENDENT: 3}
    known = facts(read_circuit("series R1 1 kΩ; shunt C1 10 nF"))
    question = Question(Rung.POLES, asked("rc-low-pass", 3)[2][0].form, 1)
    assert relations_for(known, question, truths) == ()
    assert len(relations_for(known, question, {Rung.INDEPENDENT: 1})) == 1


def test_nothing_follows_where_there_is_no_such_figure() -> None:
    [loss] = FOLLOWS[Rung.INSERTION_LOSS]
    known = facts(read_circuit("series R1 1 kΩ; shunt C1 10 nF"))
    assert loss.of(known, {Rung.UNLOADED_Q: 10.0, Rung.LOADED_Q: 20.0}) is None
    [ends] = FOLLOWS[Rung.TYPE]
    assert ends.of(known, {Rung.LOW_END: "passes", Rung.HIGH_END: "passes"}) is None


def test_only_earlier_kinds_are_taken() -> None:
    order = list(Rung)
    for rung, rows in FOLLOWS.items():
        for row in rows:
            assert all(order.index(takes) < order.index(rung) for takes in row.takes)
