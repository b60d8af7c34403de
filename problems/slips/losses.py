"""Slips about losses: Q loaded and unloaded, levels in decibels, and the names of steps.

Common practice, no source; that 10·log is used for ratios of voltages, and the one Q for the other,
every teacher of radio circuits has seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.gain_type import Shape
from ..analysis.losses import LossyArm, lossy_arm, without_filter
from ..questions.model import Rung, Values
from .case import Case, Guess, Topic, instead, many, names_of

TOPIC = Topic("losses")

UNLOADED, LOADED = Rung.UNLOADED_Q, Rung.LOADED_Q
LOSS, DEPTH = Rung.INSERTION_LOSS, Rung.NOTCH_DEPTH


def _loading(case: Case, arm: LossyArm) -> Values:
    """The resonator, and the resistances outside it that damp it too."""
    ends = names_of(e for e in case.resistors if e not in arm.resistors)
    return (("arm", arm.placed.text), ("ends", ends))


@TOPIC.slip("unloaded-for-loaded", LOADED)
def unloaded_for_loaded(case: Case) -> Iterator[Guess]:
    """The Q of the resonator alone, where source and load damp it too."""
    arm = lossy_arm(case.ladder)
    if arm is not None:
        yield Guess(arm.unloaded_q, _loading(case, arm))


@TOPIC.slip("loaded-for-unloaded", UNLOADED)
def loaded_for_unloaded(case: Case) -> Iterator[Guess]:
    """The Q of the poles, source and load included, for that of the resonator alone."""
    arm = lossy_arm(case.ladder)
    if arm is not None:
        yield from many(case.facts.q, values=_loading(case, arm))


@TOPIC.slip("coil-loss-ignored", LOADED)
def coil_loss_ignored(case: Case) -> Iterator[Guess]:
    """The Q that source and load alone would give: 1/QL less 1/QU."""
    arm = lossy_arm(case.ladder)
    if arm is not None and arm.unloaded_q > case.truth:
        values = (("losses", names_of(arm.resistors)),)
        yield Guess(1 / (1 / case.truth - 1 / arm.unloaded_q), values, near=True)


# Resistance over reactance: 1/Q.
TOPIC.answer("loss-upside-down", UNLOADED, LOADED, by=lambda c: 1 / c.truth)
# The square of Q.
TOPIC.answer("loss-root-forgotten", UNLOADED, LOADED, by=lambda c: c.truth**2)
# ζ = 1/2Q.
TOPIC.answer("loss-damping-ratio", UNLOADED, LOADED, by=lambda c: 1 / (2 * c.truth))
# 10·log₁₀ of a ratio of voltages.
TOPIC.answer("power-decibels", LOSS, DEPTH, by=lambda c: c.truth / 2)
# The ratio of the voltages, with no logarithm taken of it; either way up.
TOPIC.answer(
    "ratio-for-decibels", LOSS, DEPTH,
    by=lambda c: (ratio := float(10 ** (c.truth / 20)), 1 / ratio), near=True,
)  # fmt: skip


@TOPIC.slip("loss-from-source", LOSS)
def loss_from_source(case: Case) -> Iterator[Guess]:
    """Counted from the source's voltage, the divider of source and load left in."""
    straight = without_filter(case.facts)
    if straight is not None:
        ends = names_of(e for e in (case.ladder.source, case.ladder.load) if e is not None)
        yield Guess(case.truth - 20 * math.log10(straight), (("ends", ends),), near=True)


@TOPIC.slip("depth-from-source", DEPTH)
def depth_from_source(case: Case) -> Iterator[Guess]:
    """Counted from 0 dB, where the pass band lies lower."""
    lower = min(case.facts.gain_low, case.facts.gain_high)
    if lower < 1:
        yield Guess(case.truth - 20 * math.log10(lower), near=True)


LAG, LEAD = Shape.LAG.value, Shape.LEAD.value
DOWN, UP, BACK = Shape.SHELF_DOWN.value, Shape.SHELF_UP.value, Shape.LAG_LEAD.value

# Up taken for down: the two ends mixed up.
TOPIC.answer(
    "step-direction", Rung.SHELF_NAME,
    by=instead({LAG: (LEAD, UP), LEAD: (LAG, DOWN), DOWN: (UP, LEAD), UP: (DOWN, LAG)}),
)  # fmt: skip
# A step of one pole taken for one of two, or the other way round.
TOPIC.answer("step-order", Rung.SHELF_NAME, by=instead({LAG: DOWN, LEAD: UP, DOWN: LAG, UP: LEAD}))
# A step taken for a dip that comes back, or a dip for a step.
TOPIC.answer(
    "ends-not-compared", Rung.SHELF_NAME,
    by=lambda c: (LAG, LEAD, DOWN, UP) if c.question.truth == BACK else BACK,
)  # fmt: skip
