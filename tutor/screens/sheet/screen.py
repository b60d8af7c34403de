"""A problem sheet filled in on the screen: answers are taken, read and kept, and never marked."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content

from ...language.texts import speaker
from ...phrases import answer_text as saying
from ..answers.answering import AnswerControls
from ..answers.body import AnswerBody
from ..common import answer_notes
from ..common.frame import framed
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.problem_rungs import ProblemRungs
from ..common.topline import TopLine
from ..compat.untold import is_leaving
from .face import SheetFace
from .rungs import sheet_rungs

if TYPE_CHECKING:
    from ....problems.sheets.model import AskedQuestion
    from ...classroom.handins.filling import Filling


say = speaker("filling")


class SheetScreen(Leaving[None]):
    """One sheet.

    Args:
        filling: The sheet and what was answered.
        keep: Puts the answers where they last; raises ``OSError`` where it can't.
        file: The name of where that is.
    """

    CSS_PATH = "../common/climb.tcss"
    HELP = say("help.sheet")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("f4,ctrl+n", "step(1)", "question-next"),
        bound("f3,ctrl+b", "step(-1)", "question-before"),
        bound("pagedown", "turn(1)", "problem-next"),
        bound("pageup", "turn(-1)", "problem-before", show=False),
        bound("escape", "leave", "keep-and-leave"),
    ]

    def __init__(self, filling: Filling, keep: Callable[[], None], file: str) -> None:
        super().__init__()
        self.filling = filling
        self._keep, self._file = keep, file
        self.rungs, self.face = ProblemRungs(), SheetFace()
        self.body: AnswerBody[AskedQuestion] = AnswerBody(self.rungs, self.face)

    def compose(self) -> ComposeResult:
        """As the drill; the ladder shows the problems."""
        yield from framed(self.body)

    def on_mount(self) -> None:
        """Ask the first question that is open."""
        self._ask()
        self.body.notes.add("taken", "", say("ask.kept", file=self._file))

    def _ask(self) -> None:
        filling = self.filling
        asked = filling.asked
        many = (
            say("ask.point")
            if asked.points == 1
            else say("ask.points", points=f"{float(asked.points):g}")
        )
        prompt = answer_notes.of_question(answer_notes.prompt(asked))
        head = Content.styled(f"{asked.number}  ", "bold $ink-copper")
        tail = Content.styled(f"  ({many})", "$ink-quiet")
        self.body.ask(filling.basis, asked, Content.assemble(head, prompt, tail))
        self.body.wait(answer=True)
        self.body.controls.restore(filling.text)
        self.face.show_item(filling.item)
        self.face.show_exhibit(asked)
        self.rungs.show_problems(sheet_rungs(filling))
        sheet, top = filling.sheet, self.query_one(TopLine)
        top.about = say(
            "ask.about",
            title=sheet.heading.title,
            student=sheet.student.name or sheet.student.id or filling.name,
        )
        count = len(filling.places)
        top.place = say("ask.place", number=asked.number, given=len(filling.answers), count=count)

    @on(AnswerControls.Given)
    def _given(self, event: AnswerControls.Given) -> None:
        asked = self.body.answered(event)
        if asked is None:
            return
        given = self.filling.give(event.text)
        if given.trouble:
            said = say("ask.as-it-is", trouble=given.trouble)
            self.body.note("unclear", say("ask.unclear"), said)
            return
        self.body.notes.clear()
        kept = self._kept()
        last = self.filling.at == len(self.filling.places) - 1
        self.filling.go(self.filling.at + 1)
        self._ask()
        said = say("ask.taken") if given.text else say("ask.emptied")
        self.body.notes.add("taken", said, saying.taken(asked, given.text, given.understood))
        if not kept:
            return
        if last:
            self.body.notes.add("taken", "", self.summary)

    def _kept(self) -> bool:
        try:
            self._keep()
        except OSError as error:
            trouble = say("ask.unkept", trouble=error.strerror or type(error).__name__)
            self.filling.trouble = trouble
            if self.is_attached and not is_leaving(self.app):
                self.body.notes.add("unclear", "", trouble)
                self.notify(trouble, severity="error", timeout=20)
            return False
        self.filling.trouble = ""
        return True

    @property
    def summary(self) -> str:
        """What there is to hand in."""
        given, count = len(self.filling.answers), len(self.filling.places)
        return say("ask.done", file=self._file, given=given, count=count)

    def _take_draft(self) -> None:
        """What is typed and not given with Enter is an answer as well, if it can be read."""
        draft = self.body.controls.draft
        if self.body.asked is None or draft in ("", self.filling.text):
            return  # only Enter on an empty line takes an answer back
        before = dict(self.filling.answers)
        if self.filling.give(draft).trouble:
            self.filling.answers = before
        else:
            self._kept()

    def action_step(self, by: int) -> None:
        """To the question after or before."""
        self._take_draft()
        self.filling.go(self.filling.at + by)
        self.body.notes.clear()
        self._ask()

    def action_turn(self, by: int) -> None:
        """To the problem after or before."""
        self._take_draft()
        self.filling.turn(by)
        self.body.notes.clear()
        self._ask()

    def action_leave(self) -> None:
        """Keep everything and leave."""
        if self.is_active:
            self._take_draft()
        super().action_leave()

    def on_unmount(self) -> None:
        """However the program ends, what is typed is kept."""
        self._take_draft()

    def recover(self) -> None:
        """After a fault of the program: the same question, with what was typed."""
        draft = self.body.controls.draft
        self._ask()
        self.body.controls.restore(draft)
