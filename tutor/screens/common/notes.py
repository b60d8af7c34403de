"""The notes beside a question: marks, slips' explanations and hints, newest in sight."""

from __future__ import annotations

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

SIGNS = {
    "right": ("✓", "$ink-verdigris"),
    "rough": ("≈", "$ink-brass"),
    "wrong": ("✗", "$ink-rust"),
    "unclear": ("–", "$ink-quiet"),
    "hint": ("?", "$ink-brass"),
    "shown": ("○", "$ink-brass"),
    "skipped": ("–", "$ink-quiet"),
    "example": ("◇", "$ink-brass"),
    "lesson": ("▸", "$ink-copper"),
    "taken": ("▪", "$ink-copper"),
}


class Note(Static):
    """One note: a sign, a heading and plain text (never read as markup)."""

    def __init__(self, kind: str, head: str, body: str) -> None:
        sign, style = SIGNS[kind]
        text = Content.assemble((f"{sign} {head}", f"bold {style}"), f"  {body}" if body else "")
        super().__init__(text, classes=f"-{kind}", markup=False)


class Notes(VerticalScroll, can_focus=False):
    """The notes of one question."""

    def add(self, kind: str, head: str, body: str = "") -> None:
        """Add a note of a ``kind``, with ``head`` and ``body``, and bring it into sight."""
        note = Note(kind, head, body)
        self.mount(note)
        self.call_after_refresh(note.scroll_visible, animate=False, top=True)

    def clear(self) -> None:
        """Drop every note."""
        self.remove_children()
