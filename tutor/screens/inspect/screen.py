"""The inspection drill: one circuit, one question, one key, and the next circuit.

A right answer has the next circuit painted at once.  A wrong one stays until it has been read.
Keys count from the moment at which their circuit has been painted: what was pressed before it, or
sooner after it than anybody sees, is an answer to nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from enum import Enum, auto
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from ....problems.hints.look import look_hint
from ....problems.questions.looks import TYPES, Look
from ...figures.looks.explained import explained
from ...figures.looks.face import face
from ...figures.looks.page import RoundFigures, round_page
from ...language.ascii import ascii_screen
from ...language.errors import worded
from ...language.texts import fill
from ...learning.request import UNMAKEABLE
from ...learning.rounds import LookResult, Round
from ...phrases import looks as phrases
from ..common.frame import framed
from ..common.giving_way import give_way
from ..common.keys import bound
from ..common.notes import SIGNS
from ..common.onward import OnwardLine
from ..common.session import keeper_of, now_in
from ..common.topline import TopLine
from ..common.unsaved import Unsaved
from .captions import captions
from .prompt import LookPrompt
from .strip import ChoiceStrip
from .view import LookView

if TYPE_CHECKING:
    from ...store.keeper import Keeper

RoundMaker = Callable[["Keeper | None", datetime], Round]
"""Makes the next round for the keeper of a record (``None``: nothing is kept) and the time."""

_POINTED = 2
"""The level of hints from which on the parts that they speak of are pointed out."""
_LETTERS = "abcdefghi"


class InspectPhase(Enum):
    """What the screen waits for."""

    ROUND = auto()
    ANSWER = auto()
    TAKEN = auto()
    ONWARD = auto()
    PAGE = auto()


class InspectScreen(Screen[None]):
    """One round of looks after another; ``rounds`` makes them, beside the screen."""

    CSS_PATH = "inspect.tcss"
    HELP = fill("inspect", "help")
    ABOUT: ClassVar[str] = fill("inspect", "about")
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("f2,question_mark", "hint", "hint"),
        bound("f3,ctrl+r", "show", "show"),
        bound("escape", "start", "start"),
        bound("pageup", "leaf(-1)", "leaf-page", show=False),
        bound("pagedown", "leaf(1)", "page"),
    ]

    UNSEEN: ClassVar[float] = 0.15
    """Seconds after the paint of a circuit in which nobody has seen it yet."""
    UNREAD: ClassVar[float] = 0.4
    """Seconds after the paint of an explanation in which nobody has read it yet."""

    def __init__(self, rounds: RoundMaker) -> None:
        super().__init__()
        self._rounds = rounds
        self.round: Round | None = None
        self.phase = InspectPhase.ROUND
        self._painted: float | None = None
        self._shown = 0  # counts what was put on the screen, so that a late paint stamps nothing
        self._keys: dict[str, str] = {}
        self._tick = ""
        self._example: Look | None = None
        """What is shown worked after the explanation that is being read."""

    def compose(self) -> ComposeResult:
        """Top line, question, picture, what is said, choices, keys."""
        said = Static(id="said", markup=False)
        asked = Container(LookPrompt(), LookView(), said, OnwardLine(), id="inspect")
        yield from framed(asked, ChoiceStrip(), Unsaved())

    def on_mount(self) -> None:
        """Paint, and have the first round made."""
        self.query_one(TopLine).about = self.ABOUT
        self.fetch()

    def fetch(self) -> None:
        """Begin a round as soon as it is made."""
        self.round, self._tick = None, ""
        self.query_one(LookPrompt).say(fill("inspect", "fetching"))
        self.query_one(LookView).show(None)
        self.query_one(ChoiceStrip).ask({})
        self.query_one(TopLine).place = ""
        self._wait_for(InspectPhase.ROUND)
        # Both at once would share the interpreter's lock, and the key be seen the later for it.
        self.query_one(LookView).call_after_refresh(self._make)

    @work(thread=True, exclusive=True, group="round")
    def _make(self) -> None:
        try:
            made = self._rounds(keeper_of(self.app), now_in(self.app))
        except UNMAKEABLE as error:
            self.call_later(self._failed, worded(error))
        else:
            self.call_later(self._ready, made)

    def _ready(self, made: Round) -> None:
        self.round = made
        self._tick = fill("inspect", "again") if made.events else ""
        self._ask()

    def _failed(self, why: str) -> None:
        self.query_one(LookPrompt).say(fill("inspect", "failed", [("why", why)]))

    # Asking

    @property
    def look(self) -> Look | None:
        """What is asked, or was asked last; ``None`` between two rounds."""
        step = self.round.step if self.round is not None else None
        return step.look if step is not None else None

    def _ask(self) -> None:
        """Put the look that the round has come to on the screen."""
        look, asked = self.look, self.round
        if asked is None or look is None:
            self.page()
            return
        self._keys = dict(zip(look.row.keys, look.answers, strict=True))
        if look.row.first_key == 1:
            self._keys |= dict(zip(_LETTERS, look.answers, strict=False))
        self.query_one(LookPrompt).say(phrases.prompt(look, seen=True), self._tick)
        self.query_one(LookView).show(partial(face, look, ascii=ascii_screen()))
        self.query_one(ChoiceStrip).ask(phrases.offered(look))
        scaffold = asked.step is not None and asked.step.scaffold
        number = asked.number + (0 if scaffold else 1)
        values = [("number", number), ("count", asked.length)]
        self.query_one(TopLine).place = fill("inspect", "ends" if scaffold else "place", values)
        self._wait_for(InspectPhase.ANSWER)

    def _wait_for(self, phase: InspectPhase, onward: str = "") -> None:
        """Show what this phase needs; keys count once that has been painted."""
        self.phase, self._painted = phase, None
        line, said = self.query_one(OnwardLine), self.query_one("#said", Static)
        reading = phase in (InspectPhase.ONWARD, InspectPhase.PAGE)
        if line.display is not reading:
            line.display = reading
        if phase in (InspectPhase.ANSWER, InspectPhase.ROUND, InspectPhase.PAGE):
            said.display = False
        if reading:
            line.text = fill("inspect", onward)
            line.focus()
        else:
            self.set_focus(None)
        self.query_one(ChoiceStrip).display = phase is not InspectPhase.PAGE
        self.refresh_bindings()
        self._shown += 1
        # By way of the widget: asked of the screen itself, this would come before its paint.
        self.query_one(LookView).call_after_refresh(self._stamp, self._shown)

    def _stamp(self, shown: int) -> None:
        """What was put on the screen has been painted."""
        if shown == self._shown:
            self._painted = events.Event().time
            self.refresh_bindings()  # whether there is more to see is known only now

    def on_resize(self) -> None:
        """In a window of another size there may be more, or no more, to scroll to."""
        self.call_after_refresh(self.refresh_bindings)

    def _seconds(self, pressed: float, least: float) -> float | None:
        """Seconds from the paint to a key; ``None`` for a key that came before it was seen."""
        if self._painted is None or pressed - self._painted < least:
            return None
        return pressed - self._painted

    def on_key(self, event: events.Key) -> None:
        """A key of a choice answers."""
        key = event.character or event.key
        if self.phase is InspectPhase.ANSWER and key in self._keys:
            event.stop()
            self._take(self._keys[key], event.time)

    @on(ChoiceStrip.Pressed)
    def _clicked(self, message: ChoiceStrip.Pressed) -> None:
        if self.phase is InspectPhase.ANSWER and message.key in self._keys:
            self._take(self._keys[message.key], message.time)

    @on(LookView.Chosen)
    def _pointed(self, message: LookView.Chosen) -> None:
        look = self.look
        if self.phase is InspectPhase.ANSWER and look and message.place < len(look.answers):
            self._take(look.answers[message.place], message.time)

    def _take(self, choice: str, pressed: float) -> None:
        """Show at once which key was taken; what follows from it is worked out after that paint."""
        seconds, look = self._seconds(pressed, self.UNSEEN), self.look
        if look is None or seconds is None:
            return
        self.phase = InspectPhase.TAKEN
        strip = self.query_one(ChoiceStrip)
        strip.press(look.row.keys[look.answers.index(choice)])
        strip.call_after_refresh(self._answer, choice, seconds)

    async def _answer(self, choice: str, seconds: float) -> None:
        await give_way()
        asked = self.round
        if asked is None or self.phase is not InspectPhase.TAKEN:
            return
        result = asked.answer(choice, seconds)
        self._told()
        self.tell(result, choice, seconds)

    def tell(self, result: LookResult, choice: str, seconds: float) -> None:
        """Say what the ``choice`` made in so many ``seconds`` after the paint was worth, or go on.

        ``result`` is what the answer did; the choice is told by its id.
        """
        asked = self.round
        assert asked is not None
        if not result.right:
            self._explain(result)
        elif result.slow:
            look = result.step.look
            values = [("answered", phrases.choice(look, choice)), ("seconds", f"{seconds:.1f}")]
            self._say("right", fill("inspect", "slow", values), phrases.why(look))
            self._read(result)
        else:
            self._tick = f"✓ {fill('inspect', 'right', [('seconds', f'{seconds:.1f}')])}"
            asked.next()
            self._ask()

    def _told(self) -> None:
        """Say if nothing is being kept."""
        keeper = keeper_of(self.app)
        self.query_one(Unsaved).say(keeper.trouble if keeper is not None else "")

    # Reading

    def _say(self, kind: str, head: str, body: str) -> None:
        sign, style = SIGNS[kind]
        said = self.query_one("#said", Static)
        said.update(Content.assemble((f"{sign} {head}", f"bold {style}"), f"  {body}"))
        said.display = True

    def _explain(self, result: LookResult) -> None:
        """Why the answer cannot be right: in words, and in the circuit itself."""
        look, fact = result.step.look, result.explained
        assert fact is not None
        answered = phrases.choice(look, result.answered)
        head = fill("inspect", "wrong", [("answered", answered)])
        self._say("wrong", head, phrases.counter(look, fact))
        above = captions(look, fact, result.answered)
        drawer = partial(explained, look, fact, above, ascii=ascii_screen())
        self.query_one(LookView).show(drawer)
        self._example = look if result.example else None
        self._read(result)

    def _work(self, look: Look) -> None:
        """The look that was just misjudged, worked from the principle to the answer."""
        self._say("example", fill("inspect", "worked"), phrases.worked(look))
        self.query_one(LookView).show(partial(face, look, ascii=ascii_screen()))
        self._wait_for(InspectPhase.ONWARD, "onward")

    def _read(self, result: LookResult) -> None:
        """Close the choices, say which was right, and wait until all has been read."""
        look = result.step.look
        self.query_one(ChoiceStrip).judge(look.row.keys, look.answers, result.answered, look.truth)
        self.query_one(LookPrompt).say(phrases.prompt(look, seen=True))
        self._tick = ""
        self._wait_for(InspectPhase.ONWARD, "onward")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Hints and answers are for a look that is being asked."""
        if action in ("hint", "show"):
            return self.phase is InspectPhase.ANSWER
        if action == "leaf":
            view = self.query_one(LookView)
            return view.picture.height > view.size.height
        if action == "start":
            return self.app.screen_stack[0] is not self
        return True

    def action_hint(self) -> None:
        """Show the next hint; the look no longer counts as cold."""
        look, asked = self.look, self.round
        if look is None or asked is None or self.phase is not InspectPhase.ANSWER:
            return
        before = asked.hints
        level = asked.hint()
        if level == before:
            self._say("hint", *(fill("inspect", f"no-more-hints{part}") for part in ("", "-body")))
        else:
            head = fill("inspect", "hint", [("level", level)])
            self._say("hint", head, phrases.hint(look, level))
        if level >= _POINTED:
            pointed = partial(face, look, ascii=ascii_screen(), marked=look_hint(look).focus)
            self.query_one(LookView).show(pointed)

    def action_show(self) -> None:
        """Show the answer and its reason, and wait until they have been read."""
        look, asked = self.look, self.round
        if look is None or asked is None or self.phase is not InspectPhase.ANSWER:
            return
        result = asked.show()
        self._told()
        head = fill("inspect", "shown", [("answered", phrases.choice(look, look.truth))])
        self._say("shown", head, phrases.why(look))
        self._read(result)

    @on(OnwardLine.Pressed)
    def _onward(self, message: OnwardLine.Pressed) -> None:
        asked = self.round
        if asked is None or self._seconds(message.time, self.UNREAD) is None:
            return
        if self.phase is InspectPhase.PAGE:
            self.fetch()
        elif self._example is not None:
            worked, self._example = self._example, None
            self._work(worked)
        elif self.phase is InspectPhase.ONWARD:
            asked.next()
            self._ask()

    # The page of a round

    def page(self) -> None:
        """What the round came to."""
        asked = self.round
        if asked is None:
            return
        page = asked.page()
        words = {kind: fill("looks", f"type.choices.{kind}") for kind in TYPES}
        pairs = [
            tuple((look, phrases.choice(look, look.truth)) for look in pair) for pair in page.pairs
        ]
        figures = RoundFigures(
            page.asked,
            page.right,
            page.seconds,
            page.confusions,
            [(one, other) for one, other in pairs],
            words,
        )
        self.query_one(LookPrompt).say(fill("inspect", "over"))
        self.query_one(LookView).show(partial(round_page, figures, ascii=ascii_screen()))
        self.query_one(TopLine).place = ""
        self._wait_for(InspectPhase.PAGE, "onward-round")

    def action_leaf(self, way: int) -> None:
        """Scroll the picture by a page, where it is larger than its room."""
        view = self.query_one(LookView)
        view.scroll_relative(y=way * max(1, view.size.height - 1), animate=False)

    def action_start(self) -> None:
        """Back to the opening screen; what was answered is kept."""
        if self.is_active and self.app.screen_stack[0] is not self:
            self.app.pop_screen()
