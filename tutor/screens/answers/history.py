"""What was typed and not yet submitted, to be undone and done again; knows nothing of screens."""

from __future__ import annotations

from ...drafting.undo import Undo

State = tuple[str, int]
"""A text and the cursor's place in it."""


class History:
    """The states of one line of typing.

    Letters typed one after another are one step, as are letters deleted one after another; a
    blank begins a new step, and so does anything else (a paste, a cleared line).
    """

    def __init__(self) -> None:
        self._changes = Undo[State]()
        self.start()

    def start(self) -> None:
        """Forget everything: a new and empty line has begun."""
        self._changes.forget()
        self._now: State = ("", 0)
        self._run = ""

    def changed(self, text: str) -> None:
        """Note what the line has become."""
        before, _ = self._now
        if text == before:
            return
        run = self._kind(before, text)
        if not run or run != self._run:
            self._changes.note(self._now)
        self._changes.go_on()
        place = _changed_to(before, text)
        blank = run == "typed" and text[place - 1 : place].isspace()
        self._run = "" if blank else run
        self._now = (text, place)

    @staticmethod
    def _kind(before: str, after: str) -> str:
        """Of what run of small changes this one may be part."""
        if len(after) == len(before) + 1:
            return "typed"
        return "deleted" if len(after) == len(before) - 1 else ""

    def undo(self) -> State | None:
        """The state before the last step, which becomes the present one."""
        return self._go(self._changes.undo(self._now))

    def redo(self) -> State | None:
        """The state that was undone last, which becomes the present one."""
        return self._go(self._changes.redo(self._now))

    def _go(self, found: State | None) -> State | None:
        if found is not None:
            self._now, self._run = found, ""
        return found


def _changed_to(before: str, after: str) -> int:
    """Where the change ends in the later text, which is where the cursor then stands."""
    same, most = 0, min(len(before), len(after))
    while same < most and before[-1 - same] == after[-1 - same]:
        same += 1
    return len(after) - same
