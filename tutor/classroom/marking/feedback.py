"""What one student is told about their hand-in, as plain text: nothing of any other student."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from ....problems.questions.model import Rung
from ...files.names import sheet_name
from ...language.texts import Words, speaker
from ..handins.cells import one_line
from .made_class import ClassSettings
from .marks import ProblemMark, QuestionMark, QuestionOutcome, StudentMarks
from .tables import decimal

_say = speaker("marking")
WIDTH = 78


def feedback(course: ClassSettings, marks: StudentMarks) -> str:
    """``marks`` of a ``course`` in words, with the slips named, without the right answers."""
    return "".join(f"{line}\n" for line in _lines(course, marks))


def _lines(course: ClassSettings, marks: StudentMarks) -> Iterator[str]:
    yield from _wrapped(one_line(course.title), 0)
    about = ", ".join(one_line(text) for text in (course.course, course.date) if text)
    if about:
        yield from _wrapped(about, 0)
    sheet, name = sheet_name(marks.number), one_line(marks.name or marks.id)
    whose = _say("feedback.sheet", sheet=sheet, name=name) if name else ""
    yield from _wrapped(whose or _say("feedback.nameless", sheet=sheet), 0)
    yield ""
    yield _say(
        "feedback.open" if marks.open else "feedback.total",
        points=decimal(marks.points),
        of=decimal(marks.of),
        open=marks.open,
    )
    for problem in marks.problems:
        yield ""
        yield from _wrapped(_heading(problem), 0)
        for question in problem.questions:
            yield from _question(question)


def _heading(problem: ProblemMark) -> str:
    return _say(
        "feedback.titled" if problem.title else "feedback.problem",
        number=problem.number,
        title=one_line(problem.title),
        points=decimal(problem.points),
        of=decimal(problem.of),
    )


def _question(mark: QuestionMark) -> Iterator[str]:
    words = Words.load()
    line = _say(
        "feedback.question",
        number=mark.number,
        asked=words.title(Rung(mark.rung)),
        verdict=_say(f"verdict.{_verdict(mark)}"),
        points=decimal(mark.points),
        of=decimal(mark.of),
    )
    yield from _wrapped(line, 2)
    silent = (QuestionOutcome.RIGHT, QuestionOutcome.BLANK, QuestionOutcome.PAPER)
    if mark.verdict in silent and not mark.settled:
        return
    if mark.typed:
        # A minus sign is echoed as printers have it.
        read = mark.understood not in ("", mark.typed, mark.typed.replace("-", "−"))
        key = "feedback.understood" if read else "feedback.typed"
        yield from _wrapped(_say(key, typed=mark.typed, understood=mark.understood), 7)
    for told in mark.told:
        yield from _wrapped(told, 7)
    if len(mark.slips) == 1:
        yield from _wrapped(_say("feedback.slips", slip=mark.slips[0].sentence), 7)
    elif mark.slips:
        yield from _wrapped(_say("feedback.several"), 7)
        for hit in mark.slips:
            yield from _wrapped(hit.sentence, 9)
    if mark.settled:
        yield from _wrapped(_say("feedback.settled"), 7)


def _verdict(mark: QuestionMark) -> str:
    if mark.follows:
        return "followed"
    partly = mark.verdict is QuestionOutcome.WRONG and mark.points > 0
    return "partly" if partly else mark.verdict.value


def _wrapped(text: str, indent: int) -> Iterator[str]:
    space = " " * indent
    yield from textwrap.wrap(
        text, WIDTH, initial_indent=space, subsequent_indent=space, break_on_hyphens=False
    ) or [space.rstrip()]
