"""The spaced-review scheduler behind the plan: how long a mastered skill is remembered.

The memory model and its intervals are those of the fsrs library (the free spaced-repetition
scheduler).  Its own words never leave this module.  It is imported when the first skill is
mastered, and it is always told the time, so that nothing here looks at a clock.
"""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fsrs import Card, Scheduler

Memory = tuple[float, float, int, float]
"""Stability in days, difficulty, the gap proposed in days, time of the review (s, UTC)."""

NOTHING: Memory = (0.0, 0.0, 0, 0.0)

REST = 10 * 3600.0
"""Seconds after which a right answer is a review; before that it is the same sitting."""

LONGEST = 365
"""Days between two reviews at most."""


@cache
def scheduler() -> Scheduler:
    """The scheduler: nothing random, no steps within a day."""
    from fsrs import Scheduler

    return Scheduler(
        learning_steps=(), relearning_steps=(), maximum_interval=LONGEST, enable_fuzzing=False
    )


def _card(memory: Memory) -> Card:
    from fsrs import Card, State

    stability, difficulty, _, reviewed = memory
    when = datetime.fromtimestamp(reviewed, UTC)
    if not reviewed:
        return Card(card_id=1, due=when)
    return Card(
        card_id=1,
        state=State.Review,
        stability=stability,
        difficulty=difficulty,
        due=when,
        last_review=when,
    )


def remembered(memory: Memory, right: bool, when: float) -> Memory:
    """The memory after a rung of a skill that is, or once was, mastered.

    Args:
        memory: before it; ``NOTHING`` if the skill has just been mastered.
        right: whether the answer was right, at once and unaided.
        when: seconds since 1970 UTC.
    """
    reviewed = memory[3]
    if reviewed and right and when - reviewed < REST:
        return memory
    from fsrs import Rating

    now = datetime.fromtimestamp(when, UTC)
    card, _ = scheduler().review_card(_card(memory), Rating.Good if right else Rating.Again, now)
    assert card.stability is not None and card.difficulty is not None
    return (card.stability, card.difficulty, (card.due - now).days, when)


def recalled(memory: Memory, when: float) -> float:
    """How likely a skill of this ``memory`` is still known ``when`` (s, UTC), from 0 to 1."""
    if not memory[3]:
        return 0.0
    now = datetime.fromtimestamp(when, UTC)
    return scheduler().get_card_retrievability(_card(memory), now)
