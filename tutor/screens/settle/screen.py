"""Answers settled by keyboard: one group of alike answers after another.

What a key decides is on the disk before the next group is shown.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from ...classroom.marking import settling_lines as lines_of
from ...classroom.marking import settling_steps as steps
from ...classroom.marking.tables import decimal
from ...language.texts import plain, speaker
from ...language.wrap import fold
from ..answers.entry import TypingLine
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.too_small import TooSmall
from ..common.topline import TopLine
from ..pictures.circuit import Circuit
from .groups import GroupsScreen, GroupStrip

if TYPE_CHECKING:
    from ...classroom.marking.settling import Settling
    from ...classroom.marking.settling_steps import SettlingStep
    from ...classroom.marking.waiting import AlikeAnswers

say = speaker("settling", "screen.")

READING, POINTS = "read", "points"
"""What is being typed."""
_SHOWN = {
    steps.KEPT: "taken",
    steps.MEANWHILE: "trouble",
    steps.UNDONE: "quiet",
    steps.NOTHING_UNDONE: "quiet",
}
"""After which steps the group is shown anew, and how the step is told then."""


class SettleScreen(Leaving[None]):
    """A class whose answers could not all be read.

    Args:
        settling: The class.
    """

    CSS_PATH = "settle.tcss"
    HELP = say("help")
    AUTO_FOCUS = ""  # the keys are the screen's until something is typed
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "take('1')", "suggestion-take"),
        bound("1", "take('1')", "suggestion-first", show=False),
        bound("2", "take('2')", "suggestion-second", show=False),
        bound("3", "take('3')", "suggestion-third", show=False),
        bound("r", "type('read')", "answer-read"),
        bound("0", "share(0)", "points-none", show=False),
        bound("h", "share(1)", "points-half", show=False),
        bound("f", "share(2)", "points-full", show=False),
        bound("p", "type('points')", "points-typed"),
        bound("n,down,space", "onward", "group-next"),
        bound("b,up", "back", "group-before", show=False),
        bound("u,ctrl+z", "undo", "decision-undo"),
        bound("a", "every", "points-all", show=False),
        bound("o", "reopen", "decision-open", show=False),
        bound("l", "groups", "group-list"),
        bound("m", "mark", "mark-again", show=False),
        bound("escape", "leave", "keep-and-leave"),
    ]

    def __init__(self, settling: Settling) -> None:
        super().__init__()
        self.settling = settling
        self._typing = ""
        self._every = False

    def compose(self) -> ComposeResult:
        """The groups at the side, the circuit, what was typed, and what may be meant."""
        yield TopLine()
        yield TooSmall()
        with Container(id="body"):
            yield GroupStrip(id="strip")
            yield Circuit(id="circuit")
            with VerticalScroll(id="about", can_focus=False):
                yield Static(id="prompt", markup=False)
                yield Static(id="lines", markup=False)
                yield Static(id="ways", markup=False)
            with Vertical(id="below"):
                yield TypingLine()
                yield Static(id="said", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the first group that waits."""
        self.query_one(TypingLine).display = False
        self._show()
        if not self.settling.open:
            self._say("quiet", say("nothing" if not self.settling.groups else "done"))

    # -- what is shown

    def _show(self) -> None:
        settling, group = self.settling, self.settling.group
        top = self.query_one(TopLine)
        top.about = say("about", title=plain(settling.title))
        number = min(settling.at + 1, len(settling.groups))
        top.place = say("place", number=number, all=len(settling.groups), open=settling.open)
        self.query_one(GroupStrip).show_groups(settling)
        circuit = self.query_one(Circuit)
        asked = settling.asked(group) if group else None
        circuit.display = asked is not None
        if asked is not None:
            circuit.show(asked.item.problem.ladder)
        if group is None:
            return
        self.query_one("#prompt", Static).update(Content(lines_of.asked_text(group, asked)))
        self.query_one("#lines", Static).update(self._lines(group))
        self.query_one("#ways", Static).update(self._ways(group))
        self.query_one("#about").scroll_home(animate=False)

    def _lines(self, group: AlikeAnswers) -> Content:
        lines = lines_of.about_lines(self.settling, group)
        width = max(len(name) for name, _ in lines)
        inks = {lines_of.say("name.typed"): "bold", lines_of.say("name.decided"): "$ink-verdigris"}
        room = max(20, self.query_one("#lines").size.width - width - 2)
        told = []
        for name, text in lines:
            for number, line in enumerate(fold(plain(text), room)):
                head = "" if number else name
                ink = inks.get(name, "")
                told.append(Content.assemble((f"{head:>{width}}  ", "$ink-quiet"), (line, ink)))
        return Content("\n").join(told)

    def on_resize(self) -> None:
        """Fold what is said anew."""
        self.call_after_refresh(self._fold)

    def _fold(self) -> None:
        group = self.settling.group
        if group is not None:
            self.query_one("#lines", Static).update(self._lines(group))

    def _ways(self, group: AlikeAnswers) -> Content:
        """The suggestions, each with its key."""
        lines = []
        for number, suggested in enumerate(group.first.suggested, 1):
            text = lines_of.suggestion_text(suggested, group.of)
            lines.append(
                Content.assemble((f"{number} ", "bold $ink-copper"), (plain(text), "$foreground"))
            )
        if not lines:
            lines.append(Content.styled(say("no-suggestion"), "$ink-quiet"))
        lines.append(Content.styled(say("points-keys"), "$ink-quiet"))
        scope = "every" if self._every else "these"
        others = self.settling.alike(group)
        if others:
            lines.append(Content.styled(say(f"scope-{scope}", others=others), "$ink-quiet"))
        return Content("\n").join(lines)

    def _say(self, kind: str, text: str) -> None:
        ink = {"taken": "$ink-verdigris", "trouble": "bold $ink-copper", "quiet": "$ink-quiet"}
        self.query_one("#said", Static).update(Content.styled(plain(text), ink[kind]))

    # -- what is decided

    def _done(self, step: SettlingStep) -> None:
        """Show what a step came to, and go on once it is on the disk."""
        if step.key != steps.UNREAD:
            self._stop_typing()
        end = ""
        if step.key == steps.KEPT:
            self._every = False
            end = "" if not step.decided or self.settling.onward() else f" {say('done')}"
        if step.key in _SHOWN:
            self._show()
        self._say(_SHOWN.get(step.key, "trouble"), say(step.key, **step.values) + end)

    def action_take(self, number: str) -> None:
        """Take a suggested reading, or the points that are suggested."""
        if self.settling.group is not None:
            self._done(steps.take(self.settling, number))

    def _give(self, points: Fraction) -> None:
        self._done(steps.give(self.settling, points, every=self._every))

    def action_share(self, halves: int) -> None:
        """Give none, half or all of the points."""
        group = self.settling.group
        if group is not None:
            self._give(group.of * Fraction(halves, 2))

    def action_every(self) -> None:
        """Give points to the same text whatever the right answer is, or to these alone."""
        self._every = not self._every
        self._show()

    def action_reopen(self) -> None:
        """Take back what was decided about this group."""
        step = steps.reopen(self.settling)
        if step.key != steps.NOTHING_UNDONE:
            self._done(step)

    def action_undo(self) -> None:
        """Take back the last decision."""
        self._done(steps.undo(self.settling))

    # -- typing

    def action_type(self, what: str) -> None:
        """Type what the answer should read, or how many points it has."""
        group = self.settling.group
        if group is None:
            return
        self._typing = what
        line = self.query_one(TypingLine)
        line.display = True
        line.ask(say(f"type-{what}"), self._echo)
        line.line.focus()
        self.refresh_bindings()

    def _echo(self, text: str) -> Content:
        group = self.settling.group
        if group is None:
            return Content()
        if self._typing == POINTS:
            points = lines_of.points_of(text, group.of)
            if points is None:
                return Content(say("bad-points", of=decimal(group.of)))
            return Content(say("points", points=decimal(points), of=decimal(group.of)))
        mark = self.settling.judge(group, text)
        return Content(plain(lines_of.mark_text(mark)) if mark else "")

    @on(TypingLine.Submitted)
    def _typed(self, event: TypingLine.Submitted) -> None:
        group = self.settling.group
        if group is None or event.serial != self.query_one(TypingLine).serial:
            return
        if self._typing == READING:
            self._done(steps.read(self.settling, event.text))
            return
        points = lines_of.points_of(event.text, group.of)
        if points is None:
            self._say("trouble", say("bad-points", of=decimal(group.of)))
            return
        self._give(points)

    def _stop_typing(self) -> None:
        line = self.query_one(TypingLine)
        if self._typing:
            self._typing = ""
            line.close()
            line.display = False
            self.set_focus(None)
            self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While something is typed only leaving the line has a key of the screen."""
        return not self._typing or action == "leave"

    # -- moving about

    def action_onward(self) -> None:
        """Skip: to the next group that waits."""
        self._every = False
        if self.settling.onward():
            self._show()
            self._say("quiet", "")
        else:
            self._say("quiet", say("done"))

    def action_back(self) -> None:
        """To the group before."""
        self._every = False
        self.settling.go(self.settling.at - 1)
        self._show()
        self._say("quiet", "")

    def action_groups(self) -> None:
        """Choose among all groups."""
        self.app.push_screen(GroupsScreen(self.settling), self._chosen)

    def _chosen(self, place: int | None) -> None:
        if place is not None:
            self.settling.go(place)
            self._show()
            self._say("quiet", "")

    def action_mark(self) -> None:
        """Leave, and mark the class again."""
        self.app.exit(True)

    def action_leave(self) -> None:
        """Stop typing, or leave: every decision is kept."""
        if self._typing:
            self._stop_typing()
        elif self.is_active:
            self.app.exit(False)

    def recover(self) -> None:
        """After a fault of the program: the same group."""
        self._stop_typing()
        self._show()
