"""One problem's answers, graded: each with its verdict, its points, its slips and its sentences.

The answers to one problem belong together: a wrong one is held against what was answered right
before it, and may be right for one before it that was wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ....problems.analysis.response import Facts, facts
from ....problems.grading.follow_through import OwnAnswer, followed, own_answer
from ....problems.grading.grade import fitting, grade, right_text
from ....problems.grading.setting import Setting
from ....problems.hints.why_wrong import explanations
from ....problems.questions.model import (
    Earlier,
    Form,
    Mark,
    Question,
    Rung,
    Verdict,
    sketch_of,
)
from ....problems.sheets.marking_rules import ALL, MarkingRules
from ....problems.sheets.model import KeyItem
from ....problems.sketches.compare import compare
from ....problems.sketches.credit import share
from ....problems.sketches.weights import EVEN, SketchWeights
from ...language.errors import worded
from ...language.texts import Words, speaker
from ...phrases.answer_text import understood
from ...phrases.explaining import without_slips
from ..handins.cells import one_line
from .marks import (
    QuestionMark,
    QuestionOutcome,
    SettledAnswer,
    Slipped,
    SuggestedAnswer,
    WiderMark,
)
from .suggested import parts_of_answer, readable

_say = speaker("marking")
_OUTCOMES = {
    Verdict.RIGHT: QuestionOutcome.RIGHT,
    Verdict.ROUGH: QuestionOutcome.ROUGH,
    Verdict.WRONG: QuestionOutcome.WRONG,
    Verdict.UNCLEAR: QuestionOutcome.UNCLEAR,
}
_FIGURES = (Form.QUANTITY, Form.RATIO, Form.GAIN, Form.LEVEL)
_FEW = 3
"""Characters of a figure that may well be part of a rule."""
_NAMED = (Rung.CORNER, Rung.Q, Rung.LOADED_Q, Rung.UNLOADED_Q, Rung.BANDWIDTH)
"""Answers that are called by their letter; others by the number of their question."""


@dataclass(frozen=True, slots=True)
class Leniency:
    """What the teacher allows beyond the plan, or short of it.

    Attributes:
        tolerance: a relative tolerance in place of the plan's.
        credit_slips: whether a wider one also credits what a known mistake gives.
    """

    tolerance: Fraction | None = None
    credit_slips: bool = False


@dataclass(frozen=True, slots=True)
class Decision:
    """What a human decided about an answer: its points, or what it should have read."""

    points: Fraction | None = None
    text: str = ""


def right_shown(question: Question) -> str:
    """The right answer as it is shown to the teacher; a choice by its letter too."""
    text = right_text(question)
    ids = [choice.id for choice in question.choices]
    if question.form is Form.CHOICE and text in ids:
        words = Words.load().choice(question, question.choices[ids.index(text)])
        return f"{chr(ord('a') + ids.index(text))}) {one_line(words)}"
    return text


class ProblemGrading:
    """Grades the answers to one problem's questions, in their order."""

    def __init__(
        self, item: KeyItem, rules: MarkingRules, leniency: Leniency, decimal: str
    ) -> None:
        """Take the ``item`` of a key, to be marked by the plan's ``rules``.

        Args:
            item: the problem and its points.
            rules: what earns which share of them.
            leniency: what the teacher allows beyond that.
            decimal: the sign that the hand-in's writer has for decimals, "" if that is not known.
        """
        self._problem, self._weights = item.problem, item.weights
        self._rules, self._leniency, self._decimal = rules, leniency, decimal
        self._known: Facts | None = None
        self._right: list[Earlier] = []
        """What was answered right so far."""
        self._signs: dict[Rung, str] = {}
        """The decimal sign of answers that a human has read, who is not the hand-in's writer."""

    @property
    def _facts(self) -> Facts:
        if self._known is None:
            self._known = facts(self._problem.ladder)
        return self._known

    def marked(self, question: Question, mark: QuestionMark, text: str) -> QuestionMark:
        """The ``mark`` of a ``question``, whose answer is ``text``, with what grading finds."""
        mark = replace(mark, typed=one_line(text))
        try:
            return self._marked(question, mark, text)
        except Exception as error:  # one answer must not keep the others from being marked
            return replace(
                mark,
                verdict=QuestionOutcome.UNCLEAR,
                trouble=_say("trouble.failed", error=type(error).__name__),
            )

    def corrected(self, question: Question, mark: QuestionMark, text: str) -> QuestionMark:
        """The ``mark`` of a ``question`` whose answer a human reads as ``text``.

        The student's decimal sign is not the teacher's: it helps only where nothing else does.
        """
        self._signs[question.rung] = ""
        found = self.marked(question, mark, text)
        if found.verdict is QuestionOutcome.UNCLEAR and self._decimal:
            del self._signs[question.rung]
            return self.marked(question, mark, text)
        return found

    def suggested(
        self,
        question: Question,
        mark: QuestionMark,
        given: Sequence[str],
        before: Decision | None,
    ) -> tuple[SuggestedAnswer, ...]:
        """What an answer that is unclear may mean, and what it would then come to.

        Args:
            question: what was asked.
            mark: its mark.
            given: the answers to it that were handed in.
            before: what a human decided about alike answers in another class.
        """
        right, texts = list(self._right), parts_of_answer(question, given)
        found = {text: self.corrected(question, mark, text) for text in texts}
        kept = [_suggested(t, found[t]) for t in readable(texts, lambda t: found[t].understood)]
        if before is not None:
            once = _suggested(before.text, self.corrected(question, mark, before.text))
            if before.points is not None:
                once = _suggested("", decided(mark, before.points))
            others = [one for one in kept if one.text != once.text]
            kept = [replace(once, before=True), *others]
        self._right = right  # nothing of it was answered
        self._signs.pop(question.rung, None)
        return tuple(kept)

    def _marked(self, question: Question, mark: QuestionMark, text: str) -> QuestionMark:
        relative = question.tolerance and question.form is not Form.LEVEL
        allowed = self._leniency.tolerance if relative else None
        narrower = allowed is not None and allowed <= question.tolerance
        asked = replace(question, tolerance=allowed) if allowed and narrower else question
        found = self._graded(asked, mark, text)
        if allowed is None or narrower or found.verdict is not QuestionOutcome.WRONG:
            return found
        return self._wider(question, replace(question, tolerance=allowed), mark, found, text)

    def _wider(
        self,
        question: Question,
        wide: Question,
        mark: QuestionMark,
        strict: QuestionMark,
        text: str,
    ) -> QuestionMark:
        """The mark of an answer that is wrong by the plan's tolerance, by the wider one."""
        setting = self._setting(question)
        verdict = grade(self._problem, wide, text, self._facts, setting).verdict
        if verdict is Verdict.WRONG:
            return strict
        if verdict is Verdict.UNCLEAR:
            return self._graded(wide, mark, text)
        earned = points(mark.of, self._rules.verdict_points.of(verdict))
        wider = WiderMark(points=earned, without=strict.points)
        slips = fitting(self._problem, question, text, self._facts, setting)
        if slips:
            hit, value = slips[0]
            wider = replace(wider, slip=hit.slip, value=right_text(replace(question, truth=value)))
            if not self._leniency.credit_slips:
                return replace(strict, wider=wider)
        return replace(self._graded(wide, mark, text), wider=wider)

    def _setting(self, question: Question) -> Setting:
        return Words.load().setting(question, self._signs.get(question.rung, self._decimal))

    def _graded(self, question: Question, mark: QuestionMark, text: str) -> QuestionMark:
        words = Words.load()
        found = grade(self._problem, question, text, self._facts, self._setting(question))
        earned, pieces = self._share(question, found)
        return replace(
            mark,
            points=points(mark.of, earned),
            verdict=_OUTCOMES[found.verdict],
            understood=one_line(understood(question, found)),
            slips=tuple(Slipped(hit.slip, one_line(words.slip(hit))) for hit in found.slips),
            trouble=one_line(worded(found.trouble)),
            told=tuple(map(one_line, self._told(question, found))),
            pieces=pieces,
        )

    def _share(self, question: Question, found: Mark) -> tuple[Fraction, tuple[int, int] | None]:
        """The share of the points that an answer earns, and a sketch's pieces."""
        rules = self._rules
        earned = rules.verdict_points.of(found.verdict)
        if found.verdict is Verdict.WRONG:
            named = (hit.slip for hit in found.slips)
            earned = max(earned, rules.slip_points.best(named, question.form))
        if question.form is not Form.SKETCH or not found.parts:
            return earned, None
        drawn, pieces = _pieces(question, found, self._weights)
        return max(earned, drawn * rules.verdict_points.right), pieces

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

    def following(
        self, marks: Sequence[QuestionMark], texts: Sequence[str]
    ) -> tuple[QuestionMark, ...]:
        """The ``marks`` once more: wrong answers may be right for earlier ones.

        There is one for each question, in order, as there is of ``texts``; "" is no answer.
        """
        worth = self._rules.follow_through
        wrong = [mark.verdict is QuestionOutcome.WRONG for mark in marks]
        if not worth or not any(wrong):
            return tuple(marks)
        done: list[QuestionMark] = []
        own: list[tuple[OwnAnswer, QuestionMark]] = []
        for question, mark, text, is_wrong in zip(
            self._problem.questions, marks, texts, wrong, strict=True
        ):
            unsettled = text and mark.settled is None
            if unsettled and not mark.verdict.passed and any(o.wrong for o, _ in own):
                mark = self._followed(question, mark, text, own, worth)
            done.append(mark)
            if text and (is_wrong or mark.verdict.passed):
                known = own_answer(
                    *(self._problem, question, text, self._facts, self._setting(question)),
                    wrong=is_wrong,
                )
                own += [(known, mark)] if known is not None else []
        return tuple(done)

    def _followed(
        self,
        question: Question,
        mark: QuestionMark,
        text: str,
        own: Sequence[tuple[OwnAnswer, QuestionMark]],
        worth: Fraction,
    ) -> QuestionMark:
        earlier = [one for one, _ in own]
        setting = self._setting(question)
        found = followed(self._problem, question, text, self._facts, setting, earlier)
        if found is None:
            return mark
        sources = [m for one, m in own if one.question.rung in found.rungs]
        told = _say(
            "follow.as-slip" if mark.slips else "follow.right",
            own=_say("follow.and").join(map(_called, sources)),
        )
        return replace(
            mark,
            points=max(mark.points, points(mark.of, worth)),
            verdict=QuestionOutcome.WRONG,
            understood=mark.understood or one_line(found.shown),
            trouble="",
            # What contradicts it here is no help to whom it follows for; a sketch's pieces are.
            told=(one_line(told), *(mark.told if mark.pieces else ())),
            follows=tuple(source.number for source in sources),
        )


def _called(mark: QuestionMark) -> str:
    """An earlier answer, as it is named to whoever gave it."""
    rung = Rung(mark.rung)
    key = rung.value if rung in _NAMED else "other"
    return _say(f"own.{key}", value=mark.understood or mark.typed, number=mark.number)


def decided(mark: QuestionMark, points: Fraction) -> QuestionMark:
    """A ``mark`` with the ``points`` that a human gave."""
    full = points == mark.of
    return replace(
        mark,
        points=points,
        verdict=QuestionOutcome.RIGHT if full else QuestionOutcome.WRONG,
        slips=() if full else mark.slips,
        trouble="",
        settled=SettledAnswer.POINTS,
        wider=None,
    )


def _suggested(text: str, mark: QuestionMark) -> SuggestedAnswer:
    return SuggestedAnswer(text, mark.understood, mark.points, mark.verdict)


def points(of: Fraction, earned: Fraction) -> Fraction:
    """The points for a share of those that can be had, ``of``; a part of them to a hundredth.

    ``earned`` is the share.
    """
    if 0 < earned < ALL:
        return Fraction(round(of * earned * 100), 100)
    return of * earned


def _pieces(
    question: Question, mark: Mark, weights: SketchWeights
) -> tuple[Fraction, tuple[int, int]]:
    """The share of a sketch's pieces that are right, weighed; and how many are, of how many."""
    truth = sketch_of(question.truth)
    right = compare(truth, truth)
    count = max(sum(bool(EVEN.of(part)) for part in parts) for parts in (right, mark.parts))
    earned = sum(bool(EVEN.of(part)) and part.earns for part in mark.parts)
    if mark.passed:  # breaks may be drawn as one
        earned = count
    return share(right, mark.parts, weights), (earned, count)
