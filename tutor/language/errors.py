"""What an error says, in the words of ``content/errors.toml``."""

from __future__ import annotations

from ...problems.quantities.errors import WordedError
from .texts import fill


def worded(error: Exception) -> str:
    """The words of an error, filled with its values; its own text where it has no words.

    Raises:
        KeyError: nothing is written under its key.
    """
    if not isinstance(error, WordedError):
        return str(error)
    return fill("errors", error.key, error.values.items())
