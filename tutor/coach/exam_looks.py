"""The looks of a rehearsal with the record behind them."""

from __future__ import annotations

from datetime import datetime
from random import SystemRandom
from typing import TYPE_CHECKING

from ..learning.exam_round import ExamRound
from .looking import recognition_of

if TYPE_CHECKING:
    from ..store.keeper import Keeper


def begin_looks(keeper: Keeper | None, now: datetime, seed: int | None = None) -> ExamRound:
    """The looks of a rehearsal, kept in the record one by one; reads it, so not for the loop.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
        seed: which looks; ``None``: some that nobody knows.
    """
    if seed is None:
        seed = SystemRandom().getrandbits(60)
    uid, listener = keeper.begin_round() if keeper is not None else ("", None)
    known = recognition_of(keeper, now)
    return ExamRound(seed, listener=listener, uid=uid, known=known, today=now.date())
