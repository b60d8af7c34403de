"""Whether this tutor is shown in somebody else's browser; asked by every tutor."""

import os

SERVED = "RUNGWISE_SERVED"
"""Set in the environment of a tutor whose screen is in somebody else's browser."""


def served() -> bool:
    """Whether this tutor is shown to a visitor, who shall not touch the machine it runs on."""
    return os.environ.get(SERVED) == "1"
