"""What workers do to mark hand-ins: key and answers as texts in, marks as text out.

Nothing here touches a disk, so that workers need not share one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from hashlib import sha256
from typing import Any

from ....problems.sheets.model import Key, SheetError
from ...version import VERSION
from ..handins.cells import one_line
from ..handins.files import Answers
from .mark import RULES, Decision, mark_answers, strays
from .marks import ProblemMark, QuestionOutcome, problem_document, problem_of
from .store import Marked


@dataclass(frozen=True, slots=True)
class MarkingJob:
    """One hand-in to be marked.

    Attributes:
        number: the student's.
        key: the bytes of ``key.json``.
        answers: what :func:`written` made of the answers.
        tolerance: a relative tolerance in place of the plan's, as a fraction; or "".
        decisions: (question, points, text) of what a human decided; points as a fraction or "".
    """

    number: int
    key: bytes
    answers: str
    tolerance: str = ""
    decisions: tuple[tuple[str, str, str], ...] = ()

    @property
    def digest(self) -> bytes:
        """What tells its marks from those of any other job."""
        made_of = (
            RULES, VERSION, self.number, sha256(self.key).hexdigest(), self.answers,
            self.tolerance, self.decisions,
        )  # fmt: skip
        return sha256(json.dumps(made_of).encode()).digest()


@dataclass(frozen=True, slots=True)
class MarkingResult:
    """What came of a job.

    Attributes:
        problems: the marks.
        strays: (label, text) of answers to questions that the sheet does not ask.
        refused: (question, why) of decisions that could not be followed.
        trouble: why the key could not be used; nothing is marked then.
    """

    problems: tuple[ProblemMark, ...] = ()
    strays: tuple[tuple[str, str], ...] = ()
    refused: tuple[tuple[str, str], ...] = ()
    trouble: str = ""

    @property
    def points(self) -> Fraction:
        """The points reached."""
        return sum((p.points for p in self.problems), Fraction(0))

    @property
    def of(self) -> Fraction:
        """The points that can be had."""
        return sum((p.of for p in self.problems), Fraction(0))

    @property
    def open(self) -> int:
        """How many answers wait for a human."""
        return sum(q.verdict is QuestionOutcome.UNCLEAR for p in self.problems for q in p.questions)


def written(answers: Answers) -> str:
    """Answers as a text that is the same for the same answers, whoever they are of."""
    return json.dumps([answers.answers, answers.strays], ensure_ascii=False)


def answers_from(text: str) -> Answers:
    """Back from :func:`written`."""
    answers, others = json.loads(text)
    return Answers(
        answers=tuple((number, tuple(texts)) for number, texts in answers),
        strays=tuple((label, typed) for label, typed in others),
    )


def mark_batch(jobs: Iterable[MarkingJob]) -> list[Marked]:
    """Mark some hand-ins; :func:`result_from` reads the text of each."""
    results = [mark_one(job) for job in jobs]
    return [Marked(len(r.problems), bool(r.refused or r.trouble), _text(r)) for r in results]


def mark_one(job: MarkingJob) -> MarkingResult:
    """Mark a hand-in."""
    from ....problems.sheets.documents import key_of

    try:
        key = key_of(json.loads(job.key))
    except SheetError as error:
        first = error.troubles[0] if error.troubles else error
        return MarkingResult(trouble=one_line(str(first))[:300])
    except (ValueError, RecursionError) as error:
        return MarkingResult(trouble=f"it is no JSON ({one_line(str(error))[:200]})")
    if key.student.number != job.number:
        return MarkingResult(trouble=f"it is the key of sheet {key.student.number}")
    answers = answers_from(job.answers)
    decisions, refused = _decisions(key, job.decisions)
    problems = mark_answers(
        key, answers, Fraction(job.tolerance) if job.tolerance else None, decisions
    )
    return MarkingResult(problems, tuple(strays(key, answers)), tuple(refused))


def _decisions(
    key: Key, rows: Iterable[tuple[str, str, str]]
) -> tuple[Mapping[str, Decision], list[tuple[str, str]]]:
    """Those decisions that can be followed, and the others."""
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


def _text(result: MarkingResult) -> str:
    document: dict[str, Any] = {
        "problems": [problem_document(problem) for problem in result.problems],
        "strays": result.strays,
        "refused": result.refused,
        "trouble": result.trouble,
    }
    return json.dumps(document, ensure_ascii=False, separators=(",", ":"))


def result_from(text: str) -> MarkingResult:
    """What :func:`mark_batch` gave for a job."""
    found = json.loads(text)
    return MarkingResult(
        tuple(map(problem_of, found["problems"])),
        tuple(map(tuple, found["strays"])),
        tuple(map(tuple, found["refused"])),
        found["trouble"],
    )
