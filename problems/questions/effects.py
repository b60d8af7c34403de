"""What a change of a circuit does to f0, Q, the bandwidth, the pass-band gain and the type.

Each is compared exactly, before and after: ω0² and Q² as fractions, the bandwidth of two poles as
ω0/Q = a1/a2, the gain of the pass band as a fraction.  A figure is asked for only where it exists
before and after; the type wherever it is not certain to stay.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from ..analysis.letters import formulas
from ..analysis.response import Facts
from ..analysis.structural import structural_facts
from ..analysis.trends import Trend, way_of
from ..circuits.altered import with_value
from ..circuits.model import CircuitError, Ladder
from .analyse import pass_band_gain
from .looks import TYPES

_NAME = re.compile(r"[A-Za-z]\w*")
ANOTHER = "other"
"""The type that has no choice of its own."""


class EffectOn(StrEnum):
    """What a change may move."""

    TYPE = "type"
    CORNER = "corner"
    Q = "q"
    BANDWIDTH = "bandwidth"
    GAIN = "gain"


WAYS = tuple(trend.value for trend in (Trend.UP, Trend.DOWN, Trend.SAME))
"""What a figure may do, in the order of the keys."""


@dataclass(frozen=True)
class Effect:
    """What a change does to one figure.

    Args:
        on: the figure.
        truth: "up", "down" or "same"; of the type, what it is afterwards (or "other").
        before: the figure before, in Hz, as a ratio, or a gain in volts per volt.
        after: the same after.
        formulas: before and after as texts in the circuit's letters; ``None`` where there is none.
        part: the part whose value alone changes; "" for any other change.
        holds: whether ``part`` is in the formula.
    """

    on: EffectOn
    truth: str
    before: float = 0.0
    after: float = 0.0
    formulas: tuple[str | None, str | None] = (None, None)
    part: str = ""
    holds: bool = True

    @property
    def choices(self) -> tuple[str, ...]:
        """What can be answered, in the order of the keys."""
        return (*TYPES, ANOTHER) if self.on is EffectOn.TYPE else WAYS


def changed_value(before: Ladder, after: Ladder) -> str:
    """The name of the one part whose value is all that differs; "" for any other change.

    Args:
        before: a circuit.
        after: what it is changed to.
    """
    mine, other = list(before.elements()), list(after.elements())
    if [e.name for e in mine] != [e.name for e in other]:
        return ""
    found = [b for a, b in zip(mine, other, strict=True) if a != b]
    if len(found) != 1 or found[0].value is None:
        return ""
    name, value = found[0].name, found[0].value
    return name if with_value(before, name, value) == after else ""


def effects(before: Facts, after: Facts) -> tuple[Effect, ...]:
    """What a change does, the type first, then f0, Q, bandwidth and gain.

    Args:
        before: the facts of the circuit before the change.
        after: those after it.
    """
    return tuple(_effects(before, after, changed_value(before.ladder, after.ladder)))


def _effects(before: Facts, after: Facts, part: str) -> Iterator[Effect]:
    if not part or before.type is not after.type or not structural_facts(before.ladder).certain:
        kind = after.type.value
        yield Effect(EffectOn.TYPE, kind if kind in TYPES else ANOTHER, part=part)
    texts = _formulas(before.ladder), _formulas(after.ladder)
    for on, (exact, shown) in _FIGURES.items():
        first, second = exact(before), exact(after)
        if first is None or second is None:
            continue
        truth = way_of(first, second)
        both = texts[0].get(on), texts[1].get(on)
        holds = not part or both[0] is None or part in _NAME.findall(both[0])
        yield Effect(on, truth.value, shown(before), shown(after), both, part, holds)


def exact_bandwidth(known: Facts) -> Fraction | None:
    """ω0/Q in rad/s of a band-pass or notch of two poles, exact; else ``None``.

    Only where the −3 dB edges are those of the two poles: nothing lossy at the ends.
    """
    if not known.type.banded or known.q_squared is None:
        return None
    ideal = known.type is known.type_exact and known.gain_low == known.gain_high
    return known.transfer.denominator[1] if ideal else None


_FIGURES: dict[EffectOn, tuple[Callable[[Facts], Fraction | None], Callable[[Facts], float]]] = {
    EffectOn.CORNER: (lambda f: f.corner_squared, lambda f: f.corner_hz or 0.0),
    EffectOn.Q: (lambda f: f.q_squared, lambda f: f.q or 0.0),
    EffectOn.BANDWIDTH: (exact_bandwidth, lambda f: f.bandwidth_hz or 0.0),
    EffectOn.GAIN: (pass_band_gain, lambda f: float(pass_band_gain(f) or 0)),
}


def _formulas(ladder: Ladder) -> dict[EffectOn, str | None]:
    try:
        found = formulas(ladder)
    except CircuitError:  # too large for a formula
        return {}
    return {
        EffectOn.CORNER: found.corner_hz,
        EffectOn.Q: found.q,
        EffectOn.BANDWIDTH: found.bandwidth_hz,
        EffectOn.GAIN: found.gain,
    }
