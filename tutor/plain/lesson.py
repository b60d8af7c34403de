"""Lessons in plain lines: what will a change do, then what it did; looks at the end of a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...problems.circuits.write import write_circuit
from ...problems.hints.counterfact import counterfact
from ...problems.questions.looks import Look
from ..coach.lesson import LessonBook
from ..drafting.lesson import LOOKS, LessonWork
from ..drafting.lesson_pages import LessonPage, pages_of
from ..drafting.script import ScriptError, read_script
from ..figures.schematic.draw import Schematic
from ..language.errors import worded
from ..learning.next_look import RoundStep
from ..learning.rounds import LookResult
from ..phrases import lessons as saying
from ..phrases.bench import said
from ..phrases.redrawn import in_lines
from .inspect import PlainInspection
from .lines import SHOW, EndOfInput

_DRAWN_ROWS = 14


@dataclass
class PlainLesson(PlainInspection):
    """A level's lesson on two streams."""

    book: LessonBook = field(default_factory=LessonBook)

    def work(self, level: int) -> None:
        """Work the pages of a level, from where it was left on.

        The end of the input ends it politely; what was worked is kept.
        """
        self.book = LessonBook(self.keeper)
        pages = pages_of(level)
        title = saying.level_title(level)
        self.say(saying.say("plain.opening", level=level, title=title, count=len(pages)))
        first = pages.index(self.book.first(level))
        done = self.book.done(level)
        if done or first:
            self.say(saying.say("plain.again", done=done, count=len(pages), number=first + 1))
        try:
            for number, page in enumerate(pages[first:], first + 1):
                self._page_of(page, number, len(pages))
        except EndOfInput:
            self.gap()
            self.say(self.ui("ended"))
            left = self.book.done(level)
            self.say(saying.say("plain.left", done=left, count=len(pages)))
            return
        self.say(saying.say("plain.over", level=level))

    def _page_of(self, page: LessonPage, number: int, count: int) -> None:
        work = self.book.open(page)
        self.gap()
        title = saying.title(page)
        self.say(saying.say("plain.page", number=number, count=count, title=title))
        self.say(saying.text(page))
        if work.last is not None:
            self.say(saying.so_far(page, work.at, work.last))
        self._circuit(saying.say("plain.circuit"), work)
        while not work.done:
            if work.prediction is not None:
                self._foretell(work)
            elif work.free:
                self._free(work)
                work.go_on()
            elif work.look is not None:
                self._glance(work, work.look)
                work.go_on()
            self.book.keep(work)
            self.say_if_unkept()

    def _circuit(self, head: str, work: LessonWork) -> None:
        """What lies on the bench, as text, and what it does."""
        ladder = work.bench.version.ladder
        self.say(head)
        self.lines(write_circuit(ladder, "; "))
        if work.end is not None:
            for line in in_lines(ladder, [work.end]):
                self.say(line, "  ", "    ")
        if self.draw:
            drawing = Schematic(ladder, self.ascii, end=work.end)
            self.lines(drawing.fit(self.width - 2, _DRAWN_ROWS).text)
        if work.chart is not None:
            told = "; ".join(said(work.bench.version.facts))
            self.say(saying.say("plain.does", said=told))

    def _foretell(self, work: LessonWork) -> None:
        """Ask what the next change will do, then make it, and say why."""
        asked = work.prediction
        assert asked is not None
        self.gap()
        self.say(saying.asked(work.page, work.at, asked))
        self.offer(asked.keys, [saying.choice(asked, answer) for answer in asked.choices])
        answer = self._choice(asked.keys, asked.choices)
        self._told(answer, asked.truth, saying.told(asked, answer))
        work.move()
        self._circuit(saying.say("plain.after"), work)

    def _choice(self, keys: Sequence[str], choices: Sequence[str]) -> str:
        """The choice that was typed; "" where the answer is to be shown."""
        while True:
            typed = self.read()
            if typed in ("", SHOW):
                return ""
            if typed in keys:
                return choices[keys.index(typed)]
            self.mark("unclear", self.told("unclear", keys=", ".join(keys)))

    def _told(self, answer: str, truth: str, text: str) -> None:
        word = "skipped" if not answer else "right" if answer == truth else "wrong"
        self.mark(word, text.lstrip("✓✗ "))

    def _free(self, work: LessonWork) -> None:
        """Change it as one likes, a line each, until an empty line."""
        self.gap()
        self.say(saying.rule(work.page))
        part = work.bench.selected
        self.say(saying.say("plain.free", example=f"{part} x 2"))
        while typed := self.read():
            before = work.bench.version.ladder
            try:
                script = read_script(typed, before)
            except ScriptError as error:
                self.mark("unclear", "; ".join(worded(trouble) for trouble in error.troubles))
                continue
            work.bench.go_to(script.steps[-1].moment if script.steps else script.start)
            if work.bench.version.ladder == before:
                self.mark("unclear", saying.say("plain.no-change"))
            else:
                self._circuit(saying.say("plain.after"), work)

    def _glance(self, work: LessonWork, look: Look) -> None:
        """One of the looks at the end of a page."""
        self.gap()
        number = work.number
        assert number is not None
        self.say(saying.say("plain.look", number=number + 1, count=LOOKS))
        self.put(look)
        answer: str | None = None
        while answer is None:
            typed = self.read()
            if typed in ("", SHOW):
                self.show(look)
                return
            answer = self.chosen(look, typed)
        right = answer == look.truth
        fact = None if right else counterfact(look, answer)
        step = RoundStep(look)
        self._marked(look, LookResult(step, answer, right, fact, slow=right), silent=False)
