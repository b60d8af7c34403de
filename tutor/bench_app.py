"""The bench on its own, without a climb behind it."""

from __future__ import annotations

from textual.screen import Screen

from ..problems.circuit import Ladder
from .app import Rungwise
from .screens.bench import BenchScreen
from .wish import Wish


class BenchApp(Rungwise):
    """The tutor with nothing but a bench.

    Args:
        ladder: The circuit to begin with.
    """

    def __init__(self, ladder: Ladder) -> None:
        super().__init__(Wish(None, None, 0))
        self._ladder = ladder

    def get_default_screen(self) -> Screen[None]:  # type: ignore[override]
        """The bench is there from the first frame on."""
        return BenchScreen(self._ladder)
