"""The ladder of the opening screen: every rung is a place to go to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from ..common.keys import bound

PITCHES = 4
"""Rows from rung to rung at most: its name, a line on what is there, and air."""


@dataclass(frozen=True, slots=True)
class Goal:
    """One rung: the action it stands for, its key, its name, and what is to be said of it now.

    One that leads nowhere at the moment is drawn without a rung and passed over.  ``now`` says that
    the line tells how things stand, and not only what the place is: it gives way last.
    """

    action: str
    key: str
    title: str
    about: str = ""
    open: bool = True
    now: bool = False


class OpeningLadder(Widget, can_focus=True):
    """Places to go to, one below the other between two rails; one of them is picked."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter,space", "go", "go"),
        bound("up", "move(-1)", "pick", show=False),
        bound("down", "move(1)", "pick", show=False),
        bound("home", "pick(0)", "pick", show=False),
        bound("end", "pick(-1)", "pick", show=False),
    ]

    class Picked(Message):
        """A rung was chosen."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    def __init__(self) -> None:
        super().__init__()
        self._goals: Sequence[Goal] = ()
        self._moved = False
        self._worth = ""
        self.picked = 0

    @property
    def goals(self) -> Sequence[Goal]:
        """The rungs, from the top."""
        return self._goals

    def show(self, goals: Sequence[Goal], worth: str = "") -> None:
        """Show these rungs, and pick one, unless one was already.

        Args:
            goals: the rungs, from the top.
            worth: the action that is worth most now; else the first that leads somewhere.
        """
        self._worth = worth
        kept = self._goals[self.picked].action if self._moved and self._goals else ""
        self._goals = goals
        places = [i for i, goal in enumerate(goals) if goal.open]
        named = [i for i in places if goals[i].action == (kept or worth)]
        self.picked = (named or places or [0])[0]
        self.refresh()

    def first(self) -> None:
        """Pick the first rung that leads somewhere, whatever was picked before."""
        self._moved = False
        self.show(self._goals, self._worth)

    def render(self) -> Content:
        """The ladder, from its upper end."""
        width, height = self.size
        if width < 12 or height < 1:
            return Content()
        count = len(self._goals)
        pitch = max(1, min(PITCHES, (height - 1) // max(1, count)))
        # Where there is no room for a line on each, the first ones have it that tell of now.
        places = sorted(range(count), key=lambda place: not self._goals[place].now)
        told = set(places[: max(0, height - 1 - count)] if pitch == 1 else places)
        lines, spots = [self._rail(width)], [-1]
        for place, goal in enumerate(self._goals):
            block = [self._rung(place, goal, width)]
            if place in told:
                block.append(self._about(place, goal, width))
            block += [self._rail(width)] * (pitch - 2)
            lines += block
            spots += [place] * len(block)
        if len(lines) > height:
            start = max(0, min(spots.index(self.picked) - height // 2, len(lines) - height))
            lines, spots = lines[start : start + height], spots[start : start + height]
        else:
            lines += [self._rail(width)] * (height - len(lines))
        self._spots = spots
        return Content("\n").join(lines)

    _spots: Sequence[int] = ()
    """Which goal each row shows; −1: none."""

    def _rail(self, width: int) -> Content:
        return Content.styled("│" + " " * (width - 2) + "│", "$ink-line")

    def _rung(self, place: int, goal: Goal, width: int) -> Content:
        inner = width - 2
        key = goal.key.upper()
        if place == self.picked and goal.open:
            look = "bold $ink-reversed on $ink-copper"
            text = f" ▸ {key}  {goal.title}"[:inner].ljust(inner)
            return Content.assemble(("┃", "$ink-copper"), (text, look), ("┃", "$ink-copper"))
        if not goal.open:
            text = f"      {goal.title}"[:inner].ljust(inner)
            return Content.assemble(("│", "$ink-line"), (text, "$ink-quiet"), ("│", "$ink-line"))
        title = f" {goal.title} "[: inner - 6]
        bar = "─" * (inner - 5 - len(title))
        return Content.assemble(
            ("├─", "$ink-line"),
            (f" {key} ", "bold $ink-copper"),
            ("─", "$ink-line"),
            (title, "$foreground"),
            (f"{bar}┤", "$ink-line"),
        )

    def _about(self, place: int, goal: Goal, width: int) -> Content:
        inner = width - 2
        text = f"      {goal.about}"
        if len(text) > inner:
            text = text[: inner - 1] + "…"
        side = ("┃", "$ink-copper") if place == self.picked and goal.open else ("│", "$ink-line")
        return Content.assemble(side, (text.ljust(inner), "$ink-quiet"), side)

    def action_move(self, step: int) -> None:
        """Pick the next or the previous rung that leads somewhere, round and round."""
        count = len(self._goals)
        for away in range(1, count + 1):
            place = (self.picked + step * away) % count
            if self._goals[place].open:
                self._pick(place)
                return

    def action_pick(self, place: int) -> None:
        """Pick the first rung that leads somewhere (0), or the last (−1)."""
        places = [i for i, goal in enumerate(self._goals) if goal.open]
        if places:
            self._pick(places[place])

    def _pick(self, place: int) -> None:
        self.picked, self._moved = place, True
        self.refresh()

    def action_go(self) -> None:
        """Go where the picked rung leads."""
        if self._goals and self._goals[self.picked].open:
            self.post_message(self.Picked(self._goals[self.picked].action))

    def on_click(self, event: events.Click) -> None:
        """A click goes where its rung leads."""
        place = self._spots[event.y] if event.y < len(self._spots) else -1
        if 0 <= place < len(self._goals) and self._goals[place].open:
            self._pick(place)
            self.action_go()
