"""Which scripts the fonts at hand lack letters of, and which fonts draw the names of a class.

A script is known by the first word of its characters' names in Unicode; an open font for it is
named as the Noto family names its members.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from io import BytesIO
from types import MappingProxyType

from .pdf_compiler import PdfError, compiled
from .pdf_letters import NO_LETTERS, is_sure, undrawn

_SCRIPTS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "CJK": ("Han", "Noto Serif SC"),
        "HIRAGANA": ("Japanese", "Noto Serif JP"),
        "KATAKANA": ("Japanese", "Noto Serif JP"),
        "HANGUL": ("Korean", "Noto Serif KR"),
        "ARABIC": ("Arabic", "Noto Naskh Arabic"),
        "NKO": ("N’Ko", "Noto Sans NKo"),
        "CANADIAN": ("Canadian syllabic", "Noto Sans Canadian Aboriginal"),
    }
)
"""The script of a first word, and an open font for it, where these are no rule."""
_PROBE = b"""#set document(title: "letters")
#set text(lang: "en", font: ("Libertinus Serif", "DejaVu Sans Mono"))
#read("data")
"""
_EMBEDDED = ("Libertinus", "DejaVu", "NewCM", "NewComputerModern", "SourceSansPro")


@dataclass(frozen=True, slots=True)
class LackingScript:
    """A script that can't be printed: its name, a text that has letters of it, an open font."""

    script: str
    sample: str
    font: str


def script_of(letter: str) -> tuple[str, str]:
    """The script of a ``letter``, and an open font that has it."""
    word = unicodedata.name(letter, "UNKNOWN").split()[0].split("-")[0]
    script = word.capitalize()
    return _SCRIPTS.get(word, (script, f"Noto Sans {script}"))


def lacking_scripts(texts: Iterable[str]) -> tuple[LackingScript, ...]:
    """The scripts of ``texts`` that the fonts at hand have no letters of, each once."""
    some = tuple(dict.fromkeys(texts))
    letters = {c for text in some for c in text if unicodedata.category(c) not in NO_LETTERS}
    bad = undrawn(sorted(c for c in letters if not is_sure(c)))
    found: dict[str, LackingScript] = {}
    for text in some:
        for letter in text:
            if letter not in bad:
                continue
            script, font = script_of(letter)
            found.setdefault(script, LackingScript(script, text, font))
    return tuple(found.values())


def fonts_of(texts: Iterable[str]) -> tuple[str, ...]:
    """The fonts, besides those that typst carries, that draw the letters of ``texts``."""
    from pypdf import PdfReader
    from pypdf.generic import DictionaryObject

    odd = sorted({c for text in texts for c in text if not is_sure(c)})
    try:
        data = compiled(_PROBE, " ".join(odd)) if odd else b""
    except PdfError:
        return ()
    families: set[str] = set()
    for page in PdfReader(BytesIO(data)).pages if data else ():
        resources = page["/Resources"].get_object()
        assert isinstance(resources, DictionaryObject)
        fonts = resources["/Font"].get_object()
        assert isinstance(fonts, DictionaryObject)
        for one in fonts.values():
            font = one.get_object()
            assert isinstance(font, DictionaryObject)
            families.add(str(font["/BaseFont"]).split("+")[-1].lstrip("/").split("-")[0])
    return tuple(sorted(one for one in families if not one.startswith(_EMBEDDED)))
