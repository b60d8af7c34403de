"""How sure we are that a learner has a skill, from what the rungs showed.

What a rung showed moves one number, the probability that its skill is mastered, by Bayesian
knowledge tracing (Corbett & Anderson, "Knowledge tracing: modeling the acquisition of
procedural knowledge", User Modeling and User-Adapted Interaction 4 (1994) 253):

    after a right answer   P(L) ← P(L)·(1−S) / (P(L)·(1−S) + (1−P(L))·G)
    after a wrong answer   P(L) ← P(L)·S / (P(L)·S + (1−P(L))·(1−G))
    then, for practice     P(L) ← P(L) + (1−P(L))·T

What counts as what:

* right is right at the first try and without a hint;
* wrong is any wrong try, whatever came later;
* a hint or an answer shown, without a wrong try, shows nothing either way;
* a rung left without a try leaves its skill as it was;
* practice teaches (T) only where the learner did the step, at the first or second try, not by
  a hint, a surrender or as the only choice left: much where a wrong try was put right, little
  where the answer was right at once, and the less the more often the step was missed: some
  learners go on missing a step without coming to know it (Beck & Gong, "Wheel-spinning",
  AIED 2013).

Without T, luck alone would reach mastery with a chance of at most
P(L0)/(1−P(L0)) · (1−0.95)/0.95 for each skill, about 1 in 900 where everybody begins, however
long it is tried (what the answers change the odds by has the mean 1 for somebody who guesses:
Ville's inequality).  T is kept so small, and falls so fast, that neither guessing nor cycling
through the choices gets much further than that.

G is what the row of a kind of question says (``questions.kinds``).

Everything here is pure: a state is a frozen value, and :func:`advance` makes the next one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from functools import cache
from typing import TYPE_CHECKING, Any

from ...problems.questions.kinds import kind
from ...problems.questions.model import Rung
from .course import Outcome
from .skill_map import AFTER, parts_of, skill_of

if TYPE_CHECKING:
    from .evidence import Evidence

MASTERY = 0.95
"""A skill is mastered from this probability on: its reviews are spaced, it is never retired."""

NEARLY = 0.8
"""From this probability on a skill is good enough to build on."""

SUREST = 0.99
"""P(L) goes no further: whoever misses a mastered skill has to show it again."""

FAINTEST = 1e-12
"""Nor does it sink any further: from 0 no right answer would ever lead up again."""

KNOWN_AT_FIRST = 0.02
"""P(L0) where everybody begins: so low that luck has far to go (chosen by simulation; no
source)."""
KNOWN_FURTHER_ON = 0.1
"""P(L0) of a group that others come before: who gets there knows the like of it already (chosen
by simulation; no source)."""
LEARNED_AT_ONCE = 0.01
"""T of an answer that was right at once (chosen by simulation; no source)."""
LEARNED_BY_CORRECTION = 0.08
"""T of a wrong try put right at the second (chosen by simulation; no source)."""
SLIPPED = 0.08
"""S, the chance of a wrong answer in spite of mastery (chosen by simulation; no source)."""

HEALED = 2
"""A slip is over after this many right answers in a row where it had been made."""
RECURRING = 2
"""A slip made so often, and not over, is a target of its own."""


@cache
def known_at_first(skill: str) -> float:
    """P(L0) of a skill, before anything was seen.

    Raises:
        ValueError: it is no skill.
    """
    return KNOWN_FURTHER_ON if AFTER[parts_of(skill)[0]] else KNOWN_AT_FIRST


def needed(state: SkillState | None, skill: str) -> float:
    """About how many more right answers a skill takes to be mastered.

    Args:
        state: what is known of it, if it was asked.
        skill: its name.

    Raises:
        ValueError: it is no skill.
    """
    p = state.p if state else known_at_first(skill)
    if p >= MASTERY:
        return 0.0
    return (_SURE - math.log(p / (1 - p))) / _step(parts_of(skill)[1])


_SURE = math.log(MASTERY / (1 - MASTERY))


@cache
def _step(rung: Rung) -> float:
    """By how much a right answer raises the logarithm of the odds, about."""
    return math.log((1 - SLIPPED) / kind(rung).guess)


class Showing(Enum):
    """What one rung says about its skill."""

    RIGHT = auto()
    WRONG = auto()
    AIDED = auto()  # hinted or shown, without a wrong try: no evidence
    NOTHING = auto()  # it was never the learner's to answer


def showing(evidence: Evidence) -> Showing:
    """What a rung says about its skill."""
    match evidence.outcome:
        case Outcome.CLEAN:
            return Showing.RIGHT
        case Outcome.RIGHT:
            return Showing.WRONG if evidence.tries > 1 else Showing.AIDED
        case Outcome.SHOWN:
            return Showing.WRONG if evidence.tries else Showing.AIDED
        case (
            Outcome.SKIPPED
        ):  # without a try, as whatever a rehearsal leaves open: nothing is shown
            return Showing.WRONG if evidence.tries else Showing.NOTHING
    return Showing.NOTHING


@dataclass(frozen=True, slots=True)
class SlipCount:
    """A slip made on rungs of one skill: how often, and right answers since, up to HEALED."""

    slip: str
    times: int
    since: int

    @property
    def open(self) -> bool:
        """Whether it may still be made."""
        return self.since < HEALED


@dataclass(frozen=True, slots=True)
class SkillState:
    """What is known of one learner's skill.

    ``p`` is the probability of mastery.  ``asked`` counts the rungs left, of which ``right``
    were right and ``wrong`` wrong as defined above, and ``aided`` no evidence.  ``first``
    tells how the skill was met: right (1), not right (0), or not yet (−1).  ``seconds`` is the
    time spent in all.  ``last`` is when it was last asked, in seconds since 1970 UTC.

    ``stability`` and ``gap`` in days, ``difficulty``, and ``reviewed`` in seconds since 1970
    UTC are the scheduler's memory, all 0 until the skill was mastered once.  ``families``
    counts how often each family was climbed with this question.
    """

    skill: str
    p: float = KNOWN_AT_FIRST
    asked: int = 0
    right: int = 0
    wrong: int = 0
    aided: int = 0
    first: int = -1
    seconds: float = 0.0
    last: float = 0.0
    stability: float = 0.0
    difficulty: float = 0.0
    gap: int = 0
    reviewed: float = 0.0
    families: tuple[tuple[str, int], ...] = ()
    slips: tuple[SlipCount, ...] = ()

    @property
    def mastered(self) -> bool:
        """Whether the skill is mastered, so that only spaced reviews are due."""
        return self.p >= MASTERY

    def to_row(self) -> list[Any]:
        """The state as plain values that JSON can write."""
        return [
            self.skill, self.p, self.asked, self.right, self.wrong, self.aided, self.first,
            self.seconds, self.last, self.stability, self.difficulty, self.gap, self.reviewed,
            [list(pair) for pair in self.families],
            [[s.slip, s.times, s.since] for s in self.slips],
        ]  # fmt: skip

    @classmethod
    def from_row(cls, row: Sequence[Any]) -> SkillState:
        """The state that :meth:`to_row` wrote; P(L) as far as it goes, whoever wrote it.

        Raises:
            ValueError: it is no such row.
        """
        try:
            (skill, p, asked, right, wrong, aided, first, seconds, last,
             stability, difficulty, gap, reviewed, climbed, slips) = row  # fmt: skip
            numbers = (p, seconds, last, stability, difficulty, reviewed)
            if not all(0 <= float(number) < math.inf for number in numbers):
                raise ValueError("a number of it is out of range")
            if reviewed and not stability:
                raise ValueError("it was reviewed and has no stability")
            p = max(FAINTEST, min(float(p), SUREST))
            return cls(
                str(skill), p, int(asked), int(right), int(wrong), int(aided), int(first),
                float(seconds), float(last), float(stability), float(difficulty), int(gap),
                float(reviewed),
                tuple((str(name), int(count)) for name, count in climbed),
                tuple(SlipCount(str(s), int(times), int(since)) for s, times, since in slips),
            )  # fmt: skip
        except (TypeError, ValueError, OverflowError) as error:
            raise ValueError(f"not a row of a skill: {error}") from None


def traced(p: float, right: bool, guess: float, learn: float) -> float:
    """P(L) after one answer and, with the chance ``learn``, what practising it taught.

    Args:
        p: P(L) before it.
        right: whether the answer was right.
        guess: G, how likely a right answer is without the skill.
        learn: T, or 0 where nothing was practised.
    """
    if right:
        sure = p * (1 - SLIPPED)
        p = sure / (sure + (1 - p) * guess)
    else:
        unsure = p * SLIPPED
        p = unsure / (unsure + (1 - p) * (1 - guess))
    return max(FAINTEST, min(p + (1 - p) * learn, SUREST))


def _practised(evidence: Evidence, guess: float) -> bool:
    """Whether the learner did the step, rather than had it done or tried what was left."""
    done = evidence.outcome in (Outcome.CLEAN, Outcome.RIGHT) and not evidence.hints
    return done and evidence.tries <= 2 and evidence.tries * guess < 1


def advance(state: SkillState | None, evidence: Evidence) -> SkillState:
    """The state after one more rung of its skill.

    Args:
        state: of ``skill_of(evidence.family, evidence.rung)``; ``None`` before the first rung.
        evidence: what the rung showed, in the order it was shown.
    """
    if state is None:
        skill = skill_of(evidence.family, evidence.rung)
        state = SkillState(skill, known_at_first(skill))
    shown = showing(evidence)
    right, wrong = shown is Showing.RIGHT, shown is Showing.WRONG
    p = state.p
    if right or wrong:
        learn, guess = 0.0, kind(evidence.rung).guessed(evidence.choices)
        if _practised(evidence, guess):
            missed = 1 + state.wrong
            learn = LEARNED_AT_ONCE / missed if right else LEARNED_BY_CORRECTION / missed**2
        p = traced(p, right, guess, learn)
    when = evidence.when.timestamp()
    memory = (state.stability, state.difficulty, state.gap, state.reviewed)
    if shown is not Showing.NOTHING and (p >= MASTERY or state.reviewed):
        from .memory import remembered

        memory = remembered(memory, right, when)
    first = state.first
    if first < 0 and shown is not Showing.NOTHING:
        first = int(right)
    return SkillState(
        state.skill,
        p,
        state.asked + (shown is not Showing.NOTHING),
        state.right + right,
        state.wrong + wrong,
        state.aided + (shown is Showing.AIDED),
        first,
        state.seconds + evidence.seconds,
        max(state.last, when),
        *memory,
        _counted(state.families, evidence.family),
        _slipped(state.slips, evidence.slips, right) if state.slips or evidence.slips else (),
    )


def _counted(counts: tuple[tuple[str, int], ...], name: str) -> tuple[tuple[str, int], ...]:
    for place, (known, count) in enumerate(counts):
        if known == name:
            return (*counts[:place], (name, count + 1), *counts[place + 1 :])
    return (*counts, (name, 1))


def _slipped(
    counts: tuple[SlipCount, ...], made: tuple[str, ...], right: bool
) -> tuple[SlipCount, ...]:
    """The slips after one more rung; those just made come last, where the newest stand."""
    if right:
        return tuple(
            SlipCount(c.slip, c.times, c.since + 1) if c.since < HEALED else c for c in counts
        )
    if not made:
        return counts
    times = {c.slip: c.times for c in counts}
    kept = [c for c in counts if c.slip not in made]
    return (*kept, *(SlipCount(slip, times.get(slip, 0) + 1, 0) for slip in made))
