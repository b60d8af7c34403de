"""What the bench says about a circuit in one line."""

from __future__ import annotations

from ...problems.analysis.arms import arm_text
from ...problems.analysis.response import Facts
from ...problems.circuits import rearrange as moves
from ...problems.circuits.model import Ladder
from ..language.texts import fill

_MINUS = str.maketrans("-", "−")


def _count(key: str, number: int) -> str:
    if number < 2:
        return fill("bench", f"said.{key}-{number}")
    return fill("bench", f"said.{key}", [("count", number)])


def said(known: Facts) -> tuple[str, ...]:
    """Type, poles, zeros, slopes, phases and feed, each a phrase of its own."""
    transfer = known.transfer
    zeros = _count("zeros", transfer.zero_count)
    origin = transfer.zeros_at_origin
    if origin == transfer.zero_count > 0:
        zeros = fill("bench", "said.all-origin", [("zeros", zeros)])
    elif origin:
        zeros = fill("bench", "said.origin", [("zeros", zeros), ("count", origin)])
    slopes = [("low", _number(known.slope_low)), ("high", _number(known.slope_high))]
    phases = [("low", _number(known.phase_low)), ("high", _number(known.phase_high))]
    phrases = [
        fill("bench", f"said.type.{known.called}"),
        _count("poles", transfer.order),
        zeros,
        fill("bench", "said.slopes", slopes),
        fill("bench", "said.phases", phases),
    ]
    if known.fed is not None:
        phrases.append(fill("bench", f"said.{known.fed.value}"))
    return tuple(phrases)


def _number(value: int) -> str:
    return (f"+{value}" if value > 0 else str(value)).translate(_MINUS)


def about(ladder: Ladder) -> str:
    """Where the output is taken."""
    arm = moves.output_arm(ladder)
    if arm is None:
        return fill("bench", "about-open")
    return fill("bench", "about", [("arm", arm_text(arm))])
