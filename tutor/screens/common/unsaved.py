"""A quiet line that says when nothing is being kept, and why."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static


class Unsaved(Static):
    """Empty, and without a row of its own, as long as the record is being kept."""

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__(markup=False)
        self.display = False
        self._said = ""

    def say(self, trouble: str) -> None:
        """Say why nothing is being kept; "" when all is well."""
        if trouble == self._said:
            return
        self._said = trouble
        self.update(Content.assemble(("! ", "bold $ink-rust"), (trouble, "$ink-quiet")))
        self.display = bool(trouble)
