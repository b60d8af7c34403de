"""Wrong answers to every question of a climb: choices, counts, slopes, phases, figures, H(s)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue.families import FAMILIES, Family
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Kind, Ladder
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate.analyse import ATTEMPTS, drawn_circuit
from rungwise.problems.generate.reverse import KINDS, made
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.hints.explanation import Explanation, Strength
from rungwise.problems.hints.why_wrong import explanations
from rungwise.problems.questions.analyse import questions_for
from rungwise.problems.questions.model import (
    FORMAT,
    Earlier,
    Form,
    Mark,
    Problem,
    Question,
    Rung,
    Verdict,
)
from rungwise.tutor.phrases.explaining import sentences

FIGURES = (Form.QUANTITY, Form.RATIO, Form.GAIN)


def circuit_of(family: Family, seed: int) -> tuple[Ladder, Facts]:
    """A circuit of a family, and what is true of it."""
    attempts = (drawn_circuit(family, seed, n) for n in range(ATTEMPTS))
    return next(filter(None, attempts))


def problem_of(family: Family, seed: int) -> Problem:
    """A circuit of a family with every question that makes sense of it."""
    ladder, known = circuit_of(family, seed)
    asked = questions_for(known, Chance(seed, family.name))
    return Problem(FORMAT, family.name, family.level, seed, ladder, asked)


def problems(seeds: range) -> Iterator[Problem]:
    """Every family, some seeds each."""
    for family in FAMILIES:
        for seed in seeds:
            yield problem_of(family, seed)


def ways_back(seeds: range) -> Iterator[Problem]:
    """Every family's ways back to the circuit."""
    for family in FAMILIES:
        for way in KINDS:
            for seed in seeds:
                chance = Chance(seed, "way back", family.name, way)
                found = made(family, seed, way, *circuit_of(family, seed), chance)
                if found is not None:
                    yield found


def earlier(problem: Problem, question: Question) -> tuple[Earlier, ...]:
    """The answers before a question, as somebody gives them who was right."""
    place = problem.questions.index(question)
    return tuple(Earlier(q.rung, q.truth) for q in problem.questions[:place])


def wrong_answers(problem: Problem, question: Question) -> Iterator[str]:
    """Texts that a learner might type, most of them wrong; the right one may be among them."""
    match question.form:
        case Form.CHOICE:
            yield from (choice.id for choice in question.choices)
        case Form.COUNT:
            yield from map(str, range(5))
        case Form.SLOPE:
            yield from map(str, range(-80, 81, 20))
            yield from ("6 dB/octave", "-12 dB/octave", "10", "-6")
        case Form.ANGLE:
            yield from map(str, range(-360, 361, 45))
        case Form.LEVEL:
            others = (-60, -40, -20, -6, -3, 0, 3, 6, 20)
            if question.unit == "°":
                others = (-180, -135, -90, -84, -45, -6, 0, 6, 45, 84, 90, 135, 180)
            yield from (f"{level} {question.unit}" for level in others)
            yield f"{-question.figure:.5g} {question.unit}"
        case Form.FORMULA:
            yield from _formulas(problem, question)
        case Form.QUANTITY | Form.RATIO | Form.GAIN:
            for factor in (1.3, 0.7, 0.53, 1.9, 17, 1 / 17, 430, 1 / 4300):
                yield f"{question.figure * factor:.5g} {question.unit}".strip()
            if question.unit == "Hz":
                yield f"{question.figure * 9.7:.5g} rad/s"
            yield from _in_letters(problem, question)
        case _:
            return


def _formulas(problem: Problem, question: Question) -> Iterator[str]:
    """The right H(s) with a zero or a pole too many or too few, or with a term spoilt."""
    right = f"({right_text(question)})"
    parts = {k: [e.name for e in problem.ladder.elements() if e.kind is k] for k in Kind}
    times = [f"s*{r}*{c}" for r in parts[Kind.R][:1] for c in parts[Kind.C][:1]]
    times += [f"s*{x}/{r}" for r in parts[Kind.R][:1] for x in parts[Kind.L][:1]]
    for x in times or ["s*sqrt({}*{})".format(*parts[Kind.L][:1], *parts[Kind.C][:1])]:
        yield f"{right}*{x}"
        yield f"{right}/({x})"
        yield f"{right}*(1+{x})"
        yield f"{right}/(1+{x})"
        yield f"{right}*({x})^2"
        yield f"{right}*(1+({x})^2)"
    yield f"2*{right}"
    yield f"1/{right}"
    yield f"-{right}"
    yield f"{right}/s"
    for name in (e.name for e in problem.ladder.elements()):
        spoilt = right_text(question).replace(name, f"(3*{name})")
        if spoilt.count("3*") == right_text(question).count(name):
            yield spoilt


def _in_letters(problem: Problem, question: Question) -> Iterator[str]:
    names = [e.name for e in problem.ladder.elements()]
    if question.rung in (Rung.CORNER, Rung.Q) and len(names) > 1:
        yield f"{names[0]}*{names[1]}"
        yield f"1/(2*pi*{names[0]}*{names[1]})"


@dataclass(frozen=True)
class Tried:
    """A wrong answer, marked, with what was known before it."""

    problem: Problem
    question: Question
    mark: Mark
    earlier: tuple[Earlier, ...]

    def __str__(self) -> str:
        circuit = write_circuit(self.problem.ladder, "; ")
        return f"{self.problem.family} {self.question.rung} {self.mark.typed!r} ({circuit})"

    def explanations(self) -> tuple[Explanation, ...]:
        """All there is to say of it."""
        return explanations(self.problem, self.question, self.mark, self.earlier)

    def words(self, each: Explanation) -> str:
        """One of them in words."""
        return " ".join(sentences(each))

    def tells_the_answer(self) -> str:
        """What tells the value of a figure, or which way it lies; "" for nothing."""
        if self.question.form not in FIGURES:
            return ""
        answer = right_text(self.question)
        for each in self.explanations():
            if each.strength is Strength.SLIP:
                continue  # slips have tests of their own
            text = self.words(each)
            value = rf"(?<![\w.]){re.escape(answer)}(?![\w.])"
            if len(answer) > 3 and re.search(value, text):
                return f"tells {answer}: {text}"
            if re.search(r"\btoo (large|small|high|low|big)\b", text):
                return f"tells which way: {text}"
        return ""


def tries(problem: Problem) -> Iterator[Tried]:
    """Every wrong answer to the questions of a problem, each once."""
    known = facts(problem.ladder)
    for question in problem.questions:
        seen = set()
        for text in wrong_answers(problem, question):
            mark = grade(problem, question, text, known)
            if mark.verdict is Verdict.WRONG and mark.typed not in seen:
                seen.add(mark.typed)
                yield Tried(problem, question, mark, earlier(problem, question))
