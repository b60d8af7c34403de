"""Worked steps about places of poles and what follows a step of the source; told where asked."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from ..analysis.response import TWO_PI, Facts
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.poles import angle, pole_pair
from ..questions.steps import overshoot, rise_time, swings, time_constant
from .step import Step, View, seen, step

_PLACES = frozenset(
    (Rung.POLE_RADIUS, Rung.POLE_ANGLE, Rung.POLE_Q, Rung.POLE_PLACE, Rung.WHICH_MAP)
)
_ENDS = frozenset((Rung.STEP_FIRST, Rung.STEP_LAST, Rung.WHICH_STEP, Rung.MAP_STEP))
_RINGING = frozenset((Rung.POLE_RINGING, Rung.STEP_RINGING, Rung.READ_RINGING, Rung.POLE_DECAY))
_OVERSHOOT = frozenset((Rung.OVERSHOOT, Rung.READ_OVERSHOOT, Rung.READ_STEP_Q))
_TIMES = frozenset((Rung.TIME_CONSTANT, Rung.RISE_TIME, Rung.READ_TAU))


def after_step(facts: Facts, asked: Collection[Rung]) -> Iterator[Step]:
    """Where the poles lie, and what a step of 1 V makes of that.

    Args:
        facts: of a circuit with values.
        asked: the kinds of question that were asked.
    """
    kinds = frozenset(asked)
    pair = pole_pair(facts)
    if pair is not None and kinds & _PLACES:
        told = step(
            "pole-place",
            [
                f"σ = ω₀/(2Q) = {write_quantity(pair.decay, 'rad/s')}",
                f"ω_d = √(ω₀² − σ²) = {write_quantity(pair.height, 'rad/s')}",
            ],
            angle=write_quantity(angle(facts) or 0.0, "°"),
            half=write_quantity(1 / (2 * pair.quality), ""),
        )
        yield seen(told, View.MAP)
    if kinds & _ENDS:
        start, end = (write_quantity(gain, "") for gain in (facts.gain_high, facts.gain_low))
        yield step("step-ends", start=start, end=end)
    if pair is not None and kinds & _RINGING:
        hertz, decay = (
            write_quantity(v, u) for v, u in ((pair.height / TWO_PI, "Hz"), (1 / pair.decay, "s"))
        )
        yield step("ringing", hertz=hertz, tau=decay)
    share = overshoot(facts)
    if share is not None and kinds & _OVERSHOOT:
        yield step("overshoot", share=write_quantity(share, ""))
    count = swings(facts)
    if count is not None and Rung.SWINGS in kinds:
        yield step("swings", count=write_quantity(count, ""))
    tau = time_constant(facts)
    if tau is not None and kinds & _TIMES:
        yield step("time-constant", tau=write_quantity(tau, "s"))
    rise = rise_time(facts)
    if rise is not None and Rung.RISE_TIME in kinds:
        factor = write_quantity(math.log(9), "")
        yield step("rise-time", rise=write_quantity(rise, "s"), factor=factor)
