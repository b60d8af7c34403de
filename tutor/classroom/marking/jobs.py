"""What workers do to mark hand-ins: key and answers in, marks out.

Nothing here touches a disk, so that workers need not share one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from ....problems.sheets.model import Key, SheetError
from ...language.errors import worded
from ..handins.cells import one_line
from ..handins.files import Answers
from .graded import Leniency
from .mark import Decision, mark_answers, strays
from .marks import ProblemMark

_AS_PLANNED = Leniency()


@dataclass(frozen=True, slots=True)
class MarkingJob:
    """One hand-in to be marked.

    Attributes:
        number: the student's.
        key: the bytes of ``key.json``; ``None`` where there is none.
        answers: what was handed in.
        leniency: what the teacher allows beyond the plan, or short of it.
        decisions: (question, points, text) of what a human decided; points as a fraction or "".
    """

    number: int
    key: bytes | None
    answers: Answers
    leniency: Leniency = _AS_PLANNED
    decisions: tuple[tuple[str, str, str], ...] = ()


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
        return MarkingResult(trouble="there is no such file, or it can't be read")
    try:
        key = key_of(json.loads(job.key))
    except SheetError as error:
        return _unusable(one_line(worded(error.troubles[0].wording))[:300])
    except (ValueError, RecursionError) as error:
        return _unusable(f"it is not JSON ({one_line(str(error))[:200]})")
    if key.student.number != job.number:
        return _unusable(f"it is the key of sheet {key.student.number}")
    decisions, refused = _decisions(key, job.decisions)
    problems = mark_answers(key, job.answers, job.leniency, decisions)
    return MarkingResult(problems, tuple(strays(key, job.answers)), tuple(refused))


def _unusable(why: str) -> MarkingResult:
    return MarkingResult(trouble=f"it can't be used: {why}")


def _decisions(
    key: Key, rows: Iterable[tuple[str, str, str]]
) -> tuple[Mapping[str, Decision], list[tuple[str, str]]]:
    points_of = {
        f"{item.number}.{place}": points
        for item in key.items
        for place, points in enumerate(item.points, 1)
    }
    found: dict[str, Decision] = {}
    refused = []
    for question, points, text in rows:
        given = Fraction(points) if points else None
        if question not in points_of:
            refused.append((question, "the sheet has no such question"))
        elif given is not None and given > points_of[question]:
            refused.append((question, f"the question has {points_of[question]} points at most"))
        else:
            found[question] = Decision(given, text)
    return found, refused
