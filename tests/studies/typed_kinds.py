"""What the grader makes of answers by construction: right, wrong, contradicting.

``python -m tests.studies.typed_kinds [COUNT]`` grades so many (20,000) and prints what became of
each kind; exit status 1 where a right answer is marked wrong, or any other is passed.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from dataclasses import dataclass, field

from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Verdict

from tests.support.typed_kinds import NEVER, RIGHT, WRONG, answers, setting

from .slips_simulation import problems


@dataclass
class Found:
    """What became of the answers: (kind, what it has to be) → verdicts, and what went wrong."""

    verdicts: dict[tuple[str, str], Counter[Verdict]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def count(self, truth: str, *verdicts: Verdict) -> int:
        """How many answers of a sort had one of the verdicts; of all, without one."""
        return sum(
            number
            for (_, of), counted in self.verdicts.items()
            for verdict, number in counted.items()
            if of == truth and (not verdicts or verdict in verdicts)
        )


def study(count: int, seed: int = 1) -> Found:
    """Grade ``count`` answers, or a few more, of all families and tasks in turn."""
    chance = random.Random(seed)
    found = Found()
    graded = 0
    for problem, known in problems(sys.maxsize, first=seed):
        for question in problem.questions:
            for typed in answers(problem, known, question, chance):
                mark = grade(problem, question, typed.text, known, setting(question, typed))
                key = typed.kind, typed.truth
                found.verdicts.setdefault(key, Counter())[mark.verdict] += 1
                graded += 1
                told = f"{typed.kind} ({typed.truth}), {question.rung}, {problem.family}: " \
                    f"{typed.text!r} is {mark.verdict}, {mark.understood} {mark.trouble or ''}" \
                    f" (truth {mark.answer})"  # fmt: skip
                if (typed.truth == RIGHT and mark.verdict is Verdict.WRONG) or (
                    typed.truth != RIGHT and mark.passed
                ):
                    found.faults.append(told)
                elif typed.truth == RIGHT and mark.verdict is Verdict.UNCLEAR:
                    found.asked.append(told)
        if graded >= count:
            return found
    raise AssertionError("the problems have no end")


def main() -> int:
    """Grade as many as are asked for, and say what became of them."""
    found = study(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000, *map(int, sys.argv[2:3]))
    for (kind, truth), counted in sorted(found.verdicts.items()):
        told = ", ".join(f"{number} {verdict}" for verdict, number in sorted(counted.items()))
        print(f"{truth:<14}{kind:<32}{told}")
    for line in (*found.faults[:60], *found.asked[:80]):
        print(line)
    right = found.count(RIGHT)
    asked = found.count(RIGHT, Verdict.UNCLEAR)
    wrong = found.count(RIGHT, Verdict.WRONG)
    passed = sum(found.count(t, Verdict.RIGHT, Verdict.ROUGH) for t in (WRONG, NEVER))
    others = found.count(WRONG) + found.count(NEVER)
    print(
        f"{right:,} right answers: {right - asked - wrong:,} accepted, {asked:,} asked about"
        f" ({100 * asked / right:.2f} %), {wrong} marked wrong; {others:,} others: {passed} passed"
    )
    return int(bool(found.faults))


if __name__ == "__main__":
    sys.exit(main())
