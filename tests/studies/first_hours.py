"""The first ten minutes, the evening before the exam, and everything, at the program's own pace.

``python -m tests.studies.first_hours`` follows the plan (``plan_run.py``) with learners who know
a share of what they are asked, whatever it is, and learn nothing, and prints what they met.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from random import Random

from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.learning.next_look import RoundStep
from rungwise.tutor.learning.rounds import LookResult

from .plan_run import BEGIN, Follower, never_wrong


@dataclass
class FirstMinutes:
    """What somebody met: when the looks at each type came first, in minutes, and how many."""

    cold: int
    types: dict[str, float]
    past_one_pole: float
    worked: int
    example: bool


def knowing(
    share: float, seed: int, *, days: int | None = None, minutes_a_day: float = 60
) -> Follower:
    """Somebody who knows so large a share of what they are asked, and guesses the rest.

    Args:
        share: from 0 to 1.
        seed: of the plan and of the learner.
        days: to the exam; ``None``: there is none.
        minutes_a_day: how long they practise in a day.
    """
    chance = Random(seed)
    exam = None if days is None else BEGIN.date() + timedelta(days)

    def looks(step: RoundStep) -> str:
        look = step.look
        return look.truth if chance.random() < share else chance.choice(look.answers)

    return Follower(
        looks, lambda problem, question: chance.random() < share, seed, minutes_a_day, exam
    )


def first_minutes(share: float, seed: int, minutes: float = 10) -> FirstMinutes:
    """The first minutes of somebody.

    Args:
        share: of what they are asked that they know.
        seed: of the plan and of the learner.
        minutes: how many.
    """
    found = FirstMinutes(0, {}, 1e9, 0, False)
    someone = knowing(share, seed)

    def told(step: RoundStep, result: LookResult) -> None:
        at = someone.seconds / 60
        if at > minutes:
            return
        found.cold += step.cold
        found.example = found.example or result.example
        if step.look.kind is LookKind.TYPE:
            found.types.setdefault(step.look.truth, at)
        if step.look.group not in (SkillGroup.ONE_POLE, SkillGroup.LOADED):
            found.past_one_pole = min(found.past_one_pole, at)

    someone.told = told
    for _ in someone.follow(minutes):
        pass
    found.worked = someone.worked
    return found


def evening(share: float, seed: int, minutes: float = 60) -> tuple[int, int, int]:
    """Groups, types and structures met in an evening before the exam, with an empty record.

    Args:
        share: of what they are asked that they know.
        seed: of the plan and of the learner.
        minutes: how long it is.
    """
    someone = knowing(share, seed, days=1, minutes_a_day=2 * minutes)
    for _ in someone.follow(minutes):
        pass
    return len(someone.groups), len(someone.types), len(someone.structures)


def hours_to_everything(seed: int, most: float = 8) -> tuple[float, tuple[int, int]]:
    """Hours until somebody never wrong knows everything, and what is left after so many.

    Args:
        seed: of the plan.
        most: hours after which it is given up.
    """
    someone = never_wrong(seed)
    for _ in someone.follow(60 * most):
        if someone.left() == (0, 0):
            break
    return someone.seconds / 3600, someone.left()


def main() -> None:
    """Print what they met."""
    for name, share in (("novice", 0.2), ("half-knowing", 0.6), ("fluent", 0.95)):
        for seed in range(4):
            met = first_minutes(share, seed)
            types = ", ".join(f"{kind} {at:.1f}" for kind, at in met.types.items())
            print(
                f"{name}: cold decisions {met.cold}; first met (minutes): {types}; past one pole "
                f"{met.past_one_pole:.1f}; worked steps {met.worked}; example {met.example}",
                flush=True,
            )
        for seed in range(2):
            print(f"{name}, exam tomorrow: (groups, types, structures) {evening(share, seed)}")
    for seed in range(3):
        hours, left = hours_to_everything(seed)
        print(f"never wrong: {hours:.1f} h, skills left {left}", flush=True)


if __name__ == "__main__":
    main()
