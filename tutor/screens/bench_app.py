"""The bench on its own, without a climb behind it."""

from __future__ import annotations

from typing import NoReturn

from .compat import lean

lean.few_numbers()
lean.without_network()  # before the screen library imports it whole

from textual.screen import Screen  # noqa: E402

from ...problems.circuits.model import Ladder  # noqa: E402
from ..learning.request import ProblemRequest  # noqa: E402
from .app import Rungwise  # noqa: E402
from .bench.screen import BenchScreen  # noqa: E402


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
