"""Where answers are given: one control for each form of answer, the one in use shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from ....problems.circuits.model import Ladder
from ....problems.questions.kinds import OF_CIRCUITS
from ....problems.questions.model import Form, Mark, Posed, Question, Rung, Verdict, sketch_of
from ...language.ascii import ascii_screen
from ...language.texts import Words
from ...learning.basis import AnswerBasis
from ...phrases import answer_text as saying
from ..common.keys import bound
from ..pictures.circuit import ROOMY
from .choices import Choices, Drawer
from .entry import MAX_TYPED, AnswerInput, TypingLine

if TYPE_CHECKING:
    from ...figures.canvas.picture import Picture
    from ..sketchpad.pad import Pad

_ROWS_LOW, _ROWS_TALL = 3, 9
"""Rows of a formula drawn under the line it is typed on; more would push the notes out."""


class AnswerControls(Vertical):
    """The controls an answer is given by; whatever they are, it is submitted as text."""

    BINDINGS: ClassVar[list[BindingType]] = [bound("tab", "read_off", "read-off")]

    class Given(Message):
        """An answer was submitted; ``serial`` says to which question.

        Keys can come faster than marks: an answer to a question already left is to be dropped.
        """

        def __init__(self, text: str, serial: int) -> None:
            super().__init__()
            self.text, self.serial = text, serial

    def __init__(self) -> None:
        super().__init__()
        self._question: Posed | None = None
        self._crossed: set[int] = set()
        self._used: Widget | None = None
        self._pads: dict[Rung, Pad] = {}
        self.serial = 0

    def compose(self) -> ComposeResult:
        """The controls."""
        yield Choices()
        yield TypingLine()

    @property
    def control(self) -> Widget:
        """The control of the question last asked."""
        asked = self._question
        if asked is not None and asked.form is Form.SKETCH:
            return self._pad(asked.rung)
        choosing = asked is not None and asked.form is Form.CHOICE
        return self.query_one(Choices) if choosing else self.query_one(TypingLine)

    @property
    def pad(self) -> Pad | None:
        """The pad being drawn on, if the question last asked is answered by drawing."""
        asked = self._question
        return self._pad(asked.rung) if asked is not None and asked.form is Form.SKETCH else None

    def _pad(self, rung: Rung) -> Pad:
        """The pad of a sketch; made when first needed, for most problems ask for none."""
        pad = self._pads.get(rung)
        if pad is None:
            from ..sketchpad.map import MapPad
            from ..sketchpad.plots import GainPad, PhasePad

            kinds = {Rung.GAIN_SKETCH: GainPad, Rung.PHASE_SKETCH: PhasePad}
            pad = self._pads[rung] = kinds.get(rung, MapPad)()
            self.mount(pad)
        return pad

    def ask(self, basis: AnswerBasis, question: Posed) -> None:
        """Ready an empty control for a ``question`` whose answers are read by a ``basis``."""
        words, self._question, self._crossed = Words.load(), question, set()
        self.serial += 1
        control = self.control
        self._used = control.line if isinstance(control, TypingLine) else control
        # Circuits to choose from want a wider column, where there is one to spare.
        self.screen.set_class(question.rung in OF_CIRCUITS, "-offering")
        if question.form is Form.CHOICE:
            said = [words.choice(question, c) for c in question.choices]
            self.query_one(Choices).ask(said, _drawings(question))
        elif self.pad is not None:
            self.pad.ask(None if question.rung is Rung.MAP_SKETCH else basis.paper)
        else:
            placeholder = words.ui(f"drill.ask.{question.form.value}", unit=question.unit)
            self.query_one(TypingLine).ask(
                placeholder,
                lambda typed: self._echo(basis, question, typed),
                drawn=question.form is Form.FORMULA,
            )

    @property
    def _readable(self) -> Widget | None:
        """The exhibit of the question, where a marker can be moved over it."""
        if self._question is None or self._question.exhibit is None:
            return None
        # By its name: what draws it is loaded with the first question that needs it.
        for found in self.screen.query("ExhibitView"):
            if found.can_focus:
                return found
        return None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only of an exhibit something can be read off."""
        return action != "read_off" or self._readable is not None

    def action_read_off(self) -> None:
        """Give the keys to the marker on the exhibit."""
        if (exhibit := self._readable) is not None:
            exhibit.focus()

    def nothing(self) -> None:
        """There is no question: no control is shown."""
        self._question = None

    def set_open(self, is_open: bool) -> None:
        """Show the control of the question, and take answers or not."""
        control = self.control if self._question is not None else None
        for child in self.query_children(Widget):
            child.display = child is control
            # Those that are hidden stay shut: opening and shutting styles all there is in them.
            child.disabled = not (is_open and child is control)
        # A drawing wants all the room there is: the looks give it that.
        self.screen.set_class(self.pad is not None, "-drawing")

    def take_keys(self) -> None:
        """Give the keys to the control in use."""
        control = self.control
        (control.line if isinstance(control, TypingLine) else control).focus()

    def marked(self, text: str, mark: Mark) -> None:
        """Show on the control what became of the answer ``text`` to the question: its ``mark``."""
        pad = self.pad
        if pad is not None and mark.parts:
            if not pad.work.touched:  # marked before the learner left
                pad.restore(mark.typed)
            pad.judge(mark.parts)
        if mark.verdict is not Verdict.WRONG:
            return
        control, asked = self.control, self._question
        if isinstance(control, Choices) and asked is not None:
            ids = [choice.id for choice in asked.choices]
            found = saying.choice_of(asked, mark)
            chosen = found.id if found is not None else text
            if chosen in ids:
                self._crossed.add(ids.index(chosen))
            control.cross(self._crossed)
        elif isinstance(control, TypingLine):
            control.line.action_select_all()  # the next try replaces this one

    @property
    def draft(self) -> str:
        """What is typed or picked and not submitted; "" for nothing.

        It can still be asked for while the screen is being closed.
        """
        used, asked = self._used, self._question
        if isinstance(used, Choices) and asked is not None and used.picked is not None:
            return asked.choices[used.picked].id
        if isinstance(used, AnswerInput):
            return used.value
        return self.pad.draft if self.pad is not None else ""

    def restore(self, draft: str) -> None:
        """Type or pick again what a draft says."""
        control, asked = self.control, self._question
        if isinstance(control, Choices) and asked is not None:
            ids = [choice.id for choice in asked.choices]
            if draft in ids:
                control.action_pick(ids.index(draft))
        elif self.pad is not None:
            self.pad.restore(draft)
        elif isinstance(control, TypingLine):
            control.line.value = draft[:MAX_TYPED]
            control.line.action_end()

    def come_back(self, draft: str, marks: Sequence[Mark]) -> None:
        """Put back what stood there when one left: a ``draft``, and the ``marks`` so far."""
        if self.pad is not None:  # the verdicts on a sketch stay on what the draft leaves alone
            for mark in marks[-1:]:
                self.marked(mark.typed, mark)
            self.restore(draft)
            return
        self.restore(draft)
        for mark in marks:
            if isinstance(self.control, Choices) or mark.typed == draft:
                self.marked(mark.typed, mark)

    def reveal(self, question: Question) -> None:
        """Show the right answer on the control, once the learner has asked for it."""
        control = self.control
        if isinstance(control, Choices):
            control.reveal([choice.id for choice in question.choices].index(str(question.truth)))
        elif self.pad is not None:
            self.pad.reveal(sketch_of(question.truth))

    def _echo(self, basis: AnswerBasis, question: Posed, typed: str) -> Content:
        width = max(20, self.query_one(TypingLine).size.width - 4)
        if len(self.query_one(TypingLine).line.value) >= MAX_TYPED:
            return Content(Words.load().ui("drill.longest", limit=MAX_TYPED))
        lines = saying.echo(basis, question, typed, width)
        if not lines:
            return Content()
        read, *drawn = lines
        rows = _ROWS_LOW if self.screen.size.height < ROOMY else _ROWS_TALL
        shown = [Content(line) for line in drawn] if len(drawn) <= rows else []
        return Content("\n").join([Content(Words.load().ui("drill.echo", shown=read)), *shown])

    @on(Choices.Submitted)
    def _chosen(self, event: Choices.Submitted) -> None:
        event.stop()
        asked, control = self._question, self.control
        # Another kind of question may have come meanwhile, and left this list's number as it was.
        if asked is not None and isinstance(control, Choices) and event.serial == control.serial:
            self.post_message(self.Given(asked.choices[event.index].id, self.serial))

    @on(TypingLine.Submitted)
    def _typed(self, event: TypingLine.Submitted) -> None:
        event.stop()
        control = self.control
        if isinstance(control, TypingLine) and event.serial == control.serial:
            self.post_message(self.Given(event.text, self.serial))

    def on_pad_submitted(self, event: Pad.Submitted) -> None:
        """A sketch was submitted, in the words of an answer."""
        event.stop()
        if self.pad is not None and event.serial == self.pad.serial:
            self.post_message(self.Given(event.text, self.serial))


def _drawings(question: Posed) -> Drawer | None:
    """What draws the choices of a question, if they are circuits."""
    if question.rung not in OF_CIRCUITS:
        return None
    from ....problems.questions.values import value_of
    from ...figures.looks.board import Room, Shown, drawn_alike

    circuits = [Shown(value_of(choice.values, "circuit", Ladder)) for choice in question.choices]
    plain = ascii_screen()

    def drawn(width: int, height: int) -> Sequence[Picture | None]:
        return drawn_alike(circuits, [Room(0, 0, width, height)] * len(circuits), ascii=plain)

    return drawn
