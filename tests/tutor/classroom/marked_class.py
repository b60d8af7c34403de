"""A made-up marked class, by a seeded generator: abler students answer more questions right."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from fractions import Fraction

from rungwise.tutor.classroom.marking.marks import (
    ClassMarks,
    HandInState,
    ProblemMark,
    QuestionMark,
    QuestionOutcome,
    Slipped,
    StudentMarks,
)

FAMILIES = (
    "rc-low-pass", "series-rlc-across-c", "shunt-fed-low-pass", "series-fed-notch",
    "buffered-low-pass-pair", "loaded-rc-low-pass", "receiver-tank", "coupling-capacitor",
)  # fmt: skip
RUNGS = ("type", "type-reason", "poles", "high-slope", "corner", "corner-reason")
SLIPS = ("radians-as-hertz", "load-ignored", "root-forgotten", "prefix-lost", "l-over-r")
HOSTILE = (
    "O'Neil, \"Ann\"", "=cmd|x", "../../x", "<b>bold</b>", "王小明", "דוד לוי", "محمد علي",
    "Ann\x1b[31m\u202eOther", "</style><script>alert(1)</script>", "#panic() $x$ \\ @a",
)  # fmt: skip
SENTENCE = "This is the answer for an open output: RL = 1 kΩ & more were left out."


def marked(
    students: int = 20,
    seed: int = 1,
    problems: int = 3,
    title: str = "Filters <i>II</i> & more",
    easy: float = 0.0,
) -> ClassMarks:
    """The marks of a class; one student more has handed in nothing."""
    chance = random.Random(seed)
    found = []
    for place in range(students):
        ability = chance.gauss(easy, 1)
        name = HOSTILE[place] if place < len(HOSTILE) else f"Student {place + 1}"
        each = tuple(_problem(chance, number, ability) for number in range(problems))
        found.append(
            StudentMarks(
                number=place + 1,
                folder=f"{place + 1:02d}-x",
                name=name,
                id=f"s{place}",
                state=HandInState.MARKED,
                problems=each,
            )
        )
    found.append(
        StudentMarks(number=students + 1, folder="99-x", name="Nobody", state=HandInState.MISSING)
    )
    return ClassMarks(title, tuple(found), course="EE 201", date="2026-11-30", made_of="9f3c")


TYPES = ("low-pass", "high-pass", "band-pass", "notch (band-stop)")
OFF = (2 * math.pi, 1 / (2 * math.pi), 1000.0, 1.37, 0.0731)
"""By what figures of the class are off that no slip explains."""


def answered(marks: ClassMarks, seed: int = 1) -> ClassMarks:
    """The same class with answers in words: of types with their letters, of corners in Hz.

    What is wrong has a slip or none, as before; groups and variants go by turns.
    """
    chance = random.Random(seed)
    students = []
    for place, student in enumerate(marks.students):
        problems = tuple(
            replace(p, questions=tuple(_worded(q, chance) for q in p.questions))
            for p in student.problems
        )
        group, variant = ("Mon", "Thu <8>")[place % 2], "AB"[place // 2 % 2]
        students.append(replace(student, problems=problems, group=group, variant=variant))
    return replace(marks, students=tuple(students))


def _worded(question: QuestionMark, chance: random.Random) -> QuestionMark:
    passed = question.verdict.passed
    if question.rung == "type":
        right, wrong = chance.sample(TYPES, 2)
        answer, given = f"{chance.choice('abcd')}) {right}", right if passed else wrong
    elif question.rung == "corner":
        hertz = chance.choice((100.0, 220.0, 4700.0))
        answer, given = f"{hertz:g} Hz", f"{hertz if passed else hertz * chance.choice(OFF):.4g} Hz"
    elif question.rung == "high-slope":
        right, wrong = chance.sample(("−20", "−40", "0", "20"), 2)
        answer, given = f"{right} dB/decade", f"{right if passed else wrong} dB/decade"
    else:
        answer, given = "2", "2" if passed else chance.choice("134")
    silent = question.verdict in (QuestionOutcome.UNCLEAR, QuestionOutcome.BLANK)
    form = {"corner": "quantity", "high-slope": "slope", "poles": "count"}.get(
        question.rung, "choice"
    )
    return replace(question, form=form, answer=answer, understood="" if silent else given)


def _problem(chance: random.Random, number: int, ability: float) -> ProblemMark:
    questions = []
    for place, rung in enumerate(RUNGS):
        hard = 0.3 * number + 0.3 * (rung == "corner") - 0.6
        right = chance.random() < 1 / (1 + math.exp(-1.4 * (ability - hard)))
        luck = chance.random()
        of = Fraction(2) if rung == "corner" else Fraction(1)
        if right:
            outcome = QuestionOutcome.RIGHT if luck < 0.9 else QuestionOutcome.ROUGH
        else:
            outcome = (
                QuestionOutcome.BLANK
                if luck < 0.15
                else QuestionOutcome.UNCLEAR
                if luck < 0.2
                else QuestionOutcome.WRONG
            )
        slips = ()
        if outcome is QuestionOutcome.WRONG and chance.random() < 0.6:
            slips = (Slipped(chance.choice(SLIPS), SENTENCE),)
        points = of if outcome.passed else Fraction(0)
        questions.append(
            QuestionMark(
                f"{number + 1}.{place + 1}", rung, "choice", of, points, outcome, slips=slips
            )
        )
    return ProblemMark(
        number=number + 1,
        family=FAMILIES[number % 8],
        level=1,
        task="analyse",
        questions=tuple(questions),
    )
