"""Groups and variants of a class side by side, with what the numbers carry and no more.

Means are compared by Welch's interval, shares right by that of Newcombe, correlations by Fisher's.
Where several things are compared at once, each interval is widened, so that all of them hold
together in 95 % of cases (Bonferroni): of thirty questions one would differ by chance otherwise.

Sources: B. L. Welch, Biometrika 34 (1947) 28; R. G. Newcombe, Statistics in Medicine 17 (1998) 873,
method 10; R. A. Fisher, Metron 1 (1921) 3; quantiles of t: M. Abramowitz & I. A. Stegun, *Handbook
of Mathematical Functions*, 1964, 26.7.5.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from statistics import NormalDist

from ...files.names import question_place
from ..marking.marks import QuestionMark, StudentMarks
from . import figures
from .figures import Share

LEAST_COMPARED = 10
"""Parts with fewer sheets are not compared with others: common practice, no source."""
MOST_PARTS = 12
"""Parts that are told apart."""
LEVEL = 0.95
_Asked = tuple[QuestionMark, Fraction, Fraction]
"""A question, and the points of all the other questions of its sheet: reached, and to be had."""
_UNREAD = ("unclear", "paper")
"""Outcomes that a human has to look at yet."""


@dataclass(frozen=True, slots=True)
class ClassPart:
    """A group or a variant: how many sheets, the mean share of the points, and its interval.

    ``deviation`` is ``None`` below two sheets, ``low`` and ``high`` are below ``LEAST_COMPARED``.
    """

    name: str
    count: int
    mean: float
    deviation: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Difference:
    """How much larger a figure is in one part than in another, with its interval."""

    first: str
    second: str
    value: float
    low: float
    high: float

    @property
    def clear(self) -> bool:
        """Whether the interval leaves 0 out."""
        return self.low > 0 or self.high < 0


@dataclass(frozen=True, slots=True)
class QuestionInPart:
    """One question in one part: who was right, and its correlation with the rest of the sheet.

    ``low`` and ``high`` bound the correlation.
    """

    share: Share
    discrimination: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class QuestionCompared:
    """One question in every part; ``difference`` where there are two that can be compared."""

    number: str
    rung: str
    parts: tuple[QuestionInPart, ...]
    difference: Difference | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """The parts of a class, all pairs of them that can be compared, and the questions."""

    parts: tuple[ClassPart, ...]
    differences: tuple[Difference, ...]
    questions: tuple[QuestionCompared, ...] = ()


def by_group(results: Sequence[StudentMarks]) -> Comparison | None:
    """The groups of the roster of those marked; ``None`` where there are fewer than two."""
    return _compared(results, lambda student: student.group, questions=False)


def by_variant(results: Sequence[StudentMarks]) -> Comparison | None:
    """The variants of the sheets marked; ``None`` where there are fewer than two."""
    return _compared(results, lambda student: student.variant, questions=True)


def _compared(
    results: Sequence[StudentMarks], part_of: Callable[[StudentMarks], str], *, questions: bool
) -> Comparison | None:
    members: dict[str, list[StudentMarks]] = {}
    for student in results:
        members.setdefault(part_of(student), []).append(student)
    names = sorted(members, key=lambda name: (not name, name))  # those of no part come last
    if not 2 <= len(names) <= MOST_PARTS:
        return None
    shares = {name: [s.share for s in members[name]] for name in names}
    parts = tuple(_part(name, shares[name]) for name in names)
    large = [part for part in parts if part.name and part.low is not None]
    pairs = list(combinations(large, 2))
    differences = tuple(_difference(one, other, len(pairs)) for one, other in pairs)
    asked = _questions([members[name] for name in names], parts) if questions else ()
    return Comparison(parts, differences, asked)


def _part(name: str, shares: Sequence[Fraction]) -> ClassPart:
    found = figures.spread(shares)
    assert found is not None
    if found.deviation is None or found.count < LEAST_COMPARED:
        return ClassPart(name, found.count, found.mean, found.deviation, None, None)
    half = t_quantile(1 - (1 - LEVEL) / 2, found.count - 1)
    half *= found.deviation / math.sqrt(found.count)
    low, high = max(0.0, found.mean - half), min(1.0, found.mean + half)
    return ClassPart(name, found.count, found.mean, found.deviation, low, high)


def _difference(one: ClassPart, other: ClassPart, together: int) -> Difference:
    """Welch's interval of the difference of two means, of so many ``together``."""
    assert one.deviation is not None and other.deviation is not None
    first, second = one.deviation**2 / one.count, other.deviation**2 / other.count
    value, error = one.mean - other.mean, first + second
    if not error:
        return Difference(one.name, other.name, value, value, value)
    freedom = error**2 / (first**2 / (one.count - 1) + second**2 / (other.count - 1))
    half = t_quantile(1 - (1 - LEVEL) / 2 / together, freedom) * math.sqrt(error)
    return Difference(one.name, other.name, value, value - half, value + half)


def t_quantile(share: float, freedom: float) -> float:
    """The value that Student's t of so much ``freedom`` stays below in a ``share`` of cases.

    A series in 1/``freedom``: from 9 on, and for shares to 0.999, it is good to half a percent.
    """
    z = NormalDist().inv_cdf(share)
    n = freedom
    terms = (
        (z**3 + z) / 4 / n,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96 / n**2,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384 / n**3,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160 / n**4,
    )
    return z + sum(terms)


def newcombe(one: Share, other: Share) -> tuple[float, float]:
    """From where to where ``one`` share less the ``other`` may lie, by their Wilson intervals."""
    p, q = one.value or 0.0, other.value or 0.0
    low = math.hypot(p - one.low, other.high - q)
    high = math.hypot(one.high - p, q - other.low)
    return max(-1.0, p - q - low), min(1.0, p - q + high)


def fisher(correlation: float | None, count: int) -> tuple[float | None, float | None]:
    """From where to where a ``correlation`` of ``count`` pairs may lie; none of too few."""
    if correlation is None or count <= 4 or abs(correlation) >= 1:
        return None, None
    half = figures.Z95 / math.sqrt(count - 3)
    middle = math.atanh(correlation)
    return math.tanh(middle - half), math.tanh(middle + half)


def _questions(
    members: Sequence[Sequence[StudentMarks]], parts: Sequence[ClassPart]
) -> tuple[QuestionCompared, ...]:
    asked: dict[tuple[tuple[int, ...], str], list[list[_Asked]]] = {}
    for place, students in enumerate(members):
        for student in students:
            points, of = student.points, student.of
            for question in student.questions:
                at = question_place(question.number)
                cells = asked.setdefault((at, question.rung), [[] for _ in members])
                cells[place].append((question, points - question.points, of - question.of))
    two = [i for i, p in enumerate(parts) if p.name and p.count >= LEAST_COMPARED]
    z = NormalDist().inv_cdf(1 - (1 - LEVEL) / 2 / len(asked)) if asked else figures.Z95
    found = []
    for (_, rung), cells in sorted(asked.items()):
        number = next(cell[0][0].number for cell in cells if cell)
        difference = None
        if len(two) == 2:
            one, other = (_right(cells[place], z) for place in two)
            if min(one.asked, other.asked) >= LEAST_COMPARED:
                value = (one.value or 0.0) - (other.value or 0.0)
                names = parts[two[0]].name, parts[two[1]].name
                difference = Difference(*names, value, *newcombe(one, other))
        found.append(QuestionCompared(number, rung, tuple(map(_in_part, cells)), difference))
    return tuple(found)


def _right(cell: Sequence[_Asked], z: float) -> Share:
    read = [q for q, _, _ in cell if q.verdict.value not in _UNREAD]
    return figures.wilson(sum(q.verdict.passed for q in read), len(read), z)


def _in_part(cell: Sequence[_Asked]) -> QuestionInPart:
    share = _right(cell, figures.Z95)
    if len(cell) < LEAST_COMPARED:
        return QuestionInPart(share, None, None, None)
    own = [q.points / q.of if q.of else Fraction(0) for q, _, _ in cell]
    rest = [points / of if of else Fraction(0) for _, points, of in cell]
    found = figures.correlated(own, rest)
    return QuestionInPart(share, found, *fisher(found, len(cell)))
