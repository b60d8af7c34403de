"""Right answers in every spelling, with three digits and more: none may be rejected.

``python -m tests.studies.right_answers [COUNT]`` grades so many (10,000) and prints what was
rejected; exit status 1 if anything was.
"""

from __future__ import annotations

import random
import sys

from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Verdict

from tests.support.right_answers import right

from .slips_simulation import problems


def study(least: int, seed: int = 2) -> tuple[int, list[str]]:
    """Grade right answers, two a question, of every family and task in turn.

    Returns:
        How many were graded, ``least`` or a few more, and those that were rejected.
    """
    chance = random.Random(seed)
    tried = 0
    rejected: list[str] = []
    for problem, known in problems(sys.maxsize):
        for question in problem.questions:
            for _ in range(2):
                text = right(problem, known, question, chance)
                found = grade(problem, question, text, known)
                tried += 1
                if found.verdict is not Verdict.RIGHT:
                    rejected.append(f"{problem.family} {question.rung} {text!r}: {found}")
        if tried >= least:
            break
    return tried, rejected


def main() -> int:
    """Grade as many as are asked for, and say what became of them."""
    tried, rejected = study(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
    for line in rejected[:50]:
        print(line)
    print(f"{tried:,} right answers, {len(rejected)} rejected")
    return int(bool(rejected))


if __name__ == "__main__":
    sys.exit(main())
