"""Names that visitors give themselves: read, refused with a reason, and compared."""

from __future__ import annotations

import re
import unicodedata

MAX_NAME = 40
"""Most characters of a name."""
MAX_TYPED = 400
"""Most characters looked at: whatever is longer is no name, and is not normalised first."""
MAX_MARKS = 3
"""Most combining marks on one letter; more are an ornament that climbs over other lines."""

_JOINERS = dict.fromkeys((0x00AD, 0x200C, 0x200D, 0xFE0F))
"""Soft hyphen, joiners and the emoji selector: harmless, invisible, and dropped."""
_SIGNS = frozenset(" .-'’·")


class RefusedNameError(ValueError):
    """A name that cannot be taken; ``reason`` is its key among the words of refusals."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def read_name(typed: str) -> str:
    """A name as it will be shown and kept: composed, with single spaces.

    Letters and digits of any script, spaces, and the signs that names are written with; no
    control character, mark-up or path can pass, since none of their signs is among these.

    Raises:
        RefusedNameError: "no-name", "long-name" or "odd-name".
    """
    if len(typed) > MAX_TYPED:
        raise RefusedNameError("long-name")
    name = unicodedata.normalize("NFC", " ".join(typed.translate(_JOINERS).split()))
    if not name:
        raise RefusedNameError("no-name")
    if len(name) > MAX_NAME:
        raise RefusedNameError("long-name")
    # L letters, M marks, N digits: str.isalnum would refuse the vowel signs of many scripts.
    kinds = [unicodedata.category(character)[0] for character in name]
    if any(
        kind not in "LMN" and character not in _SIGNS
        for kind, character in zip(kinds, name, strict=True)
    ):
        raise RefusedNameError("odd-name")
    if kinds[0] not in "LN" or re.search(f"M{{{MAX_MARKS + 1},}}", "".join(kinds)):
        raise RefusedNameError("odd-name")
    return name
