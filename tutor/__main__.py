"""``python -m rungwise.tutor`` is the ``rungwise`` command."""

from .entry import main

main()
