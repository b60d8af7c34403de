"""Counter-facts of what a change does: which parts the formula of f0 or Q holds, and how."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import islice

from ..analysis.letters import formulas
from ..analysis.response import facts
from ..analysis.trends import corner_trends, q_trends
from ..circuits.altered import with_value
from ..circuits.model import CircuitError, Ladder
from ..generate.contrast import lookalikes
from ..quantities.write import write_quantity
from ..questions.looks import Look, LookKind
from .counterfact_ends import CounterFact
from .fill import Named, written

_LONGEST = 90
"""Characters of a formula that is read at a glance."""
_DIGITS = 3
_TRIED = 16
"""Circuits one change away that are tried: each needs its H(s) in letters."""
_NAME = re.compile(r"[A-Za-z]\w*")


def changed_part(look: Look) -> str:
    """The name of the part that a look changes.

    Raises:
        LookupError: the look names none.
    """
    names = {e.name for e in look.ladder.elements()}
    for _, value in look.values:
        if isinstance(value, str) and value in names:
            return value
    raise LookupError(f"look {look.seed} names no part of its circuit")


def wrong_change(look: Look, answered: str) -> CounterFact:
    """Where the part of ``look`` stands in the formula; refutes ``answered``."""
    key, values, names = change_fact(look)
    return CounterFact(key, values, marked=names, lookalike=_where(look, answered))


def _where(look: Look, answered: str) -> Ladder | None:
    """A circuit one change away in which the part does what was answered."""
    part = changed_part(look)
    trends = corner_trends if look.kind is LookKind.CHANGE_CORNER else q_trends
    near = (c for c in lookalikes(look.ladder) if any(e.name == part for e in c.elements()))
    for circuit in islice(near, _TRIED):
        if trends(circuit).get(part) == answered:
            return circuit
    return None


def change_fact(look: Look) -> tuple[str, Named, tuple[str, ...]]:
    """(words, what fills them, parts to mark) of what the change does."""
    part = changed_part(look)
    corner = look.kind is LookKind.CHANGE_CORNER
    way = direction(look.ladder, part, corner=corner)
    text = formula_text(look.ladder, corner=corner)
    values: Named = (("part", part),)
    if text is not None:
        holds = part in _NAME.findall(text)
        shown = written(text)
        if not holds and way == "same":
            return "absent", (*values, ("formula", shown)), (part,)
        if holds and len(shown) <= _LONGEST:
            return f"formula-{way}", (*values, ("formula", shown)), (part,)
    before, after = (_figure(each, corner=corner) for each in _pair(look.ladder, part))
    unit = "Hz" if corner else ""
    values = (
        *values,
        ("before", write_quantity(before, unit, _DIGITS)),
        ("after", write_quantity(after, unit, _DIGITS)),
    )
    return f"figure-{way}", values, (part,)


def formula_text(ladder: Ladder, *, corner: bool) -> str | None:
    """The formula of f0 (``corner``) or Q in the letters of ``ladder``, if it can be read."""
    try:
        found = formulas(ladder)
    except CircuitError:
        return None
    return found.corner_hz if corner else found.q


def direction(ladder: Ladder, part: str, *, corner: bool) -> str:
    """Whether f0 (``corner``) or Q of ``ladder`` goes up, down or stays when ``part`` doubles."""
    squares: list[Fraction] = []
    for each in _pair(ladder, part):
        known = facts(each)
        square = known.corner_squared if corner else known.q_squared
        assert square is not None
        squares.append(square)
    before, after = squares
    return "same" if before == after else "up" if after > before else "down"


def _pair(ladder: Ladder, part: str) -> tuple[Ladder, Ladder]:
    value = next(e.value for e in ladder.elements() if e.name == part)
    assert value is not None
    return ladder, with_value(ladder, part, 2 * value)


def _figure(ladder: Ladder, *, corner: bool) -> float:
    known = facts(ladder)
    found = known.corner_hz if corner else known.q
    assert found is not None
    return found
