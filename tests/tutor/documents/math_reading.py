"""Reads set formulas back and evaluates them: MathML by its XML, typst by its source.

Both readers know what the signs mean on paper (side by side is a product, a bar divides), and
nothing of the trees that the formulas were set from.
"""

from __future__ import annotations

import cmath
import re
import xml.etree.ElementTree as ET
from collections.abc import Mapping

NS = "{http://www.w3.org/1998/Math/MathML}"
Token = tuple[str, object]
Values = Mapping[str, complex]


def combine(tokens: list[Token], values: Values) -> complex:
    """The value of tokens in a row: ("value", z), ("name", text) or ("sign", text)."""
    parts: list[list[Token]] = [[]]
    for token in tokens:
        if token == ("sign", "∥"):
            parts.append([])
        else:
            parts[-1].append(token)
    if len(parts) > 1:
        return 1 / sum(1 / combine(part, values) for part in parts)
    total, sign, product, seen = 0j, 1.0, 1 + 0j, False
    for kind, what in tokens:
        if kind == "sign" and what in ("+", "−"):
            if seen:
                total += sign * product
                sign, product, seen = 1.0, 1 + 0j, False
            sign *= -1.0 if what == "−" else 1.0
        elif kind == "sign":
            assert what in ("·", "×"), what
        else:
            product *= value(str(what), values) if kind == "name" else complex(what)
            seen = True
    assert seen, tokens
    return total + sign * product


def value(name: str, values: Values) -> complex:
    if name in values:
        return complex(values[name])
    return {"j": 1j, "π": cmath.pi}[name]


# --- MathML ----------------------------------------------------------------------------------


def mathml_value(source: str, values: Values) -> complex:
    """The value of a formula; what stands before a last "=" is left out."""
    root = ET.fromstring(source)
    assert root.tag == f"{NS}math"
    return _of(list(root), values)


def _of(nodes: list[ET.Element], values: Values) -> complex:
    tokens = [t for node in nodes for t in _tokens(node, values)]
    while ("sign", "=") in tokens:
        tokens = tokens[tokens.index(("sign", "=")) + 1 :]
    return combine(tokens, values)


def _tokens(node: ET.Element, values: Values) -> list[Token]:
    children = list(node)
    match node.tag.removeprefix(NS):
        case "mi":
            return [("name", node.text)]
        case "mtext":
            return [("name", (node.text or "").strip())]
        case "mn":
            return [("value", complex(float(node.text)))]
        case "msub":
            return [("name", "".join(node.itertext()))]
        case "mo":
            sign = {"⋅": "·"}.get(node.text, node.text)
            return [] if sign in ("\u2062", "(", ")", ",") else [("sign", sign)]
        case "mspace":
            return []
        case "mfrac":
            return [("value", _of(children[:1], values) / _of(children[1:], values))]
        case "msqrt":
            return [("value", cmath.sqrt(_of(children, values)))]
        case "msup":
            return [("value", _of(children[:1], values) ** _of(children[1:], values))]
        case "mrow" if children and children[0].text == "(":
            return [("value", _of(children[1:-1], values))]
        case "mrow" | "mtable" | "mtr" | "mtd":
            return [t for child in children for t in _tokens(child, values)]
    raise AssertionError(node.tag)


# --- typst -----------------------------------------------------------------------------------

_TOKEN = re.compile(
    r'\s*("(?:[^"\\]|\\.)*"|[0-9]+(?:\.[0-9]+)?|#[a-z0-9.]+|[a-zA-Z]+|\\.|[^\s])', re.DOTALL
)
_WORDS = {"omega": "ω", "sigma": "σ", "pi": "π"}


class TypstReader:
    """Reads the part of typst's mathematics that is written, by descent."""

    def __init__(self, source: str, values: Values) -> None:
        self.tokens = _TOKEN.findall(source)
        self.values = values
        self.at = 0

    def peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, wanted: str | None = None) -> str:
        token = self.peek()
        assert wanted is None or token == wanted, (wanted, token, self.tokens)
        self.at += 1
        return token

    def value(self) -> complex:
        result = self.until(("",))
        assert self.at == len(self.tokens)
        return result

    def until(self, ends: tuple[str, ...]) -> complex:
        found: list[Token] = []
        while self.peek() not in ends:
            token = self.item()
            if token == ("sign", "="):
                found = []
            elif token is not None:
                found.append(token)
        return combine(found, self.values)

    def item(self) -> Token | None:
        token = self.base()
        if token is not None and self.peek() == "_":
            self.take("_")
            token = ("name", f"{token[1]}{text(self.take())}")
        if token is not None and self.peek() == "^":
            self.take("^")
            kind, what = token
            base = value(str(what), self.values) if kind == "name" else complex(what)
            token = ("value", base ** int(text(self.take()).replace("−", "-")))
        return token

    def base(self) -> Token | None:
        token = self.take()
        if token.startswith('"'):
            inner = text(token)
            return ("name", inner) if inner else None
        if token[0].isdigit():
            return ("value", complex(float(token)))
        match token:
            case "frac":
                self.take("(")
                top = self.until((",",))
                self.take(",")
                return ("value", top / self.closed())
            case "sqrt":
                self.take("(")
                return ("value", cmath.sqrt(self.closed()))
            case "display" | "inline":
                self.take("(")
                return ("value", self.closed())
            case "lr":
                self.take("(")
                self.take("(")
                inner = self.closed()
                self.take(")")
                return ("value", inner)
            case "class":
                self.take("(")
                self.take('"unary"')
                self.take(",")
                sign = self.take()
                self.take(")")
                return ("sign", sign)
            case "mat":
                return ("value", self.rows())
            case "thin" | "quad":
                return None
        if token.isalpha():
            name = _WORDS.get(token, token)
            assert len(name) == 1, f"{name} would be looked up by typst"
            return ("name", name)
        return ("sign", {"⋅": "·"}.get(token, token))

    def closed(self) -> complex:
        inner = self.until((")",))
        self.take(")")
        return inner

    def rows(self) -> complex:
        """Rows of a sum, one below the other: the terms are one sum."""
        self.take("(")
        while self.peek() not in ("quad", "inline"):
            self.take()
        found: list[Token] = []
        while self.peek() != ")":
            token = self.take()
            if token == "inline":
                self.take("(")
                while self.peek() != ")":
                    item = self.item()
                    if item is not None:
                        found.append(item)
                self.take(")")
        self.take(")")
        return combine(found, self.values)


def text(token: str) -> str:
    """The inside of a string of typst."""
    assert token[0] == token[-1] == '"'
    return re.sub(r"\\(.)", r"\1", token[1:-1])
