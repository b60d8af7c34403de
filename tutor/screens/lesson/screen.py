"""Lessons: what will a change do, then it is made and told why; changed freely; two looks."""

from __future__ import annotations

from enum import Enum, auto
from functools import partial
from typing import ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from ....problems.hints.counterfact import counterfact
from ...coach.lesson import LessonBook, after
from ...drafting.lesson import LOOKS, LessonWork
from ...drafting.lesson_pages import LessonPage, Turn, pages_of
from ...figures.looks.explained import explained
from ...figures.looks.face import face
from ...language.ascii import ascii_screen
from ...language.texts import fill, table
from ...phrases import lessons as saying
from ...phrases import looks as saying_looks
from ..common.frame import framed
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.onward import OnwardLine
from ..common.session import keeper_of
from ..common.topline import TopLine
from ..common.unsaved import Unsaved
from ..inspect.captions import captions
from ..inspect.prompt import LookPrompt
from ..inspect.strip import ChoiceStrip
from ..inspect.view import LookView
from .figures import LessonFigures


class LessonPhase(Enum):
    """What the screen waits for."""

    OPENING = auto()
    ASKED = auto()  # before a change
    TOLD = auto()  # after it
    FREE = auto()
    LOOK = auto()
    EXPLAINED = auto()


_key = partial(bound, file="lesson")
_TURNS = {
    Turn.TAP: "t",
    Turn.END: "e",
    Turn.SWAP: "x",
    Turn.TURN_OVER: "v",
    Turn.LOAD: "l",
    Turn.LOSS: "y",
    Turn.BUFFER: "b",
}
_WHERE_FREE = ("part", "turn", "undo", "change")


class LessonScreen(Leaving[None]):
    """The pages of the lessons from a ``level`` (from 1) on, or only ``one`` of them."""

    HELP = table("lesson")["help"]
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        *(_key(key, f"change('{turn.value}')", turn.value) for turn, key in _TURNS.items()),
        _key("down", "part(1)", "part"),
        _key("right,plus,equals_sign", "turn(1)", "turn"),
        _key("u,ctrl+z", "undo", "undo"),
        _key("n", "page(1)", "next-page"),
        _key("p", "page(-1)", "page-before"),
        _key("escape,f7,ctrl+l", "leave", "back"),
        _key("up", "part(-1)", "part-up", show=False),
        _key("left,minus", "turn(-1)", "turn-down", show=False),
        _key("pagedown", "scroll(1)", "scroll", show=False),
        _key("pageup", "scroll(-1)", "scroll-back", show=False),
    ]
    DEFAULT_CSS = """
    LessonScreen #lesson { layout: vertical; height: 1fr; padding: 0 1; }
    LessonScreen #lesson-words { height: auto; min-height: 5; max-height: 9; scrollbar-size: 1 1; }
    LessonScreen #lesson-words Static { height: auto; }
    LessonScreen.-tiny #lesson-words { overflow: hidden; }
    LessonScreen #lesson-asked { height: 2; }
    LessonScreen OnwardLine { height: 1; margin: 0; }
    LessonScreen LookPrompt { height: auto; }
    LessonScreen LookView { height: 1fr; display: none; }
    LessonScreen #said { height: auto; max-height: 6; display: none; }
    LessonScreen ChoiceStrip { height: auto; background: $surface; padding: 0 1; }
    LessonScreen.-looking #lesson-words, LessonScreen.-looking LessonFigures { display: none; }
    LessonScreen.-looking LookView, LessonScreen.-looking #said { display: block; }
    LessonScreen.-looking #lesson-asked { height: auto; }
    LessonScreen.-tall #lesson { padding: 1 3; }
    LessonScreen.-tall #lesson-words { max-height: 14; margin-bottom: 1; }
    LessonScreen.-tall #lesson-asked { margin-top: 1; }
    LessonScreen.-tall ChoiceStrip { padding: 1 3; }
    """

    def __init__(self, level: int, *, one: bool = False) -> None:
        super().__init__()
        self._level = level
        self._one = one
        self._book = LessonBook()
        self._told: Content = Content()
        self.work: LessonWork | None = None
        self.phase = LessonPhase.OPENING

    def compose(self) -> ComposeResult:
        """Top line, words, drawing, question, choices, keys."""
        text, said = Static(id="lesson-text", markup=False), Static(id="said", markup=False)
        page = (
            VerticalScroll(text, id="lesson-words", can_focus=False),
            LessonFigures(),
            LookView(),
            said,
            Container(LookPrompt(), OnwardLine(), id="lesson-asked"),
        )
        yield from framed(Container(*page, id="lesson"), ChoiceStrip(), Unsaved())

    def on_mount(self) -> None:
        """Paint, and ask the record where to go on."""
        self._wait_for(LessonPhase.OPENING)
        self._ask_record()

    @work(thread=True, group="lesson")
    def _ask_record(self) -> None:
        self.call_later(self._opened, LessonBook(keeper_of(self.app)))

    def _opened(self, book: LessonBook) -> None:
        """The record has said how far lessons have been worked."""
        self._book = book
        self.open(book.first(self._level))

    def open(self, page: LessonPage) -> None:
        """Open a page, as it was left."""
        self.work = self._book.open(page)
        self._level = page.level
        pages = pages_of(page.level)
        top = self.query_one(TopLine)
        top.about = saying.say("about", level=page.level, title=saying.title(page))
        top.place = saying.say("place", number=pages.index(page) + 1, count=len(pages))
        self._told = Content(saying.text(page))
        if self.work.last is not None:  # left after a change: which, and why it did what it did
            self._told = Content(saying.so_far(page, self.work.at, self.work.last))
        self._next()

    # Where it goes on

    def _next(self) -> None:
        """Show the step that the page has come to."""
        work = self.work
        assert work is not None
        if work.prediction is not None:
            self._ask(work)
        elif work.free:
            self._told = Content(saying.rule(work.page))
            self._wait_for(LessonPhase.FREE, "onward-free")
            self._show()
        elif work.look is not None:
            self._ask_look(work)

    def _ask(self, work: LessonWork) -> None:
        """Ask what the next change will do."""
        asked = work.prediction
        assert asked is not None
        self.query_one(LookPrompt).say(saying.asked(work.page, work.at, asked))
        words = {
            key: saying.choice(asked, answer)
            for key, answer in zip(asked.keys, asked.choices, strict=True)
        }
        self.query_one(ChoiceStrip).ask(words)
        self._wait_for(LessonPhase.ASKED)
        self._show()

    def _ask_look(self, work: LessonWork) -> None:
        """One of the two looks at the end of a page."""
        look, number = work.look, work.number
        assert look is not None and number is not None
        tick = saying.say("look", number=number + 1, count=LOOKS)
        self.query_one(LookPrompt).say(saying_looks.prompt(look), tick)
        self.query_one(LookView).show(partial(face, look, ascii=ascii_screen()))
        self.query_one(ChoiceStrip).ask(saying_looks.offered(look))
        self._wait_for(LessonPhase.LOOK)

    def _wait_for(self, phase: LessonPhase, onward: str = "", **values: object) -> None:
        """Show what this phase needs."""
        self.phase = phase
        looking = phase in (LessonPhase.LOOK, LessonPhase.EXPLAINED)
        self.set_class(looking, "-looking")
        self.query_one("#said").display = phase is LessonPhase.EXPLAINED
        line = self.query_one(OnwardLine)
        line.display = bool(onward)
        asking = phase in (LessonPhase.ASKED, LessonPhase.LOOK, LessonPhase.EXPLAINED)
        self.query_one(LookPrompt).display = asking
        strip = self.query_one(ChoiceStrip)
        strip.display = phase not in (LessonPhase.FREE, LessonPhase.OPENING)
        if onward:
            line.text = saying.say(onward, **values)
            line.focus()
        else:
            self.set_focus(None)
        self.refresh_bindings()

    def _show(self) -> None:
        """The words and the drawing."""
        work = self.work
        assert work is not None
        self.query_one("#lesson-text", Static).update(self._told)
        self.query_one("#lesson-words").scroll_home(animate=False)
        self.query_one(LessonFigures).show(work, turned=self.phase is LessonPhase.FREE)

    def _keep(self) -> None:
        """Keep how far the page has come, before it is shown."""
        assert self.work is not None
        self._book.keep(self.work)
        keeper = keeper_of(self.app)
        self.query_one(Unsaved).say(keeper.trouble if keeper is not None else "")

    # Answers

    def on_key(self, event: events.Key) -> None:
        """A key of a choice answers."""
        if self._answer(event.character or event.key):
            event.stop()

    @on(ChoiceStrip.Pressed)
    def _clicked(self, message: ChoiceStrip.Pressed) -> None:
        self._answer(message.key)

    @on(LookView.Chosen)
    def _pointed(self, message: LookView.Chosen) -> None:
        look = self.work.look if self.work is not None else None
        if look is not None and message.place < len(look.row.keys):
            self._answer(look.row.keys[message.place])

    def _answer(self, key: str) -> bool:
        """Take the choice of a key; whether there is one."""
        work = self.work
        if work is None:
            return False
        if self.phase is LessonPhase.ASKED:
            return self._foretell(work, key)
        if self.phase is LessonPhase.LOOK:
            return self._look(work, key)
        return False

    def _foretell(self, work: LessonWork, key: str) -> bool:
        asked = work.prediction
        if asked is None or key not in asked.keys:
            return False
        answer = asked.choices[asked.keys.index(key)]
        right = answer == asked.truth
        sign, _, rest = saying.told(asked, answer).partition(". ")
        ink = "$ink-verdigris" if right else "$ink-rust"
        question = saying.asked(work.page, work.at, asked)
        self._told = Content.assemble(
            (f"{question}\n", "$ink-quiet"), (f"{sign}. ", f"bold {ink}"), rest
        )
        self.query_one(ChoiceStrip).judge(asked.keys, asked.choices, answer, asked.truth)
        work.move()
        self._keep()
        self._wait_for(LessonPhase.TOLD, "onward")
        self._show()
        return True

    def _look(self, work: LessonWork, key: str) -> bool:
        look = work.look
        if look is None or key not in look.row.keys:
            return False
        answer = look.answers[look.row.keys.index(key)]
        right = answer == look.truth
        head = saying.say("right" if right else "wrong", answer=saying_looks.choice(look, answer))
        ink = "$ink-verdigris" if right else "$ink-rust"
        if right:
            body = saying_looks.why(look)
        else:
            fact = counterfact(look, answer)
            body = saying_looks.counter(look, fact)
            above = captions(look, fact, answer)
            drawer = partial(explained, look, fact, above, ascii=ascii_screen())
            self.query_one(LookView).show(drawer)
        said = Content.assemble((f"{head} ", f"bold {ink}"), body)
        self.query_one("#said", Static).update(said)
        self.query_one(ChoiceStrip).judge(look.row.keys, look.answers, answer, look.truth)
        work.go_on()
        self._keep()
        onward, values = self._onward_words(work)
        self._wait_for(LessonPhase.EXPLAINED, onward, **values)
        return True

    def _onward_words(self, work: LessonWork) -> tuple[str, dict[str, object]]:
        if not work.done or self._one:
            return "onward", {}
        page = after(work.page)
        if page is None:
            return "onward-end", {}
        if page.level != work.page.level:
            return "onward-level", {"level": page.level}
        return "onward-page", {}

    @on(OnwardLine.Pressed)
    def _onward(self) -> None:
        work = self.work
        if work is None:
            return
        if self.phase is LessonPhase.FREE:
            work.go_on()
            self._keep()
        if not work.done:
            self._next()
            return
        page = None if self._one else after(work.page)
        if page is None:
            self.dismiss(None)
        else:
            self.open(page)

    # Keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What may be changed, while it may; pages while there are any."""
        work = self.work
        if action in _WHERE_FREE:
            if work is None or self.phase is not LessonPhase.FREE:
                return False
            return action != "change" or Turn(str(parameters[0])) in work.page.turns
        if action == "page":
            by = parameters[0]
            return work is not None and isinstance(by, int) and after(work.page, by) is not None
        return True

    def action_change(self, turn: str) -> None:
        """Change the circuit freely."""
        if self.work is not None:
            self._done(self.work.change(Turn(turn)))

    def action_turn(self, by: int) -> None:
        """Turn the selected part by one preferred value."""
        if self.work is not None:
            self._done(self.work.turn_part(up=by > 0))

    def action_part(self, by: int) -> None:
        """Select the next part."""
        if self.work is not None:
            self.work.bench.select(by)
            self._done(True)

    def action_undo(self) -> None:
        """Take the last free change back."""
        if self.work is not None:
            self._done(self.work.undo())

    def _done(self, done: bool) -> None:
        """After a change: show it, or say why there was none."""
        work = self.work
        assert work is not None
        self._told = Content(saying.rule(work.page))
        if not done and work.bench.trouble:
            trouble = fill("bench", f"trouble.{work.bench.trouble}")
            self._told = Content.styled(trouble, "$ink-brass")
        self._show()

    def action_page(self, by: int) -> None:
        """Turn to the next page, or to the one before."""
        page = after(self.work.page, by) if self.work is not None else None
        if page is not None:
            self.open(page)

    def action_scroll(self, way: int) -> None:
        """Scroll what is longer than its room."""
        looking = self.has_class("-looking")
        view = self.query_one(LookView) if looking else self.query_one("#lesson-words")
        view.scroll_relative(y=way * max(1, view.size.height - 1), animate=False)
