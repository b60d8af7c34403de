"""What may be foretold of a change of a circuit: one question, a few choices, one of them right.

What inspection alone decides (types, ends, counts, slopes) is a look at the circuit after the
change; what figures decide is an effect (``questions/effects.py``); and a few figures of the
response that neither has are compared here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from ..analysis.asymptotes import Sweep
from ..analysis.response import Facts, PoleNature
from ..analysis.step import StepResponse
from ..analysis.trends import Trend, way_of
from ..questions.effects import ANOTHER, WAYS, Effect, EffectOn, changed_value, effects
from ..questions.looks import TYPES, Look, LookKind
from .look import look_of


class Foretold(StrEnum):
    """What is foretold."""

    TYPE = "type"
    LOW_END = "low-end"
    HIGH_END = "high-end"
    POLES = "poles"
    ORIGIN_ZEROS = "origin-zeros"
    LOW_SLOPE = "low-slope"
    HIGH_SLOPE = "high-slope"
    CORNER = "corner"
    Q = "q"
    BANDWIDTH = "bandwidth"
    GAIN = "gain"
    NATURE = "nature"  # of a pair of poles: real, double, complex
    OVERSHOOT = "overshoot"  # of the step response
    AT_CORNER = "at-corner"  # the gain at f0
    PEAK = "peak"  # the highest gain
    RATIO = "ratio"  # by which factor a part changes, where f0 changes by a given one


_LOOKS: Mapping[Foretold, LookKind] = MappingProxyType(
    {
        Foretold.TYPE: LookKind.TYPE,
        Foretold.LOW_END: LookKind.LOW_END,
        Foretold.HIGH_END: LookKind.HIGH_END,
        Foretold.POLES: LookKind.POLES,
        Foretold.ORIGIN_ZEROS: LookKind.ORIGIN_ZEROS,
        Foretold.LOW_SLOPE: LookKind.LOW_SLOPE,
        Foretold.HIGH_SLOPE: LookKind.HIGH_SLOPE,
    }
)
_EFFECTS: Mapping[Foretold, EffectOn] = MappingProxyType(
    {
        Foretold.CORNER: EffectOn.CORNER,
        Foretold.Q: EffectOn.Q,
        Foretold.BANDWIDTH: EffectOn.BANDWIDTH,
        Foretold.GAIN: EffectOn.GAIN,
    }
)
NAMED_TYPES = (*TYPES[:4], ANOTHER)
"""The choices of a type that values decide."""
NATURES = tuple(nature.value for nature in PoleNature)
POWERS: Mapping[str, float] = MappingProxyType({"root": 0.5, "equal": 1.0, "square": 2.0})
"""Factors to choose from: powers of the factor by which f0 changes."""
_ALIKE = 1e-9
"""Two figures of floating point that differ by less, relatively, are the same."""


@dataclass(frozen=True)
class PredictedChange:
    """A question about a change, and what is right.

    Args:
        asked: what is foretold.
        choices: the ids of the choices, in the order of the keys.
        truth: the right one.
        before: the facts before the change.
        after: those after it.
        look: the look at the circuit after the change, where inspection decides.
        effect: what the change does, where a figure of the response decides.
        figures: what else is compared, before and after.
    """

    asked: Foretold
    choices: tuple[str, ...]
    truth: str
    before: Facts
    after: Facts
    look: Look | None = None
    effect: Effect | None = None
    figures: tuple[float, float] = (0.0, 0.0)

    @property
    def keys(self) -> tuple[str, ...]:
        """The key of each choice: digits, from 1, or a count as its own key."""
        if self.look is not None:
            return self.look.row.keys
        return tuple(str(n) for n in range(1, len(self.choices) + 1))


def foretell(asked: Foretold, before: Facts, after: Facts) -> PredictedChange:
    """What is right about a change.

    Args:
        asked: what is foretold of it.
        before: the facts before the change.
        after: those after it; all parts have values.

    Raises:
        LookupError: that cannot be asked of this change.
    """
    if asked in _LOOKS:
        look = look_of(after.ladder, _LOOKS[asked])
        if look is not None:
            return PredictedChange(asked, look.answers, look.truth, before, after, look)
        if asked is not Foretold.TYPE:
            raise LookupError(f"{asked} is not certain here")
        kind = after.type.value
        truth = kind if kind in NAMED_TYPES else ANOTHER
        effect = Effect(EffectOn.TYPE, truth)
        return PredictedChange(asked, NAMED_TYPES, truth, before, after, effect=effect)
    if asked in _EFFECTS:
        found = next((e for e in effects(before, after) if e.on is _EFFECTS[asked]), None)
        if found is None:
            raise LookupError(f"there is no {asked} to compare")
        return PredictedChange(asked, WAYS, found.truth, before, after, effect=found)
    if asked is Foretold.NATURE:
        if after.pole_nature is None or before.q is None or after.q is None:
            raise LookupError("there is no pair of poles")
        nature, figures = after.pole_nature.value, (before.q, after.q)
        return PredictedChange(asked, NATURES, nature, before, after, figures=figures)
    if asked is Foretold.RATIO:
        return _ratio(before, after)
    first, second = _MEASURES[asked](before), _MEASURES[asked](after)
    same = math.isclose(first, second, rel_tol=_ALIKE, abs_tol=_ALIKE)
    way = Trend.SAME if same else way_of(first, second)
    return PredictedChange(asked, WAYS, way.value, before, after, figures=(first, second))


def _overshoot(known: Facts) -> float:
    """By which share of its final value the step response goes beyond it; 0 where it does not."""
    response = StepResponse(known.transfer)
    over = response.overshoot
    return 0.0 if over is None else over[1] / response.final - 1


def _at_corner(known: Facts) -> float:
    """|H| at f0, in volts per volt."""
    if known.corner_hz is None:
        raise LookupError("there is no corner")
    gain: float = 10.0 ** (Sweep(known).gain_db(known.corner_hz) / 20)
    return gain


def _peak(known: Facts) -> float:
    """The highest gain, where it lies between the ends."""
    if not known.peak_hz or known.peak_gain is None:
        raise LookupError("there is no peak")
    return known.peak_gain


_MEASURES: Mapping[Foretold, Callable[[Facts], float]] = MappingProxyType(
    {Foretold.OVERSHOOT: _overshoot, Foretold.AT_CORNER: _at_corner, Foretold.PEAK: _peak}
)


def _ratio(before: Facts, after: Facts) -> PredictedChange:
    part = changed_value(before.ladder, after.ladder)
    if not part or before.corner_hz is None or after.corner_hz is None:
        raise LookupError("no part alone tunes it")
    tuned = after.corner_hz / before.corner_hz
    first, second = (known.ladder.part(part).amount for known in (before, after))
    turned = float(first) / float(second)
    found = [name for name, power in POWERS.items() if math.isclose(turned, tuned**power)]
    if len(found) != 1 or math.isclose(tuned, 1.0):
        raise LookupError("no power of the frequencies' ratio")
    figures = (tuned, turned)
    return PredictedChange(Foretold.RATIO, tuple(POWERS), found[0], before, after, figures=figures)
