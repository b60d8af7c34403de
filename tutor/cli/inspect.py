"""What ``rungwise inspect`` does: looks, on the full screen or in plain lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...problems.catalogue.groups import SkillGroup
from ...problems.questions.looks import LookKind
from ..language.dates import local_now
from ..learning.looks import ROUND_LENGTH
from ..learning.request import draw_seed
from .console import width
from .tutor import open_tutor, patient_keeper

if TYPE_CHECKING:
    from datetime import datetime

    from ..learning.rounds import Round
    from ..store.keeper import Keeper


def in_lines(
    seed: int | None, count: int | None, kinds: Sequence[LookKind], group: SkillGroup | None
) -> None:
    """A round of looks in plain lines.

    Args:
        seed: of the round; ``None``: drawn.
        count: how many looks; ``None``: those of a round.
        kinds: what may be asked; empty: everything.
        group: circuits of this group alone.
    """
    from ..coach.looking import begin_round, round_left
    from ..plain.inspect import PlainInspection

    keeper = patient_keeper()
    lines = PlainInspection.on_standard_streams(width(), False, keeper)
    now = local_now()
    usual = seed is None and count is None and not kinds and group is None
    going = (round_left(keeper, now) if usual else None) or begin_round(
        keeper,
        now,
        seed=draw_seed() if seed is None else seed,
        length=count or ROUND_LENGTH,
        kinds=kinds,
        group=group,
    )
    with lines.kept():
        lines.run(going)


def on_screen(
    seed: int | None, count: int | None, kinds: Sequence[LookKind], group: SkillGroup | None
) -> None:
    """Rounds of looks on the full screen.

    Args:
        seed: of the first round; ``None``: drawn.
        count: how many looks a round has; ``None``: as many as usual.
        kinds: what may be asked; empty: everything.
        group: circuits of this group alone.
    """
    from ..coach.looking import begin_round, next_round

    first = [seed]

    def make(keeper: Keeper | None, now: datetime) -> Round:
        if seed is None and count is None and not kinds and group is None:
            return next_round(keeper, now)
        given, first[0] = first[0], None  # the rounds after it are drawn
        length = count or ROUND_LENGTH
        return begin_round(keeper, now, seed=given, length=length, kinds=kinds, group=group)

    open_tutor(rounds=make)
