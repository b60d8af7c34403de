"""Figures of a class report as they are written, and the names of what they are about."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ...language.texts import speaker
from ...phrases.skills import skill_parts

say = speaker("report")
DASH = "–"


def points(value: Fraction | float) -> str:
    """Points as they are written: 2, 2.5, 2.33."""
    return f"{float(value):.2f}".rstrip("0").rstrip(".").replace("-", "−")


def percent(share: float | Fraction | None) -> str:
    """A share from 0 to 1 in whole percent, without the sign."""
    return DASH if share is None else f"{float(share) * 100:.0f}"


def signed(value: float | None) -> str:
    """A correlation to two places, with a real minus."""
    if value is None:
        return DASH
    text = f"{value:.2f}".replace("-", "−")
    return "0.00" if text == "−0.00" else text


def skill_name(group: str, rung: str) -> str:
    """The skill ``rung`` of a ``group`` in words; what this version does not know as it is."""
    kind, circuits = skill_parts(f"{group}/{rung}")
    return say("skills.skill", kind=kind, group=circuits) if circuits else kind


def rung_name(rung: str) -> str:
    """A kind of question in words."""
    return skill_parts(f"other/{rung}")[0].removeprefix("other/")


def some(texts: Sequence[str], most: int) -> str:
    """The first of some ``texts``, ``most`` of them, and how many more there are."""
    more = len(texts) - most
    listed = "; ".join(texts[:most])
    return say("head.more", listed=listed, count=more) if more > 0 else listed
