"""Losses and depths as they are typed: decibels, with a sign or without, and never a ratio."""

from __future__ import annotations

import pytest
from rungwise.problems.generate.analyse import generate
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Problem, Question, Rung, Verdict

ENDS = ("Rs", "RL")


def question_of(family: str, rung: Rung) -> tuple[Problem, Question]:
    """The first problem of a family that asks it: a loss of less than 2 dB is not asked."""
    problems = (generate(seed, family=family) for seed in range(20))
    return next((p, q) for p in problems for q in p.questions if q.rung is rung)


@pytest.mark.parametrize(
    ("family", "rung"),
    [
        ("tank-with-coil-loss", Rung.INSERTION_LOSS),
        ("shunt-notch-with-coil-loss", Rung.NOTCH_DEPTH),
    ],
)
def test_decibels_are_read_and_a_ratio_is_a_slip(family: str, rung: Rung) -> None:
    problem, question = question_of(family, rung)
    level = question.figure
    for text in (f"{level:.2f}", f"{level:.2f} dB", f"-{level:.2f} dB", f"−{level:.2f}"):
        assert grade(problem, question, text).verdict is Verdict.RIGHT, text
    for text, slip in (
        (f"{level / 2:.4g} dB", "power-decibels"),
        (f"{10 ** (level / 20):.4g}", "ratio-for-decibels"),
    ):
        mark = grade(problem, question, text)
        assert mark.verdict is Verdict.WRONG
        assert slip in [hit.slip for hit in mark.slips], text
    assert grade(problem, question, "a lot").verdict is Verdict.UNCLEAR


def test_the_one_q_for_the_other_is_named() -> None:
    problem, loaded = question_of("tank-with-coil-loss", Rung.LOADED_Q)
    unloaded = next(q for q in problem.questions if q.rung is Rung.UNLOADED_Q)
    assert unloaded.figure > loaded.figure
    mark = grade(problem, loaded, f"{unloaded.figure:.4g}")
    assert mark.slips[0].slip == "unloaded-for-loaded"
    mark = grade(problem, unloaded, f"{loaded.figure:.4g}")
    assert mark.slips[0].slip == "loaded-for-unloaded"
    coil, capacitor, wire = (
        next(e.name for e in problem.ladder.elements() if e.name[0] == kind and e.name not in ENDS)
        for kind in "LCR"
    )
    formula = grade(problem, unloaded, f"√({coil}/{capacitor})/{wire}")
    assert formula.verdict is Verdict.RIGHT
