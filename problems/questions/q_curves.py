"""What Q does to a curve: which of four has it, how high the peak is and where, from which Q on.

All of the response of two poles and nothing else, of the type of the drawn circuit, with its corner
at 1 Hz.  For the closed forms see ``analysis/two_poles.py``; a low-pass and a high-pass peak from
Q = 1/√2 on, and at f0 their gain is Q times that of the pass band (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache, partial
from types import MappingProxyType

from ..analysis.response import Facts, FilterType
from ..analysis.two_poles import peak, peak_height
from ..quantities.units import Quantity
from .asking import Asking, quantity
from .exhibit import Chart, Exhibit, Plot
from .kinds import MAKERS
from .model import PLACES, Choice, Form, Question, Rung, Values
from .plotted import gain_points, phase_points, prototype
from .values import value_of

FOUR: Mapping[str, Fraction] = MappingProxyType(
    {
        "½": Fraction(1, 2),
        "1/√2": Fraction(math.sqrt(0.5)),
        "2": Fraction(2),
        "10": Fraction(10),
    }
)
"""The Qs of four curves, by how they are written."""

WHICH: Mapping[Rung, Chart] = MappingProxyType(
    {Rung.WHICH_GAIN_CURVE: Chart.GAIN, Rung.WHICH_PHASE_CURVE: Chart.PHASE}
)
"""The kinds that ask which of four curves it is, and what these show."""

_AXIS = (0.1, 10.0)
"""In Hz; the corner is at 1 Hz."""

_NEAR_DB = Fraction(1, 4)
_HIGH = tuple(Fraction(n, 10) for n in (10, 12, 15, 20, 30, 40, 50))
"""Qs whose peak is asked for: 1.2 dB and more."""
_ASIDE = tuple(Fraction(n, 100) for n in (80, 90, 100, 120, 150, 200))
"""Qs whose peak lies far enough from f0 to be told from it."""
_AT_F0 = tuple(Fraction(n, 10) for n in (5, 6, 8, 15, 20, 25, 30, 40, 50, 100))
_F0 = tuple(Fraction(n) for n in (50, 200, 1000, 3000, 10000))

LIMITS: Mapping[str, str] = MappingProxyType(
    {"peak": "root-half", "complex": "half", "corner-level": "one", "middle": "any"}
)
"""From which Q on something is so: the peak, the complex pair, at f0 as much as in the pass band.

That a band-pass is highest in the middle is so at any.
"""


@lru_cache(maxsize=24)
def curve_of(type: FilterType, q: str, chart: Chart) -> Plot:  # noqa: A002
    """The curve of a prototype.

    Args:
        type: its type.
        q: its Q, of :data:`FOUR`.
        chart: what is shown of it.
    """
    response = prototype(type, FOUR[q])
    points = gain_points if chart is Chart.GAIN else phase_points
    return Plot(points(response, *_AXIS))


def drawn_q(facts: Facts, question: Question, choice: str) -> str:
    """The Q of the curve that a choice stands for, of :data:`FOUR`.

    Args:
        facts: of the problem's circuit, whose type the curves have.
        question: which of four curves it is.
        choice: the id of the choice.

    Raises:
        LookupError: it shows no such curve.
    """
    ids = [one.id for one in question.choices]
    exhibit = question.exhibit
    if exhibit is None or choice not in ids:
        raise LookupError(f"{choice!r} is none of the curves")
    shown = exhibit.plots[ids.index(choice)]
    for q in FOUR:
        if curve_of(facts.type, q, exhibit.chart) == shown:
            return q
    raise LookupError(f"{choice!r} shows no curve of a known Q")


def _which(rung: Rung, asking: Asking) -> Question | None:
    """The curves in any order, and any of them asked for."""
    if not _two(asking.facts):
        return None
    type_, chart = asking.facts.type, WHICH[rung]
    order = asking.chance.shuffled(tuple(FOUR))
    wanted = asking.chance.pick(order)
    exhibit = Exhibit(chart, tuple(curve_of(type_, q, chart) for q in order), together=True)
    values: Values = (("asked", type_.value), ("wanted", wanted))
    choices = tuple(map(Choice, PLACES))
    truth = PLACES[order.index(wanted)]
    return Question(rung, Form.CHOICE, truth, choices, values=values, exhibit=exhibit)


for _rung in WHICH:
    MAKERS(_rung)(partial(_which, _rung))


def _two(facts: Facts) -> bool:
    """Whether it is of a type that there are four curves of, with two poles."""
    named = facts.type.one_sided or facts.type is FilterType.BAND_PASS
    return facts.transfer.order == 2 and named


# ------------------------------------------------------------------------- figures of a given Q


def peak_db(q: Fraction) -> float:
    """The height of the peak in dB above the pass band; ``q`` is above 1/√2."""
    return 20 * math.log10(peak_height(q))


def peak_place(type: FilterType, q: Fraction) -> float:  # noqa: A002
    """Where the peak lies, in multiples of f0.

    Args:
        type: low-pass or high-pass.
        q: its Q, above 1/√2.
    """
    return peak(q) if type is FilterType.LOW_PASS else 1 / peak(q)


def level_at_f0(q: Fraction) -> float:
    """The gain at f0 in dB relative to the pass band: 20·log ``q``."""
    return 20 * math.log10(q)


def given_q(question: Question) -> Fraction:
    """The Q that a question gives."""
    return value_of(question.values, "q", Quantity).value


def given_f0(question: Question) -> float:
    """The f0 in Hz that a question gives."""
    return float(value_of(question.values, "f0", Quantity).value)


def _level(rung: Rung, asking: Asking) -> Question | None:
    facts = asking.facts
    if not facts.type.one_sided or facts.transfer.order != 2:
        return None
    peaked = rung is Rung.PEAK_OF_Q
    q = asking.chance.pick(_HIGH if peaked else _AT_F0)
    truth = round(peak_db(q) if peaked else level_at_f0(q), 6)
    values: Values = (("asked", facts.type.value), ("q", Quantity(q, "")))
    return Question(rung, Form.LEVEL, truth, (), "dB", _NEAR_DB, values)


MAKERS(Rung.PEAK_OF_Q)(partial(_level, Rung.PEAK_OF_Q))
MAKERS(Rung.GAIN_OF_Q)(partial(_level, Rung.GAIN_OF_Q))


@MAKERS(Rung.PEAK_PLACE_OF_Q)
def _peak_place(asking: Asking) -> Question | None:
    facts = asking.facts
    if not facts.type.one_sided or facts.transfer.order != 2:
        return None
    q, f0 = asking.chance.pick(_ASIDE), asking.chance.pick(_F0)
    truth = float(f0) * peak_place(facts.type, q)
    values: Values = (
        ("asked", facts.type.value),
        ("f0", Quantity(f0, "Hz")),
        ("q", Quantity(q, "")),
    )
    return quantity(Rung.PEAK_PLACE_OF_Q, truth, "Hz", values)


@MAKERS(Rung.Q_LIMIT)
def _limit(asking: Asking) -> Question | None:
    """What begins at some Q; of a band-pass, whose peak is always there, that too."""
    facts = asking.facts
    if not _two(facts):
        return None
    sided = ("peak", "complex", "corner-level")
    asked = asking.chance.pick(sided if facts.type.one_sided else ("middle", "complex"))
    choices = tuple(map(Choice, ("any", "half", "root-half", "one")))
    values: Values = (("asked", asked), ("kind", facts.type.value))
    return Question(Rung.Q_LIMIT, Form.CHOICE, LIMITS[asked], choices, values=values)
