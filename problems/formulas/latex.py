r"""Formulas typed as LaTeX → the plain notation that the readers know.

``\frac{1}{2\pi R_1 C_1}`` becomes ``((1)/(2 π R1 C1))``.  Only what people write for a formula or a
figure is known; any other command stays as it is, and the reader says that it does not know it.
Commands and their meaning: The LaTeX Project, "LaTeX2e unofficial reference manual", chapter 16,
and amsmath (common knowledge, pages not seen).
"""

from __future__ import annotations

import re

_SIGNS = {
    "cdot": "·", "times": "·", "ast": "*", "div": "/", "parallel": "∥", "|": "∥", "Vert": "∥",
    "pi": "π", "omega": "ω", "Omega": "Ω", "mu": "µ", "tau": "τ", "varphi": "φ", "phi": "φ",
    "zeta": "ζ", "alpha": "α", "beta": "β", "theta": "θ",
    "Delta": "Δ", "approx": "≈", "simeq": "≈", "sim": "≈", "cong": "≈", "pm": "±",
    "to": "→", "rightarrow": "→", "Rightarrow": "→", "implies": "→", "degree": "°", "circ": "°",
    "ohm": "Ω", "micro": "µ", "angle": "∠", "arg": "arg", "log": "log", "lg": "log", "ln": "ln",
    "arctan": "arctan", "tan": "tan",
    "lvert": "|", "rvert": "|", "%": "%", "{": "(", "}": ")", "kilo": "k", "mega": "M",
    "giga": "G", "milli": "m", "nano": "n", "pico": "p", "hertz": "Hz", "farad": "F", "henry": "H",
    "second": "s", "radian": "rad", "per": "/", "decibel": "dB", "percent": "%",
}  # fmt: skip
_SPACES = frozenset((",", ";", ":", "!", " ", "quad", "qquad", "\\", "displaystyle", "limits"))
_QUANTITIES = frozenset(("SI", "qty"))  # a number, then its unit, each in braces
_NOTHING = frozenset(
    ("(", ")", "[", "]", "left", "right", "big", "Big", "bigl", "bigr", "Bigl", "Bigr", "middle")
)
_TEXTS = frozenset(("text", "mathrm", "mathit", "mathsf", "operatorname", "textrm", "rm", "mbox"))
_FRACTIONS = frozenset(("frac", "dfrac", "tfrac", "cfrac"))

_PIECE = re.compile(r"\\(?:[A-Za-z]++|.)|\{,\}|\{\.\}|[_^{}$]|.", re.DOTALL)

# What the end of a group writes; the second group of a fraction is waited for.
_OVER, _UNDER, _ONE, _BARE, _UNIT = ")/(", "))", ")", "\0", "\1"
_RAISED = re.compile(r"\^\( *([+\-−]?[0-9]{1,4}) *\)")


def is_latex(text: str) -> bool:
    """Whether a text has what only LaTeX has: a command, or dollars about it."""
    return "\\" in text or "$" in text


def plain_notation(text: str) -> str:
    """The text with its LaTeX written plainly; one without any is given back as it is.

    It takes one step for each sign of the text, however deep its groups lie.
    """
    if not is_latex(text):
        return text
    return _Writer().written(text)


class _Writer:
    """One pass over one text."""

    def __init__(self) -> None:
        self.out: list[str] = []
        self.groups: list[str] = []  # what each open group writes at its end
        self.wanted = ""  # what the group that must come next writes at its end

    def written(self, text: str) -> str:
        for match in _PIECE.finditer(text):
            self.take(match[0])
        plain = "".join(self.out).replace("^(°)", "°")
        return _RAISED.sub(r"^\1", plain)

    def take(self, piece: str) -> None:
        match piece:
            case "$":
                return
            case "{,}" | "{.}":
                self.out.append(piece[1])
            case "{":
                self.open()
            case "}":
                self.close()
            case "^" | "_":
                self.raise_or_lower(piece)
            case _ if piece[0] == "\\":
                self.command(piece[1:])
            case _ if piece.isspace() and self.wanted:
                return
            case _ if self.wanted:  # \frac12, x^2, R_1: a group of one sign
                self.open()
                self.out.append(piece)
                self.close()
            case _:
                self.out.append(piece)

    def open(self) -> None:
        end, self.wanted = self.wanted, ""
        if not end:
            self.out.append("(")
        self.groups.append(end or _ONE)

    def close(self) -> None:
        if not self.groups:
            self.out.append("}")  # the reader will not know it
            return
        end = self.groups.pop()
        self.out.append({_BARE: "", _UNIT: " "}.get(end, end))
        if end in (_OVER, _UNIT):
            self.wanted = _UNDER if end == _OVER else _BARE

    def raise_or_lower(self, sign: str) -> None:
        if sign == "^":
            self.out.append("^(")
            self.wanted = _ONE
        else:  # R_1 and R_{1} are R1
            self.wanted = _BARE

    def command(self, name: str) -> None:
        if name in _FRACTIONS:
            self.out.append("((")
            self.wanted = _OVER
        elif name == "sqrt":
            self.out.append("√(")
            self.wanted = _ONE
        elif name in _QUANTITIES:
            self.wanted = _UNIT
        elif name in _TEXTS:
            self.wanted = _BARE
        elif name in _SPACES:
            self.out.append(" ")
        elif name in _NOTHING:
            return
        elif name in _SIGNS and self.wanted:
            self.open()
            self.out.append(_SIGNS[name])
            self.close()
        elif name in _SIGNS:
            self.out.append(_SIGNS[name])
        else:
            self.out.append("\\" + name)
