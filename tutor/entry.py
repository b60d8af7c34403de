"""Where the ``rungwise`` command starts; imports nothing that ``--version`` does not need."""

import sys

VERSION = "0.1.0"


def main() -> None:
    """Answer ``--version`` at once and open the tutor; leave the rest to the command line."""
    if sys.argv[1:] in (["--version"], ["-V"]):
        print(f"rungwise {VERSION}")
        return
    if not sys.argv[1:]:
        try:
            from .opening import open_tutor

            open_tutor()
        except KeyboardInterrupt:  # before the screen listens to keys
            raise SystemExit(130) from None
    from .command import main as command

    command()
