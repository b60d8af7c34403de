"""All slips, in the order of their prior within each rung."""

from __future__ import annotations

from . import slips_one_pole
from .slips_case import Slip

ALL: tuple[Slip, ...] = (*slips_one_pole.TOPIC.slips,)
