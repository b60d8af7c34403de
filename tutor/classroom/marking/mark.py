"""One student's answers and key → marks.  Pure: what comes out depends on what goes in alone.

Points are given by these rules, which are the same for every plan but for a sketch's weights:

* right: all points; rough (within the tolerance, though badly rounded): all points too.  The
  tolerance is what the teacher accepts; that the figure is rounded badly is said, not charged;
* wrong: none; but of a sketch, points in proportion to the pieces that are right and joined to
  others that are (``problems/sketches/credit.py``), weighed as the plan says, to a hundredth of a
  point.  What can be copied or guessed, such as a break, a slope or a level alone, earns nothing.
  The pieces are those of the student's sketch or of the right one, whichever has more, so that
  neither leaving out nor drawing too much pays;
* blank ("?", "-" and "idk" are): none; on paper ("see photo"): none until it is entered from there;
* unclear (not understood, or answered twice, differently, or made another thing of by a
  spreadsheet): none until a human settles it, and it is listed for that;
* every question stands alone: a wrong answer to one gives no claim on one that builds on it,
  since each asks about the circuit that is printed.  A right answer with a wrong reason loses
  the reason's points, which is a question of its own.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from hashlib import sha256

from ....problems.analysis.response import Facts, facts
from ....problems.grading.grade import grade, right_text
from ....problems.grading.said import is_blank, is_on_paper
from ....problems.hints.why_wrong import explanations
from ....problems.quantities.separators import decimal_sign
from ....problems.questions.model import (
    Earlier,
    Form,
    Mark,
    Problem,
    Question,
    Verdict,
    sketch_of,
)
from ....problems.sheets.model import Key, KeyItem
from ....problems.sketches.compare import compare
from ....problems.sketches.credit import share
from ....problems.sketches.weights import EVEN, SketchWeights
from ...language.errors import worded
from ...language.texts import Words
from ...phrases.answer_text import understood
from ...phrases.explaining import without_slips
from ..handins.cells import one_line
from ..handins.files import Answers
from .marks import ProblemMark, QuestionMark, QuestionOutcome, SettledAnswer, Slipped

MOST_TOLERANCE = Fraction(1, 2)
MOST_STRAYS = 20
"""Answers to questions that the sheet does not ask, as they are listed for the human."""

_OUTCOMES = {
    Verdict.RIGHT: QuestionOutcome.RIGHT,
    Verdict.ROUGH: QuestionOutcome.ROUGH,
    Verdict.WRONG: QuestionOutcome.WRONG,
    Verdict.UNCLEAR: QuestionOutcome.UNCLEAR,
}
_PERCENT = re.compile(r"(\d{1,4}(?:[.,]\d{1,4})?) *(%?)", re.ASCII)


@dataclass(frozen=True, slots=True)
class Decision:
    """What a human decided about an answer: its points, or what it should have read."""

    points: Fraction | None = None
    text: str = ""


def mark_answers(
    key: Key,
    answers: Answers,
    tolerance: Fraction | None = None,
    settled: Mapping[str, Decision] | None = None,
) -> tuple[ProblemMark, ...]:
    """Mark one hand-in.

    Every question of the key is graded once at most, whatever the hand-in holds, and the grader
    reads 1 KiB of an answer at most: so long is the work that a hand-in can make.

    Args:
        key: the sheet's key.
        answers: what was handed in.
        tolerance: a relative tolerance in place of those of the plan.
        settled: question number → what a human decided.
    """
    texts = dict(answers.answers)
    decimal = decimal_sign(text for given in texts.values() for text in given)
    doubts = dict(answers.doubts)
    return tuple(
        _problem(item, texts, decimal, tolerance, settled or {}, doubts) for item in key.items
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
    return [*found[:MOST_STRAYS], *([("…", f"and {more} more")] if more > 0 else [])]


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
        raise ValueError('a tolerance is a share such as "5 %" or 0.05, up to 50 %')
    return value


def _problem(
    item: KeyItem,
    texts: Mapping[str, tuple[str, ...]],
    decimal: str,
    tolerance: Fraction | None,
    settled: Mapping[str, Decision],
    doubts: Mapping[str, str],
) -> ProblemMark:
    problem = item.problem
    grading = _Grading(problem, item.weights, decimal)
    marks = []
    for place, (question, of) in enumerate(
        zip(problem.questions, item.points, strict=True), start=1
    ):
        number = f"{item.number}.{place}"
        if tolerance is not None and question.tolerance:
            question = replace(question, tolerance=tolerance)
        mark = QuestionMark(
            number=number,
            rung=question.rung.value,
            form=question.form.value,
            of=of,
            points=Fraction(0),
            verdict=QuestionOutcome.BLANK,
            answer=grading.right(question),
        )
        typed = texts.get(number, ())
        given = tuple(text for text in typed if not is_blank(text))
        given = tuple(text for text in given if not is_on_paper(text)) or given[:1]
        mark = replace(mark, typed=as_typed(typed))
        decision = settled.get(number)
        if decision and decision.text:
            mark = replace(
                grading.marked(question, mark, decision.text), settled=SettledAnswer.TEXT
            )
            mark = replace(mark, typed=as_typed(typed))
        elif len(given) > 1:
            mark = replace(
                mark,
                verdict=QuestionOutcome.UNCLEAR,
                trouble=f"it is answered {len(given)} times, with different answers",
            )
        elif given and is_on_paper(given[0]):
            mark = replace(mark, verdict=QuestionOutcome.PAPER)
        elif given and number in doubts:
            mark = replace(mark, verdict=QuestionOutcome.UNCLEAR, trouble=doubts[number])
        elif given:
            mark = replace(grading.marked(question, mark, given[0]), typed=as_typed(typed))
        if decision and decision.points is not None:
            mark = _decided(mark, decision.points)
        marks.append(mark)
    return ProblemMark(
        number=item.number,
        title=item.title,
        family=problem.family,
        level=problem.level,
        task=problem.task.value,
        questions=tuple(marks),
    )


def _decided(mark: QuestionMark, points: Fraction) -> QuestionMark:
    """A mark with the points that a human gave."""
    full = points == mark.of
    return replace(
        mark,
        points=points,
        verdict=QuestionOutcome.RIGHT if full else QuestionOutcome.WRONG,
        slips=() if full else mark.slips,
        trouble="",
        settled=SettledAnswer.POINTS,
    )


class _Grading:
    """Marks the answers to one problem's questions."""

    def __init__(self, problem: Problem, weights: SketchWeights, decimal: str) -> None:
        self._problem, self._weights, self._decimal = problem, weights, decimal
        self._facts: Facts | None = None
        self._right: list[Earlier] = []
        """What was answered right so far."""

    def right(self, question: Question) -> str:
        """The right answer as it is shown to the teacher; a choice by its letter too."""
        text = right_text(question)
        ids = [choice.id for choice in question.choices]
        if question.form is Form.CHOICE and text in ids:
            words = Words.load().choice(question, question.choices[ids.index(text)])
            return f"{chr(ord('a') + ids.index(text))}) {one_line(words)}"
        return text

    def marked(self, question: Question, mark: QuestionMark, text: str) -> QuestionMark:
        """The mark of an answer."""
        if self._facts is None:
            self._facts = facts(self._problem.ladder)
        try:
            setting = Words.load().setting(question, self._decimal)
            found = grade(self._problem, question, text, self._facts, setting)
            told = self._told(question, found)
        except Exception as error:  # one answer must not keep the others from being marked
            return replace(
                mark,
                verdict=QuestionOutcome.UNCLEAR,
                typed=as_typed([text]),
                trouble=f"the grader failed on it ({type(error).__name__}): please report this",
            )
        words = Words.load()
        right, pieces = _share(question, found, self._weights)
        return replace(
            mark,
            points=Fraction(round(mark.of * right * 100), 100)
            if 0 < right < 1
            else mark.of * right,
            verdict=_OUTCOMES[found.verdict],
            typed=as_typed([text]),
            understood=one_line(understood(question, found)),
            slips=tuple(Slipped(hit.slip, one_line(words.slip(hit))) for hit in found.slips),
            trouble=one_line(worded(found.trouble)),
            told=tuple(map(one_line, told)),
            pieces=pieces,
        )

    def _told(self, question: Question, mark: Mark) -> list[str]:
        """What is said of an answer beside the slips that explain it: pieces, or a fact."""
        pieces = Words.load().parts(question.rung, mark.parts)
        if mark.passed:
            self._right.append(Earlier(question.rung, question.truth))
            return pieces
        found = explanations(self._problem, question, mark, self._right)
        return [*pieces, *(s for s in without_slips(found[:1]) if not self._tells(s))]

    def _tells(self, sentence: str) -> bool:
        """Whether a sentence holds the right answer to a question for a figure."""
        answers = (right_text(q) for q in self._problem.questions if q.form in _FIGURES)
        return any(len(answer) > _FEW and answer in sentence for answer in answers)


_FIGURES = (Form.QUANTITY, Form.RATIO, Form.GAIN)
_FEW = 3
"""Characters of a figure that may well be part of a rule."""


def _share(
    question: Question, mark: Mark, weights: SketchWeights
) -> tuple[Fraction, tuple[int, int] | None]:
    """The share of the points that an answer earns, and a sketch's pieces."""
    full = Fraction(int(mark.passed))
    if question.form is not Form.SKETCH or not mark.parts:
        return full, None
    truth = sketch_of(question.truth)
    right = compare(truth, truth)
    count = max(sum(bool(EVEN.of(part)) for part in parts) for parts in (right, mark.parts))
    earned = sum(bool(EVEN.of(part)) and part.earns for part in mark.parts)
    if mark.passed:  # breaks may be drawn as one
        earned = count
    return share(right, mark.parts, weights), (earned, count)
