"""The drill as plain lines: for pipes, screen readers, dumb terminals and scripts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ...problems.circuits.write import write_circuit
from ...problems.hints.redrawing import LOOK
from ...problems.questions.kinds import face_of
from ...problems.questions.model import Face, Form, Mark, Verdict
from ..figures.exhibit import exhibit
from ..language.errors import worded
from ..language.texts import fill
from ..learning.climb import Climb, Listener
from ..learning.course import HINT_LEVELS
from ..learning.full_circuit import spared
from ..phrases import answer_text as saying
from ..phrases import explaining
from ..phrases.exhibits import told
from ..phrases.redrawn import explained_lines, hinted_lines
from .lines import HINT, SHOW, EndOfInput, PlainLines

if TYPE_CHECKING:
    from ...problems.questions.exhibit import Exhibit
    from ...problems.questions.model import Problem, Question
    from ..learning.request import ProblemRequest
    from ..store.keeper import Keeper

_DISPLAY = "     "
"""What stands before the formulas of a worked solution."""
_CHART_ROWS = 12
_CHART_COLUMNS = 76
_EXHIBIT_ROWS = 20
"""Rows of what is read off; a chart that only shows takes fewer."""


@dataclass
class PlainDrill(PlainLines):
    """A drill on two streams; the problems after the first count on from its ``wish``."""

    wish: ProblemRequest | None = None

    def run(self, problems: Callable[[int], Problem], count: int, seed: int) -> None:
        """Climb some problems.

        The end of the input ends the drill politely, with what was reached.

        Args:
            problems: makes the i-th problem, from 0.
            count: how many to climb.
            seed: what they are made from; it is told, so that they can be asked for again.
        """
        self.say(self.ui("opening", count=count, seed=seed))
        self.say(self.ui("keys"))
        for i in range(count):
            problem = problems(i)
            climb = Climb(problem, self._listener(i), spare=spared(problem))
            try:
                self._climb(climb, i + 1, count)
            except EndOfInput:
                self.gap()
                self.say(self.ui("ended"))
                self._summary(climb)
                return

    def _listener(self, i: int) -> Listener | None:
        keeper, wish = self.keeper, self.wish
        return keeper.begin(wish.next(i)) if keeper is not None and wish is not None else None

    def _climb(self, climb: Climb, number: int, count: int) -> None:
        problem = climb.problem
        self.gap()
        self.say(
            self.ui("problem", number=number, count=count, level=problem.level, seed=problem.seed)
        )
        shown: Face | None = None
        while not climb.done:
            face = face_of(problem, climb.current.question)
            if face is not shown:
                if shown is not None:
                    self.gap()
                self.show(problem, face)
                shown = face
            self._rung(climb)
        if shown is not Face.CIRCUIT:
            self.gap()
            self.show(problem, Face.CIRCUIT)
        self._summary(climb)
        self.solve(problem)

    def show(self, problem: Problem, face: Face) -> None:
        """Show the circuit of a ``problem``, or what stands in its place (``face``)."""
        match face:
            case Face.CIRCUIT:
                self.say(self.ui("circuit"))
                self.lines(write_circuit(problem.ladder))
            case Face.BLANK:
                from ..drafting.gaps import blank_text

                self.say(fill("reverse", "plain.blank"))
                self.lines(blank_text(problem))
            case Face.NONE:
                return
            case _:
                self._response(problem, face)
                return
        self.say(self.ui("output"))
        if self.draw:
            from ..drafting.gaps import blanked
            from ..figures.schematic.draw import Schematic

            ladder, unknown = blanked(problem, face)
            drawing = Schematic(ladder, self.ascii, unknown=unknown).fold(self.width - 2)
            self.lines(drawing.text)

    def _response(self, problem: Problem, face: Face) -> None:
        """Tell a response in words; and draw it, if drawings are wanted."""
        from ...problems.analysis.response import facts
        from ..phrases.responses import lines

        known = facts(problem.ladder)
        self.say(fill("reverse", f"plain.{face.value}"))
        for line in lines(known, face):
            self.say(line, "  ", "  ")
        if self.draw:
            from ..figures import splane
            from ..figures.bode import chart as bode

            width = min(self.width - len(_DISPLAY), _CHART_COLUMNS)
            if face is Face.MAP:
                picture = splane.map(known, width, _CHART_ROWS, ascii=self.ascii)
            else:
                picture = bode.chart(known, width, _CHART_ROWS, ascii=self.ascii, bare=True)
            self.lines(picture.text, _DISPLAY)

    def _rung(self, climb: Climb) -> None:
        state = climb.current
        question = state.question
        self.gap()
        self.say(
            self.ui(
                "rung",
                number=climb.position + 1,
                count=len(climb.rungs),
                title=self.words.title(question.rung),
            )
        )
        self.ask(question)
        while state is not None and not climb.done and climb.current is state:
            typed = self.read()
            if not typed:
                climb.skip()
                self.mark("skipped", "")
            elif typed == HINT:
                self._hint(climb, question)
            elif typed == SHOW:
                climb.show()
                self.mark("shown", saying.right_words(question))
                self.reason(climb.problem, question, redrawn=state.hints >= LOOK)
            else:
                mark = climb.answer(typed)
                self._mark(climb, question, mark)
            self.say_if_unkept()

    def reason(self, problem: Problem, question: Question, *, redrawn: bool = False) -> None:
        """Write why the right answer to a question is right.

        Args:
            problem: the problem.
            question: which of its questions.
            redrawn: whether the circuit was written as it is at its ends already.
        """
        self.say(saying.reason(problem, question), "  ", "  ")
        if not redrawn:
            self._redrawn(problem, question)

    def _redrawn(self, problem: Problem, question: Question) -> None:
        """Write the circuit as it is at the ends that hints to a question speak of."""
        for line in hinted_lines(problem, question):
            self.say(line, "  ", "    ")

    def ask(self, question: Question) -> None:
        """Write a question, its choices and how an answer to it is typed.

        What it is asked about, if that is a curve or a map, comes first, once for all in a row
        that are asked about the same.
        """
        if question.exhibit is not None and question.exhibit != self._exhibit:
            self._tell(question.exhibit)
        self._exhibit = question.exhibit
        self.say(self.words.prompt(question))
        if question.form is Form.CHOICE:
            for letter, choice in zip("abcdefghijklmnopqrstuvwxyz", question.choices, strict=False):
                self.say(f"{letter}) {self.words.choice(question, choice)}", "  ", "     ")
        if form := self.words.form(question):
            self.say(form)

    _exhibit: Exhibit | None = field(default=None, init=False)
    """What was told last."""

    def _tell(self, shown: Exhibit) -> None:
        """Tell an exhibit in words; and draw it, if drawings are wanted."""
        head, *lines = told(shown)
        self.say(head)
        for line in lines:
            self.say(line, "  ", "     ")
        if self.draw:
            width = min(self.width - len(_DISPLAY), _CHART_COLUMNS)
            self.lines(exhibit(shown, width, _EXHIBIT_ROWS, ascii=self.ascii).text, _DISPLAY)
        self.gap()

    def _hint(self, climb: Climb, question: Question) -> None:
        before = climb.current.hints
        level = climb.hint()
        if before == HINT_LEVELS:
            self.say(self.ui("no-more-hints"))
            return
        self.say(
            f"{self.ui('hint', level=level)} {self.words.hint(climb.problem, question, level)}"
        )
        if level == LOOK:
            self._redrawn(climb.problem, question)

    def _mark(self, climb: Climb, question: Question, mark: Mark) -> None:
        said = saying.understood(question, mark)
        match mark.verdict:
            case Verdict.RIGHT:
                self.mark("right", said)
            case Verdict.ROUGH:
                self.mark("rough", self.ui("rough", typed=said, answer=mark.answer))
            case Verdict.UNCLEAR:
                self.mark("unclear", worded(mark.trouble))
            case Verdict.WRONG:
                self.mark("wrong", said)
                for line in self.words.parts(question.rung, mark.parts):
                    self.say(line, "  ", "  ")
                for sentence in explaining.of_mark(mark, climb.explanation):
                    self.say(sentence, "  ", "  ")
                for line in explained_lines(climb):
                    self.say(line, "  ", "    ")
                self.say(self.ui("again"), "  ", "  ")

    def _summary(self, climb: Climb) -> None:
        self.gap()
        for line in saying.summary_lines(climb):
            self.say(line)

    def solve(self, problem: Problem) -> None:
        """Write the worked solution of a problem."""
        from ...problems.analysis.response import facts
        from ...problems.solutions.solution import worked_solution
        from ...problems.solutions.step import WIDTH, View
        from ..figures.bode.chart import chart

        self.gap()
        self.say(self.ui("solution"))
        width = min(WIDTH, self.width - len(_DISPLAY))
        asked = {question.rung for question in problem.questions}
        steps = worked_solution(problem.ladder, width, self.ascii, asked)
        grown = max((step.breaks for step in steps), default=0)
        for number, step in enumerate(steps, 1):
            title, say, why = self.words.step(step)
            self.say(f"{number}. {title}")
            self.say(say, "   ", "   ")
            for i, block in enumerate("\n".join(step.display).split("\n\n")):
                if i:
                    self.gap()
                self.lines(block, _DISPLAY)
            # One picture of the lines, when they are complete, and one with the curve.
            lines = step.view is View.GAIN_LINES and step.breaks == grown
            if lines or step.view is View.CURVE:
                breaks = grown if lines else None
                grown = -1 if lines else grown
                known = facts(problem.ladder)
                picture = chart(known, width, _CHART_ROWS, ascii=self.ascii, breaks=breaks)
                self.lines(picture.text, _DISPLAY)
            self.say(why, "   ", "   ")


def drill(wish: ProblemRequest, count: int, width: int, draw: bool, keeper: Keeper) -> None:
    """Drill on standard input and output: the problem of a wish and those after it.

    Args:
        wish: the first problem.
        count: how many to climb.
        width: columns of a line.
        draw: whether circuits are drawn, too.
        keeper: who keeps the record; it is closed at the end.
    """
    lines = PlainDrill.on_standard_streams(width, draw, keeper)
    lines.wish = wish
    with lines.kept():
        lines.run(lambda i: wish.next(i).problem(), count, wish.seed)
