"""The tutor in a browser, for a room around the machine that serves it.

Nothing is imported here: every tutor asks ``served()``, and only ``rungwise serve`` needs more.
"""

import os

SERVED = "RUNGWISE_SERVED"
"""Set in the environment of a tutor whose screen is in somebody else's browser."""


def served() -> bool:
    """Whether this tutor is shown to a visitor, who shall not touch the machine it runs on."""
    return os.environ.get(SERVED) == "1"
