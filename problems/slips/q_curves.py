"""Slips about what Q does to a curve.  Common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from ..analysis.response import FilterType
from ..questions.model import Rung
from ..questions.q_curves import (
    LIMITS,
    PEAKED,
    WHICH,
    drawn_q,
    given_f0,
    given_q,
    level_at_f0,
    peak_db,
)
from .case import Case, Guess, Topic
from .off_curve import HALF_POWER_DB

TOPIC = Topic("Q and curves")

PEAK, AT_F0, PLACE, LIMIT = (
    Rung.PEAK_OF_Q,
    Rung.GAIN_OF_Q,
    Rung.PEAK_PLACE_OF_Q,
    Rung.Q_LIMIT,
)

_TURNED = {"½": "10", "1/√2": "2", "2": "1/√2", "10": "½"}


def _curves_of(case: Case, *wanted: str) -> Iterator[Guess]:
    """The choices that show a curve of some Q."""
    for choice in case.question.choices:
        if drawn_q(case.facts, case.question, choice.id) in wanted:
            yield Guess(choice.id)


@TOPIC.slip("q-for-damping", *WHICH)
def q_for_damping(case: Case) -> Iterator[Guess]:
    """The larger Q, the more damped: the curves in the reverse order."""
    yield from _curves_of(case, _TURNED[str(dict(case.question.values)["wanted"])])


@TOPIC.slip("flat-at-any-q", Rung.WHICH_GAIN_CURVE)
def flat_at_any_q(case: Case) -> Iterator[Guess]:
    """The curve that is 3 dB down at f0, as every curve is thought to be."""
    if case.facts.type in PEAKED:
        yield from _curves_of(case, "1/√2")


# −3 dB at f0 whatever Q is.
TOPIC.answer("three-db-at-f0", AT_F0, by=lambda c: -HALF_POWER_DB, near=True)
# f0 taken to lie in the pass band.
TOPIC.answer("f0-in-pass-band", AT_F0, by=lambda c: 0.0, near=True)


@TOPIC.slip("peak-for-f0-level", AT_F0)
def peak_for_f0_level(case: Case) -> Iterator[Guess]:
    """The height of the peak, which is beside f0."""
    if (q := given_q(case.question)) ** 2 * 2 > 1:
        yield Guess(peak_db(q), near=True)


# 20·log Q, the gain at f0.
TOPIC.answer("f0-level-for-peak", PEAK, by=lambda c: level_at_f0(given_q(c.question)), near=True)
# Q itself, as if it were decibels.
TOPIC.answer("q-as-decibels", PEAK, by=lambda c: float(given_q(c.question)), near=True)
# 10·log of a ratio of voltages.
TOPIC.answer("level-power-decibels", PEAK, AT_F0, by=lambda c: c.truth / 2, near=True)
# Above for below.
TOPIC.answer("loss-unsigned", AT_F0, by=lambda c: -c.truth, near=True)
# f0 itself.
TOPIC.answer("corner-for-peak", PLACE, by=lambda c: given_f0(c.question), near=True)


@TOPIC.slip("damped-frequency", PLACE)
def damped_frequency(case: Case) -> Iterator[Guess]:
    """f0·√(1 − 1/4Q²), of the decaying oscillation, or over that."""
    factor = math.sqrt(1 - 1 / (4 * float(given_q(case.question)) ** 2))
    low = case.facts.type is FilterType.LOW_PASS
    f0 = given_f0(case.question)
    yield Guess(f0 * factor if low else f0 / factor, near=True)


# On the side of the stop band: a low-pass taken for a high-pass, or the other way round.
TOPIC.answer("peak-other-side", PLACE, by=lambda c: given_f0(c.question) ** 2 / c.truth)


_BEGINNING = {
    "limit-of-complex": "complex",
    "limit-of-peak": "peak",
    "limit-at-f0": "corner-level",
    "no-limit": "middle",
}
"""What begins at the Q that a slip answers."""


def _confused(case: Case, *, what: str) -> Iterator[Guess]:
    """The Q at which something else begins."""
    if LIMITS[what] != case.question.truth:
        yield Guess(LIMITS[what])


for _id, _what in _BEGINNING.items():
    TOPIC.slip(_id, LIMIT)(partial(_confused, what=_what))
