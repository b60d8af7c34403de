"""What a screen needs to ask first: a change is weighed beside it, asked about, then shown."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable

from textual import work

from ....problems.questions.effects import effects
from ...drafting.bench import Bench, Version
from ...phrases.effects import turned_value, why
from ..common.leaving import Leaving
from .asking import AskScreen, Foreseen


class AskingFirst(Leaving[None]):
    """What the bench needs to ask before it shows.

    Attributes:
        asks_first: whether changes are asked about before they are shown.
    """

    bench: Bench

    def __init__(self) -> None:
        super().__init__()
        self.asks_first = False
        self._weighing = False

    @abstractmethod
    def _done(self, done: bool, entry: str = "", **values: object) -> None:
        """After a change: show it, or say why there was none."""

    @abstractmethod
    def _note(self, entry: str = "", **values: object) -> None:
        """A remark that stands until the next key."""

    @abstractmethod
    def _changed(self) -> None:
        """Something is to be shown."""

    def _change(self, change: Callable[[Bench], bool], text: Callable[[], str] = str) -> None:
        """Make a change, or ask first what it will do.

        Args:
            change: makes it on a bench, and says whether it could.
            text: what it is, in words, where more than a value changes.
        """
        if not self.asks_first:
            self._done(change(self.bench))
            return
        if self._weighing:
            return  # one question at a time
        after = self.bench.tried(change)
        if after is None:
            self._done(False)
        else:
            self._ask(after, lambda: self._done(change(self.bench)), text)

    def _ask(self, after: Version, reveal: Callable[[], None], text: Callable[[], str]) -> None:
        before = self.bench.version
        if before.ladder == after.ladder:
            reveal()
            return
        self._weighing = True
        said = turned_value(before.ladder, after.ladder) or text()
        self._weigh(before, after, reveal, said)

    @work(thread=True, group="weigh")
    def _weigh(
        self, before: Version, after: Version, reveal: Callable[[], None], text: str
    ) -> None:
        found = effects(before.facts, after.facts)
        reasons = tuple(why(effect, after.facts) for effect in found)
        self.call_later(self._weighed, before, Foreseen(text, found, reasons), reveal)

    def _weighed(self, before: Version, foreseen: Foreseen, reveal: Callable[[], None]) -> None:
        """What a change does has been worked out, or that there is nothing to ask about."""
        self._weighing = False
        # Left, something else opened, or changed by another key meanwhile.
        if not self.is_active or self.bench.version is not before:
            return
        if foreseen.effects:
            self.app.push_screen(AskScreen(foreseen, reveal))
        else:
            reveal()
            self._note("note.nothing-asked")

    def action_ask(self) -> None:
        """From now on, ask first; or show changes at once again."""
        self.asks_first = not self.asks_first
        self._note("note.asking" if self.asks_first else "note.not-asking")
        self._changed()
