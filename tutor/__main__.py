"""``python -m rungwise.tutor`` is the ``rungwise`` command."""

from .cli.entry import main

main()
