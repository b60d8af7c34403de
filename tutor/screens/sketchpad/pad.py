"""A pad to draw an answer on: paper, what is drawn in words, and the keys that work now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from types import MappingProxyType
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.message import Message

from ....problems.sketches.model import Sketch, SketchPart
from ...drafting.line import LineDraft
from ...drafting.line_text import kept, submitted, take_up
from ...drafting.map import MapDraft
from ...figures.canvas.picture import Picture
from ...language.texts import fill
from ..common.keys import bound
from ..compat.at_once import AtOnce
from ..pictures.schematic import SchematicView
from .parts import Field, PadKeys, SketchPaper, SketchPieces

PASTED = 1000
"""Characters of a paste that are looked at."""


key = partial(bound, file="sketch", show=False)
"""A binding described by the words of the pads."""


class Pad(AtOnce, Vertical, can_focus=True):
    """What the pads have in common; subclasses say how to draw, and what is selected."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        key("enter", "submit", "submit", show=True),
        key("tab", "next(1)", "next"),
        key("shift+tab", "next(-1)", "before"),
        key("u,ctrl+z", "undo", "undo"),
        key("y,ctrl+y", "redo", "redo"),
        key("c", "clear", "clear"),
        key("delete,backspace,d", "remove", "remove"),
        key("ctrl+left", "look(-8, 0)", "look"),
        key("ctrl+right", "look(8, 0)", "look"),
        key("ctrl+up", "look(0, -2)", "look"),
        key("ctrl+down", "look(0, 2)", "look"),
    ]
    DEFAULT_CSS = """
    Pad { height: 1fr; }
    Pad:disabled, Pad:disabled:can-focus { opacity: 1; }
    Pad > SketchPaper { height: 1fr; }
    """

    class Submitted(Message):
        """A sketch was submitted, in the words of an answer; ``serial`` says to which question."""

        def __init__(self, text: str, serial: int) -> None:
            super().__init__()
            self.text, self.serial = text, serial

    class Changed(Message):
        """What is drawn or selected has changed."""

    def __init__(self) -> None:
        super().__init__()
        self._paper = SketchPaper(self.draw)
        self._fields, self._keys = SketchPieces(), PadKeys()
        self.marks: Mapping[str, bool] = MappingProxyType({})
        self.serial = 0
        self._warned = False
        self._revealed = False

    def compose(self) -> ComposeResult:
        """Paper, pieces, keys."""
        yield self._paper
        yield self._fields
        yield self._keys

    # What subclasses say

    @property
    def work(self) -> LineDraft | MapDraft:
        """What is being worked on."""
        raise NotImplementedError

    def draw(self, width: int, height: int) -> Picture:
        """The picture for a room of ``width`` columns and ``height`` rows."""
        raise NotImplementedError

    def fields(self) -> Sequence[Field]:
        """What is drawn, piece by piece."""
        raise NotImplementedError

    def keys(self) -> Sequence[tuple[str, str, str]]:
        """The keys that work now: (name of the key, its cap, what it does)."""
        raise NotImplementedError

    # What others do with a pad

    def ask(self, frame: tuple[float, float, float, float] | None) -> None:
        """An empty sheet; ``frame`` is its lowest and highest Hz, lowest and highest dB.

        A plane has no scale, and needs none.
        """
        raise NotImplementedError

    def begin(self) -> None:
        """A new question: nothing of the one before is left."""
        self.serial += 1
        self.marks = {}
        self._warned = self._revealed = False
        self.show()

    @property
    def text(self) -> str:
        """What would be submitted."""
        return submitted(self.work)

    @property
    def draft(self) -> str:
        """Everything about what is not submitted yet; "" while nothing has been drawn."""
        work = self.work
        typing = isinstance(work, LineDraft) and work.typed
        return kept(work) if work.touched or typing else ""

    def restore(self, text: str) -> bool:
        """Go on with a draft kept earlier, or with a sketch in words; says whether it could."""
        done = take_up(self.work, text)
        self.show()
        return done

    @property
    def open(self) -> bool:
        """Whether the pad can be drawn on now."""
        return not self._revealed and not self.disabled

    def show(self) -> None:
        """Show everything anew."""
        self._fields.show(self.fields())
        self._keys.show(self.keys())
        self._keys.display = not self._revealed
        self._paper.redraw()

    def changed(self, done: bool) -> bool:
        """Show what has been done, if anything has."""
        if done:
            self._warned = False
            self.show()
            self.post_message(self.Changed())
        return done

    # Keys that all pads have

    def action_submit(self) -> None:
        """Submit what is drawn; an empty sheet only when asked twice."""
        if not self.open:
            return
        if not self.work.touched and not self._warned:
            self._warned = True
            self.show()
            return
        self.post_message(self.Submitted(self.text, self.serial))

    def action_next(self, way: int) -> None:
        """Select what is next."""
        self.changed(self.open and self.work.next(way))

    def action_undo(self) -> None:
        """Take the last change back."""
        self._anew(self.work.undo)

    def action_redo(self) -> None:
        """Make it again."""
        self._anew(self.work.redo)

    def action_clear(self) -> None:
        """Begin again."""
        self._anew(self.work.clear)

    def action_remove(self) -> None:
        """Take away what is selected."""
        self._anew(self.work.remove)

    def _anew(self, change: Callable[[], bool], *pieces: str) -> None:
        """Make a change, if there is one to be made now; verdicts of these pieces, or all, go."""
        if self.open and change():
            self.unmark(*pieces)
            self.changed(True)

    def counted(self, **counts: int) -> list[Field]:
        """How many there are of what the mark says there are too many or too few of."""
        return [
            Field(None, fill("sketch", f"counted.{name}", [("count", count)]), False, False)
            for name, count in counts.items()
            if self.marks.get(name) is False
        ]

    def judge(self, parts: Sequence[SketchPart]) -> None:
        """Show which pieces are right and which wrong, until they are changed."""
        raise NotImplementedError

    def reveal(self, truth: Sketch) -> None:
        """Draw the right picture, on top; nothing more is drawn by hand."""
        raise NotImplementedError

    def action_look(self, across: int, down: int) -> None:
        """Scroll the circuit, where the window is too small for all of it."""
        for circuit in self.screen.query(SchematicView):
            circuit.scroll_relative(across, down, animate=False)

    def unmark(self, *names: str) -> None:
        """Forget the verdicts of these pieces; of all of them without a name."""
        if self.marks:
            self.marks = (
                {name: good for name, good in self.marks.items() if name not in names}
                if names
                else {}
            )

    def on_paste(self, event: events.Paste) -> None:
        """A sketch in words may be pasted."""
        event.stop()
        if self.open:
            self.pasted(event.text[:PASTED])

    def pasted(self, text: str) -> None:
        """Take what was pasted for a sketch in words, if it is one."""
        if take_up(self.work, text, undoable=True):
            self.unmark()
            self.changed(True)

    @on(SketchPieces.Picked)
    def _picked(self, event: SketchPieces.Picked) -> None:
        event.stop()
        self.focus()
        if self.open:
            self.pick(event.handle)

    def pick(self, handle: object) -> None:
        """Select what was clicked."""
        raise NotImplementedError

    @on(SketchPaper.Pointed)
    def _pointed(self, event: SketchPaper.Pointed) -> None:
        event.stop()
        self.focus()
        if self.open:
            self.point(event.col, event.row)

    def point(self, col: int, row: int) -> None:
        """A cell of the picture was clicked: at ``col`` and ``row``, from 0."""
        raise NotImplementedError

    def on_focus(self) -> None:
        """Show what is selected."""
        self.show()

    def cap(self, name: str) -> str:
        """A key as it is printed on a keyboard."""
        return fill("sketch", f"caps.{name}")
