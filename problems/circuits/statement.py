"""One statement of circuit text: a cursor that knows what to expect, and where it stands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from ..quantities.errors import WordedError, Wording, wording
from ..quantities.read import read_quantity
from ..quantities.spelling import nearest, shown, uniform
from ..quantities.units import QuantityError
from .model import MAX_NESTING, NAME_PATTERN, Joint, Kind

MAX_BYTES = 4096
MAX_BRACKETS = 2 * MAX_NESTING  # some may be superfluous; what they hold is checked apart

_KEYWORDS = ("source", "series", "shunt", "buffer", "load")
_WORD = re.compile(r"\w+")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*+")
_BLANK = re.compile(r" *")
# A value runs to the next joint, bracket or end; the + of an exponent belongs to it.
_VALUE = re.compile(r"(?:[^+|()=]|(?<=[0-9][eE])\+(?=[0-9])|(?<=\^)\+(?=[0-9]))*+")
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉ₛₗ", "0123456789sL")
_ELEMENT = wording("notation.element")
_END = wording("notation.end-of-line")
_EXAMPLES = {Kind.R: "4.7 kΩ", Kind.L: "10 mH", Kind.C: "100 nF"}


class NotationError(WordedError, ValueError):
    """Circuit text that cannot be read.

    Attributes:
        line: 1-based line.
        column: 1-based column in that line.
    """

    def __init__(self, line: int, column: int, found: str | Wording, expected: Wording) -> None:
        """What is ``found`` (safe to print) on a ``line`` at a ``column``; what is ``expected``."""
        super().__init__(
            "notation.refused", line=line, column=column, found=found, expected=expected
        )
        self.line = line
        self.column = column


@dataclass(slots=True)
class ElementDraft:
    """An element as read, before bare letters have got their names."""

    kind: Kind
    name: str  # "" for an unnamed source or load
    value: Fraction | None
    line: int
    column: int


@dataclass(slots=True)
class DraftGroup:
    """Arms as read, with how they are joined; flat only once built."""

    joint: Joint
    parts: list[ElementDraft | DraftGroup]


class Statement:
    """One statement: a cursor over its folded text."""

    def __init__(self, raw: str, line: int, column: int) -> None:
        self.source = uniform(raw.translate(_SUBSCRIPTS))
        self.text = self.source.text
        self.line = line
        self.first = column
        self.deepest = (0, 0)  # how deep brackets go, and where the deepest opens
        self.at = 0
        self.blank()

    def blank(self) -> None:
        """Pass over blanks."""
        match = _BLANK.match(self.text, self.at)
        assert match is not None
        self.at = match.end()

    @property
    def done(self) -> bool:
        """Whether nothing is left of the statement."""
        return self.at >= len(self.text)

    def column(self, at: int) -> int:
        """The 1-based column, in the line as typed, of a place in the folded text."""
        return self.first + self.source.column(at)

    def found(self, at: int) -> str | Wording:
        """What stands at a place: a word, a sign, or the end of the line."""
        if at >= len(self.text):
            return _END
        word = _WORD.match(self.text, at)
        end = word.end() if word else at + 1
        return shown(self.text[at:end])

    def fail(
        self, expected: Wording, at: int | None = None, found: str | Wording | None = None
    ) -> NotationError:
        """The error for a place.

        Args:
            expected: what should stand there.
            at: its column, from 0; here, unless said otherwise.
            found: what stands there, if not what the text has at this place.
        """
        at = self.at if at is None else at
        return NotationError(self.line, self.column(at), found or self.found(at), expected)

    def take(self, sign: str) -> bool:
        """Pass over a sign and the blanks after it, if it stands here."""
        if not self.text.startswith(sign, self.at):
            return False
        self.at += len(sign)
        self.blank()
        return True

    def keyword(self) -> str:
        """The word that opens the statement."""
        match = _WORD.match(self.text, self.at)
        word = match[0].lower() if match else ""
        if word in _KEYWORDS:
            assert match is not None
            self.at = match.end()
            self.blank()
            return word
        raise self.fail(_opening(word))

    def end(self, expected: Wording = _END) -> None:
        """Refuse whatever is left."""
        if not self.done:
            raise self.fail(expected)

    def arm(self, depth: int = 0) -> ElementDraft | DraftGroup:
        """Parts joined by one kind of joint; the other kind needs brackets."""
        parts = [self.part(depth)]
        joint: Joint | None = None
        while not self.done and not self.text.startswith(")", self.at):
            here = self.at
            if self.take("+"):
                here_joint = Joint.SERIES
            elif self.take("||"):
                here_joint = Joint.PARALLEL
            else:
                raise self.fail(_joint_expected(self.text[self.at], depth))
            if joint is not None and here_joint is not joint:
                raise self.fail(
                    wording("notation.which-first"), here, wording("notation.both-joints")
                )
            joint = here_joint
            parts.append(self.part(depth))
        return parts[0] if joint is None else DraftGroup(joint, parts)

    def part(self, depth: int) -> ElementDraft | DraftGroup:
        """An element, or an arm in brackets."""
        here = self.at
        if not self.take("("):
            return self.element()
        if depth >= self.deepest[0]:
            self.deepest = (depth + 1, here)
        if depth >= MAX_BRACKETS:
            raise self.fail(wording("notation.brackets", most=MAX_BRACKETS), here)
        inner = self.arm(depth + 1)
        if not self.take(")"):
            raise self.fail(wording("notation.closing"))
        return inner

    def element(self, role: str = "") -> ElementDraft:
        """``NAME = VALUE``; the name, the sign and the value may be left out."""
        here = self.at
        column = self.column(here)
        match = _NAME.match(self.text, here)
        if match is None:
            if role and not self.done and self.text[here] not in "+|()=":
                value = self.value(Kind.R)
                return ElementDraft(Kind.R, "", value, self.line, column)
            raise self.fail(_role_expected(role) if role else _ELEMENT)
        name = match[0]
        if not NAME_PATTERN.match(name):
            raise self.fail(_name_expected(name))
        kind = Kind(name[0])
        if role and kind is not Kind.R:
            raise self.fail(_role_expected(role))
        self.at = match.end()
        self.blank()
        equals = self.take("=")
        bare = self.done or self.text[self.at] in "+|()="
        if equals and bare:
            raise self.fail(wording("notation.value", example=_EXAMPLES[kind]))
        return ElementDraft(kind, name, None if bare else self.value(kind), self.line, column)

    def value(self, kind: Kind) -> Fraction:
        """The value of an element of this kind, greater than zero."""
        match = _VALUE.match(self.text, self.at)
        assert match is not None
        start, self.at = self.at, match.end()
        text = match[0].rstrip(" ")
        try:
            value = read_quantity(text, kind.unit, limit=MAX_BYTES).value
        except QuantityError as error:
            # The text is folded already, so folded and typed columns agree.
            expected = wording(
                "notation.value-because", example=_EXAMPLES[kind], trouble=error.wording
            )
            raise self.fail(expected, start + error.position, shown(text)) from None
        if value <= 0:
            raise self.fail(
                wording("notation.negative") if value else wording("notation.zero"),
                start,
                shown(text),
            )
        return value


def _opening(word: str) -> Wording:
    if re.fullmatch(r"[rlc]\d*", word):
        return wording("notation.place-first", keywords=_KEYWORDS)
    if word == "parallel":
        return wording("notation.parallel")
    guess = nearest(word, _KEYWORDS)
    if guess:
        return wording("notation.keyword-near", keywords=_KEYWORDS, near=guess)
    return wording("notation.keyword", keywords=_KEYWORDS)


def _joint_expected(sign: str, depth: int) -> Wording:
    joint = wording("notation.joint-inside") if depth else wording("notation.joint")
    if sign == "|":
        return wording("notation.two-bars", joint=joint)
    return joint


def _name_expected(name: str) -> Wording:
    better = name[0].upper() + name[1:]
    if NAME_PATTERN.match(better):
        return wording("notation.element-near", near=better)
    if name[0] in "RLC":
        return wording("notation.element-name")
    return _ELEMENT


def _role_expected(role: str) -> Wording:
    return wording("notation.source") if role == "source" else wording("notation.load")
