"""Learners who make one slip at a time, and learners who are right: what the grader says.

Run ``python -m tests.studies.slips_simulation`` for the table of every slip.
"""

from __future__ import annotations

import math
import random
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import chain

from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue import families
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import typed as of_circuit
from rungwise.problems.grading.grade import grade
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.kinds import KINDS, kinds_of
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Task, Verdict
from rungwise.problems.questions.written import plain_truth
from rungwise.problems.slips.engine import Prediction, distinct, predictions
from rungwise.problems.slips.order import SLIPS

from tests.support.made_once import made_problem

WANTED = 20
"""Random problems asked for every slip."""
_PREDICTED = frozenset(kinds_of(Task.PREDICT))
EVERY_FAMILY = tuple(family.name for family in families.FAMILIES)


@dataclass
class Tally:
    """What became of one slip's answers.

    ``lead`` counts answers for which the slip was named first of all; ``alone`` those that no
    other slip predicts, and ``first`` the times it was named first among them.
    """

    slip: str
    tried: int = 0
    wrong: int = 0
    named: int = 0
    first: int = 0
    lead: int = 0
    alone: int = 0
    failures: list[str] = field(default_factory=list)


_E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)  # IEC 60063


def rare(count: int) -> Iterator[tuple[Problem, Facts]]:
    """Circuits that no family draws: equal buffered sections, loops of C, stars of L."""
    chance = random.Random(11)
    for k in range(count):
        r, x, y, z = (chance.choice(_E12) for _ in range(4))
        text = (
            f"series R1 {r} kΩ; shunt C1 {x} nF; buffer; series R2 {r} kΩ; shunt C2 {x} nF",
            f"series C1 {x} nF; shunt R1 {r} kΩ; buffer; series C2 {x} nF; shunt R2 {r} kΩ",
            f"source Rs {r} kΩ; shunt C1 {x} nF; series C2 {y} nF; shunt C3 {z} nF; load RL 47 Ω",
            f"source Rs {r} Ω; series L1 {x} mH; shunt L2 {y} mH; series L3 {z} mH; load RL 470 Ω",
        )[k % 4]
        problem = of_circuit(read_circuit(text))
        yield problem, facts(problem.ladder)


def problems(
    seeds: int,
    first: int = 0,
    tasks: Collection[Task] = tuple(Task),
    among: Collection[str] = EVERY_FAMILY,
) -> Iterator[tuple[Problem, Facts]]:
    """Certified problems of the families in turn, of their sketches and of the way back to them."""
    for seed in range(first, seeds):
        for family in among:
            for task in tasks:
                problem = made_problem(seed, task, family=family)
                yield problem, facts(problem.ladder)


def typed(question: Question, prediction: Prediction, style: int = 0) -> str:
    """A slip's answer as a learner would type it: with four digits, three, or other units."""
    value = plain_truth(prediction.value)
    if isinstance(value, str):
        return value
    unit = question.unit
    plain = not prediction.typed_unit and not prediction.exact
    if plain and question.form is Form.QUANTITY and style == 2:
        if question.unit != "Hz":
            return f"{value:.5g}"
        return write_quantity(value * math.tau, "rad/s")
    if question.form is Form.LEVEL:
        return write_quantity(value, unit, 5 if style else 4)
    if plain and question.form is Form.GAIN and style == 2:
        return write_quantity(20 * math.log10(value), "dB", 5)
    if plain and isinstance(value, float) and style == 1:
        return write_quantity(value, unit, 3)
    if prediction.typed_unit == "rad/s":
        return write_quantity(value if unit == "rad/s" else value * math.tau, "rad/s")
    if prediction.typed_unit == "Hz" and unit == "rad/s":
        return write_quantity(value / math.tau, "Hz")
    if prediction.typed_unit == "dB":
        return write_quantity(20 * math.log10(value), "dB")
    if prediction.typed_unit == "dB/octave":
        return write_quantity(round(value * math.log10(2)), "dB/octave")
    return str(value) if question.form is Form.COUNT else write_quantity(value, unit)


def simulate(
    seeds: int = 60,
    wide: int | None = None,
    wanted: int = WANTED,
    among: Collection[str] = EVERY_FAMILY,
) -> dict[str, Tally]:
    """Make every slip in ``wanted`` random problems, until each had its share or the seeds run out.

    After ``wide`` seeds, if given, only problems and questions are looked at where a slip can be
    made that has not yet been tried as often as wanted, ``among`` some families: most work is
    done for a few rare ones.

    A slip that another, likelier one cannot be told from in a problem (two mistakes that
    lead to one choice or one count) still has to be named there, but is not expected first.

    Slips of what is read and predicted alone are left to ``tests.support.predicted``, which makes
    problems of each way of predicting, and not of the one that a seed leads to.
    """
    tallies = {slip.id: Tally(slip.id) for slip in SLIPS if not slip.rungs <= _PREDICTED}
    wide = seeds if wide is None else wide
    others = [task for task in Task if task is not Task.PREDICT]
    first = chain(rare(4 * wanted), problems(wide, tasks=others))
    _simulate(first, tallies, frozenset(Rung) - _PREDICTED, wanted)
    rungs = _wanting(tallies, wanted)
    tasks = [
        task for task in others if any(row.task is task and row.rung in rungs for row in KINDS)
    ]
    _simulate(problems(seeds, wide, tasks, among), tallies, rungs, wanted)
    return tallies


def _simulate(
    circuits: Iterable[tuple[Problem, Facts]],
    tallies: dict[str, Tally],
    rungs: frozenset[Rung],
    wanted: int,
) -> None:
    for problem, known in circuits:
        for question in problem.questions:
            if question.rung not in rungs:
                continue
            guesses = [p for p in predictions(problem.ladder, known, question) if p.in_play]
            if not distinct(question, tuple(guesses)):
                continue  # a typed circuit, which nobody certified
            for guess in guesses:
                tally = tallies[guess.slip]
                if tally.tried < wanted or (tally.alone < wanted and _alone(guess, guesses)):
                    _try(tally, problem, question, guess, guesses, known)
        if all(t.tried >= wanted and t.alone >= wanted for t in tallies.values()):
            break


def _wanting(tallies: dict[str, Tally], wanted: int) -> frozenset[Rung]:
    """Where the slips can be made that were not tried as often as wanted."""
    wanting = {name for name, tally in tallies.items() if tally.tried < wanted}
    asked = (rung for slip in SLIPS if slip.id in wanting for rung in slip.rungs)
    return frozenset(asked) - _PREDICTED


def _alone(guess: Prediction, guesses: list[Prediction]) -> bool:
    """Whether no other slip predicts the same answer, to the precision it is told apart by."""
    return not any(o.slip != guess.slip and _alike(o, guess) for o in guesses)


def _alike(a: Prediction, b: Prediction) -> bool:
    if a.typed_unit and b.typed_unit and a.typed_unit != b.typed_unit:
        return False
    if not (isinstance(a.value, float) or isinstance(b.value, float)):
        return a.value == b.value
    return abs(a.value - b.value) <= 0.021 * max(abs(a.value), abs(b.value))


def _try(
    tally: Tally,
    problem: Problem,
    question: Question,
    guess: Prediction,
    guesses: list[Prediction],
    known: Facts,
) -> None:
    text = typed(question, guess, tally.tried % 3)
    mark = grade(problem, question, text, known)
    named = [hit.slip for hit in mark.slips]
    tally.tried += 1
    tally.wrong += mark.verdict is Verdict.WRONG
    tally.named += guess.slip in named
    tally.lead += named[:1] == [guess.slip]
    # Two formulas that look different may be one function: then both are named.
    same_formula = question.form is Form.FORMULA and len(named) > 1
    if _alone(guess, guesses) and not same_formula:
        tally.alone += 1
        tally.first += named[:1] == [guess.slip]
    if mark.verdict is not Verdict.WRONG or guess.slip not in named:
        tally.failures.append(
            f"{problem.family} {problem.seed} {question.rung}: {text!r} for {guess.value!r} "
            f"is {mark.verdict}, named {named}"
        )


def table(tallies: dict[str, Tally]) -> str:
    """One line for each slip."""
    columns = ("tried", "wrong", "named", "lead", "alone", "first")
    total = Tally("all")
    for name in columns:
        setattr(total, name, sum(getattr(t, name) for t in tallies.values()))
    lines = [f"{'slip':28}" + "".join(f"{name:>8}" for name in columns)]
    for t in (*tallies.values(), total):
        lines.append(f"{t.slip:28}" + "".join(f"{getattr(t, name):8}" for name in columns))
    return "\n".join(lines)


if __name__ == "__main__":
    found = simulate()
    print(table(found))
    for one in found.values():
        for failure in one.failures[:3]:
            print(one.slip, "|", failure)
