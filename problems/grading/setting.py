"""What stands around an answer and helps to read it; the answer's own text says nothing of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Setting:
    """The words that a question's choices are shown in, and how its writer writes numbers.

    ``words``: id of a choice → its words as they are shown.  ``decimal`` is the decimal sign that
    the other answers of the same hand-in have, "" where that is not known.
    """

    words: Mapping[str, str] = field(default_factory=dict)
    decimal: str = ""
