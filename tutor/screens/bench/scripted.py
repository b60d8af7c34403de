"""The bench with a list of changes, stepped through in front of a class."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Static

from ...drafting.bench import BenchMoment
from ...drafting.script import Script, ScriptStep
from ...language.texts import fill, table
from .frame import key
from .screen import BenchScreen


class ScriptScreen(BenchScreen):
    """A bench on which the next change of a list is made with one key, and taken back with one.

    Whatever is turned by hand meanwhile, the first key leads back to the list.

    Args:
        script: the list.
    """

    HELP = table("bench")["script"]["help"]
    LINES = (*BenchScreen.LINES, "script")
    BINDINGS: ClassVar[list[BindingType]] = [
        key("space,right", "step(1)", "next"),
        key("backspace,left", "step(-1)", "previous"),
        key("plus,equals_sign", "turn(1)", "turn"),
        key("minus", "turn(-1)", "turn-down", show=False),
    ]

    def __init__(self, script: Script) -> None:
        super().__init__(script.ladder)
        self.bench.go_to(script.start)
        self.script = script
        self.at = 0

    def on_mount(self) -> None:
        """Show where the list begins."""
        self._tell()

    @property
    def step(self) -> ScriptStep | None:
        """The step that was made last; ``None`` before the first."""
        return self.script.steps[self.at - 1] if self.at else None

    @property
    def moment(self) -> BenchMoment:
        """What the list says lies on the bench now."""
        return self.step.moment if self.step is not None else self.script.start

    @property
    def by_hand(self) -> bool:
        """Whether something else lies there, as somebody turned it."""
        now = self.bench.moment
        return (now.versions, now.hand) != (self.moment.versions, self.moment.hand)

    def _changed(self) -> None:
        super()._changed()
        self._tell()

    def _tell(self) -> None:
        """The change that was made last, and the note in sight."""
        step, count = self.step, len(self.script.steps)
        if step is None:
            entry = "script.begin-one" if count == 1 else "script.begin"
            parts = [(fill("bench", entry, [("count", count)]), "bold $ink-copper")]
        else:
            here = fill("bench", "script.here", [("number", self.at), ("count", count)])
            parts = [(here, "$ink-quiet"), (f"  {self._written()}", "bold $ink-copper")]
        if self.by_hand:
            parts.append((f"  ({fill('bench', 'script.by-hand')})", "$ink-brass"))
        content = Content.assemble(*parts)
        if step is not None and step.note:
            content = content + Content.styled(f"\n{step.note}", "bold $foreground")
        for caption in self.query("#script").results(Static):
            if content != caption.content:
                caption.update(content)

    def _written(self) -> str:
        """The last change up to here, as it was written: a note leaves it in sight."""
        made = [s for s in self.script.steps[: self.at] if s.text]
        return made[-1].text if made else ""

    def action_step(self, by: int) -> None:
        """Make the next change of the list, or take the last one back."""
        if self.by_hand:
            self.bench.go_to(self.moment)
            self._done(True, "note.list-again", number=self.at)
            return
        to = self.at + by
        if not 0 <= to <= len(self.script.steps):
            self._note("note.list-end" if by > 0 else "note.list-start")
            return
        if by < 0:
            self._go(to)
            return
        step = self.script.steps[to - 1]
        if step.text and (step.asked or self.asks_first):
            if not self._weighing:
                self._ask(step.moment.version, lambda: self._go(to), lambda: step.text)
        else:
            self._go(to)

    def _go(self, to: int) -> None:
        self.at = to
        self.bench.go_to(self.moment)
        self._done(True)
