"""Slips about what a change does.

That a change further on cannot matter, and that more resistance means more of everything, is
documented in Coppens, Van den Bossche & De Cock, Am. J. Phys. 85 (2017) 937 (from memory); the
others are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..circuits.model import Kind
from ..questions.changed import (
    DOUBLE,
    F0,
    FACTORS,
    HALF,
    SWAP,
    TAP,
    TIMES,
    UNLOAD,
    AskedChange,
    Q,
    figure_asked,
    told,
    trend,
)
from ..questions.model import Rung
from .case import Case, Topic, instead

TOPIC = Topic("changed", as_asked=True)

WAYS = (Rung.CHANGED_F0, Rung.CHANGED_Q, Rung.CHANGED_BAND, Rung.CHANGED_GAIN)
CHOSEN = (*WAYS, Rung.CHANGE_FACTOR)
_OPPOSITE = {
    "up": "down",
    "down": "up",
    "halved": "doubled",
    "doubled": "halved",
    "by-root-half": "by-root-two",
    "by-root-two": "by-root-half",
}
_UNROOTED = {"by-root-two": "doubled", "by-root-half": "halved"}
_ROOTED = {without: with_ for with_, without in _UNROOTED.items()}
_SAME = ("same", "kept")


def _asked(case: Case) -> AskedChange:
    return told(case.ladder, case.question.values)


def _figure(case: Case) -> str:
    return figure_asked(case.question.values)[0]


def _turned(case: Case, kind: Kind | None = None) -> bool:
    """Whether the change is one of a part's value, and the part of a kind."""
    change = _asked(case)
    return change.how in TIMES and kind in (None, case.ladder.part(change.parts[0]).kind)


# What is behind, the load, is thought not to act on what is before it.
TOPIC.answer("comes-too-late", *CHOSEN, by=lambda c: _SAME if _asked(c).how == UNLOAD else ())


def _moved_by_resistance(case: Case) -> tuple[str, ...]:
    asked = _turned(case, Kind.R) and _figure(case) == F0 and case.question.truth in _SAME
    return ("up", "down", *(id_ for id_ in FACTORS if id_ not in _SAME)) if asked else ()


# A resistance is put into f0, where it has no say.
TOPIC.answer(
    "resistance-moves-resonance", Rung.CHANGED_F0, Rung.CHANGE_FACTOR, by=_moved_by_resistance
)


def _opposite(case: Case) -> str | None:
    return _OPPOSITE.get(str(case.question.truth))


# Series taken for parallel, or back: what a resistance does to Q upside down.
TOPIC.answer(
    "damping-other-way", Rung.CHANGED_Q, Rung.CHANGE_FACTOR,
    by=lambda c: _opposite(c) if _turned(c, Kind.R) and _figure(c) == Q else None,
)  # fmt: skip


def _as_q(case: Case) -> str | None:
    factor = _asked(case).figures().get(Q)
    return trend(factor) if factor is not None and factor != 1 else None


# The band thought to widen as Q rises.
TOPIC.answer("band-goes-with-q", Rung.CHANGED_BAND, by=_as_q)

_PROPORTION = {DOUBLE: ("up", "doubled"), HALF: ("down", "halved")}
# Twice the part, twice the figure.
TOPIC.answer("all-in-proportion", *CHOSEN, by=lambda c: _PROPORTION.get(_asked(c).how))
# A change that does something is thought to leave the figure as it is.
TOPIC.answer("change-has-no-say", *CHOSEN, by=lambda c: _SAME if _asked(c).how != UNLOAD else ())


def _by(case: Case, table: Mapping[str, str]) -> str | None:
    return table.get(str(case.question.truth)) if _turned(case) else None


# The root forgotten: 2 for √2.
TOPIC.answer("no-root-in-factor", Rung.CHANGE_FACTOR, by=lambda c: _by(c, _UNROOTED))
# A root where there is none: √2 for 2.
TOPIC.answer("root-imagined", Rung.CHANGE_FACTOR, by=lambda c: _by(c, _ROOTED))


def _upside_down(case: Case) -> str | None:
    rises = case.question.truth in ("up", "doubled", "by-root-two")
    return _opposite(case) if _turned(case) and rises is (_asked(case).how == DOUBLE) else None


# Below the fraction line for above it; the other way round all is in proportion.
TOPIC.answer("change-upside-down", *CHOSEN, by=_upside_down)
# The same parts, so the same filter.
TOPIC.answer(
    "keeps-its-type", Rung.CHANGED_TYPE,
    by=lambda c: c.facts.type.value if _asked(c).how in (TAP, SWAP) else None,
)  # fmt: skip
# Low-pass for high-pass, or back.
TOPIC.answer(
    "new-ends-exchanged", Rung.CHANGED_TYPE,
    by=instead({"low-pass": "high-pass", "high-pass": "low-pass"}),
)  # fmt: skip

# ------------------------------------------------------------------- factors that are typed

# Before over after.
TOPIC.answer("factor-inverted", Rung.CHANGE_RATIO, by=lambda c: 1 / c.truth, near=True)
# The root of the formula forgotten.
TOPIC.answer(
    "factor-squared", Rung.CHANGE_RATIO,
    by=lambda c: c.truth**2 if _figure(c) in (F0, Q) and c.order == 2 else None, near=True,
)  # fmt: skip
# The figure multiplied or divided by what the part is, all others forgotten.
TOPIC.answer(
    "factor-of-the-part", Rung.CHANGE_RATIO,
    by=lambda c: (2.0, 0.5) if _turned(c) else (), near=True,
)  # fmt: skip
# The change is thought not to matter.
TOPIC.answer("factor-of-one", Rung.CHANGE_RATIO, by=lambda c: 1.0, near=True)
