"""Slips about what Q does to a curve.  Common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from ..analysis.response import FilterType
from ..analysis.two_poles import damped
from ..questions.model import Rung
from ..questions.q_curves import (
    LIMITS,
    WHICH,
    drawn_q,
    given_f0,
    given_q,
    level_at_f0,
    peak_db,
)
from ..questions.values import value_of
from .case import Case, Guess, Topic
from .off_curve import HALF_POWER_DB

TOPIC = Topic("Q and curves")

PEAK, AT_F0 = Rung.PEAK_OF_Q, Rung.GAIN_OF_Q
PLACE, LIMIT = Rung.PEAK_PLACE_OF_Q, Rung.Q_LIMIT

_TURNED = {"½": "10", "1/√2": "2", "2": "1/√2", "10": "½"}


def _curves_of(case: Case, wanted: str) -> tuple[str, ...]:
    """The choices that show a curve of some Q."""
    ids = (choice.id for choice in case.question.choices)
    return tuple(one for one in ids if drawn_q(case.facts, case.question, one) == wanted)


# The larger Q, the more damped: the curves in the reverse order.
TOPIC.answer(
    "q-for-damping", *WHICH,
    by=lambda c: _curves_of(c, _TURNED[value_of(c.question.values, "wanted", str)]),
)  # fmt: skip
# The curve that is 3 dB down at f0, as every curve is thought to be.
TOPIC.answer(
    "flat-at-any-q", Rung.WHICH_GAIN_CURVE,
    by=lambda c: _curves_of(c, "1/√2") if c.facts.type.one_sided else (),
)  # fmt: skip
# −3 dB at f0 whatever Q is.
TOPIC.answer("three-db-at-f0", AT_F0, by=lambda c: -HALF_POWER_DB, near=True)
# f0 taken to lie in the pass band.
TOPIC.answer("f0-in-pass-band", AT_F0, by=lambda c: 0.0, near=True)
# The height of the peak, which is beside f0.
TOPIC.answer(
    "peak-for-f0-level", AT_F0,
    by=lambda c: peak_db(q) if (q := given_q(c.question)) ** 2 * 2 > 1 else None, near=True,
)  # fmt: skip
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
    factor = damped(float(given_q(case.question)))
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

for _id, _what in _BEGINNING.items():
    TOPIC.answer(_id, LIMIT, by=partial(lambda _, limit: limit, limit=LIMITS[_what]))
