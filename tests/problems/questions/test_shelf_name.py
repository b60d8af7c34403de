"""The name of a step in the gain: each circuit has one, told from its ends and its poles."""

from __future__ import annotations

import pytest
from rungwise.problems.analysis.gain_type import Shape
from rungwise.problems.analysis.nodal import Network
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate, typed
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Question, Rung, Verdict

NAMED = {
    "lag-network-with-inductor": Shape.LAG,
    "lead-network": Shape.LEAD,
    "lead-network-with-inductor": Shape.LEAD,
    "lag-lead-network": Shape.LAG_LEAD,
    "shelf-up": Shape.SHELF_UP,
    "shelf-down": Shape.SHELF_DOWN,
}


def asked(text: str) -> Question | None:
    problem = typed(read_circuit(text))
    return next((q for q in problem.questions if q.rung is Rung.SHELF_NAME), None)


def test_every_family_of_steps_is_named() -> None:
    assert set(NAMED) == {row.name for row in FAMILIES if row.group == "lag-lead"}


@pytest.mark.parametrize("name", NAMED)
def test_a_family_has_its_name_and_nodal_analysis_sees_the_step(name: str) -> None:
    for seed in range(8):
        problem = generate(seed, family=name)
        (question,) = (q for q in problem.questions if q.rung is Rung.SHELF_NAME)
        assert question.truth == NAMED[name].value
        network = Network(problem.ladder)
        low, high = abs(network.response(1e-3)), abs(network.response(1e12))
        least = min(abs(network.response(10 ** (k / 10))) for k in range(100))
        match NAMED[name]:
            case Shape.LAG | Shape.SHELF_DOWN:
                assert low > 1.9 * high
            case Shape.LEAD | Shape.SHELF_UP:
                assert high > 1.9 * low
            case _:
                assert low == pytest.approx(high, rel=1e-3)
                assert least < 0.6 * low


def test_the_names_that_a_professor_gives() -> None:
    for text, name in (
        ("series R1 = 10 kΩ || C1 = 10 nF; shunt R2 = 10 kΩ + C2 = 100 nF", "lag-lead"),
        ("series R1 = 10 kΩ; shunt R2 = 2.2 kΩ + C = 100 nF", "lag"),
        ("series R1 = 10 kΩ || C = 10 nF; shunt R2 = 2.2 kΩ", "lead"),
    ):
        question = asked(text)
        assert question is not None and question.truth == name
    assert asked("series R1 = 10 kΩ; shunt R2 = 10 Ω + C = 100 nF") is None  # a low-pass
    assert asked("series R = 1 kΩ; shunt C = 100 nF") is None


def test_every_wrong_name_meets_its_slip() -> None:
    for name in NAMED:
        problem = generate(1, family=name)
        (question,) = (q for q in problem.questions if q.rung is Rung.SHELF_NAME)
        for choice in question.choices:
            mark = grade(problem, question, choice.id)
            if choice.id == question.truth:
                assert mark.verdict is Verdict.RIGHT
            else:
                assert mark.verdict is Verdict.WRONG and mark.slips, (name, choice.id)
