"""Circuit text ⇄ Ladder.

One stage a line, from the source to the load; ``;`` may stand for a line break::

    source 600 Ω              optional; without it the source is ideal
    series L1 = 10 mH
    shunt  C1 = 100 nF || (R1 = 47 Ω + L2 = 1 mH)
    buffer                    ideal unity-gain buffer
    load   1 kΩ               optional; without it the output is open

``+`` joins in series within an arm, ``||`` (or ``∥``) in parallel; where they meet,
brackets say which comes first.  ``#`` starts a comment.  A value may be left out: the
circuit is then symbolic only.  A bare letter (``series L 10 mH``) is a name where it
stands once; two or more bare letters of one kind are numbered L1, L2 …, skipping names
in use.  An unnamed source is Rs, an unnamed load RL.

What :func:`write_circuit` writes, :func:`read_circuit` reads back as the same Ladder.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from .circuit import (
    MAX_ELEMENTS,
    MAX_NESTING,
    NAME_PATTERN,
    Arm,
    CircuitError,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
)
from .quantities import QuantityError, read_quantity, write_exact
from .spelling import listed, nearest, shown, uniform

MAX_BYTES = 4096
MAX_BRACKETS = 2 * MAX_NESTING  # some may be superfluous; what they hold is checked apart

_DEFAULT_NAMES = {"source": "Rs", "load": "RL"}
_KEYWORDS = ("source", "series", "shunt", "buffer", "load")
_WORD = re.compile(r"\w+")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*+")
_BLANK = re.compile(r" *")
# A value runs to the next joint, bracket or end; the + of an exponent belongs to it.
_VALUE = re.compile(r"(?:[^+|()=]|(?<=[0-9][eE])\+(?=[0-9])|(?<=\^)\+(?=[0-9]))*+")
_LINES = re.compile(r"\r\n|\n|\r")
_WIDE = str.maketrans("；＃", ";#")
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉ₛₗ", "0123456789sL")
_ELEMENT = "an element such as R1, L1 or C1"
_EXAMPLES = {Kind.R: "4.7 kΩ", Kind.L: "10 mH", Kind.C: "100 nF"}


class NotationError(ValueError):
    """Circuit text that cannot be read.

    Attributes:
        line: 1-based line.
        column: 1-based column in that line.
        found: what stands there, safe to print.
        expected: what should stand there.
    """

    def __init__(self, line: int, column: int, found: str, expected: str) -> None:
        super().__init__(f"line {line}, column {column}: found {found}; expected {expected}")
        self.line = line
        self.column = column
        self.found = found
        self.expected = expected


@dataclass(slots=True)
class _Draft:
    """An element as read, before bare letters have got their names."""

    kind: Kind
    name: str  # "" for an unnamed source or load
    value: Fraction | None
    line: int
    column: int


@dataclass(slots=True)
class _DraftGroup:
    joint: Joint
    parts: list[_Draft | _DraftGroup]


class _Statement:
    """One statement: a cursor over its folded text."""

    def __init__(self, raw: str, line: int, column: int) -> None:
        self.raw = raw
        self.source = uniform(raw.translate(_SUBSCRIPTS))
        self.text = self.source.text
        self.line = line
        self.first = column
        self.deepest = (0, 0)  # how deep brackets go, and where the deepest opens
        self.at = 0
        self.blank()

    def blank(self) -> None:
        match = _BLANK.match(self.text, self.at)
        assert match is not None
        self.at = match.end()

    @property
    def done(self) -> bool:
        return self.at >= len(self.text)

    def column(self, at: int) -> int:
        return self.first + self.source.column(at)

    def found(self, at: int) -> str:
        """What stands at a place: a word, a sign, or the end of the line."""
        if at >= len(self.text):
            return "the end of the line"
        word = _WORD.match(self.text, at)
        end = word.end() if word else at + 1
        return shown(self.text[at:end])

    def fail(self, expected: str, at: int | None = None, found: str | None = None) -> NotationError:
        at = self.at if at is None else at
        return NotationError(self.line, self.column(at), found or self.found(at), expected)

    def take(self, sign: str) -> bool:
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

    def end(self, expected: str = "the end of the line") -> None:
        if not self.done:
            raise self.fail(expected)

    def arm(self, depth: int = 0) -> _Draft | _DraftGroup:
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
                    "brackets that say which comes first, such as "
                    "(L1 + C1) || R1 or L1 + (C1 || R1)",
                    here,
                    "“+” and “||” side by side",
                )
            joint = here_joint
            parts.append(self.part(depth))
        return parts[0] if joint is None else _DraftGroup(joint, parts)

    def part(self, depth: int) -> _Draft | _DraftGroup:
        here = self.at
        if not self.take("("):
            return self.element()
        if depth >= self.deepest[0]:
            self.deepest = (depth + 1, here)
        if depth >= MAX_BRACKETS:
            raise self.fail(f"brackets at most {MAX_BRACKETS} deep", here)
        inner = self.arm(depth + 1)
        if not self.take(")"):
            raise self.fail("a closing bracket")
        return inner

    def element(self, role: str = "") -> _Draft:
        """``NAME = VALUE``; the name, the sign and the value may be left out."""
        here = self.at
        column = self.column(here)
        match = _NAME.match(self.text, here)
        if match is None:
            if role and not self.done and self.text[here] not in "+|()=":
                value = self.value(Kind.R)
                return _Draft(Kind.R, "", value, self.line, column)
            raise self.fail(f"{(role and _role_expected(role)) or _ELEMENT}")
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
            raise self.fail(f"a value such as {_EXAMPLES[kind]}")
        return _Draft(kind, name, None if bare else self.value(kind), self.line, column)

    def value(self, kind: Kind) -> Fraction:
        match = _VALUE.match(self.text, self.at)
        assert match is not None
        start, self.at = self.at, match.end()
        text = match[0].rstrip(" ")
        try:
            value = read_quantity(text, kind.unit, limit=MAX_BYTES).value
        except QuantityError as error:
            # The text is folded already, so folded and typed columns agree.
            expected = f"a value such as {_EXAMPLES[kind]}: {error}"
            raise self.fail(expected, start + error.position, shown(text)) from None
        if value <= 0:
            raise self.fail(
                "a value greater than zero"
                + (" (for an ideal source leave the line out)" if not value else ""),
                start,
                shown(text),
            )
        return value


def _opening(word: str) -> str:
    words = listed(_KEYWORDS)
    if re.fullmatch(r"[rlc]\d*", word):
        return f"series or shunt before the element (a line opens with {words})"
    if word == "parallel":
        return "shunt for an arm across the output; within an arm || joins in parallel"
    guess = nearest(word, _KEYWORDS)
    return f"{words}; did you mean {guess}?" if guess else words


def _joint_expected(sign: str, depth: int) -> str:
    close = ", a closing bracket" if depth else ""
    if sign == "|":
        return f"+ or ||{close} or the end of the line; two bars join in parallel"
    return f"+ or ||{close} or the end of the line"


def _name_expected(name: str) -> str:
    better = name[0].upper() + name[1:]
    if NAME_PATTERN.match(better):
        return f"{_ELEMENT}; did you mean {better}?"
    if name[0] in "RLC":
        return f"{_ELEMENT}: a letter and at most 11 letters, digits or underscores"
    return _ELEMENT


def _role_expected(role: str) -> str:
    extra = "; for an ideal source leave the line out" if role == "source" else ""
    return f"a resistance such as {'600 Ω' if role == 'source' else '1 kΩ'}{extra}"


def _statements(text: str) -> Iterator[_Statement]:
    """The statements that are not blank, each with its place."""
    for number, line in enumerate(_LINES.split(text.translate(_WIDE)), 1):
        code = line.partition("#")[0]
        column = 1
        for piece in code.split(";"):
            if piece.strip():
                yield _Statement(piece, number, column)
            column += len(piece) + 1


def _check_size(text: str) -> None:
    """Refuse more than 4 KiB, at the character that passes the limit."""
    # A character is one byte at least, so only this much has to be measured.
    head = text[: MAX_BYTES + 1]
    kept = head.encode("utf-8", "replace")[:MAX_BYTES].decode("utf-8", "ignore")
    if len(kept) >= len(text):
        return
    line = kept.count("\n") + 1
    column = len(kept) - kept.rfind("\n")
    raise NotationError(line, column, "more text", f"at most {MAX_BYTES} bytes")


def read_circuit(text: str) -> Ladder:
    """Read a circuit.

    >>> ladder = read_circuit("series R1 = 1 kΩ; shunt C1 = 100 nF")
    >>> [element.name for element in ladder.elements()]
    ['R1', 'C1']

    Raises:
        NotationError: with the line, the column, what was found and what was expected.
    """
    _check_size(text)
    source: _Draft | None = None
    load: _Draft | None = None
    stages: list[tuple[Place, _Draft | _DraftGroup | None]] = []
    drafts: list[_Draft] = []
    for statement in _statements(text.removeprefix("\ufeff")):
        here = statement.at
        word = statement.keyword()
        if load is not None:
            raise statement.fail("nothing after the load", here)
        if word == "source" and (source is not None or stages):
            raise statement.fail("the source once only, as the first line", here)
        if word in ("source", "load"):
            end = statement.element(word)
            statement.end()
            drafts.append(end)
            if word == "source":
                source = end
            else:
                load = end
        elif word == "buffer":
            statement.end("nothing after buffer")
            stages.append((Place.BUFFER, None))
        else:
            arm = statement.arm()
            statement.end("an opening bracket before this one")
            if _depth(arm) > MAX_NESTING:
                raise statement.fail(
                    f"groups nested at most {MAX_NESTING} deep", statement.deepest[1]
                )
            drafts.extend(_leaves(arm))
            stages.append((Place(word), arm))
        if len(drafts) > MAX_ELEMENTS:
            extra = drafts[MAX_ELEMENTS]
            raise NotationError(
                extra.line, extra.column, "one element more", f"at most {MAX_ELEMENTS} elements"
            )
    if not stages:
        lines = _LINES.split(text)
        raise NotationError(
            len(lines),
            len(lines[-1]) + 1,
            "the end of the text",
            "at least one series or shunt line",
        )
    _name(drafts, source, load)
    try:
        return Ladder(
            tuple(Stage(place, _build(arm) if arm else None) for place, arm in stages),
            _element(source) if source else None,
            _element(load) if load else None,
        )
    except CircuitError as error:  # pragma: no cover - every case is caught above, with its place
        raise NotationError(1, 1, "this circuit", str(error)) from None


def _depth(arm: _Draft | _DraftGroup) -> int:
    """Nesting as the built arm will have it: parts of the same joint are made flat."""
    if isinstance(arm, _Draft):
        return 0
    return 1 + max(
        _depth(part) - (isinstance(part, _DraftGroup) and part.joint is arm.joint)
        for part in arm.parts
    )


def _leaves(arm: _Draft | _DraftGroup) -> Iterator[_Draft]:
    if isinstance(arm, _Draft):
        yield arm
    else:
        for part in arm.parts:
            yield from _leaves(part)


def _name(drafts: list[_Draft], source: _Draft | None, load: _Draft | None) -> None:
    """Give every element its final name, and refuse a name used twice."""
    taken: set[str] = set()
    for draft in drafts:
        if len(draft.name) > 1:
            if draft.name in taken:
                raise NotationError(
                    draft.line, draft.column, f"the name {draft.name} again", "another name"
                )
            taken.add(draft.name)
    for kind in Kind:
        bare = [d for d in drafts if d.name == kind.value]
        if len(bare) > 1:
            for draft in bare:
                draft.name = _free(kind.value, taken)
                taken.add(draft.name)
    for role, end in (("source", source), ("load", load)):
        if end is not None and not end.name:
            name = _DEFAULT_NAMES[role]
            end.name = _free(name, taken) if name in taken else name
            taken.add(end.name)


def _free(stem: str, taken: set[str]) -> str:
    number = 1
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


def _element(draft: _Draft) -> Element:
    return Element(draft.kind, draft.name, draft.value)


def _build(arm: _Draft | _DraftGroup) -> Arm:
    if isinstance(arm, _Draft):
        return _element(arm)
    return join(arm.joint, *(_build(part) for part in arm.parts))


def write_element(element: Element) -> str:
    """``C1 = 100 nF``, or the name alone where there is no value.

    Raises:
        QuantityError: the value lies outside 10⁻³⁰ to 10³⁰.
    """
    if element.value is None:
        return element.name
    return f"{element.name} = {write_exact(element.value, element.kind.unit)}"


def write_arm(arm: Arm, *, inner: bool = False) -> str:
    """An arm as text; a group inside a group stands in brackets."""
    if isinstance(arm, Element):
        return write_element(arm)
    sign = " + " if arm.joint is Joint.SERIES else " || "
    text = sign.join(write_arm(part, inner=True) for part in arm.parts)
    return f"({text})" if inner else text


def write_circuit(ladder: Ladder, separator: str = "\n", *, named: bool = False) -> str:
    r"""A ladder as circuit text, stage by stage, joined by ``"\n"`` or ``"; "``.

    ``named`` writes the names of source and load also where they are the usual Rs and RL.

    Raises:
        QuantityError: a value lies outside 10⁻³⁰ to 10³⁰.
        CircuitError: the text would pass 4 KiB (values that are long quotients).
    """
    lines = [_end("source", ladder.source, named)] if ladder.source else []
    lines += (
        f"{stage.place.value} {write_arm(stage.arm)}" if stage.arm else "buffer"
        for stage in ladder.stages
    )
    if ladder.load:
        lines.append(_end("load", ladder.load, named))
    text = separator.join(lines)
    if len(text.encode()) > MAX_BYTES:
        raise CircuitError(f"the circuit's text is longer than {MAX_BYTES} bytes")
    return text


def _end(role: str, element: Element, named: bool) -> str:
    if not named and element.name == _DEFAULT_NAMES[role] and element.value is not None:
        return f"{role} {write_exact(element.value, element.kind.unit)}"
    return f"{role} {write_element(element)}"
