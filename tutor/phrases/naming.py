"""What a circuit is called, and why: by what its gain does, with the levels that decide it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...problems.analysis.gain_type import CLEAR_DB, Shape
from ...problems.analysis.response import EndState, Response
from ...problems.quantities.write import write_quantity
from ..language.texts import speaker

_say = speaker("solve")


def by_levels(response: Response) -> Iterator[str]:
    """What decides the name where opens and shorts alone do not: levels, with their values."""
    if response.shape is not None:
        yield _shape(response, response.shape)
    elif response.floor_db is not None:
        yield _say(f"why.{response.type.value}-level", floor=_decibels(response.floor_db))
    elif response.depth_db is not None and math.isfinite(response.depth_db):
        frequency = write_quantity(response.depth_hz or 0.0, "Hz")
        yield _say("why.notch-finite", depth=_decibels(response.depth_db), frequency=frequency)


def beyond(response: Response) -> Iterator[str]:
    """The traps, and the limit of the rule that is near."""
    for trap in response.traps:
        frequency = write_quantity(trap.hz, "Hz")
        if math.isinf(trap.depth_db):
            yield _say("trap.null", frequency=frequency)
        else:
            yield _say("trap.finite", frequency=frequency, depth=_decibels(trap.depth_db))
    near = next((n for n in response.nearness if n.decides), None)
    if near is not None and near.distance_db < CLEAR_DB:
        found, limit = _decibels(near.found_db), _decibels(near.limit_db)
        yield _say(
            "near.borderline", what=_say(f"near.{near.limit.value}", found=found, limit=limit)
        )


def _shape(response: Response, shape: Shape) -> str:
    low, high = response.judgement.low_down_db, response.judgement.high_down_db
    rise, dip = response.excursion.rise or (0.0, 0.0), response.excursion.dip or (0.0, 0.0)
    key = f"shape.{shape.value}"
    if shape is Shape.PEDESTAL:
        key += "-low" if response.high_end is EndState.BLOCKED else "-high"
    return _say(
        key,
        low=_decibels(low),
        high=_decibels(high),
        step=_decibels(abs(high - low)) if math.isfinite(high - low) else "",
        rise=_decibels(rise[0]),
        top=write_quantity(rise[1], "Hz"),
        dip=_decibels(dip[0]),
        bottom=write_quantity(dip[1], "Hz"),
    )


def _decibels(level: float) -> str:
    if math.isinf(level):
        return _say("cells.boundless")
    return write_quantity(0 if level < 0.05 else round(level, 1), "dB", 4)
