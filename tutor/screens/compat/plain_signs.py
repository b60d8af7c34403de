"""The last resort of a screen in ASCII: every sign that is left becomes one of equal width.

Words and drawings are made in ASCII where they can be, with "ohm" for "Ω"; borders, scroll
bars, pointers and what a widget of the library draws pass through here on their way out.
Textual 8.2 draws them in box characters whatever the terminal can show.
"""

from __future__ import annotations

import re
import unicodedata

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from ...figures.canvas.braille import ASCII as DOTS
from ...figures.canvas.braille import BASE

_SINGLE = {
    **dict.fromkeys("─╌┄┈╴╶━╍┅┉╼╾⎯", "-"),
    **dict.fromkeys("│┃┆┇┊┋╎╏▏▕▎▌▐║⎜⎟▍▋▊▉", "|"),
    **dict.fromkeys("┌┐└┘╭╮╰╯├┤┬┴┼┠┨┣┫┯┷┳┻╋┝┥┏┓┗┛╟╢╤╧╪╬", "+"),
    **dict.fromkeys("▁▂▃▄▅▆▇_", "_"),
    **dict.fromkeys("▀▔", "^"),
    **dict.fromkeys("█▓▒░■", "#"),
    **dict.fromkeys("▸▶►→⇒❯", ">"),
    **dict.fromkeys("◂◀◄←", "<"),
    **dict.fromkeys("↑▲△⇧", "^"),
    **dict.fromkeys("↓▼▽", "v"),
    **dict.fromkeys("◇○⊙", "o"),
    **dict.fromkeys("●◉•", "@"),
    **dict.fromkeys("−–—‑", "-"),
    **dict.fromkeys("“”„", '"'),
    **dict.fromkeys("‘’", "'"),
    **dict.fromkeys("·⋅×", "*"),
    **dict.fromkeys("⁰¹²³⁴⁵⁶⁷⁸⁹", ""),
    "◆": "#", "✓": "+", "✗": "x", "⊗": "X", "÷": "/", "√": "V", "∥": "|", "∞": "8", "≈": "~",
    "≠": "#", "≤": "<", "≥": ">", "±": "+", "°": "d", "½": "/", "…": ".", "Ω": "O", "\u2126": "O",
    "ω": "w", "σ": "s", "µ": "u", "μ": "u", "ζ": "z", "π": "p", "Δ": "D", "φ": "f", "θ": "t",
    "╲": "\\", "╱": "/", "╳": "x", "♦": "#",
}  # fmt: skip
for _n, _raised in enumerate("⁰¹²³⁴⁵⁶⁷⁸⁹"):
    _SINGLE[_raised] = str(_n)
# Where blanks follow, a unit has room to be written out.
_ROOMY = ((re.compile("Ω   (?= |$)"), "ohm "), (re.compile("°    (?= |$)"), " deg "))


class _Signs(dict[int, str]):
    """A table for `str.translate` that makes up its mind about a sign when it meets it."""

    def __missing__(self, code: int) -> str:
        char = chr(code)
        self[code] = found = char if code < 128 else self._for(char)
        return found

    @staticmethod
    def _for(char: str) -> str:
        code = ord(char)
        if BASE <= code < BASE + 256:
            return DOTS[code - BASE]
        width = cell_len(char)
        known = _SINGLE.get(char)
        if known is None:
            plain = unicodedata.normalize("NFKD", char)
            known = "".join(c for c in plain if c.isascii() and c.isprintable())
        if char.isspace():
            known = " "
        return (known or "?")[:width].ljust(width, "?") if width else ""


SIGNS = _Signs()


def plain(text: str) -> str:
    """The text in ASCII, as many columns wide."""
    if text.isascii():
        return text
    for pattern, written in _ROOMY:
        text = pattern.sub(written, text)
    return text.translate(SIGNS)


class PlainSigns(LineFilter):
    """Writes every line of the screen in ASCII."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The same segments in ASCII."""
        return [Segment(plain(text), style, control) for text, style, control in segments]
