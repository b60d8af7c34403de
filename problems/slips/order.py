"""All slips, in the order of their prior within each rung."""

from __future__ import annotations

from . import (
    changed,
    counts,
    energy,
    gain,
    levels_at,
    losses,
    off_curve,
    one_pole,
    outputs,
    poles,
    q_curves,
    quality,
    reasons,
    reverse,
    scaling,
    shapes,
    sketches,
    sources,
    steps,
    transfer,
    tuning,
    two_pole,
    type,  # noqa: A004 - the room's word for it
)
from .case import Slip, Topic

TOPICS: tuple[Topic, ...] = tuple(
    module.TOPIC
    for module in (
        *(quality, two_pole, one_pole, gain, losses, counts, shapes),
        *(type, reasons, transfer, sketches, reverse),
        *(levels_at, outputs),
        *(off_curve, q_curves),
        *(poles, steps),
        *(changed, tuning),
        *(sources, energy),
        scaling,
    )
)

SLIPS: tuple[Slip, ...] = tuple(slip for topic in TOPICS for slip in topic.slips)
