"""Typing a circuit for the bench: every key is answered with a drawing or a place."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static, TextArea
from textual.widgets.text_area import Edit, EditResult

from ....problems.analysis.response import facts
from ....problems.circuits.model import CircuitError, Ladder
from ....problems.circuits.statement import MAX_BYTES, NotationError
from ....problems.circuits.step_value import with_usual_values
from ....problems.circuits.text import read_circuit
from ....problems.circuits.write import write_circuit
from ....problems.quantities.units import QuantityError
from ...language.errors import worded
from ...language.texts import fill, plain
from ...phrases.bench import said
from ..common.frame import DialogFrame
from ..common.keyline import KeyLine
from ..common.leaving import Leaving
from ..pictures.schematic import SchematicView
from .frame import key


class CircuitText(TextArea):
    """The text; whatever is typed or pasted, it has no more signs than a circuit may have."""

    cursor_blink = False

    def edit(self, edit: Edit) -> EditResult:
        """Change the text by as much as there is room for."""
        replaced = self.get_text_range(*sorted((edit.from_location, edit.to_location)))
        room = MAX_BYTES - len(self.text) + len(replaced)
        return super().edit(replace(edit, text=edit.text[: max(0, room)]))

    def on_paste(self, event: events.Paste) -> None:
        """Take as much as fits, without control characters."""
        event.stop()
        event.prevent_default()
        lines = event.text[: 4 * MAX_BYTES].expandtabs(1).splitlines()
        self.replace("\n".join(plain(line) for line in lines), *self.selection)


class CircuitScreen(Leaving[Ladder | None], ModalScreen[Ladder | None]):
    """A text area, first with a ``ladder``, what is read from it, and its drawing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        key("enter", "accept", "accept"),
        key("ctrl+j,shift+enter", "newline", "newline"),
        key("escape", "dismiss(None)", "close"),
    ]
    CSS = """
    TextArea .text-area--cursor {
        color: $input-cursor-foreground;
        background: $input-cursor-background;
    }
    TextArea .text-area--matching-bracket { background: $panel; text-style: bold underline; }
    TextArea .text-area--placeholder { color: $ink-quiet; }
    """
    DEFAULT_CSS = """
    CircuitScreen { align: center middle; background: $background 60%; }
    #circuit-box {
        width: 90%; max-width: 110; height: 90%; max-height: 34; padding: 0 1;
    }
    #circuit-box CircuitText {
        height: 7; border: none; padding: 0 1; background: $picked; color: $foreground;
    }
    #circuit-box CircuitText:focus { border: none; }
    #circuit-box CircuitText .text-area--cursor-line { background: $picked; }
    #circuit-box #reads { height: auto; min-height: 2; max-height: 5; padding: 0 1; }
    #circuit-box SchematicView { height: 1fr; padding: 0 1; }
    CircuitScreen.-tall #circuit-box CircuitText { height: 12; padding: 1 2; }
    """

    def __init__(self, ladder: Ladder) -> None:
        super().__init__()
        try:
            self._begin = write_circuit(ladder)
        except (CircuitError, QuantityError):  # more than a circuit text may have
            self._begin = ""
        self._ladder: Ladder | None = None
        self._place = (0, 0)

    def compose(self) -> ComposeResult:
        """The text, the line that says how it is read, the drawing."""
        with DialogFrame(fill("bench", "circuit.title"), id="circuit-box"):
            yield CircuitText(
                self._begin, soft_wrap=True, show_line_numbers=False, tab_behavior="focus"
            )
            yield Static(id="reads", markup=False)
            yield SchematicView()
        yield KeyLine()

    def on_mount(self) -> None:
        """Read what is there."""
        text = self.query_one(CircuitText)
        text.move_cursor(text.document.end)
        self._read(text.text)

    @on(TextArea.Changed)
    def _changed(self, event: TextArea.Changed) -> None:
        self._read(event.text_area.text)

    def _read(self, text: str) -> None:
        """Say how the text is read, or where it stops making sense."""
        self._ladder = None
        if len(text) >= MAX_BYTES:
            self._say("✗", fill("bench", "circuit.longest", [("limit", MAX_BYTES)]), "$ink-rust")
            return
        if not text.strip():
            self._say("–", fill("bench", "circuit.empty"), "$ink-quiet")
            return
        try:
            ladder = read_circuit(text)
            known = facts(with_usual_values(ladder))
        except NotationError as error:
            self._place = (error.line - 1, error.column - 1)
            self._say("✗", worded(error), "$ink-rust")
            return
        except CircuitError as error:
            self._say("✗", worded(error), "$ink-rust")
            return
        self._ladder = ladder
        shown = fill("bench", "circuit.good", [("said", " · ".join(said(known)))])
        self._say("✓", shown, "$ink-verdigris")
        self.query_one(SchematicView).set_ladder(ladder)

    def _say(self, sign: str, text: str, style: str) -> None:
        content = Content.assemble((f"{sign} ", f"bold {style}"), (text, style))
        self.query_one("#reads", Static).update(content)

    def action_newline(self) -> None:
        """Begin another line."""
        self.query_one(CircuitText).insert("\n")

    def action_accept(self) -> None:
        """Put the circuit on the bench; where it can't be read, go to the place."""
        if self._ladder is not None:
            self.dismiss(self._ladder)
            return
        text = self.query_one(CircuitText)
        text.focus()
        if text.text.strip():
            text.move_cursor(self._place)
