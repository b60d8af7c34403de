"""The bench on its own, without a climb behind it."""

from __future__ import annotations

from typing import NoReturn

from textual.screen import Screen

from ...problems.circuits.model import Ladder
from ..learning.request import ProblemRequest
from .app import Rungwise
from .bench.screen import BenchScreen


class BenchApp(Rungwise):
    """The tutor with nothing but a bench.

    Args:
        ladder: The circuit to begin with.
    """

    def __init__(self, ladder: Ladder) -> None:
        super().__init__(ProblemRequest(None, None, 0))
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
