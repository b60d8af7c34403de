"""Typed text made uniform without losing columns, and safe to show again.

Typed and pasted text spells one sign in many ways: full-width digits, two code points for
µ, three for Ω, a dozen spaces, half a dozen dashes.  :func:`uniform` folds them (Unicode
normalisation form KC, UAX #15, character by character) and keeps the column of each
character in the text as typed, so that an error can point at it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

_DASHES = "‐‑‒–—−﹘"
_OWN = {
    **dict.fromkeys(_DASHES, "-"),
    **dict.fromkeys("∕⁄", "/"),
    **dict.fromkeys("×✕⨯⋅∙·•", "*"),
    # A typist's stand-ins for the degree sign.
    **dict.fromkeys("º˚", "°"),
    "µ": "μ",
    "Ω": "Ω",
    "\u066b": ".",  # Arabic decimal separator
    "∥": "||",
    "\t": " ",
    "\n": " ",
    "\r": " ",
}
_SUPERSCRIPT = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-", strict=True))
# Decompositions that change what a sign means (½ is not "1 2", ① is not a digit) stay as
# they are and are then refused; the others only change its dress.
_DRESS = {"<wide>", "<narrow>", "<noBreak>", "<compat>", "<square>", "<font>"}


@dataclass(frozen=True, slots=True)
class Uniform:
    """Folded text; ``columns[i]`` is where its i-th character stood as typed (0-based)."""

    text: str
    columns: tuple[int, ...]

    def column(self, index: int) -> int:
        """The typed column of a folded index; one past the end is allowed."""
        return self.columns[index]


@lru_cache(maxsize=1024)
def _fold(char: str) -> str:
    if char in _OWN:
        return _OWN[char]
    if unicodedata.category(char) == "Nd":
        return str(unicodedata.decimal(char))
    tag = unicodedata.decomposition(char).partition(" ")[0]
    if tag.startswith("<") and tag not in _DRESS:
        return char
    # Recomposed forms (é) come back as they were; ㎑ becomes kHz.
    folded = unicodedata.normalize("NFKC", char)
    return "".join(_OWN.get(c, c) for c in folded)


def uniform(text: str) -> Uniform:
    """Fold a text; a run of superscripts becomes ``^`` and plain digits (10⁻⁷ → 10^-7).

    The result may be longer than the text (㎑ is three characters), at most 18 times.
    """
    if text.isascii() and text.isprintable():
        return Uniform(text, tuple(range(len(text) + 1)))
    folded: list[str] = []
    columns: list[int] = []
    raised = False
    for column, char in enumerate(text):
        if char in _SUPERSCRIPT:
            piece = _SUPERSCRIPT[char] if raised else "^" + _SUPERSCRIPT[char]
            raised = True
        else:
            piece = _fold(char)
            raised = False
        folded.append(piece)
        columns.extend([column] * len(piece))
    columns.append(len(text))
    return Uniform("".join(folded), tuple(columns))


def shown(text: str, limit: int = 24) -> str:
    """``text`` in quotation marks that is safe to print: no control or invisible characters.

    They are named by code point instead, and what passes ``limit`` characters is cut with an
    ellipsis.
    """
    cut = text[:limit]
    safe = "".join(c if c.isprintable() else f"<U+{ord(c):04X}>" for c in cut)
    return f"“{safe}…”" if len(text) > limit else f"“{safe}”"


def nearest(word: str, options: Collection[str]) -> str | None:
    """The one of ``options`` that a misspelt ``word`` most likely stands for, if any is near."""
    if len(word) > 32:
        return None
    found = get_close_matches(word.lower(), sorted(options), n=1, cutoff=0.6)
    return found[0] if found else None


def listed(texts: Iterable[str], last: str = "or") -> str:
    """``texts`` as 'a, b or c', with ``last`` for "or"; "" for none."""
    *most, final = list(texts) or [""]
    return f"{', '.join(most)} {last} {final}" if most else final
