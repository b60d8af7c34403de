"""All slips, in the order of their prior within each rung."""

from __future__ import annotations

from . import counts as slips_counts
from . import gain as slips_gain
from . import one_pole as slips_one_pole
from . import quality as slips_quality
from . import reasons as slips_reasons
from . import reverse as slips_reverse
from . import shapes as slips_shapes
from . import sketches as slips_sketch
from . import transfer as slips_transfer
from . import two_pole as slips_two_pole
from . import type as slips_type
from .case import Slip, Topic

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
