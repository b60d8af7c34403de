"""The drill: one problem, climbed rung by rung."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on, work
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from ...problems.problem import Form, Mark, Verdict
from ..widgets.choices import Choices
from ..widgets.entry import Entry
from ..widgets.keyline import KeyLine
from ..widgets.notes import Notes
from ..widgets.rungs import RungLine, Rungs
from ..widgets.topline import TopLine
from ..wording import bound
from ..words import Words

if TYPE_CHECKING:
    from ..climb import Climb


class DrillScreen(Screen[None]):
    """Climbs one problem after another.

    Args:
        level: Level of the problems (``None``: the family's).
        family: Family of the problems (``None``: mixed).
        seed: Seed of the first problem.
    """

    BINDINGS = [
        bound("f2,question_mark", "hint", "hint", priority=True),
        bound("f3,ctrl+r", "show", "show"),
        bound("f4,ctrl+s", "skip", "skip"),
    ]

    def __init__(self, level: int | None, family: str | None, seed: int) -> None:
        super().__init__()
        self.level, self.family, self.seed = level, family, seed
        self.climb: Climb | None = None
        self.words = Words.load()

    def compose(self) -> ComposeResult:
        """Top line, circuit, ladder, question, notes, keys."""
        yield TopLine()
        with Container(id="body"):
            yield Static(id="circuit", markup=False)
            yield Rungs()
            with Container(id="side"):
                with Vertical(id="task"):
                    yield Static(id="prompt", markup=False)
                    yield Choices()
                    yield Entry()
                yield Notes()
        yield KeyLine()

    def on_mount(self) -> None:
        """Fetch the first problem while the first frame is painted."""
        self.query_one(Choices).display = False
        self.query_one(Entry).display = False
        self._fetch()

    @work(thread=True, exclusive=True)
    def _fetch(self) -> None:
        from ...problems.generator import generate
        from ..climb import Climb

        problem = generate(self.seed, family=self.family, level=self.level)
        self.app.call_from_thread(self._begin, Climb(problem))

    def _begin(self, climb: Climb) -> None:
        self.climb = climb
        from ..figures.schematic import draw

        self.query_one("#circuit", Static).update(
            Content("\n".join(draw(climb.problem.ladder, compact=True).lines))
        )
        self._ask()

    def _ask(self) -> None:
        climb = self.climb
        assert climb is not None
        self._ladder()
        if climb.done:
            return
        question = climb.current.question
        self.query_one("#prompt", Static).update(Content(self.words.prompt(question)))
        choices, entry = self.query_one(Choices), self.query_one(Entry)
        choices.display = question.form is Form.CHOICE
        entry.display = not choices.display
        if choices.display:
            choices.ask([self.words.choice(question, c) for c in question.choices])
            choices.focus()
        else:
            entry.ask(question.unit, lambda text: "")
            entry.line.focus()

    def _ladder(self) -> None:
        climb = self.climb
        assert climb is not None
        lines = [RungLine(self.words.title(s.question.rung), s.outcome) for s in climb.rungs]
        self.query_one(Rungs).show(lines, climb.position)

    @on(Choices.Submitted)
    def _chosen(self, event: Choices.Submitted) -> None:
        if self.climb and not self.climb.done:
            self._answer(self.climb.current.question.choices[event.index].id)

    @on(Entry.Submitted)
    def _typed(self, event: Entry.Submitted) -> None:
        self._answer(event.text)

    def _answer(self, text: str) -> None:
        if self.climb is None or self.climb.done:
            return
        mark = self.climb.answer(text)
        self._note(mark)
        if mark.passed:
            self._ask()

    def _note(self, mark: Mark) -> None:
        notes = self.query_one(Notes)
        match mark.verdict:
            case Verdict.RIGHT | Verdict.ROUGH:
                notes.clear()
                notes.add("right", self.words.title(mark.rung), mark.understood)
            case Verdict.WRONG:
                body = " ".join(self.words.slip(hit) for hit in mark.slips)
                notes.add("wrong", mark.understood, body)
            case Verdict.UNCLEAR:
                notes.add("unclear", "?", mark.trouble)
