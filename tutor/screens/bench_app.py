"""The bench on its own, without a climb behind it."""

from __future__ import annotations

from typing import NoReturn

from textual.screen import Screen

from ...problems.circuits.model import Ladder
from ..drafting.script import Script
from ..learning.request import ProblemRequest
from .app import Rungwise
from .bench.screen import BenchScreen
from .bench.scripted import ScriptScreen


class BenchApp(Rungwise):
    """The tutor with nothing but a bench.

    Args:
        begins: The circuit to begin with, or a list of changes to step through.
    """

    def __init__(self, begins: Ladder | Script) -> None:
        super().__init__(ProblemRequest(None, None, 0))
        self._begins = begins

    def get_default_screen(self) -> Screen[None]:
        """The bench is there from the first frame on."""
        begins = self._begins
        return ScriptScreen(begins) if isinstance(begins, Script) else BenchScreen(begins)


def open_bench(begins: Ladder | Script) -> NoReturn:
    """Open the bench and leave the program with it.

    Args:
        begins: the circuit to begin with, or a list of changes to step through.

    Raises:
        SystemExit: always.
    """
    app = BenchApp(begins)
    app.run()
    raise SystemExit(app.return_code or 0)
