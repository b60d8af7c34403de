"""What holds of every kind that is read or predicted: its truth, its slips, its wrong answers.

A group of kinds brings its witnesses, which share nothing with what makes the truths; all else is
alike for all.  ``tests.studies.predicted`` takes many problems of each kind, the suite a few.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from rungwise.problems.analysis.response import Facts
from rungwise.problems.catalogue.families import FAMILIES, find
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate import predict
from rungwise.problems.generate.analyse import drawn_circuit
from rungwise.problems.generate.certify import CertificationError, certify
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.grading.predicted import predicted_text
from rungwise.problems.hints.explanation import Strength
from rungwise.problems.hints.why_wrong import explanations
from rungwise.problems.questions.kinds import KINDS, kind
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Verdict, figure_of
from rungwise.problems.slips.engine import Prediction, far, predictions
from rungwise.tutor.language.texts import Words
from rungwise.tutor.phrases.explaining import sentences

ATTEMPTS = 4
SEEDS = 400
"""Seeds of each family after which a kind is given up that was not met often enough."""


@dataclass(frozen=True)
class Asked:
    """One question of a certified problem."""

    problem: Problem
    known: Facts
    question: Question

    def __str__(self) -> str:
        circuit = write_circuit(self.problem.ladder, "; ")
        return f"{self.question.rung}, {self.problem.family}, seed {self.problem.seed}: {circuit}"


Witness = Callable[[Asked], bool]
"""Whether the truth of a question is what something else says it is."""


@dataclass
class Tally:
    """What was found of one kind.

    ``lead`` counts the predictions that are apart from those of likelier slips and were named
    first, of ``apart``; ``explained`` the wrong answers with a fact and a reason, of ``wrong``.
    """

    asked: int = 0
    true: int = 0
    apart: int = 0
    lead: int = 0
    wrong: int = 0
    explained: int = 0
    truths: set[object] = field(default_factory=set)
    slips: set[str] = field(default_factory=set)
    troubles: list[str] = field(default_factory=list)

    @property
    def share(self) -> float:
        """Of slips that can be told apart, those that were named first."""
        return self.lead / self.apart if self.apart else 1.0


def problems(way: str, seeds: Iterable[int]) -> Iterator[tuple[Problem, Facts]]:
    """Certified problems of one way, of every family in turn."""
    for seed in seeds:
        for row in FAMILIES:
            found = _problem(row.name, seed, way)
            if found is None:
                continue
            # What is joined from other ways is theirs to be looked at.
            problem, known = found
            asked = tuple(q for q in problem.questions if way in kind(q.rung).ways)
            yield replace(problem, questions=asked), known


@lru_cache(4096)
def _problem(family: str, seed: int, way: str) -> tuple[Problem, Facts] | None:
    row = find(family)
    for number in range(ATTEMPTS):
        drawn = drawn_circuit(row, seed, number)
        if drawn is None:
            continue
        stream = (seed, "predict", 1, row.name, number)
        problem = predict.made(row, seed, way, *drawn, stream)
        if problem is None:
            return None
        try:
            certify(problem, drawn[1])
        except CertificationError as error:
            if "is marked" in str(error) or "agree" in str(error):
                raise
            continue
        return problem, drawn[1]
    return None


def study(
    way: str, truths: Mapping[Rung, Witness], wanted: int, seeds: int = SEEDS
) -> dict[Rung, Tally]:
    """So many problems of every kind of a way, each held against its witness."""
    kinds = [row.rung for row in KINDS if way in row.ways]
    assert set(kinds) == set(truths)
    found = {rung: Tally() for rung in kinds}
    for problem, known in problems(way, range(seeds)):
        for question in problem.questions:
            tally = found[question.rung]
            if tally.asked < wanted:
                _looked_at(tally, Asked(problem, known, question), truths[question.rung])
        if all(tally.asked >= wanted for tally in found.values()):
            break
    return found


def _looked_at(tally: Tally, asked: Asked, witness: Witness) -> None:
    tally.asked += 1
    tally.truths.add(asked.question.truth)
    if witness(asked):
        tally.true += 1
    else:
        tally.troubles.append(f"{asked}: {asked.question.truth} is not confirmed")
    assert Words.load().prompt(asked.question)
    for level in (1, 2, 3):
        assert Words.load().hint(asked.problem, asked.question, level)
    _slips(tally, asked)
    for text in wrong_answers(asked.question):
        _explained(tally, asked, text)


def _slips(tally: Tally, asked: Asked) -> None:
    """Somebody makes each slip in play: it is named first, unless a likelier one looks the same."""
    question, known = asked.question, asked.known
    before: list[Prediction] = []
    for made in predictions(asked.problem.ladder, known, question):
        if not made.in_play:
            continue
        mark = grade(asked.problem, question, predicted_text(question, made), known)
        alone = all(_apart(question, made, other) for other in before)
        before.append(made)
        if mark.verdict is not Verdict.WRONG:
            tally.troubles.append(f"{asked}: {made.slip} {mark.typed!r} is {mark.verdict}")
            continue
        tally.slips.add(made.slip)
        for hit in mark.slips:
            assert Words.load().slip(hit)
        if alone:
            tally.apart += 1
            first = bool(mark.slips) and mark.slips[0].slip == made.slip
            tally.lead += first
            if not first:
                named = [hit.slip for hit in mark.slips]
                tally.troubles.append(f"{asked}: {made.slip} {mark.typed!r} is taken for {named}")


def _apart(question: Question, one: Prediction, other: Prediction) -> bool:
    """Whether two predictions are not one answer as it is typed."""
    if one.slip == other.slip:
        return True
    if isinstance(one.value, float) and isinstance(other.value, float):
        near = 0.03 * max(abs(one.value), abs(other.value))
        if question.form is Form.LEVEL:
            near = max(near, 0.1)
        return abs(one.value - other.value) > near
    return one.value != other.value


def wrong_answers(question: Question) -> Iterator[str]:
    """Every wrong choice, counts from 0 to 4, slopes to ±80 dB/decade, figures far from right."""
    match question.form:
        case Form.CHOICE:
            yield from (c.id for c in question.choices if c.id != question.truth)
        case Form.COUNT:
            yield from (str(n) for n in range(5) if n != question.truth)
        case Form.SLOPE:
            yield from (str(n) for n in range(-80, 81, 20) if n != question.truth)
        case Form.LEVEL:
            for off in (-13.7, 17.3, -4.6 - question.slack):
                yield f"{question.figure + off:.3g} {question.unit}"
        case Form.FORMULA:
            right = right_text(question)
            yield from (f"2*({right})", f"({right})*w0/(s + w0)", f"({right})*s/w0")
        case _:
            for factor in (1.37, 0.61, 23.0, 0.013):
                if far(question, question.figure * factor):
                    yield f"{question.figure * factor:.4g} {question.unit}".strip()


def _explained(tally: Tally, asked: Asked, text: str) -> None:
    mark = grade(asked.problem, asked.question, text, asked.known)
    if mark.verdict is not Verdict.WRONG:
        tally.troubles.append(f"{asked}: {text!r} is {mark.verdict}")
        return
    tally.wrong += 1
    found = explanations(asked.problem, asked.question, mark)
    strengths = [each.strength for each in found]
    told = [" ".join(sentences(each)) for each in found]
    if strengths[-2:] == [Strength.FACT, Strength.REASON] and all(told) and told[-1] != told[-2]:
        tally.explained += 1
    else:
        tally.troubles.append(f"{asked}: {text!r} is not explained: {told}")


def figure(asked: Asked) -> float:
    """The truth of a question that asks for a number."""
    return figure_of(asked.question.truth)
