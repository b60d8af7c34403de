"""Values for a topology: preferred parts about a common impedance level, so that Q is sensible.

The ideas are those of ``draw_values``: a corner and a damping are drawn, then each part is the
nearest that a laboratory keeps.  A resistance in the way of a resonance's current is made small
against the level where the damping is to be weak, one across it large.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..chance import Chance
from ..circuits.model import Arm, Element, Joint, Kind, Ladder, Place, mapped
from .draw_values import fitted

_OMEGA = (70, 150)
"""Places of ω, from about 130 Hz to 280 kHz: every part can be had there."""
_DAMPING = (-4, 16)
"""Places by which a resistance lies off the level, away from the damping it makes."""
_REACTIVE, _RESISTIVE = 8, 7


def with_values(ladder: Ladder, chance: Chance) -> Ladder | None:
    """``ladder`` with preferred values drawn by ``chance``; ``None`` where none kept fits."""
    omega = _between(chance, *_OMEGA)
    damping = _between(chance, *_DAMPING)
    resonant = len({e.kind for e in ladder.reactive()}) == 2
    offsets: dict[Element, int] = {}
    for element, way in _ways(ladder):
        spread = _REACTIVE if element.kind.reactive else _RESISTIVE
        # Without a resonance nothing is damped: corners are to lie apart instead.
        lean = damping * way if resonant else (damping // 2) * (1 - 2 * chance.below(2))
        offset = _between(chance, -spread, spread)
        offsets[element] = offset + (0 if element.kind.reactive and resonant else lean)
    values = fitted(offsets, omega, chance)
    if values is None:
        return None
    return mapped(ladder, lambda e: Element(e.kind, e.name, values[e.name]))


def _between(chance: Chance, least: int, most: int) -> int:
    return least + chance.below(most - least + 1)


def _ways(ladder: Ladder) -> Iterator[tuple[Element, int]]:
    """Each element, and −1 where it lies in the current's way, +1 where it lies across."""
    if ladder.source:
        yield ladder.source, -1
    for stage in ladder.stages:
        if stage.arm:
            yield from _of(stage.arm, -1 if stage.place is Place.SERIES else 1)
    if ladder.load:
        yield ladder.load, 1


def _of(arm: Arm, way: int) -> Iterator[tuple[Element, int]]:
    if isinstance(arm, Element):
        yield arm, way if arm.kind is Kind.R else 0
        return
    for part in arm.parts:
        yield from _of(part, -1 if arm.joint is Joint.SERIES else 1)
