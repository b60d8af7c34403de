"""What "known at sight" is worth: how often somebody is right later where the record says known.

``python -m tests.studies.calibration [LEARNERS]`` lets so many simulated learners (40) look at ten
rounds, two a day.  Each has an ability of their own for every skill of looks, drawn evenly from
:data:`ABILITIES`: the chance to be right without luck (whoever does not know presses any key).
Nobody learns, so that what is later is what was before.  It prints, for the skills called known
after the last round and for the others, how many there are of each ability, and how often a new
look at them would be right.  None of it shows that people learn.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from random import Random

from rungwise.problems.questions.looks import look_row
from rungwise.tutor.learning.next_look import RoundStep
from rungwise.tutor.learning.recognition import kinds_of_skill, look_skill, look_skills

from tests.tutor.learning.looking import Looker

ABILITIES = (0.0, 0.3, 0.6, 0.8, 0.9, 1.0)
ROUNDS = 10


class Abler:
    """Somebody with an ability for each skill, who learns nothing."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)
        self.ability = {skill: self.chance.choice(ABILITIES) for skill in look_skills()}

    def __call__(self, step: RoundStep) -> tuple[str, float]:
        look = step.look
        if self.chance.random() < self.ability.get(look_skill(look.kind, look.group), 0.0):
            return look.truth, 2.0
        return self.chance.choice(look.answers), 2.0


def shares(learners: int) -> Iterator[tuple[bool, float, float]]:
    """(called known, ability, chance to be right at a new look) of every skill that was met."""
    for seed in range(learners):
        abler = Abler(seed)
        looker = Looker(abler, seed)
        for _ in range(ROUNDS):
            looker.look()
        met = {look_skill(s.look.kind, s.look.group) for s in looker.looks}
        for skill in sorted(met & set(abler.ability)):
            ability = abler.ability[skill]
            kinds = kinds_of_skill(skill)
            luck = sum(1 / len(look_row(kind).answers) for kind in kinds) / len(kinds)
            yield looker.known.known(skill), ability, ability + (1 - ability) * luck


def main() -> None:
    """Let them look, and print what "known" is worth."""
    learners = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    counted: dict[bool, Counter[float]] = {True: Counter(), False: Counter()}
    right: dict[bool, list[float]] = {True: [], False: []}
    for known, ability, later in shares(learners):
        counted[known][ability] += 1
        right[known].append(later)
    for known, name in ((True, "known"), (False, "not known")):
        if right[known]:
            mean = sum(right[known]) / len(right[known])
            by = ", ".join(f"{ability:g}: {counted[known][ability]}" for ability in ABILITIES)
            print(f"{name}: {len(right[known])} skills, right later {mean:.1%}; by ability {by}")


if __name__ == "__main__":
    main()
