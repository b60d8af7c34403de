"""What looks show of a learner: which filters and rules they know at sight, cold and quickly.

One rule is one skill: the type of each group of circuits, and each other question of looks once
for all circuits.  A skill is *known* when

* 4 of its last 5 cold looks were right and quick, on three structures at least and on two days;
* and luck is no explanation: over such looks the likelihood that somebody knows, against that
  of somebody who does not look, has gone further up than luck drives it (a cumulative sum after
  Page, Biometrika 41 (1954) 100; the chance of a false alarm is at most the number of looks times
  exp(−bound), by Ville's inequality).

The second condition is asked of a skill and, more strictly, of its pool: the skills that are read
off in the same way, since somebody who guesses, guesses them all.  A question with two choices
takes a longer run.

Quick is a matter of one's own pace: the lower quartile of the seconds that one's own right
answers took, for each decision that a question needs.  A slow hand or a screen reader makes all
of them longer, and no difference; so nothing here is an absolute time.  A time of 0 means that
nobody looked at a clock, and counts as quick.

Groups of which there are few circuits (one pole, a loop of R, L and C) are known too where two of
the groups are that directly build upon them.  A skill that is known stays so until fewer than 4
of its last 5 cold looks are right.
"""

from __future__ import annotations

import math
from collections import Counter, deque
from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from datetime import date
from functools import cache

from ...problems.catalogue.groups import LOOKED_AT, SkillGroup
from ...problems.questions.looks import AT_SIGHT, LOOK_KINDS, Facing, LookKind, look_row
from .looks import LookEvent
from .skill_map import AFTER

WINDOW, ENOUGH = 5, 4
"""So many of the last cold looks are weighed, and so many of them have to be right and quick."""
STRUCTURES, DAYS = 3, 2
"""On at least so many structures and days, among the looks remembered."""
REMEMBERED = 12
"""Cold looks of a skill that are remembered."""
_NEXT_TO_NOTHING = 0.1
"""Looks that a skill takes of which today can show nothing more."""
UNREPEATED = 500
"""Within so many looks no structure comes twice, but for those that return after an error."""

STALE = 7
"""Days after which a known skill is looked at again."""
GATHERED = 6
"""So many that have gone stale are worth a round of their own."""
LATEST = 20
"""Cold looks of all kinds that say how fluent somebody is."""

PACE_OF = 60
"""Right looks that one's own pace is told by, the latest."""
PACE_LEAST = 8
"""Fewer tell no pace, and everything is quick."""
SLACK = 3.0
"""So many times one's own pace is still quick."""
OUTLIER = 8.0
"""Longer than so many paces a decision, somebody was called away: counted as this long."""

KNOWS = 0.9
"""How often a look is right with somebody who knows it."""
UNSEEN = 0.05
"""By so much more than one over the choices somebody may be right who does not look at all."""
LUCK, LUCK_TYPE = 10.0, 13.0
"""The bounds for a pool; types are asked most often, and luck has most tries there.

Somebody who guesses gets over the one or the other in less than one of a thousand runs of 500
looks (computed: ``tests/studies/luck_of_looks.py``)."""
LUCK_EACH, LUCK_OF_TWO = 3.0, 3.9
"""The bounds for a single skill, whose pool has got over its own; for two choices."""
ENDS = "ends"
_POOLS: tuple[tuple[LookKind, ...], ...] = (
    (
        LookKind.TYPE, LookKind.LOW_END, LookKind.HIGH_END, LookKind.FED, LookKind.SAME_TYPE,
        LookKind.WHICH_ONE,
    ),
    (LookKind.POLES, LookKind.ORIGIN_ZEROS, LookKind.LOW_SLOPE, LookKind.HIGH_SLOPE),
    (LookKind.WHICH_RESPONSE, LookKind.WHICH_MAP, LookKind.WHICH_CIRCUIT),
    (LookKind.CHANGE_CORNER, LookKind.CHANGE_Q),
    (LookKind.DC_OUTPUT, LookKind.CORNER_PHASE, LookKind.LARGER_OUTPUT),
    (
        LookKind.CHANGE_BANDWIDTH, LookKind.CHANGE_GAIN, LookKind.LOAD_CORNER, LookKind.LOAD_Q,
        LookKind.TAP_CORNER, LookKind.TAP_Q,
    ),
    (
        LookKind.GAIN_OF_Q, LookKind.PHASE_OF_Q, LookKind.STEP_OF_Q, LookKind.STEP_OF_MAP,
        LookKind.STEP_OF_CIRCUIT, LookKind.SAME_TRANSFER,
    ),
)  # fmt: skip
"""Kinds that are read off in the same way; each kind that is not here is a pool of its own."""

_ENDS_OF = {
    "low-pass": "10", "high-pass": "01", "band-pass": "00", "notch": "11", "flat": "11",
}  # fmt: skip
"""Which ends pass (DC, high frequency), by type."""
PAIR_OF_ENDS = 0.5
"""How likely the ends are right of a type that was guessed: two types pass both."""


READY_TYPES, READY_RULES = 6, 9
"""So many of the 8 groups known by type, and of the 13 other skills of recognition, and what
builds upon recognition comes: see :attr:`Recognition.ready`."""

BUILT_UPON = 2
"""So many groups that directly build upon a group show that it is known."""


def look_skill(kind: LookKind, group: SkillGroup) -> str:
    """The skill that a look of a ``kind`` at a circuit of a ``group`` shows."""
    if kind is LookKind.TYPE:
        return f"type/{group.value}"
    return ENDS if kind in (LookKind.LOW_END, LookKind.HIGH_END) else kind.value


def look_parts(skill: str) -> tuple[str, str]:
    """The rule of a skill of looks, and the group of circuits it is of ("" for all).

    Args:
        skill: a skill of looks.
    """
    rule, _, group = skill.partition("/")
    return rule, group


@cache
def look_skills() -> tuple[str, ...]:
    """Every skill of looks, in the order of a first acquaintance."""
    found = [look_skill(row.kind, group) for row in LOOK_KINDS for group in LOOKED_AT]
    return tuple(dict.fromkeys(found))


@cache
def sight_skills() -> tuple[str, ...]:
    """The skills that recognition is made of: those of the first format of looks."""
    found = [look_skill(kind, group) for kind in AT_SIGHT for group in LOOKED_AT]
    return tuple(dict.fromkeys(found))


_BUILT_UPON = {
    look_skill(LookKind.TYPE, group): tuple(
        look_skill(LookKind.TYPE, one) for one in LOOKED_AT if group in AFTER[one]
    )
    for group in AFTER
}
"""The skills of the groups that directly build upon a group."""


@cache
def kinds_of_skill(skill: str) -> tuple[LookKind, ...]:
    """The kinds of look that show a skill.

    Raises:
        ValueError: it is no skill of looks.
    """
    if skill == ENDS:
        return LookKind.LOW_END, LookKind.HIGH_END
    return (LookKind(skill.partition("/")[0]),)


@cache
def _pool(kind: LookKind) -> LookKind:
    """The pool of a kind, by its first member."""
    return next((pool[0] for pool in _POOLS if kind in pool), kind)


@cache
def guess(kind: LookKind) -> float:
    """How likely somebody is right at most who does not look."""
    return 1 / len(look_row(kind).answers) + UNSEEN


@cache
def decisions(kind: LookKind) -> int:
    """About how many things one has to see before one can answer: what time is measured by."""
    row = look_row(kind)
    match row.facing:
        case Facing.CIRCUIT:
            return 1 if len(row.answers) == 2 else 2
        case Facing.PAIR:
            return 4
    return 5


def _gain(right: bool, chance: float) -> float:
    """What a look adds to the logarithm of the odds against luck."""
    return math.log(KNOWS / chance) if right else math.log((1 - KNOWS) / (1 - chance))


def _luck_of(skill: str) -> str:
    """Whose looks count against luck: its own; of two kinds of pairs, those of both."""
    return LookKind.SAME_TYPE.value if skill == LookKind.WHICH_ONE.value else skill


@cache
def _bounds(skill: str) -> tuple[float, float]:
    """How far luck must be out of the question: for the skill, and for its pool."""
    kind = kinds_of_skill(skill)[0]
    if len(look_row(kind).answers) == 2:
        own = LUCK_OF_TWO
    else:
        # Four right in a row get over it; after an error in between it takes one or two more.
        own = max(LUCK_EACH, (ENOUGH - 0.1) * _gain(True, guess(kind)))
    return own, LUCK_TYPE if _pool(kind) is LookKind.TYPE else LUCK


@dataclass(frozen=True, slots=True)
class ColdLook:
    """One cold look of a skill: ``pace`` is its seconds for each decision, 0: not measured."""

    right: bool
    pace: float
    structure: str
    day: date


@dataclass(slots=True)
class LookState:
    """What is known of one skill of looks.

    ``asked`` and ``right`` count all its cold looks, ``cold`` are the latest.  ``known_on`` is
    the day from which it is known, ``None`` while it is not.  ``seconds`` are those of the latest
    right answers.
    """

    skill: str
    asked: int = 0
    right: int = 0
    cold: deque[ColdLook] = field(default_factory=lambda: deque(maxlen=REMEMBERED))
    known_on: date | None = None
    last: date | None = None
    seconds: deque[float] = field(default_factory=lambda: deque(maxlen=REMEMBERED))

    @property
    def missed(self) -> int:
        """How many of the last few looks were wrong."""
        return sum(not look.right for look in list(self.cold)[-WINDOW:])


@dataclass(slots=True)
class Owed:
    """A structure that is to return after an error: how often it did, and looks since then."""

    event: LookEvent
    returns: int = 0
    since: int = 0


class Recognition:
    """What is known of a learner's looks; :meth:`take` carries it on.

    Args:
        carried: skills of looks that a record of the older form says are known: they are until
            looks say otherwise.
    """

    def __init__(self, carried: Iterable[str] = ()) -> None:
        self.carried = frozenset(carried)
        self.states: dict[str, LookState] = {}
        self.looks = 0
        self.luck: dict[LookKind, float] = {}
        self.own: dict[str, float] = {}
        self.structures: deque[str] = deque(maxlen=UNREPEATED)
        self.answers: Counter[tuple[LookKind, str, str]] = Counter()
        self.recent: deque[tuple[LookKind, str, str]] = deque(maxlen=60)
        self.owed: dict[tuple[str, LookKind], Owed] = {}
        self.lately: deque[tuple[LookKind, str, bool]] = deque(maxlen=80)
        self._paces: deque[float] = deque(maxlen=PACE_OF)
        self._latest: deque[bool] = deque(maxlen=LATEST)

    def copy(self) -> Recognition:
        """Another one that stands where this one does."""
        return deepcopy(self)

    # Carried on

    def take(self, event: LookEvent, day: date) -> None:
        """Carry on over one more look.

        Args:
            event: the look, in the order of time.
            day: the learner's own day.
        """
        if event.scaffold:
            return
        self.looks += 1
        self.structures.append(event.structure)
        self._owe(event)
        self.lately.append((event.kind, event.truth, event.cold))
        if not event.cold:
            return
        self._latest.append(event.right)
        self.answers[event.kind, event.truth, event.answered] += 1
        if not event.right and event.answered:
            self.recent.append((event.kind, event.truth, event.answered))
        pace = event.seconds / decisions(event.kind)
        if event.right and pace > 0:
            self._paces.append(pace)
        chance, pool = guess(event.kind), _pool(event.kind)
        gain = _gain(event.right, chance)
        self.luck[pool] = max(0.0, self.luck.get(pool, 0.0) + gain)
        self._show(look_skill(event.kind, event.group), event, event.right, gain, pace, day)
        if event.kind is LookKind.TYPE and event.answered:
            # Whoever names the type has judged both ends.
            same = _ENDS_OF[event.answered] == _ENDS_OF[event.truth]
            self._show(ENDS, event, same, _gain(same, PAIR_OF_ENDS), pace, day)
        for state in self.states.values():  # others may have waited for their pool alone
            if state.known_on is None and _pool(kinds_of_skill(state.skill)[0]) is pool:
                state.known_on = None if self._wanting(state) else day

    def _show(
        self, skill: str, event: LookEvent, right: bool, gain: float, pace: float, day: date
    ) -> None:
        state = self.states.setdefault(skill, LookState(skill))
        state.asked += 1
        state.right += right
        state.cold.append(ColdLook(right, pace, event.structure, day))
        if right and event.seconds > 0:
            state.seconds.append(event.seconds)
        own = _luck_of(skill)
        self.own[own] = max(0.0, self.own.get(own, 0.0) + gain)
        state.last = day
        if state.missed > WINDOW - ENOUGH:
            state.known_on = None

    def _owe(self, event: LookEvent) -> None:
        for owed in self.owed.values():
            owed.since += 1
        key = event.structure, event.kind
        owed_now = self.owed.get(key)
        if not event.right:
            self.owed[key] = Owed(event)
        elif owed_now is not None:
            owed_now.returns += 1
            owed_now.since = 0
            if owed_now.returns >= 2:
                del self.owed[key]

    # What it comes to

    @property
    def pace(self) -> float | None:
        """One's own seconds for a decision: the lower quartile of right answers."""
        if len(self._paces) < PACE_LEAST:
            return None
        return sorted(self._paces)[len(self._paces) // 4]

    def target(self, kind: LookKind) -> float | None:
        """Seconds that are still quick for a kind of look; ``None``: not known yet."""
        pace = self.pace
        return None if pace is None else SLACK * pace * decisions(kind)

    def seconds(self, skill: str) -> float:
        """The median of the latest right answers, outliers capped; 0 where there are none."""
        state = self.states.get(skill)
        if state is None or not state.seconds:
            return 0.0
        pace, most = self.pace, math.inf
        if pace is not None:
            most = OUTLIER * pace * decisions(kinds_of_skill(skill)[0])
        from statistics import median  # ten milliseconds that no first frame waits for

        return median(min(one, most) for one in state.seconds)

    def known(self, skill: str) -> bool:
        """Whether a skill is known at sight."""
        state = self.states.get(skill)
        if state is not None and state.known_on is not None:
            return True
        if state is not None and state.missed > WINDOW - ENOUGH:
            return False
        if skill in self.carried:
            return True
        if state is not None and state.missed:
            return False  # others vouch for what was looked at seldom, not for what was missed
        above = _BUILT_UPON.get(skill, ())
        return sum(self.known(one) for one in above) >= BUILT_UPON

    def known_skills(self) -> tuple[str, ...]:
        """Every skill that is known, in the order of a first acquaintance."""
        return tuple(skill for skill in look_skills() if self.known(skill))

    @property
    def ready(self) -> bool:
        """Whether recognition is known well enough for what builds upon it.

        Most groups by their type, and most of what else is read off a circuit; nobody waits for
        the last of them.
        """
        known = [skill for skill in sight_skills() if self.known(skill)]
        types = sum(look_parts(skill)[0] == LookKind.TYPE.value for skill in known)
        return types >= READY_TYPES and len(known) - types >= READY_RULES

    def stale(self, today: date) -> tuple[str, ...]:
        """The known skills that no cold look has shown for long.

        Args:
            today: the learner's own day.
        """
        return tuple(
            skill
            for skill in self.known_skills()
            if (state := self.states.get(skill)) is not None
            and state.last is not None
            and (today - state.last).days >= STALE
        )

    def lacking(self, skill: str, today: date) -> float:
        """About how many more right looks a skill takes today.

        Two days are needed in any case: the last look is left to another day, and what only
        another day can show counts next to nothing.

        Args:
            skill: a skill of looks.
            today: the learner's own day.
        """
        state = self.states.get(skill) or LookState(skill)
        if self.known(skill):
            return float(state.last is not None and (today - state.last).days >= STALE)
        kind = kinds_of_skill(skill)[0]
        step = _gain(True, guess(kind))
        least, bound = _bounds(skill)
        pool = max(0.0, bound - self.luck.get(_pool(kind), 0.0)) / step
        kin = sum(look_row(kind).weight for kind in self._kin(kind))
        own = max(
            self._short(state), math.ceil((least - self.own.get(_luck_of(skill), 0.0)) / step), 0.0
        )
        days = self._days(state)
        later = max(0, DAYS - len(days | {today}))
        wanting = max(own, math.ceil(pool * look_row(kind).weight / kin), DAYS - len(days)) - later
        return max(_NEXT_TO_NOTHING, wanting)

    def lacks(self, today: date, skills: Iterable[str] | None = None) -> bool:
        """Whether looks can show anything today that is lacking, or has gone stale.

        Args:
            today: the learner's own day.
            skills: of these skills of looks; ``None``: of all that somebody is ready for.
        """
        if skills is None:
            skills = look_skills() if self.ready else sight_skills()
        wanted = [skill for skill in skills if self.lacking(skill, today) > _NEXT_TO_NOTHING]
        return len(wanted) >= GATHERED or not all(map(self.known, wanted))

    @staticmethod
    def _kin(kind: LookKind) -> tuple[LookKind, ...]:
        return next((pool for pool in _POOLS if kind in pool), (kind,))

    def _short(self, state: LookState) -> int:
        """How many right and quick looks are wanting among the last few, and structures."""
        good = [look for look in state.cold if look.right and self._quick(look)]
        last = [look for look in list(state.cold)[-WINDOW:] if look.right and self._quick(look)]
        short = max(0, ENOUGH - len(last))
        return max(short, STRUCTURES - len({look.structure for look in good}))

    def _quick(self, look: ColdLook) -> bool:
        pace = self.pace
        return pace is None or look.pace <= SLACK * pace

    def _wanting(self, state: LookState) -> bool:
        """Whether anything is wanting until a skill is known."""
        own, bound = _bounds(state.skill)
        if self._short(state) > 0 or self.own.get(_luck_of(state.skill), 0.0) < own:
            return True
        if self.luck.get(_pool(kinds_of_skill(state.skill)[0]), 0.0) < bound:
            return True
        return len(self._days(state)) < DAYS

    def _days(self, state: LookState) -> set[date]:
        """The days on which a skill was shown, right and quick."""
        return {look.day for look in state.cold if look.right and self._quick(look)}

    def share(self) -> float:
        """The share right of the latest cold looks, with a grain of doubt; 0 before any."""
        return sum(self._latest) / (len(self._latest) + 1)

    def confused_with(self, truth: str) -> Mapping[str, int]:
        """With which types a type was lately confused, either way, and how often."""
        found: Counter[str] = Counter()
        for kind, asked, answered in self.recent:
            if kind is LookKind.TYPE and truth in (asked, answered):
                found[answered if asked == truth else asked] += 1
        return found

    def confusions(self, kind: LookKind = LookKind.TYPE) -> tuple[tuple[str, str, int], ...]:
        """(asked, answered, how often) of the wrong answers of a kind, the most frequent first."""
        found = [
            (truth, answered, count)
            for (one, truth, answered), count in self.answers.items()
            if one is kind and answered and answered != truth
        ]
        return tuple(sorted(found, key=lambda row: (-row[2], row[0], row[1])))
