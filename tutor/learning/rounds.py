"""A round of looks: which look comes next, what an answer did, and what the round came to.

No screen and no words: the full screen and the plain lines drive the same :class:`Round`, and
whoever keeps a record listens to its :class:`LookEvent`.  The listener is told before ``answer``
returns, so that nothing is painted that is not kept.

Half of the looks ask for the type.  What they ask, of which circuits and in which order follows
from what this learner lacks (``next_look.py``); what is not right comes back:

* the two ends of the same circuit are asked at once, as a scaffold after the error;
* its structure returns after two to four looks, and once more after about ten.

Neither is cold: something about the circuit has been marked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import median

from ...problems.catalogue.groups import SkillGroup
from ...problems.catalogue.topologies import structure
from ...problems.chance import Chance
from ...problems.circuits.text import read_circuit
from ...problems.circuits.write import write_circuit
from ...problems.generate.look import look_of
from ...problems.hints.counterfact import counterfact
from ...problems.hints.counterfact_ends import CounterFact
from ...problems.questions.looks import Facing, Look, LookKind, look_row
from .looks import ROUND_LENGTH, LookEvent, LookListener
from .next_look import NextLook, RoundStep
from .placing import is_example
from .recognition import Owed, Recognition

LOOK_HINTS = 3
PAIRS = 2
"""Pairs of circuits to look at on the page of a round."""

_AGAIN = (range(2, 5), range(8, 13))
"""After how many looks the structure of an error returns, the first and the second time."""


@dataclass(frozen=True, slots=True)
class LookResult:
    """What an answer did.

    ``explained`` is set after a wrong answer; ``slow`` says that a right one took longer than the
    learner's own target time, so that one sentence says why it is right.  ``example`` says that
    one short worked example is to follow: somebody is new to this.
    """

    step: RoundStep
    answered: str
    right: bool
    explained: CounterFact | None = None
    slow: bool = False
    example: bool = False


@dataclass(frozen=True, slots=True)
class RoundPage:
    """What a round came to.

    ``seconds`` is the median of right answers, 0 where nobody looked at a clock.  ``confusions``
    are (asked, answered, how often), of the type looks that were wrong, the most frequent first;
    ``pairs`` are up to two pairs of circuits to look at: what was asked, and the nearest circuit
    that is what was answered.
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
        seed: of the round; with the same answers and the same ``known`` the same looks follow.
        length: how many looks.
        kinds: what may be asked; empty: all kinds, the type half of the time.
        group: circuits of this group alone; ``None``: all.
        listener: told every look that is left.
        uid: names the round in the record.
        events: the looks that were left before, of a round that goes on; ``known`` has them.
        known: what is known of the learner's looks; ``None``: nothing.  It is left as it is.
        today: the learner's own day.
        placing: whether it is the first round, which says where to begin.
        silent: whether nothing is told of an answer before the round is over.
    """

    seed: int
    length: int = ROUND_LENGTH
    kinds: Sequence[LookKind] = ()
    group: SkillGroup | None = None
    listener: LookListener | None = None
    uid: str = ""
    events: list[LookEvent] = field(default_factory=list)
    hints: int = 0
    known: Recognition | None = None
    today: date = date.min
    placing: bool = False
    silent: bool = False

    def __post_init__(self) -> None:
        self.recognition = self.known.copy() if self.known is not None else Recognition()
        self._scaffold: list[RoundStep] = []
        self._waits: dict[tuple[str, LookKind, int], int] = {}
        self._looks: dict[tuple[str, LookKind], Look] = {}
        self._missed: list[tuple[Look, CounterFact]] = []
        self._chooser = NextLook(self.kinds, self.group, self.today, placing=self.placing)
        self._before: RoundStep | None = None
        self._step: RoundStep | None = None
        for event in self.events:
            self._again_left(event)
        self._step = self.next()

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
            ValueError: it is no choice of the look.
        """
        if self._step is not None and choice not in self._step.look.answers:
            raise ValueError(f"{choice!r} is no choice of {self._step.look.kind}")
        return self._leave(choice, seconds)

    def show(self, seconds: float = 0.0) -> LookResult:
        """Give the look up; it may now be shown with its reason."""
        return self._leave("", seconds)

    def next(self) -> RoundStep | None:
        """Go on to the next look, after an answer was told."""
        if self._scaffold:
            self._step = self._scaffold.pop(0)
        else:
            self._step = None if self.number >= self.length else self._make()
        return self._step

    def page(self) -> RoundPage:
        """What the round came to."""
        looks = [event for event in self.events if not event.scaffold]
        right = [event for event in looks if event.right]
        times = [event.seconds for event in right if event.seconds > 0]
        wrong = [e for e in looks if e.kind is LookKind.TYPE and e.answered and not e.right]
        counts: dict[tuple[str, str], int] = {}
        for event in wrong:
            counts[event.truth, event.answered] = counts.get((event.truth, event.answered), 0) + 1
        confusions = sorted(
            ((asked, told, count) for (asked, told), count in counts.items()),
            key=lambda row: (-row[2], row[0], row[1]),
        )
        return RoundPage(
            len(looks),
            len(right),
            median(times) if times else 0.0,
            tuple(confusions),
            tuple(self._pairs()),
        )

    def _pairs(self) -> list[tuple[Look, Look]]:
        """The circuits misjudged last, each beside the nearest that is what was answered."""
        found: list[tuple[Look, Look]] = []
        seen: set[str] = set()
        for look, explained in reversed(self._missed):
            if explained.lookalike is None or look.structure in seen:
                continue
            beside = look_of(explained.lookalike, LookKind.TYPE, look.seed)
            if beside is not None:
                seen.add(look.structure)
                found.append((look, beside))
            if len(found) == PAIRS:
                break
        return found

    def _leave(self, choice: str, seconds: float) -> LookResult:
        step = self._step
        if step is None:
            raise IndexError("the round is over")
        look = step.look
        event = LookEvent(
            self.uid,
            self.number,
            look.kind,
            look.seed,
            look.group,
            look.structure,
            write_circuit(look.ladder),
            look.truth,
            choice,
            step.cold and not self.hints,
            step.scaffold,
            self.hints,
            seconds,
        )
        if self.listener is not None:
            self.listener(event)
        target = self.recognition.target(look.kind)
        self.events.append(event)
        self.recognition.take(event, self.today)
        self.hints = 0
        right = event.right
        explained = counterfact(look, choice) if choice and not right else None
        example = False
        if not step.scaffold:
            self._before = step
            self._after(step, event, explained)
            example = self.placing and is_example(self.events)
        slow = right and target is not None and seconds > target
        return LookResult(step, choice, right, explained, slow, example)

    def _again_left(self, event: LookEvent) -> None:
        """What follows from a look that was left before the round went on."""
        if event.scaffold:
            self._scaffold = self._scaffold[1:]
            return
        self._scaffold = []
        if look_row(event.kind).facing is not Facing.CIRCUIT:
            return  # what else stood on the screen is not kept
        look = look_of(read_circuit(event.circuit), event.kind, event.seed)
        if look is not None and look.truth == event.truth:
            self._before = RoundStep(look, cold=event.cold, again=event.again)
            wrong = event.answered and not event.right
            self._after(self._before, event, counterfact(look, event.answered) if wrong else None)

    def _after(self, step: RoundStep, event: LookEvent, explained: CounterFact | None) -> None:
        """What is not right comes back."""
        if event.right:
            return
        look = step.look
        self._looks[look.structure, look.kind] = look
        if (
            explained is not None
            and explained.lookalike is not None
            and not look.row.facing.plotted
        ):
            # It stood there with its answer, and would not be cold.
            self.recognition.structures.append(structure(explained.lookalike))
        if explained is not None and look.kind is LookKind.TYPE:
            self._missed.append((look, explained))
        if not look.row.ends:
            return  # no single circuit was misjudged, or not at its ends
        for kind in (LookKind.LOW_END, LookKind.HIGH_END):
            scaffold = look_of(look.ladder, kind, look.seed) if kind is not look.kind else None
            if scaffold is not None:
                self._scaffold.append(RoundStep(scaffold, cold=False, scaffold=True))

    def _make(self) -> RoundStep:
        chance = Chance(self.seed, "round", len(self.events))
        back = self._returning(chance)
        if back is not None:
            return back
        return self._chooser.make(self.recognition, self._before, self.number, chance)

    # What returns

    def _returning(self, chance: Chance) -> RoundStep | None:
        """A structure that is to return now, if there is one; two of them never follow."""
        if self._before is not None and self._before.again:
            return None
        for key, owed in self.recognition.owed.items():
            if owed.returns >= len(_AGAIN) or not self._may_return(owed):
                continue
            waits = self._waits.setdefault((*key, owed.returns), chance.pick(_AGAIN[owed.returns]))
            if owed.since + 1 < waits:
                continue
            found = self._again(owed)
            if found is not None:
                return RoundStep(found, cold=False, again=True)
        return None

    def _may_return(self, owed: Owed) -> bool:
        """Whether it is of what this round asks."""
        event = owed.event
        return (not self.kinds or event.kind in self.kinds) and self.group in (None, event.group)

    def _again(self, owed: Owed) -> Look | None:
        """The look of an error once more."""
        event = owed.event
        look = self._looks.get((event.structure, event.kind))
        if look is None and look_row(event.kind).facing is Facing.CIRCUIT:
            # Of an earlier round: what else stood on the screen is not kept.
            look = look_of(read_circuit(event.circuit), event.kind, event.seed)
        return look
