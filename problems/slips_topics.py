"""All slips, in the order of their prior within each rung."""

from __future__ import annotations

from . import (
    slips_counts,
    slips_gain,
    slips_one_pole,
    slips_quality,
    slips_reasons,
    slips_reverse,
    slips_shapes,
    slips_sketch,
    slips_transfer,
    slips_two_pole,
    slips_type,
)
from .slips_case import Slip, Topic

TOPICS: tuple[Topic, ...] = (
    slips_quality.TOPIC,
    slips_two_pole.TOPIC,
    slips_one_pole.TOPIC,
    slips_gain.TOPIC,
    slips_counts.TOPIC,
    slips_shapes.TOPIC,
    slips_type.TOPIC,
    slips_reasons.TOPIC,
    slips_transfer.TOPIC,
    slips_sketch.TOPIC,
    slips_reverse.TOPIC,
)

SLIPS: tuple[Slip, ...] = tuple(slip for topic in TOPICS for slip in topic.slips)
