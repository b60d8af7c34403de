"""Settling answers in plain lines: for pipes, screen readers and scripts.

One group of alike answers after another; a command a line.  A line that begins with the word of
``plain.kept`` is written once the decision is on the disk.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..classroom.marking import settling_lines as lines_of
from ..classroom.marking import settling_steps as steps
from ..language.texts import speaker
from .lines import EndOfInput, PlainLines

if TYPE_CHECKING:
    from ..classroom.marking.settling import Settling
    from ..classroom.marking.settling_steps import SettlingStep
    from ..classroom.marking.waiting import AlikeAnswers

MOST_LISTED = 200
"""Groups listed at once."""

say = speaker("settling", "plain.")


class PlainSettling(PlainLines):
    """Lines on two streams, and a class to be settled."""

    settling: Settling
    _looking = False
    """Whether a group is to be shown though it is decided."""
    _anew = True
    """Whether the group is to be shown before the next line is read."""

    def settle(self, settling: Settling) -> bool:
        """Ask about every group that waits; whether the class is to be marked again then.

        Args:
            settling: the class.
        """
        self.settling = settling
        self.say(say("begin", title=settling.title, open=settling.open, all=len(settling.groups)))
        self.say(say("commands"))
        try:
            while True:
                group = settling.group
                if group is None or (not settling.open and not self._looking):
                    self.say(say("done"))
                elif self._anew:
                    self._ask(group)
                self._anew = False
                word, _, rest = self.read().partition(" ")
                if word.casefold() in ("leave", "quit", "exit"):
                    return False
                if word.casefold() == "mark":
                    return True
                if word:
                    self._do(group, word.casefold(), rest.strip())
        except EndOfInput:
            return False
        finally:
            self.say(say("left", open=settling.open))

    def _ask(self, group: AlikeAnswers) -> None:
        settling = self.settling
        asked = settling.asked(group)
        place = say("place", number=settling.at + 1, all=len(settling.groups), open=settling.open)
        self.gap()
        self.say(place)
        self.say(lines_of.asked_text(group, asked))
        about = lines_of.about_lines(settling, group)
        if asked is not None:
            about.insert(0, (lines_of.say("name.circuit"), lines_of.circuit_text(asked)))
        for name, text in about:
            self.say(say("line", name=name, text=text))
        for number, suggested in enumerate(group.first.suggested, 1):
            told = lines_of.suggestion_text(suggested, group.of)
            self.say(say("suggested", number=number, text=told))

    def _do(self, group: AlikeAnswers | None, word: str, rest: str) -> None:
        if word == "undo":
            step = steps.undo(self.settling)
            self._tell(step)
            if step.key != steps.UNKEPT:
                self._anew = self._looking = True
        elif word == "list":
            self._list(rest)
        elif word == "go":
            self._go(rest)
        elif group is None:
            self.say(say("unknown", word=word))
        elif word in ("skip", "back", "next"):
            self._turn(word)
        elif word == "reopen":
            self._tell(steps.reopen(self.settling))
        elif word == "take":
            self._tell(steps.take(self.settling, rest or "1"))
        elif word == "read" and rest:
            self._tell(steps.read(self.settling, rest))
        else:
            self._points(group, word, rest)

    def _turn(self, word: str) -> None:
        settling = self.settling
        if word == "back":
            settling.go(settling.at - 1)
            self._looking = True
        elif not settling.onward():
            self.say(say("no-other"))
        self._anew = True

    def _go(self, rest: str) -> None:
        number = int(rest) if rest.isascii() and rest.isdecimal() and len(rest) < 10 else 0
        if not 0 < number <= len(self.settling.groups):
            self.say(say("no-number", all=len(self.settling.groups)))
            return
        self.settling.go(number - 1)
        self._anew = self._looking = True

    def _list(self, words: str) -> None:
        settling = self.settling
        found = settling.found(words)
        for place in found[:MOST_LISTED]:
            self.say(say("listed", number=place + 1, text=lines_of.list_text(settling, place)))
        more = len(found) - MOST_LISTED
        if more > 0:
            self.say(say("listed-more", more=more))
        if not found:
            self.say(say("listed-none"))

    def _points(self, group: AlikeAnswers, word: str, rest: str) -> None:
        every = word == "all"
        words = rest if every or word == "points" else f"{word} {rest}".strip()
        points = lines_of.points_of(words.removeprefix("points "), group.of)
        if points is None:
            self.say(say("unknown", word=f"{word} {rest}".strip()))
            return
        self._tell(steps.give(self.settling, points, every=every))

    def _tell(self, step: SettlingStep) -> None:
        """Say what a step came to, which is on the disk by now, and go on."""
        self.say(say(step.key, **step.values))
        if step.key == steps.KEPT:
            self.output.flush()
            self._anew, self._looking = self.settling.onward(), False
        elif step.key == steps.MEANWHILE:
            self._anew = True


def settle_in_lines(settling: Settling, width: int) -> bool:
    """Settle on standard input and output; whether the class is to be marked again then.

    Args:
        settling: the class.
        width: columns to wrap at.
    """
    lines = PlainSettling.on_standard_streams(width, False)
    return lines.settle(settling)
