"""Where rounds come from: made beside the screen, with the record behind them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from random import SystemRandom
from typing import TYPE_CHECKING

from ...learning.rounds import Round

if TYPE_CHECKING:
    from ...store.keeper import Keeper

RoundMaker = Callable[["Keeper | None", datetime], Round]
"""Makes the next round for the keeper of a record (``None``: nothing is kept) and the time."""


def next_round(keeper: Keeper | None, now: datetime) -> Round:
    """A mixed round."""
    return Round(SystemRandom().getrandbits(60))
