"""Looks at what a change does: a part doubles, and a figure goes up, down, or stays.

The figure is the corner, Q, the bandwidth, or the gain of the pass band.

Asked only where the answer holds for all positive values (``analysis.trends``), of circuits whose
corner is what everybody means by it: all zeros at the origin, or the one null of a notch that lies
at ω0; and of Q only where an inductor meets a capacitor.

That a larger L or C lowers the corner is soon learnt without looking.  So a resistance is asked of
three times in four, and every other L or C is one that idles: whoever knows the question but not
the circuit is right in 3 of 8 at most.  An L or a C hardly ever moves the gain: it is asked of
now and then only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from ..analysis.arms import working_rails
from ..analysis.response import FilterType
from ..analysis.structural import Structure
from ..analysis.trends import (
    Trend,
    bandwidth_trends,
    corner_trends,
    gain_trends,
    null_at_corner,
    q_trends,
)
from ..catalogue.groups import SkillGroup
from ..chance import Chance
from ..circuits.model import Kind, Ladder
from ..questions.looks import LookKind

CHANGES = (
    LookKind.CHANGE_CORNER, LookKind.CHANGE_Q, LookKind.CHANGE_BANDWIDTH, LookKind.CHANGE_GAIN,
)  # fmt: skip

Asked = tuple[Kind, str]
"""The kind of part that doubles, and the right answer."""

_UP, _DOWN, _SAME = (trend.value for trend in (Trend.UP, Trend.DOWN, Trend.SAME))

_SHARES: Mapping[LookKind, tuple[tuple[Kind, str, int], ...]] = MappingProxyType(
    {
        LookKind.CHANGE_CORNER: (
            (Kind.R, _UP, 12), (Kind.R, _DOWN, 12), (Kind.R, _SAME, 12),
            (Kind.L, _DOWN, 3), (Kind.L, _SAME, 3), (Kind.C, _DOWN, 3), (Kind.C, _SAME, 3),
        ),
        LookKind.CHANGE_Q: (
            (Kind.R, _UP, 4), (Kind.R, _DOWN, 4), (Kind.R, _SAME, 3),
            (Kind.L, _UP, 2), (Kind.L, _DOWN, 2), (Kind.L, _SAME, 2),
            (Kind.C, _UP, 2), (Kind.C, _DOWN, 2), (Kind.C, _SAME, 2),
        ),
        LookKind.CHANGE_BANDWIDTH: (
            (Kind.R, _UP, 12), (Kind.R, _DOWN, 12), (Kind.R, _SAME, 12),
            (Kind.L, _DOWN, 2), (Kind.L, _SAME, 2), (Kind.C, _DOWN, 2), (Kind.C, _SAME, 2),
        ),
        LookKind.CHANGE_GAIN: (
            (Kind.R, _UP, 22), (Kind.R, _DOWN, 22), (Kind.R, _SAME, 20),
            (Kind.L, _SAME, 1), (Kind.C, _SAME, 1),
        ),
    }
)  # fmt: skip

_RESONANT = (SkillGroup.TAPS, SkillGroup.L_SECTIONS, SkillGroup.LC_ARMS)
_DAMPED = (SkillGroup.ONE_POLE, SkillGroup.LOADED, SkillGroup.L_SECTIONS, SkillGroup.CASCADES)
_DIVIDED = (
    SkillGroup.LOADED, SkillGroup.L_SECTIONS, SkillGroup.LC_ARMS, SkillGroup.CASCADES,
)  # fmt: skip
_WIDE = (SkillGroup.TAPS, SkillGroup.LC_ARMS)
_OF_SERIES = ((Kind.R, _DOWN), (Kind.L, _UP), (Kind.C, _DOWN))
"""What Q does in a series R-L-C, which a tap of one loop is."""

GROUPS_CHANGED: Mapping[LookKind, tuple[SkillGroup, ...]] = MappingProxyType(
    {
        LookKind.CHANGE_CORNER: (*_RESONANT, *_DAMPED, SkillGroup.DECOYS),
        LookKind.CHANGE_Q: (*_RESONANT, SkillGroup.DECOYS),
        LookKind.CHANGE_BANDWIDTH: (SkillGroup.TAPS, SkillGroup.LC_ARMS, SkillGroup.DECOYS),
        LookKind.CHANGE_GAIN: (*_RESONANT, *_DAMPED, SkillGroup.DECOYS),
    }
)
"""The groups of which changes are asked."""


def draw_asked(kind: LookKind, chance: Chance) -> Asked:
    """What is to double in a look of ``kind``, and what is then right, as ``chance`` draws."""
    rows = _SHARES[kind]
    drawn = chance.below(sum(share for *_, share in rows))
    for part, answer, share in rows:
        drawn -= share
        if drawn < 0:
            return part, answer
    raise AssertionError("shares add up")


def groups_asked(kind: LookKind, asked: Asked) -> tuple[SkillGroup, ...]:
    """The groups that have circuits of which ``asked`` is right, in a look of ``kind``.

    Where a part idles, decoys alone.
    """
    part, answer = asked
    if kind is LookKind.CHANGE_GAIN:
        return GROUPS_CHANGED[kind] if answer == _SAME else _DIVIDED
    if kind is LookKind.CHANGE_BANDWIDTH:
        if answer == _SAME and part is Kind.R:
            return (SkillGroup.DECOYS,)
        # A loop of R, L and C is as wide as R/L; a tank across resistances as 1/RC.
        series = asked in ((Kind.R, _UP), (Kind.L, _DOWN), (Kind.C, _SAME))
        return (*_WIDE, SkillGroup.DECOYS) if series else (*_WIDE[1:], SkillGroup.DECOYS)
    if answer == _SAME and (part is not Kind.R or kind is LookKind.CHANGE_Q):
        return (SkillGroup.DECOYS,)
    if kind is LookKind.CHANGE_Q:
        own = _RESONANT if asked in _OF_SERIES else _RESONANT[1:]
        return (*own, SkillGroup.DECOYS)
    if part is not Kind.R:
        return (*_DAMPED, *_RESONANT, SkillGroup.DECOYS)
    return (*(_RESONANT if answer == _SAME else _DAMPED), SkillGroup.DECOYS)


def trends(ladder: Ladder, kind: LookKind, known: Structure) -> Iterator[tuple[str, Trend]]:
    """The parts that may be asked of, and which way the figure of ``kind`` goes when they grow.

    ``ladder`` is the circuit, ``known`` what its structure says.
    """
    if not known.certain or not known.pure or known.order not in (1, 2):
        return
    if known.type is FilterType.NOTCH and not null_at_corner(ladder):
        return
    if kind is LookKind.CHANGE_Q and not _meets(ladder, known):
        return
    if kind is LookKind.CHANGE_BANDWIDTH and (known.order != 2 or not known.type.banded):
        return
    for name, trend in TRENDS[kind](ladder).items():
        if trend is not None:
            yield name, trend


def may_change(ladder: Ladder, kind: LookKind, asked: Asked) -> bool:
    """Whether some part of ``ladder`` does what is ``asked`` in a look of ``kind``.

    It does not matter here whether the circuit may be asked about.
    """
    found = TRENDS[kind](ladder).items()
    return any((name[0], trend) == (asked[0].value, asked[1]) for name, trend in found)


TRENDS: Mapping[LookKind, Callable[[Ladder], Mapping[str, Trend | None]]] = MappingProxyType(
    {
        LookKind.CHANGE_CORNER: corner_trends,
        LookKind.CHANGE_Q: q_trends,
        LookKind.CHANGE_BANDWIDTH: bandwidth_trends,
        LookKind.CHANGE_GAIN: gain_trends,
    }
)
"""Which way the figure of a kind goes when each part grows."""


def change_asked(
    ladder: Ladder, kind: LookKind, known: Structure, asked: Asked | None, chance: Chance
) -> tuple[str, str] | None:
    """(the part that doubles, what is right); ``None`` where the circuit has no such part.

    Args:
        ladder: the circuit.
        kind: the kind of look.
        known: what the circuit's structure says.
        asked: what is to double and to be right; ``None`` for anything.
        chance: what draws.
    """
    found = [
        (name, trend.value)
        for name, trend in trends(ladder, kind, known)
        if asked is None or (name[0], trend.value) == (asked[0].value, asked[1])
    ]
    return chance.pick(found) if found else None


def _meets(ladder: Ladder, known: Structure) -> bool:
    """Whether an L and a C make the two poles together: no buffer parts them."""
    if known.order != 2 or any(stage.arm is None for stage in ladder.stages):
        return False
    working = {name[0] for rail in working_rails(ladder) for name in rail.names}
    return {Kind.L.value, Kind.C.value} <= working
