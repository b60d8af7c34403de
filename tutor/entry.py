"""Where the ``rungwise`` command starts; imports nothing that ``--version`` does not need."""

import sys

VERSION = "0.1.0"


def main() -> None:
    """Answer ``--version`` at once; leave the rest to the command line."""
    if sys.argv[1:] in (["--version"], ["-V"]):
        print(f"rungwise {VERSION}")
        return
    from .command import main as command

    command()
