"""Worked lines of the words, such as ``f₀ = {formula} = {numbers}``, as equations to be typeset.

Formulas come as they are; only those that stand in the words themselves are read, with their
placeholders for letters.  A line that is no chain of equal things stays the text it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from ...problems.formulas.read import parse
from ...problems.formulas.tree import Formula, FormulaError, Letter, Number, substituted
from ...problems.hints.fill import InLetters
from ...problems.solutions.step import Equation
from ..language.texts import PLACEHOLDER, entry, fill
from .pages import prose
from .pages_form import Lines, Prose

_NAME = re.compile(r"[A-Za-zωσ][A-Za-z0-9_]*[₀-₉]?")
_NUMBER = re.compile(r"\d+(?:\.\d+)?", re.ASCII)
_LEAD = re.compile(r"[\w|().,−/∥ +-]*\Z")
_TYPED = {"²": "^2", "³": "^3", "ω₀": "ω0", "f₀": "f0"}
_BESIDE = re.compile(r"[\d.]+ \(")
"""A figure and, in brackets, the same in another unit: no product."""
_PLAIN_SIDE = re.compile(r"[^√^*]{0,60}\Z")


def worked(file: str, key: str, values: Iterable[tuple[str, str]]) -> tuple[Prose, ...]:
    """A text in paragraphs, its worked lines as equations.

    Args:
        file: of content/, as for :func:`fill`.
        key: the entry.
        values: what fills its placeholders; formulas are :class:`InLetters`.
    """
    known = dict(values)
    text = fill(file, key, known.items())
    lines = zip(text.split("\n"), entry(file, key).split("\n"), strict=True)
    set_ = {line.strip(): equations(words, known) for line, words in lines if line[:1] == " "}
    return tuple(
        replace(
            part,
            typeset=tuple(one for line in part.lines for one in set_[line.strip()] or (line,)),
        )
        if isinstance(part, Lines)
        else part
        for part in prose(text, names=True)
    )


def equations(line: str, values: Mapping[str, str]) -> tuple[Equation, ...]:
    """The equations of a ``line`` of words, one a sign of equality; none where it stays text.

    ``values`` fill its placeholders.
    """

    def filled(words: str) -> str:
        return PLACEHOLDER.sub(lambda match: values[match[1]], words)

    lead, *sides = (side.strip() for side in line.strip().removesuffix(".").split("="))
    lead = filled(lead)
    if not _LEAD.match(lead) or any(_BESIDE.match(filled(side)) for side in sides):
        return ()
    found: list[Equation] = []
    for side in sides:
        tree, text = _formula(side, values), filled(side)
        if tree is not None:
            found.append(Equation(lead, tree))
        elif _PLAIN_SIDE.match(text):
            found.append(Equation(f"{lead} = {text}".strip()))
        else:
            return ()
        lead = ""  # what goes on begins with the sign of equality
    return tuple(found)


def _formula(side: str, values: Mapping[str, str]) -> Formula | None:
    """One side of an equation, with quantities in their places; ``None`` if it is no formula."""
    alone = PLACEHOLDER.fullmatch(side)
    if alone:
        value = values[alone[1]]
        if isinstance(value, InLetters):
            return value.formula
        return Number(Fraction(value)) if _NUMBER.fullmatch(value) else None
    names, tree = _read(side)

    def of_letter(name: str) -> Formula:
        value = values[names[name]] if name in names else name
        return Number(Fraction(value)) if _NUMBER.fullmatch(value) else Letter(value)

    return None if tree is None else substituted(tree, of_letter)


@lru_cache(maxsize=256)
def _read(side: str) -> tuple[dict[str, str], Formula | None]:
    """A formula of the words: which placeholder each letter of ours stands for, and its tree."""
    names: dict[str, str] = {}

    def put(match: re.Match[str]) -> str:
        name = f"R{len(names) + 90000}"
        names[name] = match[1]
        return name

    bare = PLACEHOLDER.sub(put, side)
    for sign, typed in _TYPED.items():
        bare = bare.replace(sign, typed)
    letters = {name for name in _NAME.findall(bare) if name not in ("pi", "sqrt")}
    try:
        return names, parse(bare, letters | {"s"})
    except FormulaError:
        return names, None
