"""What decides a name where opens and shorts alone do not: levels, as keys of words with values."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TypeAlias

from ..analysis.gain_type import EndState, Limit, Shape
from ..analysis.limits import CLEAR_DB
from ..analysis.response import Response
from ..quantities.write import write_quantity

Words: TypeAlias = tuple[str, Mapping[str, str]]
"""The key of a sentence, and what fills it."""

BOUNDLESS = "∞ dB"


def named_by_levels(response: Response) -> Words | None:
    """What names a response; ``None`` where exact zeros at the ends, or a null, do."""
    if response.shape is not None:
        return _shape(response, response.shape)
    if response.floor_db is not None:
        return f"{response.type.value}-level", {"floor": decibels(response.floor_db)}
    if response.depth_db is not None and math.isfinite(response.depth_db):
        frequency = write_quantity(response.depth_hz or 0.0, "Hz")
        return "notch-finite", {"depth": decibels(response.depth_db), "frequency": frequency}
    return None


def traps(response: Response) -> Iterator[Words]:
    """The pairs of zeros on or near the jω axis beyond the pass band."""
    for trap in response.traps:
        frequency = write_quantity(trap.hz, "Hz")
        if math.isinf(trap.depth_db):
            yield "trap-null", {"frequency": frequency}
        else:
            yield "trap-finite", {"frequency": frequency, "depth": decibels(trap.depth_db)}


def too_near(response: Response, *, decides: bool = True) -> Words | None:
    """The nearest limit of the rule that is less than 3 dB away.

    Args:
        response: the response.
        decides: whether only limits count beyond which the type would be another.
    """
    for near in response.nearness:
        if near.distance_db < CLEAR_DB and (near.decides or not decides):
            levels = {"found": decibels(near.found_db), "limit": decibels(near.limit_db)}
            return _NEAR[near.limit], levels
    return None


_NEAR = {limit: f"near-{limit.value}" for limit in Limit}


def _shape(response: Response, shape: Shape) -> Words:
    low, high = response.judgement.low_down_db, response.judgement.high_down_db
    rise, dip = response.excursion.rise or (0.0, 0.0), response.excursion.dip or (0.0, 0.0)
    if shape is Shape.PEDESTAL:
        if response.high_end is EndState.BLOCKED:
            return "pedestal-low", {"level": decibels(low)}
        return "pedestal-high", {"level": decibels(high)}
    return shape.value, {
        "step": decibels(abs(high - low)),
        "rise": decibels(rise[0]),
        "top": write_quantity(rise[1], "Hz"),
        "dip": decibels(dip[0]),
        "bottom": write_quantity(dip[1], "Hz"),
    }


def decibels(level: float) -> str:
    """A ``level`` in dB to a tenth."""
    if math.isinf(level):
        return BOUNDLESS
    return write_quantity(0 if level < 0.05 else round(level, 1), "dB", 4)
