"""What cannot be done as it was asked, as a key and values: the words stand in ``content``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wording:
    """What is to be said: the ``key`` of its words in ``content/errors.toml``, and what fills them.

    A value may be a wording itself, or a tuple of values of which one is meant.
    """

    key: str
    values: tuple[tuple[str, object], ...] = ()

    def __str__(self) -> str:
        told = ", ".join(f"{name} = {value}" for name, value in self.values)
        return f"{self.key}: {told}" if told else self.key


def wording(key: str, /, **values: object) -> Wording:
    """What the words under a ``key`` say of these ``values``."""
    return Wording(key, tuple(values.items()))


class WordedError(Exception):
    """An error that a person may come to read; the root of all that have words.

    ``wording`` says which (``tutor/language/errors.py`` has them).  Each kind of error is a class
    of its own, with a class of Python's beside this one; its own text is for those who look for
    a fault.

    Args:
        key: the key of the words, or all that is to be said.
        values: what fills the words of a key.
    """

    def __init__(self, key: str | Wording, **values: object) -> None:
        super().__init__(key)
        self.wording = wording(key, **values) if isinstance(key, str) else key

    def __str__(self) -> str:
        return str(self.wording)
