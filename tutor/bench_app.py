"""The bench on its own, without a climb behind it."""

from __future__ import annotations

from typing import NoReturn

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

    def get_default_screen(self) -> Screen[None]:
        """The bench is there from the first frame on."""
        return BenchScreen(self._ladder)


def open_bench(ladder: Ladder) -> NoReturn:
    """Open the bench and leave the program with it.

    Raises:
        SystemExit: always.
    """
    app = BenchApp(ladder)
    app.run()
    raise SystemExit(app.return_code or 0)
