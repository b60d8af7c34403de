"""What is worth doing now: all that the opening shows of a record, and no screen behind it."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from ...coach import looking
from ...coach.looking import Worth
from ...coach.outlook import board_now
from ...coach.overview import Overview

if TYPE_CHECKING:
    from ...store.keeper import Keeper


def worth_doing(keeper: Keeper | None, now: datetime) -> tuple[Overview, str]:
    """What the opening shows, and the rung that Enter begins with; reads the record.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
    """
    worth = looking.worth_most_now(keeper, now)
    return board_now(keeper, now), "due" if worth is Worth.CIRCUIT else "inspect"
