"""Plain-ASCII forms of the signs the tutor uses, for outputs that cannot carry Unicode."""

from __future__ import annotations

import re
import unicodedata
from typing import TextIO

_FORMS = str.maketrans(
    {
        "Ω": "ohm",
        "\u2126": "ohm",
        "ω": "w",
        "µ": "u",
        "μ": "u",
        "ζ": "zeta",
        "π": "pi",
        "Δ": "delta",
        "φ": "phi",
        "θ": "theta",
        "−": "-",
        "–": "-",
        "—": "-",
        "‑": "-",
        "×": "*",
        "·": "*",
        "÷": "/",
        "√": "sqrt",
        "∥": "||",
        "∞": "inf",
        "≈": "~",
        "≠": "!=",
        "≤": "<=",
        "≥": ">=",
        "±": "+/-",
        "°": " deg",
        "→": "->",
        "←": "<-",
        "↑": "^",
        "↓": "v",
        "½": "1/2",
        "…": "...",
        "“": '"',
        "”": '"',
        "„": '"',
        "‘": "'",
        "’": "'",
        "•": "*",
        "✓": "+",
        "✗": "x",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "─": "-",
        "━": "=",
        "│": "|",
        "┃": "|",
        "┌": "+",
        "┐": "+",
        "└": "+",
        "┘": "+",
        "╲": "\\",
        "╱": "/",
    }
)
# A raised run is a power: 10⁻⁵ is 10^-5, not 105.
_RAISED = re.compile("[⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺]+")
_LOWERED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")


def ascii_form(text: str) -> str:
    """The text in ASCII: signs by their usual spelling, letters without accents, else "?"."""
    if text.isascii():
        return text
    text = _RAISED.sub(lambda run: "^" + run[0].translate(_LOWERED), text)
    text = unicodedata.normalize("NFKD", text.translate(_FORMS))
    kept = "".join(c for c in text if not unicodedata.combining(c))
    return kept.encode("ascii", "replace").decode()


def carries_unicode(stream: TextIO) -> bool:
    """Whether the stream's encoding can write the signs the tutor needs."""
    try:
        "Ωµ−√━✓⣿".encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
