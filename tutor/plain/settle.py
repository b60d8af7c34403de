"""Settling answers in plain lines: for pipes, screen readers and scripts.

One group of alike answers after another; a command a line.  A line that begins with the word of
``plain.kept`` is written once the decision is on the disk.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..classroom.handins.table import BadTable
from ..classroom.marking import settling_lines as lines_of
from ..classroom.marking.marks import QuestionOutcome
from ..language.texts import speaker
from .lines import EndOfInput, PlainLines

if TYPE_CHECKING:
    from fractions import Fraction

    from ..classroom.marking.settling import Settling
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
        for number, suggested in enumerate(group.suggested, 1):
            told = lines_of.suggestion_text(suggested, group.of)
            self.say(say("suggested", number=number, text=told))

    def _do(self, group: AlikeAnswers | None, word: str, rest: str) -> None:
        settling = self.settling
        try:
            if word == "undo":
                self.say(say("undone" if settling.undo() else "nothing-undone"))
                self._anew = self._looking = True
            elif word == "list":
                self._list(rest)
            elif word == "go":
                self._go(rest)
            elif group is None:
                self.say(say("unknown", word=word))
            elif word in ("skip", "back", "next"):
                self._turn(word)
            elif word == "reopen" and settling.is_open(group):
                self.say(say("nothing-undone"))
            elif word == "reopen":
                self._told(group, settling.reopen())
            elif word == "take":
                self._take(group, rest or "1")
            elif word == "read" and rest:
                self._read(group, rest)
            else:
                self._points(group, word, rest)
        except (OSError, BadTable) as error:
            self.say(say("unkept", why=str(error)))

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

    def _take(self, group: AlikeAnswers, number: str) -> None:
        places = {str(place): one for place, one in enumerate(group.suggested, 1)}
        if number not in places:
            self.say(say("no-suggestion", number=number))
        elif places[number].text:
            self._read(group, places[number].text)
        else:
            self._told(group, self.settling.give(places[number].points))

    def _read(self, group: AlikeAnswers, text: str) -> None:
        mark = self.settling.judge(group, text)
        if mark is not None and mark.verdict is QuestionOutcome.UNCLEAR:
            self.say(say("unread", text=text, why=mark.trouble))
            return
        self._told(group, self.settling.read_as(text))

    def _points(self, group: AlikeAnswers, word: str, rest: str) -> None:
        every = word == "all"
        words = rest if every or word == "points" else f"{word} {rest}".strip()
        points: Fraction | None = lines_of.points_of(words.removeprefix("points "), group.of)
        if points is None:
            self.say(say("unknown", word=f"{word} {rest}".strip()))
            return
        self._told(group, self.settling.give(points, every=every))

    def _told(self, group: AlikeAnswers, kept: bool) -> None:
        """Say what was decided, now that it is on the disk, and go on."""
        settling = self.settling
        decided = settling.decided(group)
        if not kept:
            told = lines_of.decided_text(settling, group, decided) if decided else say("open")
            self.say(say("meanwhile", told=told))
            self._anew = True
            return
        told = lines_of.decided_text(settling, group, decided) if decided else say("open")
        self.say(say("kept", typed=group.typed[:60], told=told))
        self.output.flush()
        self._anew, self._looking = settling.onward(), False


def settle_in_lines(settling: Settling, width: int) -> bool:
    """Settle on standard input and output; whether the class is to be marked again then.

    Args:
        settling: the class.
        width: columns to wrap at.
    """
    lines = PlainSettling.on_standard_streams(width, False)
    return lines.settle(settling)
