"""Apostrophes and quotes as they are printed: ’ and ‘…’ for the straight sign of a keyboard."""

from __future__ import annotations

import re


class Typed(str):
    """What somebody typed, a name, or code: it is printed letter by letter."""

    __slots__ = ()


_QUOTED = re.compile(r"(?<![^\s(])'(?!\s)([^'\n]*[^'\s])'(?![^\s.,;:!?)])")
"""Words in straight quotes."""
_APOSTROPHE = re.compile(r"(?<=[^\W\d_])'(?=[^\W\d_])|(?<=[^\W\d_]s)'(?![^\s.,;:!?)])")
"""Between letters, or after a plural: no sign of feet, minutes, thousands or a derivative."""


def curled(text: str) -> str:
    """A ``text`` of ours or a teacher's as it is printed."""
    if "'" not in text or isinstance(text, Typed):
        return text
    return _APOSTROPHE.sub("’", _QUOTED.sub(r"‘\1’", text))
