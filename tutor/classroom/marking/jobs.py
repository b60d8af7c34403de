"""What workers do to mark hand-ins: key and answers in, marks out.

Nothing here touches a disk, so that workers need not share one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from ....problems.sheets.model import Key, SheetError
from ...language.errors import worded
from ...language.texts import filled, speaker
from ..handins.cells import one_line
from ..handins.files import Answers
from .alike import alike_of, alike_tag
from .graded import Decision, Leniency
from .mark import as_typed, mark_answers, strays
from .marks import ProblemMark

_say = speaker("marking", "key.")
_AS_PLANNED = Leniency()


@dataclass(frozen=True, slots=True)
class MarkingJob:
    """One hand-in to be marked.

    Attributes:
        number: the student's.
        key: the bytes of ``key.json``; ``None`` where there is none.
        answers: what was handed in.
        leniency: what the teacher allows beyond the plan, or short of it.
        decisions: what a human decided about these answers, or about others that read the same.
    """

    number: int
    key: bytes | None
    answers: Answers
    leniency: Leniency = _AS_PLANNED
    decisions: tuple[DecidedQuestion, ...] = ()


class DecidedQuestion(NamedTuple):
    """What a human decided about an answer to a question.

    ``points`` is a fraction or "".  A ``tag`` says about which answers it was decided
    (``alike.py``), "" about this one.  ``every``: whatever the right answer is.
    ``before``: in another class, so that it is suggested alone.
    """

    question: str
    tag: str
    points: str
    text: str
    every: bool = False
    before: bool = False


@dataclass(frozen=True, slots=True)
class MarkingResult:
    """What came of a job.

    Attributes:
        problems: the marks.
        strays: (label, text) of answers to questions that the sheet does not ask.
        refused: (question, why) of decisions that could not be followed.
        trouble: what is wrong with the key; nothing is marked then.
    """

    problems: tuple[ProblemMark, ...] = ()
    strays: tuple[tuple[str, str], ...] = ()
    refused: tuple[tuple[str, str], ...] = ()
    trouble: str = ""


def mark_batch(jobs: Iterable[MarkingJob]) -> list[MarkingResult]:
    """Mark some hand-ins."""
    return [mark_one(job) for job in jobs]


def mark_one(job: MarkingJob) -> MarkingResult:
    """Mark a hand-in."""
    from ....problems.sheets.documents import key_of

    if job.key is None:
        return MarkingResult(trouble=_say("missing"))
    try:
        key = key_of(json.loads(job.key))
    except SheetError as error:
        return _unusable(one_line(worded(error.troubles[0].wording))[:300])
    except (ValueError, RecursionError) as error:
        return _unusable(_say("no-json", error=one_line(str(error))[:200]))
    if key.student.number != job.number:
        return _unusable(_say("others", sheet=key.student.number))
    decisions, refused = _decisions(key, job.answers, _of(job, before=False))
    before, _ = _decisions(key, job.answers, _of(job, before=True))
    problems = mark_answers(key, job.answers, job.leniency, decisions, before)
    return MarkingResult(problems, tuple(strays(key, job.answers)), tuple(refused))


def _unusable(why: str) -> MarkingResult:
    return MarkingResult(trouble=_say("unusable", why=why))


def _of(job: MarkingJob, *, before: bool) -> list[DecidedQuestion]:
    return [row for row in job.decisions if row.before is before]


def _decisions(
    key: Key, answers: Answers, rows: Iterable[DecidedQuestion]
) -> tuple[Mapping[str, Decision], list[tuple[str, str]]]:
    """Question → what counts of it, and (question, why) of what can't be followed.

    What was decided about this answer goes before what was decided about all with the same right
    answer, and that before what was decided about the same text whatever is right.
    """
    asked = {
        f"{item.number}.{place}": (item.problem.questions[place - 1], points)
        for item in key.items
        for place, points in enumerate(item.points, 1)
    }
    texts = dict(answers.answers)
    best: dict[str, tuple[int, DecidedQuestion]] = {}
    refused = []
    for row in rows:
        if row.question not in asked:
            if not row.tag:
                refused.append((row.question, filled("settling", "refused.question")))
            continue
        question, of = asked[row.question]
        rank = 0
        if row.tag:
            here = alike_tag(question, as_typed(texts.get(row.question, ())), of)
            if row.tag != here and not (row.every and alike_of(row.tag) == alike_of(here)):
                continue
            # What these were decided to read goes on for others when they are decided anew.
            rank = 3 if row.tag != here else 2 if row.every else 1
        if row.question not in best or rank < best[row.question][0]:
            best[row.question] = rank, row
    found: dict[str, Decision] = {}
    for number, (_, row) in best.items():
        given, of = Fraction(row.points) if row.points else None, asked[number][1]
        if given is not None and given > of:
            refused.append((number, filled("settling", "refused.points", [("most", of)])))
        else:
            found[number] = Decision(given, row.text)
    return found, refused
