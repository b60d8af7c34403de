"""A round of looks: which look comes next, what an answer did, and what the round came to.

No screen and no words: the full screen and the plain lines drive the same :class:`Round`, and
whoever keeps a record listens to its :class:`LookEvent`.  The listener is told before ``answer``
returns, so that nothing is painted that is not kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from statistics import median

from ...problems.catalogue.groups import SkillGroup
from ...problems.generate.look import make_look
from ...problems.hints.counterfact import CounterFact, counterfact
from ...problems.questions.looks import Look, LookKind

ROUND_LENGTH = 24
LOOK_HINTS = 3


@dataclass(frozen=True, slots=True)
class LookEvent:
    """One look that was answered (or shown), as the record keeps it.

    ``cold``: nothing about it had been marked or hinted before.  ``scaffold``: one of the two ends
    asked after an error; it is no cold look.  ``hints`` is the highest level shown.  ``seconds``
    from painting to key, as far as somebody looked at a clock.  ``answered`` is "" for a look whose
    answer was shown.  ``number`` counts the looks of the round from 0.
    """

    round: str
    number: int
    kind: LookKind
    seed: int
    group: SkillGroup
    structure: str
    circuit: str
    truth: str
    answered: str
    cold: bool
    scaffold: bool = False
    hints: int = 0
    seconds: float = 0.0

    @property
    def right(self) -> bool:
        """Whether it was answered right."""
        return self.answered == self.truth


LookListener = Callable[[LookEvent], None]


@dataclass(frozen=True, slots=True)
class RoundStep:
    """What a round shows next.

    Args:
        look: the circuit and question.
        cold: whether it counts: nothing of this circuit has been marked.
        contrast: whether it stands in a contrast with the look before it.
        again: whether its structure comes back after an error.
    """

    look: Look
    cold: bool = True
    contrast: bool = False
    again: bool = False


@dataclass(frozen=True, slots=True)
class LookResult:
    """What an answer did.

    ``explained`` is set after a wrong answer; ``slow`` says that a right one took longer than the
    learner's own target time, so that one sentence says why it is right.
    """

    step: RoundStep
    answered: str
    right: bool
    explained: CounterFact | None = None
    slow: bool = False


@dataclass(frozen=True, slots=True)
class RoundPage:
    """What a round came to.

    ``confusions`` are (asked, answered, how often), of the type looks that were wrong, the most
    frequent first; ``pairs`` are up to two pairs of circuits to look at.
    """

    asked: int
    right: int
    seconds: float
    confusions: tuple[tuple[str, str, int], ...] = ()
    pairs: tuple[tuple[Look, Look], ...] = ()


@dataclass
class Round:
    """One round.

    Args:
        seed: of the round; with the same answers the same looks follow.
        length: how many looks.
        kinds: what may be asked; empty: all kinds, the type half of the time.
        group: circuits of this group alone; ``None``: all.
        listener: told every look that is left.
        uid: names the round in the record.
    """

    seed: int
    length: int = ROUND_LENGTH
    kinds: Sequence[LookKind] = ()
    group: SkillGroup | None = None
    listener: LookListener | None = None
    uid: str = ""
    events: list[LookEvent] = field(default_factory=list)
    hints: int = 0

    def __post_init__(self) -> None:
        self._step: RoundStep | None = self._make()

    @property
    def step(self) -> RoundStep | None:
        """What is asked now; ``None`` when the round is over."""
        return self._step

    @property
    def number(self) -> int:
        """How many looks (scaffolds not counted) have been left."""
        return sum(not event.scaffold for event in self.events)

    @property
    def done(self) -> bool:
        """Whether every look has been left."""
        return self._step is None

    def hint(self) -> int:
        """Go one hint level up (3 is the last); the look is no longer cold."""
        self.hints = min(self.hints + 1, LOOK_HINTS)
        return self.hints

    def answer(self, choice: str, seconds: float = 0.0) -> LookResult:
        """Mark an answer; the listener has heard of it before this returns.

        Args:
            choice: the id of a choice of the look.
            seconds: from painting to key.

        Raises:
            IndexError: the round is over.
        """
        return self._leave(choice, seconds)

    def show(self, seconds: float = 0.0) -> LookResult:
        """Give the look up; it may now be shown with its reason."""
        return self._leave("", seconds)

    def next(self) -> RoundStep | None:
        """Go on to the next look, after an answer was told."""
        self._step = None if self.number >= self.length else self._make()
        return self._step

    def page(self) -> RoundPage:
        """What the round came to."""
        looks = [event for event in self.events if not event.scaffold]
        right = [event for event in looks if event.right]
        times = [event.seconds for event in right]
        return RoundPage(len(looks), len(right), median(times) if times else 0.0)

    def _leave(self, choice: str, seconds: float) -> LookResult:
        step = self._step
        if step is None:
            raise IndexError("the round is over")
        look = step.look
        event = LookEvent(
            self.uid, self.number, look.kind, look.seed, look.group, look.structure, "",
            look.truth, choice, step.cold and not self.hints, False, self.hints, seconds,
        )  # fmt: skip
        if self.listener is not None:
            self.listener(event)
        self.events.append(event)
        self.hints = 0
        right = event.right
        explained = counterfact(look, choice) if choice and not right else None
        return LookResult(step, choice, right, explained)

    def _make(self) -> RoundStep:
        kinds: Iterable[LookKind] = self.kinds or (LookKind.TYPE,)
        kind = list(kinds)[self.number % len(list(kinds))]
        avoid = {event.structure for event in self.events}
        seed = (self.seed * 1_000_003 + len(self.events)) % 2**63
        return RoundStep(make_look(seed, kind, group=self.group, avoid=avoid))
