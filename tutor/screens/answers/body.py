"""Where questions are answered, on every screen that asks: the body between top and key line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Generic, TypeVar

from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from ....problems.questions.model import Posed
from ..common import answer_notes
from ..common.notes import Notes
from ..common.onward import OnwardLine
from ..common.rungs import Rungs
from ..common.unsaved import Unsaved
from .answering import AnswerControls
from .face import CircuitFace

if TYPE_CHECKING:
    from ...learning.basis import AnswerBasis
    from ...store.keeper import Keeper


Asked = TypeVar("Asked", bound=Posed)
"""What the questions of a screen are."""


class AnswerBody(Container, Generic[Asked]):
    """Ladder (``rungs``), ``face``, question, controls, notes, and what stands ``below`` them."""

    def __init__(self, rungs: Rungs, face: CircuitFace, *below: Widget) -> None:
        super().__init__(id="body")
        self._rungs, self._face, self._below = rungs, face, below
        self._prompt = Static(id="prompt", markup=False)
        self._unsaved = Unsaved()
        self.controls, self.onward, self.notes = AnswerControls(), OnwardLine(), Notes()
        self.asked: Asked | None = None
        self.open = False

    def compose(self) -> ComposeResult:
        """Everything; what is not wanted now is not displayed."""
        yield self._rungs
        yield self._face
        with Vertical(id="task"):
            yield self._prompt
            yield self.controls
            yield self.onward
        yield self.notes
        yield from self._below
        yield self._unsaved

    def ask(self, basis: AnswerBasis, question: Asked, prompt: Content | None = None) -> None:
        """Ask a question, in its own words or in others.

        Args:
            basis: What an answer is read and drawn by.
            question: What is asked.
            prompt: The words to ask it in, where they are not its own.
        """
        self.asked = question
        said = prompt or answer_notes.of_question(answer_notes.prompt(question))
        self._prompt.update(said)
        self.controls.ask(basis, question)

    def tell(self, text: str) -> None:
        """Say something where no question is asked."""
        self.asked = None
        self._prompt.update(Content(text))

    def wait(self, *, answer: bool = False, onward: str = "") -> None:
        """Wait for an ``answer``, or for Enter, as ``onward`` says; or for something else."""
        self.open = answer
        if self.asked is None:
            self.controls.nothing()
        self.controls.set_open(answer)
        self.onward.text = onward
        self.onward.display = bool(onward)
        if onward:
            self.onward.focus()
        elif answer:
            self.controls.take_keys()
        self.screen.refresh_bindings()

    def on_exhibit_view_read(self) -> None:
        """Something was read off: the keys are for the answer again."""
        if self.open:
            self.controls.take_keys()

    def answered(self, event: AnswerControls.Given) -> Asked | None:
        """The question that an answer belongs to; ``None`` if it has been left meanwhile."""
        return self.asked if self.open and event.serial == self.controls.serial else None

    def note(self, kind: str, head: str, body: str = "") -> None:
        """A note in the place of all others: its ``kind``, ``head`` and ``body``."""
        self.notes.clear()
        self.notes.add(kind, head, body)

    def say_if_unsaved(self, keeper: Keeper) -> None:
        """Say it when nothing is being kept."""
        self._unsaved.say(keeper.trouble or keeper.notice)
