"""Rounds of looks with the record behind them: what is known at sight, and a round that follows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from enum import StrEnum
from itertools import pairwise
from random import SystemRandom
from typing import TYPE_CHECKING

from ..learning.carried import carried, seen
from ..learning.looks import ROUND_LENGTH
from ..learning.recognition import Recognition

if TYPE_CHECKING:
    from ...problems.catalogue.groups import SkillGroup
    from ...problems.questions.looks import LookKind
    from ..learning.rounds import Round
    from ..learning.skills import SkillState
    from ..store.keeper import Keeper

LOOKING_SECONDS = 360.0
"""Ten minutes are about six of looks, explanations included, and one circuit in full."""
_AWAY = 60.0
"""Somebody who left a look alone for longer than so many seconds did not look all the time."""


class Worth(StrEnum):
    """What is worth most now."""

    PLACING = "placing"  # the first round of all, which says where to begin
    ROUND = "round"
    CIRCUIT = "circuit"  # one circuit in full


def recognition_of(keeper: Keeper | None, now: datetime) -> Recognition:
    """What is known at sight, by the record; reads it, so not for the loop.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    if keeper is None:
        return Recognition()
    known = Recognition(carried(keeper.states()))
    for kept in keeper.looks():
        known.take(kept.look, kept.when.astimezone(now.tzinfo).date())
    return known


def states_of(
    keeper: Keeper | None, now: datetime, known: Recognition | None = None
) -> dict[str, SkillState]:
    """What is known of each skill of climbs, with what looks and other groups show of it.

    Reads the record, so not for the loop.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
        known: what is known at sight, where that was read already.
    """
    if keeper is None:
        return {}
    return seen(keeper.states(), known or recognition_of(keeper, now), now)


def worth_most_now(keeper: Keeper | None, now: datetime) -> Worth:
    """What somebody who presses Enter begins with; reads the record, so not for the loop.

    About six minutes of looks and one circuit in full take turns; where looks can show nothing
    more today, circuits alone are left.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    if keeper is None:
        return Worth.ROUND
    looks = [kept for kept in keeper.looks() if not kept.look.scaffold]
    latest = keeper.recent(1)
    if not looks and not latest:
        return Worth.PLACING
    since = [one for one in looks if not latest or one.when > latest[0].when]
    gaps = ((b.when - a.when).total_seconds() for a, b in pairwise(since))
    if sum(min(gap, _AWAY) for gap in gaps) >= LOOKING_SECONDS - _AWAY:
        return Worth.CIRCUIT
    known = recognition_of(keeper, now)
    return Worth.ROUND if known.lacks(now.date()) else Worth.CIRCUIT


def next_round(keeper: Keeper | None, now: datetime) -> Round:
    """The round that was left half way today, or a new one.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    return round_left(keeper, now) or begin_round(keeper, now)


def round_left(keeper: Keeper | None, now: datetime) -> Round | None:
    """The round that was left half way today, where it was left; ``None`` if there is none.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    left = keeper.round_left() if keeper is not None else None
    if keeper is None or left is None:
        return None
    if left.looks[-1].when.astimezone(now.tzinfo).date() != now.date():
        return None
    known = recognition_of(keeper, now)
    events = [seen.look for seen in left.looks]
    make = _round_maker()
    return make(
        SystemRandom().getrandbits(60),
        left.start.length,
        listener=keeper.resume_round(left.start),
        uid=left.start.uid,
        events=events,
        known=known,
        today=now.date(),
        placing=known.looks == sum(not event.scaffold for event in events) and not known.carried,
    )


def begin_round(
    keeper: Keeper | None,
    now: datetime,
    *,
    seed: int | None = None,
    length: int = ROUND_LENGTH,
    kinds: Sequence[LookKind] = (),
    group: SkillGroup | None = None,
) -> Round:
    """A round that follows what the record says, and is kept in it look by look.

    Takes as long as reading the record and making one look, so not for the loop.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
        seed: of the round; ``None``: one that nobody knows.
        length: how many looks.
        kinds: what may be asked; empty: all kinds, the type half of the time.
        group: circuits of this group alone; ``None``: all.
    """
    if seed is None:
        seed = SystemRandom().getrandbits(60)
    known = recognition_of(keeper, now)
    usual = not kinds and group is None
    uid, listener = "", None
    if keeper is not None:
        uid, listener = keeper.begin_round(length if usual else 0)
    placing = not known.looks and not known.carried and usual
    make = _round_maker()
    return make(
        seed, length, kinds, group, listener, uid, known=known, today=now.date(), placing=placing
    )


def _round_maker() -> type[Round]:
    """What makes a round; with it come the circuits, which nobody else waits for."""
    from ..learning.rounds import Round

    return Round
