"""What an error says, in the words of ``content/errors.toml``."""

from __future__ import annotations

from ...problems.quantities.errors import WordedError, Wording
from .texts import filled


def worded(error: Exception | Wording | str | None) -> str:
    """The words of an error, filled with its values; its own text where it has no words.

    They are kept in records too, so that they are the same whatever the screen can show.

    Raises:
        KeyError: nothing is written under its key.
    """
    if error is None:
        return ""
    if isinstance(error, WordedError):
        error = error.wording
    if not isinstance(error, Wording):
        return str(error)
    return filled("errors", error.key, [(name, _value(value)) for name, value in error.values])


def _value(value: object) -> str:
    if isinstance(value, Wording | WordedError):
        return worded(value)
    if not isinstance(value, tuple):
        return str(value)
    *most, last = map(_value, value)
    if not most:
        return last
    return filled("errors", "list.either", [("most", ", ".join(most)), ("last", last)])
