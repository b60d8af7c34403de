"""The wrong answers that no slip explains, those that are alike together.

Two are alike where they read the same for the same right answer, or, where circuits differ from
sheet to sheet, where they are off by the same factor: 2π, a thousand, minus one; or one over the
right answer, or its square or its root.  Each answer is listed once, with the larger company of
the two.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

from ....problems.quantities.convert import to_asked
from ....problems.quantities.read import read_quantity
from ....problems.quantities.units import QuantityError
from ...files.names import question_place
from ..marking.marks import QuestionMark, QuestionOutcome, StudentMarks
from .confusion import in_words

NEAR = 0.01
"""Factors this near to one another, relatively, are one: answers come with three digits."""

_FIGURES = {"quantity": ("Hz", "F", "H", "Ω", "dB"), "ratio": ("",), "gain": ("", "dB")}
"""By the form of a question, the units its answers may be in."""

_FACTORS: tuple[tuple[str, float], ...] = (
    ("2π", math.tau), ("1/2π", 1 / math.tau), ("(2π)²", math.tau**2), ("1/(2π)²", math.tau**-2),
    ("π", math.pi), ("1/π", 1 / math.pi), ("2", 2.0), ("1/2", 0.5), ("√2", math.sqrt(2)),
    ("1/√2", math.sqrt(0.5)), ("4", 4.0), ("1/4", 0.25), ("3", 3.0), ("1/3", 1 / 3),
    ("10", 10.0), ("1/10", 0.1), ("100", 100.0), ("1/100", 0.01),
    ("10³", 1e3), ("10⁻³", 1e-3), ("10⁶", 1e6), ("10⁻⁶", 1e-6), ("10⁹", 1e9), ("10⁻⁹", 1e-9),
)  # fmt: skip
"""Factors that have a name."""


@dataclass(frozen=True, slots=True)
class Alike:
    """Answers that are alike.

    ``how`` is "same" (``given`` for ``right``), "factor" (``factor`` times the right answer, as a
    text), "reciprocal", "square" or "root"; ``given`` and ``right`` are those of the first of
    them.  ``students`` are places among those marked, ``questions`` the numbers on the sheets.
    """

    rung: str
    how: str
    factor: str
    given: str
    right: str
    times: int
    students: tuple[int, ...]
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Wrong:
    """One answer that nothing explains; ``ratio`` is how many times the right one it is."""

    student: int
    question: QuestionMark
    given: str
    right: str
    relation: tuple[str, str] | None = None
    ratio: float | None = None


def unexplained(results: Iterable[StudentMarks]) -> tuple[Alike, ...]:
    """Answers of the students marked that are alike, the most frequent first; single ones last."""
    wrong = [_wrong(place, q) for place, r in enumerate(results) for q in r.questions if _open(q)]
    by_factor: dict[int, tuple[str, str, str]] = {}
    for key, members in _by_factor(wrong):
        for place in members:
            by_factor[place] = key
    same = Counter((w.question.rung, w.given, w.right) for w in wrong)
    off = Counter(by_factor.values())
    found: dict[tuple[str, ...], list[_Wrong]] = defaultdict(list)
    for place, one in enumerate(wrong):
        factor = by_factor.get(place)
        alike = same[one.question.rung, one.given, one.right]
        if factor is not None and off[factor] >= alike:
            found[factor].append(one)
        else:
            found[one.question.rung, "same", "", one.given, one.right].append(one)
    groups = [_group(key, members) for key, members in found.items()]
    by_times = sorted(groups, key=lambda g: (g.how == "same", g.rung, g.how, g.factor, g.given))
    return tuple(sorted(by_times, key=lambda g: -g.times))


def _open(question: QuestionMark) -> bool:
    """Whether it was read, is wrong, and nothing says why."""
    return (
        question.verdict is QuestionOutcome.WRONG
        and not question.slips
        and not question.follows
        and bool(question.understood)
    )


def _wrong(student: int, question: QuestionMark) -> _Wrong:
    given, right = in_words(question.understood), in_words(question.answer)
    pair = None
    for unit in _FIGURES.get(question.form, ()):
        one, other = figure(given, unit), figure(right, unit)
        if one is not None and other:
            pair = one, other
            break
    if pair is None or not pair[0]:
        return _Wrong(student, question, given, right)
    ratio = pair[0] / pair[1]
    return _Wrong(student, question, given, right, _relation(*pair), ratio)


@lru_cache(maxsize=8192)
def figure(text: str, unit: str) -> float | None:
    """A ``text`` such as "1.59 kHz" in a ``unit`` of its dimension; ``None`` for no figure."""
    try:
        found = read_quantity(text, unit)
        return to_asked(float(found.value), found.unit, unit)
    except (QuantityError, OverflowError):
        return None


def _relation(given: float, right: float) -> tuple[str, str] | None:
    """("factor", its name) or another relation to the right answer that has a name."""
    for name, factor in _FACTORS:
        for sign, prefix in ((1, ""), (-1, "−")):
            if _near(given, sign * factor * right):
                return "factor", prefix + name
    if _near(given, -right):
        return "factor", "−1"
    for how, value in (
        ("reciprocal", 1 / right),
        ("square", right * right),
        ("root", math.sqrt(abs(right))),
    ):
        if _near(given, value):
            return how, ""
    return None


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= NEAR / 2 * abs(other)


def _by_factor(wrong: list[_Wrong]) -> Iterator[tuple[tuple[str, str, str], list[int]]]:
    """(kind, relation, factor) and the places of the answers that have it.

    Factors without a name are sorted, and one belongs to those before it while it is near the
    first of them.
    """
    named: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    rest: list[tuple[str, bool, float, int]] = []
    for place, one in enumerate(wrong):
        if one.relation is not None:
            named[(one.question.rung, *one.relation)].append(place)
        elif one.ratio:
            rest.append((one.question.rung, one.ratio > 0, abs(one.ratio), place))
    yield from named.items()
    for (rung, positive), members in groupby(sorted(rest), key=lambda m: m[:2]):
        first, run = 0.0, list[int]()
        for _, _, size, place in members:
            if run and size > first * (1 + NEAR):
                yield (rung, "factor", _written(first, positive)), run
                run = []
            if not run:
                first = size
            run.append(place)
        yield (rung, "factor", _written(first, positive)), run


def _written(size: float, positive: bool) -> str:
    return ("" if positive else "−") + f"{size:.4g}"


def _group(key: tuple[str, ...], members: list[_Wrong]) -> Alike:
    first = members[0]
    numbers = {m.question.number for m in members}
    return Alike(
        rung=key[0],
        how=key[1],
        factor=key[2],
        given=first.given,
        right=first.right,
        times=len(members),
        students=tuple(sorted({m.student for m in members})),
        questions=tuple(sorted(numbers, key=question_place)),
    )
