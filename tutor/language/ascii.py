"""Plain-ASCII forms of the signs the tutor uses, for outputs that cannot carry Unicode.

The environment may say what is wanted: RUNGWISE_ASCII=1 for ASCII only, RUNGWISE_ASCII=0 for
Unicode whatever the output seems to be.
"""

from __future__ import annotations

import os
import re
import sys
import unicodedata
from collections.abc import Mapping
from typing import TextIO

WANTED = "RUNGWISE_ASCII"
"""The environment variable that decides."""

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


def wanted(environ: Mapping[str, str] | None = None) -> bool | None:
    """Whether the environment asks for ASCII only (True) or for Unicode (False)."""
    told = (os.environ if environ is None else environ).get(WANTED, "").strip().lower()
    return None if not told else told not in ("0", "no", "off", "false")


def carries_unicode(stream: TextIO) -> bool:
    """Whether a stream is to get the tutor's signs: as the environment says, or its encoding."""
    told = wanted()
    return _encodes(stream) if told is None else not told


def _encodes(stream: TextIO) -> bool:
    try:
        "Ωµ−√━✓⣿".encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


# Terminals whose fonts have no braille and few of the other signs: the text console of a
# computer without a desktop, and the video terminals of old.  Common practice, no source.
_POOR = re.compile(r"linux$|dumb$|vt\d+|ansi$|cons25")
_screen_in_ascii = False


def settle_screen(environ: Mapping[str, str] | None = None, stream: TextIO | None = None) -> bool:
    """Decide once, before anything is shown, whether the full screen is drawn in ASCII.

    Args:
        environ: the environment; by default this program's.
        stream: where the screen is written to; by default standard error, as Textual does.
    """
    known = os.environ if environ is None else environ
    told, file = wanted(known), sys.__stderr__ if stream is None else stream
    if told is None:
        # A browser's screen is no terminal, whatever this process was told of its own.
        shown_here = not known.get("TEXTUAL_DRIVER")
        poor = _POOR.match(known.get("TERM", "")) is not None
        told = shown_here and (poor or (file is not None and not _encodes(file)))
    return draw_in_ascii(told)


def draw_in_ascii(on: bool) -> bool:
    """Draw the full screen in ASCII from now on, or not."""
    global _screen_in_ascii
    _screen_in_ascii = on
    return on


def ascii_screen() -> bool:
    """Whether the full screen is drawn in ASCII."""
    return _screen_in_ascii
