"""Asking before the curves move: what will a change do, figure by figure, one key each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from ....problems.questions.effects import Effect, EffectOn
from ...language.texts import fill, table
from ...phrases import effects as saying
from ..common.keyline import KeyLine
from ..common.leaving import Leaving
from .frame import key


@dataclass(frozen=True)
class Foreseen:
    """A change that is asked about: its text, its effects, and a sentence on the reason of each."""

    text: str
    effects: tuple[Effect, ...]
    reasons: tuple[str, ...]


WAY_KEYS = ((1, "up", "up"), (2, "down", "down"), (3, "equals_sign", "same"))
"""Digit, key and name of each thing that a figure may do, in the order of its choices."""
_SIGNS = {True: ("✓", "$ink-verdigris"), False: ("✗", "$ink-rust")}


class AskScreen(Leaving[None], ModalScreen[None]):
    """What a change ``foreseen`` will do, asked below the charts; then ``reveal`` makes it."""

    HELP = table("bench")["ask"]["help"]
    BINDINGS: ClassVar[list[BindingType]] = [
        *(key(f"{n},{arrow}", f"way({n - 1})", name) for n, arrow, name in WAY_KEYS),
        *(key(str(n), f"kind({n - 1})", f"choice-{n}") for n in range(1, 7)),
        key("enter,space", "skip", "skip"),
        key("escape", "show", "show"),
        key("enter,space,escape", "on", "on"),
        key("pagedown,down", "scroll(1)", "scroll"),
        key("pageup,up", "scroll(-1)", "scroll-back", show=False),
        key("f1", "app.toggle_help", "help"),
    ]
    # The curves are seen above it; what is said here beats the ground that all screens have.
    CSS = "AskScreen { background: transparent !important; }"
    DEFAULT_CSS = """
    AskScreen { align: center bottom; }
    AskScreen #asking {
        width: 100%; height: auto; max-height: 60%;
        border: round $ink-copper; border-title-color: $ink-copper; border-title-style: bold;
        background: $background; padding: 0 1;
    }
    AskScreen #asking Static { height: auto; }
    AskScreen KeyLine { dock: bottom; }
    """

    def __init__(self, foreseen: Foreseen, reveal: Callable[[], None]) -> None:
        super().__init__()
        self.foreseen = foreseen
        self.answers: list[str] = []
        self._reveal = reveal

    @property
    def asked(self) -> Effect | None:
        """What is being asked about; ``None`` once the change is shown."""
        at = len(self.answers)
        return self.foreseen.effects[at] if at < len(self.foreseen.effects) else None

    def compose(self) -> ComposeResult:
        """The change, its questions, the keys."""
        with VerticalScroll(id="asking", can_focus=False):
            yield Static(id="asked", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Ask the first question."""
        self.query_one("#asking").border_title = fill("bench", "ask.title")
        self._paint()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Each question has its keys, and so has what is told at the end."""
        asked = self.asked
        match action:
            case "way":
                return asked is not None and asked.on is not EffectOn.TYPE
            case "kind":
                return asked is not None and asked.on is EffectOn.TYPE
            case "skip" | "show":
                return asked is not None
            case "on":
                return asked is None
            case "scroll":
                return asked is None and self.query_one("#asking", VerticalScroll).max_scroll_y > 0
        return True

    def _paint(self) -> None:
        """The change, and what was answered, is asked, or was right."""
        lines = [Content.styled(self.foreseen.text, "bold")]
        told = self.asked is None
        for n, effect in enumerate(self.foreseen.effects):
            if told:
                lines.append(self._told(n, effect))
            elif n < len(self.answers):
                lines.append(self._line("·", "$ink-quiet", effect, self.answers[n], "$ink-quiet"))
            elif n == len(self.answers):
                sign = ("▸ ", "bold $ink-copper")
                lines.append(Content.assemble(sign, (saying.question(effect), "bold")))
        self.query_one("#asked", Static).update(Content("\n").join(lines))

    def _line(self, sign: str, ink: str, effect: Effect, answer: str, style: str) -> Content:
        head = f"{saying.figure(effect)} {saying.answer(answer)}"
        return Content.assemble((f"{sign} ", f"bold {ink}"), (head, style))

    def _told(self, n: int, effect: Effect) -> Content:
        answer = self.answers[n]
        sign, ink = _SIGNS[answer == effect.truth] if answer else ("–", "$ink-quiet")
        line = self._line(sign, ink, effect, answer, f"bold {ink}")
        return line + Content.styled(f" · {self.foreseen.reasons[n]}", "$foreground")

    def _answer(self, *answers: str) -> None:
        """Take answers; after the last the curves move."""
        self.answers.extend(answers)
        self._paint()
        self.refresh_bindings()
        if self.asked is None:
            self.query_one("#asking").border_title = fill("bench", "ask.told-title")
            self._reveal()

    def action_way(self, choice: int) -> None:
        """Say what a figure does."""
        asked = self.asked
        if asked is not None:
            self._answer(asked.choices[choice])

    def action_kind(self, choice: int) -> None:
        """Say what type it is."""
        self.action_way(choice)

    def action_skip(self) -> None:
        """Leave this question out."""
        self._answer("")

    def action_show(self) -> None:
        """Leave out whatever is left."""
        self._answer(*[""] * (len(self.foreseen.effects) - len(self.answers)))

    def action_on(self) -> None:
        """Back to the bench."""
        self.dismiss(None)

    def action_scroll(self, by: int) -> None:
        """Read on where it is longer than its room."""
        self.query_one("#asking", VerticalScroll).scroll_relative(y=by, animate=False)
