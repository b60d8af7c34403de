"""Slips about what a change does.

That a change further on cannot matter, and that more resistance means more of everything, is
documented in Coppens, Van den Bossche & De Cock, Am. J. Phys. 85 (2017) 937 (from memory); the
others are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.response import FilterType
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
    element_of,
    figure_asked,
    told,
    trend,
)
from ..questions.model import Rung
from .case import Case, Guess, Topic

TOPIC = Topic("changed")

WAYS = (Rung.CHANGED_F0, Rung.CHANGED_Q, Rung.CHANGED_BAND, Rung.CHANGED_GAIN)
CHOSEN = (*WAYS, Rung.CHANGE_FACTOR)
_OPPOSITE = {"up": "down", "down": "up"}
_INVERSE = {
    "halved": "doubled",
    "doubled": "halved",
    "by-root-half": "by-root-two",
    "by-root-two": "by-root-half",
}
_ROOT = {"by-root-two": "doubled", "by-root-half": "halved"}
_SAME = ("same", "kept")


def _asked(case: Case) -> AskedChange:
    return told(case.ladder, case.question.values)


def _figure(case: Case) -> str:
    return figure_asked(case.question.values)[0]


def _guess(case: Case, *ids: str) -> Iterator[Guess]:
    for id_ in ids:
        yield Guess(id_, case.question.values)


def _turned(case: Case, kind: Kind | None = None) -> bool:
    """Whether the change is one of a part's value, and the part of a kind."""
    change = _asked(case)
    if change.how not in TIMES:
        return False
    return kind is None or element_of(case.ladder, change.parts[0]).kind is kind


@TOPIC.slip("comes-too-late", *CHOSEN)
def comes_too_late(case: Case) -> Iterator[Guess]:
    """What is behind, the load, is thought not to act on what is before it."""
    if _asked(case).how == UNLOAD:
        yield from _guess(case, *_SAME)


@TOPIC.slip("resistance-moves-resonance", Rung.CHANGED_F0, Rung.CHANGE_FACTOR)
def resistance_moves_resonance(case: Case) -> Iterator[Guess]:
    """A resistance is put into f0, where it has no say."""
    asked = _turned(case, Kind.R) and _figure(case) == F0
    if asked and case.question.truth in _SAME:
        yield from _guess(case, "up", "down", *(id_ for id_ in FACTORS if id_ not in _SAME))


@TOPIC.slip("damping-other-way", Rung.CHANGED_Q, Rung.CHANGE_FACTOR)
def damping_other_way(case: Case) -> Iterator[Guess]:
    """Series taken for parallel, or back: what a resistance does to Q upside down."""
    if _turned(case, Kind.R) and _figure(case) == Q:
        yield from _guess(case, *_other_way(str(case.question.truth)))


def _other_way(truth: str) -> Iterator[str]:
    for table in _OPPOSITE, _INVERSE:
        if truth in table:
            yield table[truth]


@TOPIC.slip("band-goes-with-q", Rung.CHANGED_BAND)
def band_goes_with_q(case: Case) -> Iterator[Guess]:
    """The band thought to widen as Q rises."""
    factor = _asked(case).figures().get(Q)
    if factor is not None and factor != 1:
        yield from _guess(case, trend(factor))


@TOPIC.slip("all-in-proportion", *CHOSEN)
def all_in_proportion(case: Case) -> Iterator[Guess]:
    """Twice the part, twice the figure."""
    how = _asked(case).how
    if how == DOUBLE:
        yield from _guess(case, "up", "doubled")
    elif how == HALF:
        yield from _guess(case, "down", "halved")


@TOPIC.slip("change-has-no-say", *CHOSEN)
def change_has_no_say(case: Case) -> Iterator[Guess]:
    """A change that does something is thought to leave the figure as it is."""
    if _asked(case).how != UNLOAD:
        yield from _guess(case, *_SAME)


@TOPIC.slip("no-root-in-factor", Rung.CHANGE_FACTOR)
def no_root_in_factor(case: Case) -> Iterator[Guess]:
    """The root forgotten: 2 for √2."""
    if _turned(case) and case.question.truth in _ROOT:
        yield from _guess(case, _ROOT[str(case.question.truth)])


@TOPIC.slip("root-imagined", Rung.CHANGE_FACTOR)
def root_imagined(case: Case) -> Iterator[Guess]:
    """A root where there is none: √2 for 2."""
    wrong = {without: with_ for with_, without in _ROOT.items()}
    if _turned(case) and case.question.truth in wrong:
        yield from _guess(case, wrong[str(case.question.truth)])


@TOPIC.slip("change-upside-down", *CHOSEN)
def change_upside_down(case: Case) -> Iterator[Guess]:
    """Below the fraction line for above it; the other way round all is in proportion."""
    truth = str(case.question.truth)
    rises = truth in ("up", "doubled", "by-root-two")
    if _turned(case) and rises is (_asked(case).how == DOUBLE):
        yield from _guess(case, *_other_way(truth))


@TOPIC.slip("keeps-its-type", Rung.CHANGED_TYPE)
def keeps_its_type(case: Case) -> Iterator[Guess]:
    """The same parts, so the same filter."""
    if _asked(case).how in (TAP, SWAP):
        yield from _guess(case, case.facts.type.value)


_SWAPPED = {FilterType.LOW_PASS: FilterType.HIGH_PASS, FilterType.HIGH_PASS: FilterType.LOW_PASS}


@TOPIC.slip("new-ends-exchanged", Rung.CHANGED_TYPE)
def new_ends_exchanged(case: Case) -> Iterator[Guess]:
    """Low-pass for high-pass, or back."""
    after = _asked(case).after.type
    if after in _SWAPPED:
        yield from _guess(case, _SWAPPED[after].value)


# ------------------------------------------------------------------- factors that are typed


@TOPIC.slip("factor-inverted", Rung.CHANGE_RATIO)
def factor_inverted(case: Case) -> Iterator[Guess]:
    """Before over after."""
    yield Guess(1 / case.truth, case.question.values, near=True)


@TOPIC.slip("factor-squared", Rung.CHANGE_RATIO)
def factor_squared(case: Case) -> Iterator[Guess]:
    """The root of the formula forgotten."""
    if _figure(case) in (F0, Q) and case.order == 2:
        yield Guess(case.truth**2, case.question.values, near=True)


@TOPIC.slip("factor-of-the-part", Rung.CHANGE_RATIO)
def factor_of_the_part(case: Case) -> Iterator[Guess]:
    """The figure multiplied or divided by what the part is, all others forgotten."""
    if _turned(case):
        for wrong in 2.0, 0.5:
            yield Guess(wrong, case.question.values, near=True)


@TOPIC.slip("factor-of-one", Rung.CHANGE_RATIO)
def factor_of_one(case: Case) -> Iterator[Guess]:
    """The change is thought not to matter."""
    yield Guess(1.0, case.question.values, near=True)
