"""Which characters the fonts at hand can draw.

Only fonts that typst carries are used, so that the same sheet is the same file everywhere, and
those of the folder named in ``RUNGWISE_FONTS``, for scripts that these have no letters for
(Chinese, Japanese, Korean and many others; of open fonts, Noto has most).  Fonts of the system
are not looked at.

PDF/UA-1 (ISO 14289-1:2014, 7.21.8) forbids glyphs that are missing, so typst refuses to write
them: asking it is exact, and needs no table of what a font holds.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache

from .pdf_compiler import FONTS, PdfError, compiled

SIGN = "□"
"""What stands for a character that can't be drawn."""

NO_LETTERS = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"})
"""Categories of Unicode that no font need be asked for."""
_BREAK = "\u200b"
_LONG = re.compile(r"\S{40,}")

_PROBE = b"""#set document(title: "letters")
#set text(lang: "en", font: ("Libertinus Serif", "DejaVu Sans Mono"))
#let text = read("data")
#text #strong(text) #emph(text)
"""
_SURE = frozenset(map(chr, range(0x20, 0x7F))) | frozenset(map(chr, range(0xA1, 0x17F)))
_SURE -= {"\xad"}
_SURE |= frozenset("–—‘’“”…−ΩµωπσζΔ√∞≈≤≥→←·×±°∥✓⁻⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉")
"""What every page may have on it, so that nothing need be asked for that."""


_BARE: ContextVar[bool] = ContextVar("bare", default=False)


@contextmanager
def bare() -> Iterator[None]:
    """Until the end of the block, take for drawable what is so in any company, and no more."""
    token = _BARE.set(True)
    try:
        yield
    finally:
        _BARE.reset(token)


def drawable(text: str) -> bool:
    """Whether every character of a text can be drawn as it stands, upright, bold and italic."""
    if _SURE.issuperset(text):
        return True
    if _BARE.get() or any(unicodedata.category(c) in NO_LETTERS for c in text):
        return False
    return _asked(text, os.environ.get(FONTS, ""))


@lru_cache(maxsize=4096)
def _asked(text: str, _fonts: str) -> bool:
    try:
        compiled(_PROBE, text)
    except PdfError:
        return False
    return True


def shown(text: str) -> str:
    """The text with ``SIGN`` for what can't be drawn."""
    if drawable(text):
        return text
    bad = undrawn(sorted(set(text) - _SURE))
    found = "".join(SIGN if c in bad else c for c in text)
    # A letter that can be drawn alone may not be so joined to its neighbours.
    return found if drawable(found) else "".join(c if c in _SURE else SIGN for c in text)


def all_shown(texts: Iterable[str]) -> dict[str, str]:
    """Each of the texts with ``SIGN`` for what can't be drawn.

    All are asked about at once: a large class with names in another script would else take
    minutes.
    """
    found = {text: text for text in texts}
    odd = [text for text in found if not _SURE.issuperset(text)]
    if not odd or drawable(" ".join(odd)):
        return found
    bad = undrawn(sorted(set().union(*odd) - _SURE))
    clean = {text: "".join(SIGN if c in bad else c for c in text) for text in odd}
    if not drawable(" ".join(clean.values())):  # what can be drawn alone may not be, side by side
        clean = {text: shown(text) for text in odd}
    return {**found, **clean}


def is_sure(character: str) -> bool:
    """Whether a ``character`` is one that every page may have on it."""
    return character in _SURE


def undrawn(characters: Iterable[str]) -> frozenset[str]:
    """Those that can't be drawn, found by halves; marks on letters are no letters alone."""
    letters = [c for c in characters if unicodedata.category(c)[0] != "M"]
    found = set(characters) - set(letters)
    rest = [letters]
    while rest:
        part = rest.pop()
        if not part or drawable(" ".join(part)):
            continue
        if len(part) == 1:
            found |= set(part)
        else:
            half = len(part) // 2
            rest += [part[:half], part[half:]]
    return frozenset(found)


def divided(text: str) -> str:
    """The text with room to break lines inside words longer than a line."""
    return _LONG.sub(lambda word: _BREAK.join(word[0]), text)
