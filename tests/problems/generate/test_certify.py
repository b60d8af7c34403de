"""Certification: everything generated passes, and what is wrong is caught."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rungwise.problems.analysis.nodal import Network
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.formulas.read import parse
from rungwise.problems.generate import analyse as generator
from rungwise.problems.generate import certify as certificate
from rungwise.problems.generate.analyse import generate
from rungwise.problems.generate.certify import CertificationError, IndistinctError, certify
from rungwise.problems.questions.kinds import kinds_of
from rungwise.problems.questions.model import Choice, Form, Problem, Question, Rung, Task
from rungwise.problems.slips.engine import Prediction

from tests.studies import certify_all
from tests.support.samples import sample

SAMPLE = sample(252, 500)
"""Problems certified here; ``python -m tests.studies.certify_all 10000`` does 40 times as many."""


def test_problems_of_all_families_certify() -> None:
    report = certify_all.batch(0, SAMPLE)
    assert report.failures == []
    assert report.families.total() == SAMPLE
    assert set(report.families) == {f.name for f in FAMILIES}
    assert min(report.families.values()) >= SAMPLE // len(FAMILIES)
    # Every kind of question is asked of somebody; some predictions need a rare circuit.
    predicted = {r.value for r in kinds_of(Task.PREDICT)}
    assert set(report.rungs) - predicted == {r.value for r in Rung} - predicted
    assert len(predicted & set(report.rungs)) > 60


def changed(problem: Problem, rung: Rung, **fields: object) -> Problem:
    questions = [replace(q, **fields) if q.rung is rung else q for q in problem.questions]
    assert any(q.rung is rung for q in problem.questions)
    return replace(problem, questions=tuple(questions))


@pytest.fixture(scope="module")
def problem() -> Problem:
    for seed in range(200):
        found = generate(seed, family="series-fed-band-pass")
        if {Rung.UPPER_EDGE, Rung.TYPE} <= {q.rung for q in found.questions}:
            return found
    raise AssertionError("no seed asks for the upper edge")


def test_a_sound_problem_passes(problem: Problem) -> None:
    certify(problem)
    certify(problem, facts(problem.ladder))


def test_no_question(problem: Problem) -> None:
    with pytest.raises(CertificationError, match="no question"):
        certify(replace(problem, questions=()))


def test_choices_without_the_truth(problem: Problem) -> None:
    with pytest.raises(CertificationError, match="is not one of"):
        certify(changed(problem, Rung.TYPE, choices=(Choice("low-pass"), Choice("notch"))))


def test_choices_with_the_truth_twice(problem: Problem) -> None:
    twice = (Choice("band-pass"), Choice("notch"), Choice("band-pass"))
    with pytest.raises(CertificationError, match="is not one of"):
        certify(changed(problem, Rung.TYPE, choices=twice))


def test_an_edge_that_is_not_3_db_down(problem: Problem) -> None:
    question = next(q for q in problem.questions if q.rung is Rung.UPPER_EDGE)
    wrong = changed(problem, Rung.UPPER_EDGE, truth=float(question.truth) * 1.00001)
    with pytest.raises(CertificationError, match="3 dB below"):
        certify(wrong)


def test_a_formula_of_another_circuit(problem: Problem) -> None:
    letters = [e.name for e in problem.ladder.elements()]
    truth = parse(f"{letters[0]}/({letters[0]} + {letters[-1]})", letters)
    wrong = Question(Rung.TRANSFER, Form.FORMULA, truth)
    with pytest.raises(CertificationError):
        certify(replace(problem, questions=(wrong,)))


def test_a_witness_that_disagrees_is_heard(
    problem: Problem, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = Network.response
    monkeypatch.setattr(Network, "response", lambda self, w: true(self, w) * (1 + 1e-8))
    with pytest.raises(CertificationError, match="nodal analysis gives"):
        certify(problem)


def test_an_answer_that_is_not_marked_right(
    problem: Problem, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(certificate, "right_text", lambda question: "certainly not")
    with pytest.raises(CertificationError, match="is marked"):
        certify(problem)


@pytest.mark.parametrize(("factor", "in_play", "close"), [
    (1.01, True, True), (0.99, True, True), (1.01, False, False), (1.5, True, False),
])  # fmt: skip
def test_a_slip_too_close_to_the_truth(
    problem: Problem, monkeypatch: pytest.MonkeyPatch, factor: float, in_play: bool, close: bool
) -> None:
    def guessed(ladder: object, known: object, question: Question) -> tuple[Prediction, ...]:
        if question.rung is not Rung.UPPER_EDGE:
            return ()
        return (Prediction("made-up", float(question.truth) * factor, (), in_play),)

    monkeypatch.setattr(certificate, "guesses", guessed)
    if close:
        with pytest.raises(IndistinctError, match="made-up"):
            certify(problem)
    else:
        certify(problem)


def test_generation_draws_again_when_a_slip_is_too_close(monkeypatch: pytest.MonkeyPatch) -> None:
    first = generate(11, family="rc-low-pass")
    calls = 0

    def once(problem: Problem, known: object = None) -> None:
        nonlocal calls
        calls += 1
        if calls == 1:
            raise IndistinctError("too close")

    monkeypatch.setattr(generator, "certify", once)
    second = generate(11, family="rc-low-pass")
    assert calls == 2
    assert second.ladder != first.ladder
