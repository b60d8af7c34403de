"""What was taken for what: tables of true answer × given answer, one a kind of question.

Counted are all answers that could be read, right and wrong, of every problem that asks the kind,
sections by inspection among them.  Marks hold answers in words, a choice with its letter; the
letters are left off, since they differ from sheet to sheet.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from ....problems.questions.model import Rung
from ..marking.marks import QuestionOutcome, StudentMarks

TABLES = (Rung.TYPE, Rung.FED, Rung.POLES, Rung.LOW_SLOPE, Rung.HIGH_SLOPE)
"""The kinds of question that are tabled, in this order."""
MOST_ANSWERS = 7
"""Answers with a row and a column of their own; the rarer ones share the last column."""

_LETTER = re.compile(r"[a-z]\) ")
_NUMBER = re.compile(r"[+−-]?[0-9]+(?:\.[0-9]+)?")
_READ = (QuestionOutcome.RIGHT, QuestionOutcome.ROUGH, QuestionOutcome.WRONG)
_TYPES = ("low-pass", "high-pass", "band-pass", "notch", "flat")


@dataclass(frozen=True, slots=True)
class Confusion:
    """How often each true answer met each given one.

    ``true`` names the rows and ``given`` the columns; a given answer that is right stands in the
    column of its row's name.  ``others`` counts, by row, answers that have no column, ``silent``
    what could not be counted: blank, unread, or settled by points alone.
    """

    rung: str
    true: tuple[str, ...]
    given: tuple[str, ...]
    counts: tuple[tuple[int, ...], ...]
    others: tuple[int, ...]
    silent: tuple[int, ...]

    @property
    def wrong(self) -> int:
        """How many answers were read and were other than the truth."""
        beside = sum(
            n
            for row, name in zip(self.counts, self.true, strict=True)
            for n, given in zip(row, self.given, strict=True)
            if given != name
        )
        return beside + sum(self.others)


def confusions(results: Iterable[StudentMarks]) -> tuple[Confusion, ...]:
    """The tables of the students marked, of the kinds that were asked."""
    counted: dict[str, Counter[tuple[str, str]]] = {rung.value: Counter() for rung in TABLES}
    for result in results:
        for question in result.questions:
            if (counts := counted.get(question.rung)) is None or not question.answer:
                continue
            read = question.verdict in _READ and question.understood
            given = in_words(question.understood) if read else ""
            counts[in_words(question.answer), given] += 1
    return tuple(_table(rung, counts) for rung, counts in counted.items() if counts)


def in_words(answer: str) -> str:
    """An answer without the letter that its sheet happens to give it."""
    return _LETTER.sub("", answer, count=1) if _LETTER.match(answer) else answer


def _table(rung: str, counts: Counter[tuple[str, str]]) -> Confusion:
    true = sorted({truth for truth, _ in counts}, key=_order)
    often: Counter[str] = Counter()
    for (_, given), count in counts.items():
        often[given] += count
    # What was the truth anywhere keeps a column, so that the diagonal is whole.
    extra = sorted(
        (given for given in often if given and given not in true), key=lambda g: (-often[g], g)
    )
    kept = sorted((*true, *extra[: max(0, MOST_ANSWERS - len(true))]), key=_order)
    others = [
        sum(n for (t, g), n in counts.items() if t == truth and g and g not in kept)
        for truth in true
    ]
    return Confusion(
        rung,
        tuple(true),
        tuple(kept),
        tuple(tuple(counts[truth, given] for given in kept) for truth in true),
        tuple(others),
        tuple(counts[truth, ""] for truth in true),
    )


def _order(answer: str) -> tuple[int, float, str]:
    """The types as they are taught, numbers by size, all else by its letters."""
    for place, name in enumerate(_TYPES):
        if answer.startswith(name):
            return 0, float(place), answer
    number = _NUMBER.match(answer)
    if number:
        return 1, float(number[0].replace("−", "-")), answer
    return 2, 0.0, answer
