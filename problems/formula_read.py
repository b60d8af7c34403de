"""Typed text → Formula: a small precedence parser on a whitelist of letters.

How a text is read, loosest binding first (common practice where there is one; the echo
shows the reading with explicit brackets):

* ``a + b − c``;
* ``a · b``, ``a × b``, ``a * b``, ``a / b``, ``a ÷ b``: from left to right;
* ``a ∥ b``, ``a || b``, ``a // b``: in parallel, a·b/(a + b);
* side by side, ``2πRC``: binds tighter than ``/``, so ``1/2πRC`` is 1/(2·π·R·C);
* ``a^2``, ``a**2``, ``a²``: whole exponents up to ±16, and ±1/2.

``√`` or ``sqrt`` reaches over what stands in the brackets after it; without brackets over
a number, or over the letters that touch each other (not s or j): ``√LC`` is √(L·C),
``√LC s`` and ``√LCs`` are √(L·C)·s.

A number may carry an SI prefix, and after it Ω, F, H or Hz, where no letter can be meant:
``4.7k``, ``100 nF``.  ``H(s) =`` and the like before the formula are dropped.

Letters: the longest known name wins, an exact spelling before one in the other case.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from .formula_tree import (
    Formula,
    FormulaError,
    Letter,
    Minus,
    Number,
    Power,
    Quotient,
    Root,
    add,
    in_parallel,
    multiply,
)

MAX_CHARACTERS = 512
MAX_TOKENS = 256
MAX_DEPTH = 64
MAX_EXPONENT = 16
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
_OPEN = {"(": ")", "[": "]", "{": "}"}
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
_PRIMARY = ("number", "letter", "open", "√")
_EXPECT_TERM = "a number, a letter, √ or an opening bracket"

_SUM, _MINUS, _TIMES, _BESIDE_BARS, _BESIDE, _POWER = 10, 20, 30, 40, 50, 60


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str  # number letter open close sup end, or the sign itself
    text: str
    position: int
    value: Fraction = Fraction(0)
    glued: bool = False  # nothing stands between it and the token before


class _Spellings:
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
        self.names = tuple(dict.fromkeys([*chosen.values(), "s", "j", "π"]))

    @staticmethod
    def _variants(alias: str) -> list[str]:
        if alias in _CORNERS:
            return [*_CORNERS, *(c[:-1] + "_0" for c in _CORNERS)]
        return [alias[0] + "_" + alias[1:]] if len(alias) > 1 and "_" not in alias else []

    def match(self, text: str, start: int) -> tuple[str, int] | None:
        """The letter that stands at ``start`` and the length of its spelling."""
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
def _spellings(letters: tuple[tuple[str, str], ...]) -> _Spellings:
    return _Spellings(letters)


def _safe(text: str) -> str:
    """Quoted for a message: nothing that could disturb a terminal."""
    shown = "".join(c if c.isprintable() else f"U+{ord(c):04X}" for c in text[:12])
    return f"“{shown}”" if shown else "the end"


def _error(position: int, found: str, expected: str) -> FormulaError:
    return FormulaError(
        f"column {position + 1}: found {found}, expected {expected}", position, found, expected
    )


def _plain(text: str) -> str:
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
            raise _error(sign, "“=”", "one formula, with at most a name such as H(s) before “=”")
        start = sign + 1
    return start


def _tokens(text: str, spellings: _Spellings) -> list[_Token]:
    found: list[_Token] = []
    i, end = _body(text), len(text)
    before = -1
    while i < end:
        c = text[i]
        if c.isspace():
            i += 1
            continue
        if len(found) >= MAX_TOKENS:
            raise _error(i, _safe(c), f"at most {MAX_TOKENS} numbers, letters and signs")
        token, after = _token(text, i, spellings, before == i)
        found += token
        i = before = after
    found.append(_Token("end", "", end))
    return found


def _token(text: str, i: int, spellings: _Spellings, glued: bool) -> tuple[list[_Token], int]:
    c = text[i]
    if c.isdecimal() or (c == "." and text[i + 1 : i + 2].isdecimal()):
        return _number(text, i, spellings, glued)
    if c in _SUPER:
        n = i
        while n < len(text) and text[n] in _SUPER:
            n += 1
        digits = "".join(_SUPER[x] for x in text[i:n])
        if not re.fullmatch(r"[+-]?\d{1,4}", digits):
            raise _error(i, _safe(text[i:n]), "a whole exponent such as ²")
        return [_Token("sup", text[i:n], i, Fraction(int(digits)), glued)], n
    if text[i : i + 2] in _DOUBLE:
        return [_Token(_DOUBLE[text[i : i + 2]], text[i : i + 2], i)], i + 2
    if c in _HALVES:
        top, bottom = _HALVES[c]
        pieces = [
            _Token("open", "(", i, glued=glued), _Token("number", c, i, Fraction(top)),
            _Token("/", c, i), _Token("number", c, i, Fraction(bottom)), _Token("close", ")", i),
        ]  # fmt: skip
        return pieces, i + 1
    if c in _SIGNS:
        return [_Token(_SIGNS[c], c, i, glued=glued)], i + 1
    if c in _OPEN:
        return [_Token("open", c, i, glued=glued)], i + 1
    if c in _OPEN.values():
        return [_Token("close", c, i)], i + 1
    letter = spellings.match(text, i)
    if text[i : i + 4].lower() == "sqrt" and (letter is None or letter[1] < 4):
        return [_Token("√", text[i : i + 4], i, glued=glued)], i + 4
    if letter is not None:
        name, n = letter
        return [_Token("letter", name, i, glued=glued)], i + n
    word = re.compile(r"[^\W\d_]\w*").match(text, i)
    shown = word.group() if word else c
    raise _error(i, _safe(shown), "one of the letters " + ", ".join(spellings.names))


def _number(text: str, i: int, spellings: _Spellings, glued: bool) -> tuple[list[_Token], int]:
    match = _NUMBER.match(text, i)
    assert match is not None
    literal = match.group().replace("−", "-")
    digits, _, power = literal.lower().partition("e")
    if len(digits) > MAX_DIGITS or (power and abs(int(power[:8])) > MAX_POWER_OF_TEN):
        raise _error(i, _safe(literal), f"at most {MAX_DIGITS} digits and a power of ten up to ±40")
    if re.fullmatch(r"\d{1,3},\d{3}", digits):
        whole = digits.replace(",", "")
        raise _error(i, _safe(digits), f"{digits.replace(',', '.')} or {whole}, whichever is meant")
    value = Fraction(digits.replace(",", ".").rstrip(".")) * Fraction(10) ** int(power or 0)
    end = match.end()
    suffix = _SUFFIX.match(text, end)
    if suffix is not None and suffix.group().strip():
        start = end + len(suffix.group()) - len(suffix.group().lstrip())
        if spellings.match(text, start) is None:
            value *= Fraction(10) ** _PREFIX.get(suffix.group(1) or "", 0)
            end = suffix.end()
    return [_Token("number", text[i:end], i, value, glued)], end


class _Reader:
    def __init__(self, tokens: list[_Token]) -> None:
        self.tokens = tokens
        self.at = 0
        self.depth = 0

    @property
    def next(self) -> _Token:
        return self.tokens[self.at]

    def take(self) -> _Token:
        token = self.tokens[self.at]
        self.at += 1
        return token

    def whole(self) -> Formula:
        result = self.expression(0)
        if self.next.kind != "end":
            raise _error(self.next.position, _safe(self.next.text), "the end, or a sign before it")
        return result

    def expression(self, floor: int) -> Formula:
        """Everything that binds tighter than ``floor``."""
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise _error(
                self.next.position, _safe(self.next.text), f"at most {MAX_DEPTH} levels of nesting"
            )
        left = self.primary(floor)
        while (binding := self.binding()) > floor:
            left = self.extend(left, binding)
        self.depth -= 1
        return left

    def binding(self) -> int:
        match self.next.kind:
            case "+" | "-":
                return _SUM
            case "*" | "/":
                return _TIMES
            case "∥":
                return _BESIDE_BARS
            case "^" | "sup":
                return _POWER
            case "letter" | "open" | "√" | "number":
                return _BESIDE
            case _:
                return 0

    def extend(self, left: Formula, binding: int) -> Formula:
        if binding == _BESIDE:
            if self.next.kind == "number":
                raise _error(
                    self.next.position,
                    _safe(self.next.text),
                    "a sign before a number: · to multiply, ^ for an exponent",
                )
            return multiply(left, self.expression(_BESIDE))
        token = self.take()
        match token.kind:
            case "+":
                return add(left, self.expression(_SUM))
            case "-":
                return add(left, Minus(self.expression(_SUM)))
            case "*":
                return multiply(left, self.expression(_TIMES))
            case "/":
                return Quotient(left, self.expression(_TIMES))
            case "∥":
                return in_parallel(left, self.expression(_BESIDE_BARS))
            case "sup":
                return self.power(left, token.value, token)
            case _:
                return self.power(left, self.exponent(), token)

    def primary(self, floor: int) -> Formula:
        token = self.take()
        match token.kind:
            case "number":
                return Number(token.value)
            case "letter":
                return Letter(token.text)
            case "open":
                return self.bracket(token)
            case "√":
                return self.root(token)
            case "-":
                return Minus(self.expression(max(_MINUS, floor)))
            case "+":
                return self.expression(max(_MINUS, floor))
            case _:
                raise _error(token.position, _safe(token.text), _EXPECT_TERM)

    def bracket(self, opened: _Token) -> Formula:
        inside = self.expression(0)
        closing = self.take()
        if closing.text != _OPEN[opened.text] or closing.kind != "close":
            raise _error(
                closing.position,
                _safe(closing.text),
                f"“{_OPEN[opened.text]}” to close the bracket of column {opened.position + 1}",
            )
        return inside

    def root(self, sign: _Token) -> Formula:
        token = self.next
        if token.kind == "open":
            return Root(self.bracket(self.take()))
        if token.kind == "√":
            self.depth += 1
            if self.depth > MAX_DEPTH:
                raise _error(token.position, "“√”", f"at most {MAX_DEPTH} levels of nesting")
            inner = Root(self.root(self.take()))
            self.depth -= 1
            return inner
        if token.kind not in ("number", "letter"):
            raise _error(token.position, _safe(token.text), "what the root is of")
        reach = self.raised()
        while (
            token.kind == "letter"
            and token.text not in ("s", "j")
            and self.next.kind == "letter"
            and self.next.glued
            and self.next.text not in ("s", "j")
        ):
            reach = multiply(reach, self.raised())
        return Root(reach)

    def raised(self) -> Formula:
        """One number or letter with the exponent that follows it."""
        token = self.take()
        atom: Formula = Number(token.value) if token.kind == "number" else Letter(token.text)
        while self.next.kind in ("^", "sup"):
            atom = self.extend(atom, _POWER)
        return atom

    def exponent(self) -> Fraction:
        sign = 1
        if self.next.kind in ("+", "-"):
            sign = -1 if self.take().kind == "-" else 1
        token = self.take()
        if token.kind == "number":
            return sign * token.value
        if token.kind == "open":
            value = _constant(self.bracket(token))
            if value is not None:
                return sign * value
        raise _error(token.position, _safe(token.text), "a whole exponent, or 1/2 in brackets")

    def power(self, base: Formula, exponent: Fraction, token: _Token) -> Formula:
        if self.next.kind in ("^", "sup"):
            raise _error(
                self.next.position, _safe(self.next.text), "brackets round the first power"
            )
        if exponent == Fraction(1, 2):
            return Root(base)
        if exponent == Fraction(-1, 2):
            return Quotient(Number(Fraction(1)), Root(base))
        if exponent.denominator != 1 or abs(exponent) > MAX_EXPONENT:
            raise _error(
                token.position,
                f"the exponent {_safe(str(exponent))}",
                f"a whole exponent from −{MAX_EXPONENT} to {MAX_EXPONENT}, or 1/2",
            )
        return Power(base, int(exponent))


def _constant(formula: Formula) -> Fraction | None:
    """The value of an exponent such as (1/2) or (−1); ``None`` for anything else."""
    match formula:
        case Number(value):
            return value
        case Minus(Number(value)):
            return -value
        case Quotient(Number(top), Number(bottom)) if bottom:
            return top / bottom
        case Minus(Quotient(Number(top), Number(bottom))) | Quotient(
            Minus(Number(top)), Number(bottom)
        ) if bottom:
            return -top / bottom
        case _:
            return None


def parse(text: str, letters: Collection[str] | Mapping[str, str]) -> Formula:
    """Read a typed formula.

    Args:
        text: what was typed; at most 512 characters.
        letters: the letters that may be used besides s, j, π and ω: their names, or a mapping
            from an accepted spelling to the letter it means (such as R → R1 in a circuit
            with one R).  ``ω0``, ``w0`` and ``omega0`` stand for each other where one of
            them is allowed.

    Raises:
        FormulaError: with the position, what was found and what was expected.
    """
    if len(text) > MAX_CHARACTERS:
        raise _error(MAX_CHARACTERS, f"{len(text)} characters", f"at most {MAX_CHARACTERS}")
    # A mapping to anything but texts (names to values, say) counts by its keys alone.
    meant = letters if isinstance(letters, Mapping) else {}
    pairs = ((n, to if isinstance(to := meant.get(n), str) else n) for n in letters)
    reader = _Reader(_tokens(_plain(text), _spellings(tuple(pairs))))
    return reader.whole()
