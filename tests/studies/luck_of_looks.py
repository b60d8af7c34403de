"""Who does not look: how often is a cold look guessed, and does luck ever pass for knowing?

``python -m tests.studies.luck_of_looks [RUNS]`` lets so many learners (200) press keys without a
look at the circuit, ten rounds each:

* ``blind``: any key;
* ``favourite``: of each kind the answer that was right most often so far;
* ``contrary``: never the answer that was right just before (neighbours differ in a contrast);
* ``counting``: of each kind the answer that has not been right for longest.

It prints how often cold looks of each kind were guessed, beside one over the number of choices,
and how many skills were ever known.  What builds upon recognition never comes to any of them by
itself, so the same is done with rounds of those kinds alone.
"""

from __future__ import annotations

import sys
from collections import Counter, deque
from collections.abc import Callable
from random import Random

from rungwise.problems.questions.looks import LOOK_KINDS, PREDICTED, LookKind
from rungwise.tutor.learning.next_look import RoundStep

from tests.tutor.learning.looking import Answerer, Looker

ROUNDS = 10


class Unlooking:
    """Somebody who sees the question and never the circuit, and remembers what was right."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)
        self.right: dict[LookKind, list[str]] = {}

    def __call__(self, step: RoundStep) -> tuple[str, float]:
        look = step.look
        met = self.right.setdefault(look.kind, [])
        said = self.guess(look.answers, met)
        met.append(look.truth)  # it is told after every look
        return said, 1.0

    def guess(self, answers: tuple[str, ...], met: list[str]) -> str:
        """One of the answers; ``met`` were right before, the latest last."""
        return self.chance.choice(answers)


class Favourite(Unlooking):
    """Takes what was right most often."""

    def guess(self, answers: tuple[str, ...], met: list[str]) -> str:
        counts = Counter(met)
        return max(answers, key=lambda answer: (counts[answer], self.chance.random()))


class Contrary(Unlooking):
    """Takes anything but what was right just before."""

    def guess(self, answers: tuple[str, ...], met: list[str]) -> str:
        return self.chance.choice([answer for answer in answers if [answer] != met[-1:]])


class Counting(Unlooking):
    """Takes what was not right for longest."""

    def guess(self, answers: tuple[str, ...], met: list[str]) -> str:
        ago = {answer: place for place, answer in enumerate(met)}
        return min(answers, key=lambda answer: (ago.get(answer, -1), self.chance.random()))


KINDS: dict[str, Callable[[int], Answerer]] = {
    "blind": Unlooking, "favourite": Favourite, "contrary": Contrary, "counting": Counting,
}  # fmt: skip


def run(
    name: str, seed: int, rounds: int = ROUNDS, kinds: tuple[LookKind, ...] = ()
) -> tuple[Counter[LookKind], Counter[LookKind], int]:
    """Cold looks asked and right, by kind, and how many skills were ever known.

    Args:
        name: who guesses.
        seed: of the rounds and of the guesses.
        rounds: how many.
        kinds: what is asked, by name; empty: what the plan asks.
    """
    looker = Looker(KINDS[name](seed), seed, a_day=2, kinds=kinds)
    ever: set[str] = set()
    for _ in range(rounds):
        looker.look()
        ever |= set(looker.known.known_skills())
    cold = [event for event in looker.events if event.cold]
    asked = Counter(event.kind for event in cold)
    right = Counter(event.kind for event in cold if event.right)
    return asked, right, len(ever)


def main() -> None:
    """Let them guess, and print what it comes to."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    for kinds in (), PREDICTED:
        print("what builds upon recognition, by name" if kinds else "as the plan asks")
        for place, name in enumerate(KINDS):
            asked, right, lucky = Counter[LookKind](), Counter[LookKind](), deque[int]()
            for seed in range(place, runs, len(KINDS)):
                a, r, known = run(name, seed, kinds=kinds)
                asked, right = asked + a, right + r
                lucky.append(known)
            looks = sum(asked.values())
            print(f"{name}: {len(lucky)} runs, {looks} cold looks, skills ever known: {sum(lucky)}")
            for row in LOOK_KINDS:
                if asked[row.kind]:
                    share = right[row.kind] / asked[row.kind]
                    print(
                        f"    {row.kind:16} {share:5.1%} of {asked[row.kind]:5} (by chance "
                        f"{1 / len(row.answers):.1%})",
                        flush=True,
                    )


if __name__ == "__main__":
    main()
