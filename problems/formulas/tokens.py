"""Characters of a typed formula → tokens: numbers, letters, signs, brackets.

A number may carry an SI prefix, and after it Ω, F, H or Hz, where no letter can be meant:
``4.7k``, ``100 nF``.  ``H(s) =`` and the like before the formula are dropped.

Letters: the longest known name wins, an exact spelling before one in the other case.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from ..quantities.errors import Wording, wording
from .tree import FormulaError

MAX_CHARACTERS = 512
_SHOWN_BEFORE = 16
MAX_TOKENS = 256
MAX_DIGITS = 40
MAX_POWER_OF_TEN = 40

_SUPER = {**{c: str(i) for i, c in enumerate("⁰¹²³⁴⁵⁶⁷⁸⁹")}, "⁻": "-", "⁺": "+"}
_SUB = {c: str(i) for i, c in enumerate("₀₁₂₃₄₅₆₇₈₉")}
_SIGNS = {
    "+": "+", "-": "-", "−": "-", "–": "-", "‐": "-", "‑": "-",
    "*": "*", "·": "*", "⋅": "*", "∙": "*", "×": "*", "✕": "*",
    "/": "/", "÷": "/", "⁄": "/", "∕": "/",
    "∥": "∥", "‖": "∥", "^": "^", "ˆ": "^", "√": "√",
}  # fmt: skip
_DOUBLE = {"**": "^", "||": "∥", "//": "∥"}
OPEN = {"(": ")", "[": "]", "{": "}"}
_HALVES = {"½": (1, 2), "¼": (1, 4), "¾": (3, 4), "⅓": (1, 3), "⅔": (2, 3)}
_PREFIX = {
    "p": -12, "n": -9, "u": -6, "µ": -6, "μ": -6, "m": -3,
    "k": 3, "K": 3, "M": 6, "meg": 6, "Meg": 6, "MEG": 6, "G": 9,
}  # fmt: skip
_NUMBER = re.compile(r"(?:\d+(?:[.,]\d*)?|\.\d+)(?:[eE][+\-−]?\d+)?")
_SUFFIX = re.compile(r" ?(meg|Meg|MEG|[pnuµμmkKMG])?(Ω|Ω|ohm|Hz|F|H)?(?![^\W_])")
_LABEL = re.compile(
    r"\s*(?:[^\W\d_][\w₀-₉]{0,7}\s*(?:\(\s*(?:s|j\s*[ωw]|jomega|f)\s*\))?"
    r"|V_?out\s*/\s*V_?(?:in|s)|V_?o\s*/\s*V_?i|[UV]_?2\s*/\s*[UV]_?1)\s*\Z"
)
_CORNERS = ("ω0", "w0", "omega0")
_FIXED = {"s": "s", "j": "j", "pi": "pi", "π": "pi", "ω": "ω", "w": "ω", "omega": "ω"}


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of the text; ``kind`` is number, letter, open, close, sup, end or the sign."""

    kind: str
    text: str
    position: int
    value: Fraction = Fraction(0)
    glued: bool = False  # nothing stands between it and the token before


class Spellings:
    """Every accepted spelling → the letter it means."""

    def __init__(self, letters: Iterable[tuple[str, str]]) -> None:
        chosen = dict(letters)
        self.exact: dict[str, str] = dict(_FIXED)
        for alias, name in chosen.items():
            self.exact[alias] = name
        for alias, name in chosen.items():
            for other in self._variants(alias):
                self.exact.setdefault(other, name)
        self.folded: dict[str, str | None] = {}
        for alias, name in self.exact.items():
            key = alias.lower()
            self.folded[key] = name if self.folded.get(key, name) == name else None
        self.longest = max(map(len, self.exact))
        # Of the letters that may be used those that stand in the circuit are told.
        told = [name for name in chosen.values() if name[0] not in "XZ"]
        self.names = tuple(dict.fromkeys([*told, "s", "j", "π"]))

    @staticmethod
    def _variants(alias: str) -> list[str]:
        if alias in _CORNERS:
            return [*_CORNERS, *(c[:-1] + "_0" for c in _CORNERS)]
        return [alias[0] + "_" + alias[1:]] if len(alias) > 1 and "_" not in alias else []

    def match(self, text: str, start: int) -> tuple[str, int] | None:
        """The letter that stands in ``text`` at ``start`` and the length of its spelling."""
        reach = range(min(self.longest, len(text) - start), 0, -1)
        for n in reach:
            name = self.exact.get(text[start : start + n])
            if name is not None:
                return name, n
        for n in reach:
            piece = text[start : start + n]
            name = self.folded.get(piece.lower()) if piece.isascii() else None
            if name is not None:
                return name, n
        return None


@lru_cache(maxsize=256)
def spellings(letters: tuple[tuple[str, str], ...]) -> Spellings:
    """The spellings of these letters, made once."""
    return Spellings(letters)


def safe(text: str, most: int = 12) -> str | Wording:
    """``text`` quoted for a message, ``most`` characters: nothing that could disturb a terminal."""
    shown = "".join(c if c.isprintable() else f"U+{ord(c):04X}" for c in text[:most])
    return f"“{shown}”" if shown else wording("formula.the-end")


def refusal(position: int, found: str | Wording, expected: Wording) -> FormulaError:
    """The error for what is ``found`` at ``position`` (0-based) where something is ``expected``.

    The parser adds what stands before it.
    """
    return FormulaError("formula.refused-first", position, found=found, expected=expected)


def after(error: FormulaError, text: str) -> FormulaError:
    """The same ``error``, with the end of what was understood of ``text`` before it."""
    start = max(0, (error.position or 0) - _SHOWN_BEFORE)
    before = text[start : error.position].strip()
    if error.wording.key != "formula.refused-first" or not before:
        return error
    read = safe(("…" if start else "") + before, _SHOWN_BEFORE + 1)
    values = dict(error.wording.values)
    return FormulaError(
        "formula.refused", error.position, read=read,
        found=values["found"], expected=values["expected"],
    )  # fmt: skip


def one_of(names: tuple[str, ...]) -> Wording:
    """What to say is expected where a letter stands that nobody knows."""
    return wording("formula.letters", names=", ".join(names))


def plain(text: str) -> str:
    """Same length, digits of every script and subscripts as ASCII digits."""
    out = []
    for c in text:
        if c in _SUB:
            out.append(_SUB[c])
        elif not c.isascii() and (digit := unicodedata.decimal(c, None)) is not None:
            out.append(str(digit))
        else:
            out.append(c)
    return "".join(out)


def _body(text: str) -> int:
    """Where the formula starts, after labels such as ``H(s) =``."""
    start = 0
    while (sign := text.find("=", start)) >= 0:
        if not _LABEL.match(text[start:sign]):
            raise refusal(sign, "“=”", wording("formula.one"))
        start = sign + 1
    return start


def tokens(text: str, known: Spellings) -> list[Token]:
    """The tokens of ``text``, an ``end`` last; ``known`` are the spellings of its letters.

    Raises:
        FormulaError: something in it is no part of a formula, or there is too much.
    """
    found: list[Token] = []
    i, end = _body(text), len(text)
    before = -1
    while i < end:
        c = text[i]
        if c.isspace():
            i += 1
            continue
        if len(found) >= MAX_TOKENS:
            raise refusal(i, safe(c), wording("formula.tokens", most=MAX_TOKENS))
        token, after = _token(text, i, known, before == i)
        found += token
        i = before = after
    found.append(Token("end", "", end))
    return found


def _token(text: str, i: int, known: Spellings, glued: bool) -> tuple[list[Token], int]:
    c = text[i]
    if c.isdecimal() or (c == "." and text[i + 1 : i + 2].isdecimal()):
        found, end = _number(text, i, known, glued)
        mixed = text[i:end].isdecimal() and text[end : end + 1] in _HALVES
        return (_mixed(found[0], text[end], end), end + 1) if mixed else (found, end)
    if c in _SUPER:
        n = i
        while n < len(text) and text[n] in _SUPER:
            n += 1
        digits = "".join(_SUPER[x] for x in text[i:n])
        if not re.fullmatch(r"[+-]?\d{1,4}", digits):
            raise refusal(i, safe(text[i:n]), wording("formula.raised"))
        return [Token("sup", text[i:n], i, Fraction(int(digits)), glued)], n
    if text[i : i + 2] in _DOUBLE:
        return [Token(_DOUBLE[text[i : i + 2]], text[i : i + 2], i)], i + 2
    if c in _HALVES:
        return _part(c, i, glued), i + 1
    if c in _SIGNS:
        return [Token(_SIGNS[c], c, i, glued=glued)], i + 1
    if c in OPEN:
        return [Token("open", c, i, glued=glued)], i + 1
    if c in OPEN.values():
        return [Token("close", c, i)], i + 1
    letter = known.match(text, i)
    if text[i : i + 4].lower() == "sqrt" and (letter is None or letter[1] < 4):
        return [Token("√", text[i : i + 4], i, glued=glued)], i + 4
    if letter is not None:
        name, n = letter
        return [Token("letter", name, i, glued=glued)], i + n
    word = re.compile(r"[^\W\d_]\w*").match(text, i)
    shown = word.group() if word else c
    raise refusal(i, safe(shown), one_of(known.names))


def _part(sign: str, i: int, glued: bool) -> list[Token]:
    """½ as a quotient in brackets."""
    top, bottom = _HALVES[sign]
    return [
        Token("open", "(", i, glued=glued), Token("number", sign, i, Fraction(top)),
        Token("/", sign, i), Token("number", sign, i, Fraction(bottom)), Token("close", ")", i),
    ]  # fmt: skip


def _mixed(whole: Token, sign: str, i: int) -> list[Token]:
    """2½ is two and a half: nobody means a product by it."""
    start = Token("open", "(", whole.position, glued=whole.glued)
    return [
        *(start, replace(whole, glued=False), Token("+", sign, i)),
        *(*_part(sign, i, glued=True), Token("close", ")", i)),
    ]


def _number(text: str, i: int, known: Spellings, glued: bool) -> tuple[list[Token], int]:
    match = _NUMBER.match(text, i)
    assert match is not None
    literal = match.group().replace("−", "-")
    digits, _, power = literal.lower().partition("e")
    if len(digits) > MAX_DIGITS or (power and abs(int(power[:8])) > MAX_POWER_OF_TEN):
        expected = wording("formula.digits", most=MAX_DIGITS, power=MAX_POWER_OF_TEN)
        raise refusal(i, safe(literal), expected)
    if re.fullmatch(r"\d{1,3},\d{3}", digits):
        whole = digits.replace(",", "")
        point = digits.replace(",", ".")
        raise refusal(i, safe(digits), wording("formula.comma", point=point, whole=whole))
    value = Fraction(digits.replace(",", ".").rstrip(".")) * Fraction(10) ** int(power or 0)
    end = match.end()
    suffix = _SUFFIX.match(text, end)
    if suffix is not None and suffix.group().strip():
        start = end + len(suffix.group()) - len(suffix.group().lstrip())
        if known.match(text, start) is None:
            value *= Fraction(10) ** _PREFIX.get(suffix.group(1) or "", 0)
            end = suffix.end()
    return [Token("number", text[i:end], i, value, glued)], end
