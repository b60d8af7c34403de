"""The pads for straight-line plots: the gain and the phase."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import events
from textual.binding import BindingType

from ....problems.sketches.model import (
    COUNTS,
    GainSketch,
    LineSketch,
    MapSketch,
    PlotKind,
    Sketch,
    SketchPart,
)
from ....problems.sketches.write import decibels, hertz
from ...drafting.line import EMPTY, Handle, LineDraft
from ...drafting.marks import line_marks
from ...figures.canvas.paper import PlottedPicture
from ...figures.canvas.picture import Picture
from ...figures.sketch.course import Frame
from ...figures.sketch.line import draw
from ...language.ascii import ascii_screen
from ...language.texts import fill
from .pad import Pad, key

TURN = 270.0
"""Degrees up and down that the paper of a phase shows at first."""


class LinePad(Pad):
    """A line of pieces over frequency, drawn by its breaks or turns."""

    PLOT: ClassVar[PlotKind]
    HELP = fill("sketch", "help.line")
    BINDINGS: ClassVar[list[BindingType]] = [
        key("left", "move(-1)", "left"),
        key("right", "move(1)", "right"),
        key("shift+left,comma", "move(-1, True)", "fine-left"),
        key("shift+right,full_stop", "move(1, True)", "fine-right"),
        key("up", "turn(1)", "up"),
        key("down", "turn(-1)", "down"),
        key("shift+up", "turn(1, True)", "fine-up"),
        key("shift+down", "turn(-1, True)", "fine-down"),
        key("home", "first", "first"),
        key("end", "last", "last"),
        key("a,insert", "add", "add"),
        key("escape", "leave", "leave"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.frame = Frame(1.0, 1e6, -80.0, 40.0)
        self.desk = LineDraft(self.PLOT, self.frame.low, self.frame.high)
        self._right: LineSketch | None = None

    @property
    def work(self) -> LineDraft:
        """The line being drawn."""
        return self.desk

    def ask(self, frame: tuple[float, float, float, float] | None) -> None:
        """An empty sheet; ``frame`` is its lowest and highest Hz, lowest and highest dB."""
        assert frame is not None
        low, high, bottom, top = frame
        if self.PLOT is PlotKind.PHASE:
            bottom, top = -TURN, TURN
        self.frame = Frame(low, high, bottom, top)
        self.desk = LineDraft(self.PLOT, low, high)
        self._right = None
        self.begin()

    def restore(self, text: str) -> bool:
        """Go on with a draft; verdicts stay on what it leaves as it was."""
        before = self.desk.drawing
        done = super().restore(text)
        if self.desk.drawing != before:
            self._forget(before)
            self.show()
        return done

    def judge(self, parts: Sequence[SketchPart]) -> None:
        """Show which pieces are right and which wrong, until they are changed.

        They are pieces of what was submitted, where breaks that turn nothing are none.
        """
        plain = self.desk.drawing.tidied()
        if plain != self.desk.drawing:
            held = min(self.desk.held, len(plain.bends) - 1)
            self.desk.restore(plain, held, undoable=True)
        self.marks = line_marks(parts, self.desk.drawing)
        self.show()

    def reveal(self, truth: Sketch) -> None:
        """Draw the right line on top; there is nothing more to be drawn by hand."""
        assert not isinstance(truth, MapSketch)
        right = truth
        if self.PLOT is PlotKind.PHASE:
            # A whole turn up or down is the same phase.
            away = self.desk.drawing.start - right.start
            right = right.bent(right.start + (away if away % 360 == 0 else 0), right.bends)
        self._right, self._revealed = right, True
        self.show()

    # The picture and its words

    def draw(self, width: int, height: int) -> Picture:
        """The line on its paper."""
        return draw(
            self.desk.drawing,
            self.frame,
            width,
            height,
            held=self.desk.held if self.open else None,
            title=self.title_text(),
            right=self._right,
            marks=self.marks,
            drawn=self.desk.touched or self._right is None,
            ascii=ascii_screen(),
        )

    def title_text(self) -> str:
        """What is selected, in a sentence; or what is being typed."""
        desk = self.desk
        if self._warned:
            return fill("sketch", "untouched")
        if desk.typed:
            value = desk.read()
            if value is None:
                what = "level" if desk.held == Handle.LEVEL else "frequency"
                values = [("low", hertz(desk.low)), ("high", hertz(desk.high))]
                why = fill("sketch", f"typing.{what}", values)
            else:
                why = decibels(value) if desk.held == Handle.LEVEL else hertz(value)
                why = fill("sketch", "typing.read", [("value", why)])
            return f"{desk.typed}▏ {why}"
        return self.sentence()

    def sentence(self) -> str:
        """What is selected, in a sentence."""
        raise NotImplementedError

    def keys(self) -> Sequence[tuple[str, str, str]]:
        """The keys that work on what is selected."""
        desk, found = self.desk, list[tuple[str, str, str]]()

        def say(name: str, words: str, cap: str = "") -> None:
            found.append((name, self.cap(cap or name), fill("sketch", f"does.{words}")))

        if desk.typed:
            say("enter", "put")
            say("escape", "cancel")
            return found
        level, bend, gain = desk.held == Handle.LEVEL, desk.bend, desk.gain
        if bend is not None:
            say("", "move", "across")
        at = "level" if level else f"{'start' if bend is None else 'bend'}-{self.PLOT}"
        say("", at, "updown")
        say("", "type-level" if level else "type", "digits")
        say("tab", "next")
        say("a", f"add-{self.PLOT}")
        if bend is not None:
            say("delete", "remove")
            if not gain:
                say("j", "turn-again" if bend.jump else "jump")
        if bend is not None or level:
            say("", "fine", "shift-updown" if level else "shift-across")
        if desk.changes.undoable:
            say("u", "undo")
        if gain and not level:
            say("l", "to-level")
        if desk.changes.redoable:
            say("y", "redo")
        if desk.drawing != EMPTY[self.PLOT]:
            say("c", "clear")
        return found

    # Keys

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Figures are typed, and after one what belongs to a value.

        Args:
            key: the name of what is pressed.
            character: what it types, if anything.
        """
        if not self.open or character is None or not character.isprintable():
            return False
        return character.isdigit() or self._typing(character)

    def _typing(self, character: str) -> bool:
        if character == "?":
            return False
        if self.desk.typed:
            return True
        return self.desk.held == Handle.LEVEL and character in "+-−"

    async def on_key(self, event: events.Key) -> None:
        """A figure begins a value; backspace takes a character of it back."""
        if not self.open:
            return
        typed = self.desk.typed
        if self.check_consume_key(event.key, event.character):
            assert event.character is not None
            self.desk.type(event.character)
        elif typed and event.key == "backspace":
            self.desk.erase()
        elif typed and event.key == "delete":
            self.desk.typed = ""
        else:
            return
        event.stop()
        event.prevent_default()
        self._warned = False
        self.show()

    def _settle(self) -> None:
        """A key that is not part of the value ends the typing, as Enter does if it can."""
        if self.desk.typed:
            self._enter()
            self.desk.typed = ""
            self.show()

    def _enter(self) -> bool:
        """Put what is typed in place."""
        before = self.desk.drawing
        done = self.desk.enter()
        if self.desk.drawing != before:
            self._forget(before)
        self.show()
        if done:
            self.post_message(self.Changed())
        return done

    def _forget(self, before: LineSketch) -> None:
        """Keep only the verdicts of pieces that are as they were."""
        after = self.desk.drawing
        if len(after.bends) != len(before.bends):
            self.unmark()
            return
        names = [*COUNTS] if after.bends != before.bends else []
        if isinstance(after, GainSketch) and isinstance(before, GainSketch):
            names += ["level"] if after.level != before.level else []
        if after.start != before.start:
            names += ["slope-0", "start", "end"]
        for number, (old, new) in enumerate(zip(before.bends, after.bends, strict=True), 1):
            if old.frequency != new.frequency or old.jump != new.jump:
                names += [f"break-{number}", f"turn-{number}"]
            if old.value != new.value:
                names += [f"slope-{number}", f"turn-{number}", "end"]
        self.unmark(*names)

    def _do(self, change: Callable[[], bool]) -> None:
        """Make a change of what is selected, if there is one to be made now."""
        self._settle()
        before = self.desk.drawing
        if not self.open:
            return
        done = change()
        if done:
            self._forget(before)
        self.changed(done)

    def action_submit(self) -> None:
        """Put what is typed in place, else submit the line."""
        if self.desk.typed:
            self._enter()
            return
        super().action_submit()

    def action_next(self, way: int) -> None:
        """Select the next handle."""
        self._settle()
        super().action_next(way)

    def action_first(self) -> None:
        """Select the first piece."""
        self._settle()
        self.changed(self.open and self.desk.hold(int(Handle.START)))

    def action_last(self) -> None:
        """Select the last break or turn."""
        self._settle()
        self.changed(self.open and self.desk.hold(len(self.desk.drawing.bends) - 1))

    def action_move(self, way: int, fine: bool = False) -> None:
        """Move the selected break along the frequencies."""
        self._do(lambda: self.desk.move(way, fine))

    def action_turn(self, way: int, fine: bool = False) -> None:
        """Turn the piece, or lift the level."""
        self._do(lambda: self.desk.turn(way, fine))

    def action_add(self) -> None:
        """Add a break after what is selected."""
        self._do(self.desk.add)

    def action_leave(self) -> None:
        """Take back what is being typed."""
        if self.desk.typed:
            self.desk.typed = ""
            self.show()

    def pasted(self, text: str) -> None:
        """A sketch in words, or a value for what is selected."""
        desk, before = self.desk, self.desk.drawing
        line = "".join(c for c in text.strip() if c.isprintable())
        if len(line) <= 16 and not desk.typed:
            desk.typed = line
            if desk.read() is not None:
                self._enter()
                return
            desk.typed = ""
        if desk.drawing is before:
            super().pasted(text)

    # The mouse

    def pick(self, handle: object) -> None:
        """Select what was clicked in the words."""
        if isinstance(handle, int):
            self._settle()
            self.changed(self.desk.hold(handle))

    def point(self, col: int, row: int) -> None:
        """A click selects the break or piece it is nearest to."""
        chart = self._paper.picture
        if not isinstance(chart, PlottedPicture) or chart.frequency is None or chart.level is None:
            return
        left, top, columns, rows = chart.plot
        if not 0 <= col - left < columns or not 0 <= row - top < rows:
            return
        self._settle()
        places = [chart.frequency.cell(bend.frequency) for bend in self.desk.drawing.bends]
        near = [i for i, place in enumerate(places) if abs(place - 0.5 - (col - left)) < 1.5]
        if near:
            self.changed(self.desk.hold(near[0]))
            return
        held = sum(place < col - left for place in places) - 1
        self.changed(self.desk.hold(held))
