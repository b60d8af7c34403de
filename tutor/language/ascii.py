"""Plain-ASCII forms of the signs the tutor uses, for outputs that cannot carry Unicode.

The environment may say what is wanted: RUNGWISE_ASCII=1 for ASCII only, RUNGWISE_ASCII=0 for
Unicode whatever the output seems to be.
"""

from __future__ import annotations

import os
import re
import sys
import unicodedata
from collections.abc import Callable, Mapping
from typing import TextIO

from .wrap import columns

WANTED = "RUNGWISE_ASCII"
"""The environment variable that decides."""

_ALIKE = {
    "-": "─╌┄┈╴╶╍┅┉╼╾⎯−–—‑",
    "|": "│┃┆┇┊┋╎╏▏▕▎▌▐║⎜⎟▍▋▊▉",
    "+": "┌┐└┘╭╮╰╯├┤┬┴┼┠┨┣┫┯┷┳┻╋┝┥┏┓┗┛╟╢╤╧╪╬✓",
    "_": "▁▂▃▄▅▆▇",
    "^": "▀▔↑▲△⇧",
    "#": "█▓▒░■◆♦",
    ">": "▸▶►▷⇒❯",
    "<": "◂◀◄",
    "v": "↓▼▽",
    "o": "◇○⊙",
    "@": "●◉",
    "x": "✗╳",
    "X": "⊗",
    "*": "·⋅×",
    "/": "÷╱",
    "\\": "╲",
    "~": "≈",
    "w": "ω",
    "u": "µμ",
    '"': "“”„",
    "'": "‘’",
    " ": "\u00a0\u2009\u202f",
}
"""Signs by the ASCII character that stands for them everywhere."""
_APART = {
    "Ω": ("ohm", "O"), "\u2126": ("ohm", "O"), "ζ": ("zeta", "z"), "π": ("pi", "p"),
    "σ": ("sigma", "s"), "Δ": ("delta", "D"), "φ": ("phi", "f"), "θ": ("theta", "t"),
    "√": ("sqrt", "V"), "∥": ("||", "|"), "∞": ("inf", "8"), "≠": ("!=", "#"), "≤": ("<=", "<"),
    "≥": (">=", ">"), "±": ("+/-", "+"), "°": (" deg", "d"), "→": ("->", ">"), "←": ("<-", "<"),
    "½": ("1/2", "/"), "…": ("...", "."), "•": ("*", "@"), "━": ("=", "-"),
}  # fmt: skip
"""Signs as they are spelled out, and in the one column that a drawing or a screen has for them."""
_RAISED = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+", strict=True))
SIGNS = {
    **{sign: (char, char) for char, signs in _ALIKE.items() for sign in signs},
    **_APART,
    **{sign: (f"^{char}", char) for sign, char in _RAISED.items()},
}
"""Every sign that is known: spelled out, and in one column."""
_SPELLED = str.maketrans({sign: spelled for sign, (spelled, _) in SIGNS.items()})
_CELLS = {sign: cell for sign, (_, cell) in SIGNS.items()}
# A raised run is a power: 10⁻⁵ is 10^-5, not 105.
_POWER = re.compile(f"[{''.join(_RAISED)}]+")
# Where blanks follow, a unit has room to be written out.
_ROOMY = ((re.compile("Ω   (?= |$)"), "ohm "), (re.compile("°    (?= |$)"), " deg "))

BRAILLE = 0x2800
"""The first of the 256 braille patterns."""
_UPPER, _MIDDLE, _LOWER = 0x09, 0x36, 0xC0


def _dots(bits: int) -> str:
    """Which of nine ASCII shapes stands for a braille pattern."""
    if not bits:
        return " "
    upper, middle, lower = bits & _UPPER, bits & _MIDDLE, bits & _LOWER
    if upper and lower:
        return "|"
    if middle:
        return "+" if bits.bit_count() > 4 else "*"
    return "'" if upper else "."


DOTS = [_dots(bits) for bits in range(256)]
"""ASCII for every braille pattern."""


def ascii_form(text: str) -> str:
    """The text in ASCII: signs by their usual spelling, letters without accents, else "?"."""
    if text.isascii():
        return text
    text = _POWER.sub(lambda run: "^" + "".join(_RAISED[sign] for sign in run[0]), text)
    text = unicodedata.normalize("NFKD", text.translate(_SPELLED))
    kept = "".join(c for c in text if not unicodedata.combining(c))
    return kept.encode("ascii", "replace").decode()


class AsciiCells(dict[int, str]):
    """Signs → ASCII of as many columns; it makes up its mind about a sign when it meets it.

    Args:
        width: Columns of a sign; a screen has a table of its own.
    """

    def __init__(self, width: Callable[[str], int] = columns) -> None:
        super().__init__()
        self._width = width

    def of(self, text: str) -> str:
        """The text in ASCII, as many columns wide."""
        if text.isascii():
            return text
        for pattern, written in _ROOMY:
            text = pattern.sub(written, text)
        return text.translate(self)

    def __missing__(self, code: int) -> str:
        char = chr(code)
        self[code] = found = char if code < 128 else self._for(char)
        return found

    def _for(self, char: str) -> str:
        if BRAILLE <= ord(char) < BRAILLE + 256:
            return DOTS[ord(char) - BRAILLE]
        width = self._width(char)
        known = _CELLS.get(char)
        if known is None:
            plain = unicodedata.normalize("NFKD", char)
            known = "".join(c for c in plain if c.isascii() and c.isprintable())
        if char.isspace():
            known = " "
        return (known or "?")[:width].ljust(width, "?") if width else ""


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
