"""Where the ``rungwise`` command starts; imports nothing that ``--version`` does not need."""

import os
import sys

from ..files.streams import guarded
from ..version import VERSION


def main() -> None:
    """The ``rungwise`` command."""
    guarded(_main)


def _main() -> None:
    """Answer ``--version`` at once, open tutor or drill; leave the rest to the command line."""
    if sys.argv[1:] in (["--version"], ["-V"]):
        print(f"rungwise {VERSION}")
        return
    # Opening the screen needs no command line library, which takes a while to import.
    # A shell that completes a line runs the command without any words.
    asked = "_RUNGWISE_COMPLETE" in os.environ
    if not asked and (not sys.argv[1:] or sys.argv[1:] == ["drill"]):
        try:
            from .tutor import FIRST_LEVEL, open_tutor

            if sys.argv[1:]:
                from ..learning.request import ProblemRequest, draw_seed

                open_tutor(ProblemRequest(FIRST_LEVEL, None, draw_seed()))
            open_tutor()
        except KeyboardInterrupt:  # before the screen listens to keys
            raise SystemExit(130) from None
    from .main import main as command

    command()
