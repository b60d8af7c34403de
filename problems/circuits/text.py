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

from ..quantities.errors import wording
from .model import (
    MAX_ELEMENTS,
    MAX_NESTING,
    Arm,
    CircuitError,
    Element,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
)
from .statement import MAX_BYTES, DraftGroup, ElementDraft, NotationError, Statement
from .write import DEFAULT_NAMES

_LINES = re.compile(r"\r\n|\n|\r")
_WIDE = str.maketrans("；＃", ";#")


def _statements(text: str) -> Iterator[Statement]:
    """The statements that are not blank, each with its place."""
    for number, line in enumerate(_LINES.split(text.translate(_WIDE)), 1):
        code = line.partition("#")[0]
        column = 1
        for piece in code.split(";"):
            if piece.strip():
                yield Statement(piece, number, column)
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
    expected = wording("notation.bytes", most=MAX_BYTES)
    raise NotationError(line, column, wording("notation.more-text"), expected)


def read_circuit(text: str) -> Ladder:
    """Read a circuit.

    >>> ladder = read_circuit("series R1 = 1 kΩ; shunt C1 = 100 nF")
    >>> [element.name for element in ladder.elements()]
    ['R1', 'C1']

    Raises:
        NotationError: with the line, the column, what was found and what was expected.
    """
    _check_size(text)
    source: ElementDraft | None = None
    load: ElementDraft | None = None
    stages: list[tuple[Place, ElementDraft | DraftGroup | None]] = []
    drafts: list[ElementDraft] = []
    for statement in _statements(text.removeprefix("\ufeff")):
        here = statement.at
        word = statement.keyword()
        if load is not None:
            raise statement.fail(wording("notation.after-load"), here)
        if word == "source" and (source is not None or stages):
            raise statement.fail(wording("notation.source-first"), here)
        if word in ("source", "load"):
            end = statement.element(word)
            statement.end()
            drafts.append(end)
            if word == "source":
                source = end
            else:
                load = end
        elif word == "buffer":
            statement.end(wording("notation.after-buffer"))
            stages.append((Place.BUFFER, None))
        else:
            arm = statement.arm()
            statement.end(wording("notation.opening"))
            if _depth(arm) > MAX_NESTING:
                raise statement.fail(
                    wording("notation.nested", most=MAX_NESTING), statement.deepest[1]
                )
            drafts.extend(_leaves(arm))
            stages.append((Place(word), arm))
        if len(drafts) > MAX_ELEMENTS:
            extra = drafts[MAX_ELEMENTS]
            raise NotationError(
                extra.line,
                extra.column,
                wording("notation.one-more"),
                wording("notation.elements", most=MAX_ELEMENTS),
            )
    if not stages:
        lines = _LINES.split(text)
        raise NotationError(
            len(lines),
            len(lines[-1]) + 1,
            wording("notation.end-of-text"),
            wording("notation.one-stage"),
        )
    _name(drafts, source, load)
    try:
        return Ladder(
            tuple(Stage(place, _build(arm) if arm else None) for place, arm in stages),
            _element(source) if source else None,
            _element(load) if load else None,
        )
    except CircuitError as error:  # pragma: no cover - every case is caught above, with its place
        raise NotationError(1, 1, wording("notation.circuit"), error.wording) from None


def _depth(arm: ElementDraft | DraftGroup) -> int:
    """Nesting as the built arm will have it: parts of the same joint are made flat."""
    if isinstance(arm, ElementDraft):
        return 0
    return 1 + max(
        _depth(part) - (isinstance(part, DraftGroup) and part.joint is arm.joint)
        for part in arm.parts
    )


def _leaves(arm: ElementDraft | DraftGroup) -> Iterator[ElementDraft]:
    if isinstance(arm, ElementDraft):
        yield arm
    else:
        for part in arm.parts:
            yield from _leaves(part)


def _name(
    drafts: list[ElementDraft], source: ElementDraft | None, load: ElementDraft | None
) -> None:
    """Give every element its final name, and refuse a name used twice."""
    taken: set[str] = set()
    for draft in drafts:
        if len(draft.name) > 1:
            if draft.name in taken:
                raise NotationError(
                    draft.line,
                    draft.column,
                    wording("notation.name-again", name=draft.name),
                    wording("notation.another-name"),
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
            name = DEFAULT_NAMES[role]
            end.name = _free(name, taken) if name in taken else name
            taken.add(end.name)


def _free(stem: str, taken: set[str]) -> str:
    number = 1
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


def _element(draft: ElementDraft) -> Element:
    return Element(draft.kind, draft.name, draft.value)


def _build(arm: ElementDraft | DraftGroup) -> Arm:
    if isinstance(arm, ElementDraft):
        return _element(arm)
    return join(arm.joint, *(_build(part) for part in arm.parts))
