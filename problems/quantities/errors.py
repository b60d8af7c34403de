"""What cannot be done as it was asked, as a key and values: the words stand in ``content``."""

from __future__ import annotations


class WordedError(Exception):
    """An error that a person may come to read; the root of all that have words.

    ``key`` names its words in ``content/errors.toml``, and ``values`` fill them
    (``tutor/language/errors.py`` does).  Each kind of error is a class of its own, with a class
    of Python's beside this one; its own text is for those who look for a fault.
    """

    def __init__(self, key: str, **values: object) -> None:
        super().__init__(key)
        self.key = key
        self.values = values

    def __str__(self) -> str:
        told = ", ".join(f"{name} = {value}" for name, value in self.values.items())
        return f"{self.key}: {told}" if told else self.key
