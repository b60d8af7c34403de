"""Rounds of looks with the record behind them: what is known at sight, and a round that follows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from ..learning.carried import carried
from ..learning.recognition import Recognition
from ..learning.rounds import ROUND_LENGTH, Round

if TYPE_CHECKING:
    from ...problems.catalogue.groups import SkillGroup
    from ...problems.questions.looks import LookKind
    from ..store.keeper import Keeper


def recognition_of(keeper: Keeper | None, now: datetime) -> Recognition:
    """What is known at sight, by the record; reads it, so not for the loop.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    if keeper is None:
        return Recognition()
    known = Recognition(carried(keeper.states()))
    for seen in keeper.looks():
        known.take(seen.look, seen.when.astimezone(now.tzinfo).date())
    return known


def begin_round(
    keeper: Keeper | None,
    now: datetime,
    *,
    seed: int | None = None,
    length: int = ROUND_LENGTH,
    kinds: Sequence[LookKind] = (),
    group: SkillGroup | None = None,
    known: Recognition | None = None,
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
        known: what is known at sight, where that was read already.
    """
    if seed is None:
        from random import SystemRandom

        seed = SystemRandom().getrandbits(60)
    if known is None:
        known = recognition_of(keeper, now)
    uid, listener = keeper.begin_round() if keeper is not None else ("", None)
    placing = not known.looks and not known.carried and not kinds and group is None
    return Round(
        seed, length, kinds, group, listener, uid, known=known, today=now.date(), placing=placing
    )
