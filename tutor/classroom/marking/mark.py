"""One student's answers and key → marks.  Pure: what comes out depends on what goes in alone.

What an answer earns, as a share of its question's points; the plan's table ``[marking]`` may set
other shares than the usual ones (``problems/sheets/marking_rules.py``), and of several shares that
an answer has a claim to it earns the largest:

* right: all points; rough (within the tolerance, though badly rounded): all points too, unless the
  plan says otherwise.  The tolerance is what the teacher accepts;
* wrong: none, unless the plan says otherwise; but of a sketch, points in proportion to the pieces
  that are right and joined to others that are (``problems/sketches/credit.py``), weighed as the
  plan says.  What can be copied or guessed, such as a break, a slope or a level alone, earns
  nothing.  The pieces are those of the student's sketch or of the right one, whichever has more, so
  that neither leaving out nor drawing too much pays;
* wrong, but explained by a named slip: the share that the plan's ``slip_points`` give the slip;
* wrong, but right for the student's own earlier answer, which was wrong: the share of the plan's
  ``follow_through``.  What is right then is worked out exactly from what the student answered to
  earlier questions of the problem (``problems/questions/follows.py``); the mark says whose value it
  follows from, and if a slip gives the same, that too.  Without that key every question stands
  alone, since each asks about the circuit that is printed;
* blank ("?", "-" and "idk" are): none; on paper ("see photo"): none until it is entered from there;
* unclear (not understood, or answered twice, differently, or made another thing of by a
  spreadsheet): none until a human settles it, and it is listed for that.

What a human decided goes before all of it (``settled.py`` says how, ``alike.py`` for whom): points
as they were given; or the text that the answer is to be read as, which is read and marked as if the
student had typed it, against the student's own question.

A part of a question's points is rounded to a hundredth of a point; sums are exact.

A tolerance wider than the plan's credits what lies within it, and every such answer is listed.
One that is what a known mistake leads to, also one so near the truth that it is never named, is
not credited by the width of a tolerance: it keeps the points that it has by the plan's, and the
list says whose it is, what the mistake gives, and what it would earn.  The teacher gives it points
by a decision about that very answer, or has all of them credited (``Leniency.credit_slips``).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from hashlib import sha256

from ....problems.grading.said import is_blank, is_on_paper
from ....problems.quantities.separators import decimal_sign
from ....problems.sheets.model import Key, KeyItem
from ...language.texts import speaker
from ..handins.cells import one_line
from ..handins.files import Answers
from .alike import alike_tag
from .graded import Decision, Leniency, ProblemGrading, decided, right_shown
from .marks import ProblemMark, QuestionMark, QuestionOutcome, SettledAnswer

_say = speaker("marking")
_AS_PLANNED = Leniency()

MOST_TOLERANCE = Fraction(1, 2)
MOST_STRAYS = 20
"""Answers to questions that the sheet does not ask, as they are listed for the human."""

_PERCENT = re.compile(r"(\d{1,4}(?:[.,]\d{1,4})?) *(%?)", re.ASCII)


def mark_answers(
    key: Key,
    answers: Answers,
    leniency: Leniency = _AS_PLANNED,
    settled: Mapping[str, Decision] | None = None,
    before: Mapping[str, Decision] | None = None,
) -> tuple[ProblemMark, ...]:
    """Mark one hand-in.

    Every question of the key is graded once at most, whatever the hand-in holds, and the grader
    reads 1 KiB of an answer at most; of a short answer that is unclear a dozen parts are read, for
    what it may mean.  So long is the work that a hand-in can make.

    Args:
        key: the sheet's key.
        answers: what was handed in.
        leniency: what the teacher allows beyond the plan, or short of it.
        settled: question number → what a human decided.
        before: question number → what a human decided about the like in another class; it is
            suggested, and never followed.
    """
    texts = dict(answers.answers)
    decimal = decimal_sign(text for given in texts.values() for text in given)
    doubts = dict(answers.doubts)
    rules = key.heading.marking
    decisions = settled or {}, before or {}
    return tuple(
        _problem(item, texts, ProblemGrading(item, rules, leniency, decimal), decisions, doubts)
        for item in key.items
    )


def strays(key: Key, answers: Answers) -> list[tuple[str, str]]:
    """(label, text) of ``answers`` to questions that the sheet of a ``key`` does not ask; a few."""
    known = {
        f"{item.number}.{place}"
        for item in key.items
        for place in range(1, len(item.problem.questions) + 1)
    }
    unknown = [(n, " / ".join(texts)) for n, texts in answers.answers if n not in known]
    found = [*unknown, *answers.strays]
    more = len(found) - MOST_STRAYS
    return [*found[:MOST_STRAYS], *([("…", _say("stray.more", count=more))] if more > 0 else [])]


def as_typed(texts: Iterable[str]) -> str:
    """What was answered to one question, as it is shown and as decisions about it are tagged."""
    return one_line(" / ".join(texts))


def tag(sheet: int, number: str, typed: str) -> str:
    """A short text for what was ``typed``, so that a decision about it meets no other answer.

    It is of the question ``number`` of a ``sheet``, and begins with a letter that no spreadsheet
    takes for part of a number or a date.
    """
    digest = sha256(f"{sheet}\n{number}\n{typed}".encode("utf-8", "replace"))
    return f"T{digest.hexdigest()[:8]}"


def mark_of_text(
    key: Key, number: str, text: str, leniency: Leniency = _AS_PLANNED
) -> QuestionMark | None:
    """What a human's reading of an answer comes to; ``None`` where there is no such question.

    Args:
        key: the student's key.
        number: of the question, such as "1.2".
        text: what the answer is to be read as.
        leniency: what the teacher allows beyond the plan, or short of it.
    """
    for item in key.items:
        if number.partition(".")[0] == str(item.number):
            grading = ProblemGrading(item, key.heading.marking, leniency, "")
            read_so = {number: Decision(text=text)}
            marks = _problem(item, {number: (text,)}, grading, (read_so, {}), {}).questions
            return next((mark for mark in marks if mark.number == number), None)
    return None


def read_tolerance(text: str) -> Fraction:
    """A relative tolerance: "5 %", "2,5%" or "0.05".

    Raises:
        ValueError: it is none, or out of range; the message says what would do.
    """
    match = _PERCENT.fullmatch(unicodedata.normalize("NFKC", text.strip()[:40]))
    value = Fraction(0)
    if match:
        value = Fraction(match[1].replace(",", ".")) / (100 if match[2] else 1)
    if not 0 < value <= MOST_TOLERANCE:
        raise ValueError(_say("tolerance.none"))
    return value


def _problem(
    item: KeyItem,
    texts: Mapping[str, tuple[str, ...]],
    grading: ProblemGrading,
    decisions: tuple[Mapping[str, Decision], Mapping[str, Decision]],
    doubts: Mapping[str, str],
) -> ProblemMark:
    problem, (settled, before) = item.problem, decisions
    marks: list[QuestionMark] = []
    graded: list[str] = []
    for place, (question, of) in enumerate(
        zip(problem.questions, item.points, strict=True), start=1
    ):
        number = f"{item.number}.{place}"
        typed = texts.get(number, ())
        given = tuple(text for text in typed if not is_blank(text))
        decision = settled.get(number, Decision())
        mark = QuestionMark(
            number=number,
            rung=question.rung.value,
            form=question.form.value,
            of=of,
            points=Fraction(0),
            verdict=QuestionOutcome.BLANK,
            answer=right_shown(question),
        )
        given = tuple(text for text in given if not is_on_paper(text)) or given[:1]
        on_paper = bool(given) and is_on_paper(given[0])
        doubted = bool(given) and number in doubts
        sure = len(given) == 1 and not on_paper and not doubted
        text = decision.text or (given[0] if sure else "")
        if decision.text:
            mark = grading.corrected(question, mark, text)
        elif text:
            mark = grading.marked(question, mark, text)
        elif len(given) > 1:
            mark = replace(
                mark,
                verdict=QuestionOutcome.UNCLEAR,
                trouble=_say("trouble.twice", count=len(given)),
            )
        elif on_paper:
            mark = replace(mark, verdict=QuestionOutcome.PAPER)
        elif doubted:
            mark = replace(mark, verdict=QuestionOutcome.UNCLEAR, trouble=doubts[number])
        mark = replace(mark, typed=as_typed(typed))
        if decision.text:
            mark = replace(mark, settled=SettledAnswer.TEXT)
        if decision.points is not None:
            mark = decided(mark, decision.points)
        if mark.settled or mark.verdict is QuestionOutcome.UNCLEAR:
            mark = replace(mark, alike=alike_tag(question, mark.typed, of))
        if mark.verdict is QuestionOutcome.UNCLEAR and number not in settled:
            mark = replace(
                mark, suggested=grading.suggested(question, mark, given, before.get(number))
            )
        marks.append(mark)
        graded.append(text)
    return ProblemMark(
        number=item.number,
        title=item.title,
        family=problem.family,
        level=problem.level,
        task=problem.task.value,
        questions=grading.following(marks, graded),
    )
