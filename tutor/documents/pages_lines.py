"""Lines of worked numbers as equations: ``f₀ = 1/(2π·√(220 µH·47 pF))`` → what can be typeset.

A line that is no chain of equal things, or holds more than the reader of formulas takes, stays
the text it is.
"""

from __future__ import annotations

import re
from functools import lru_cache

from ...problems.formulas.model import FormulaError, parse
from ...problems.formulas.tree import Formula, Letter, substituted
from ...problems.solutions.step import Equation

_QUANTITY = re.compile(
    r"(?<![\w.])\d+(?:\.\d+)?(?:×10⁻?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)? ?(?:[pnµmkMGT]?(?:rad/s|Hz|[ΩHFsV])|dB)(?!\w)"
)
_NAME = re.compile(r"[A-Za-zωσ][A-Za-z0-9_]*[₀-₉]?")
_LEAD = re.compile(r"[\w|().,−/∥ +-]*\Z")
_RAISED = {"²": "^2", "³": "^3"}
_BESIDE = re.compile(r"[\d.]+ \(")
"""A figure and, in brackets, the same in another unit: no product."""
_PLAIN_SIDE = re.compile(r"[^√^*]{0,60}\Z")


@lru_cache(maxsize=4096)
def equations(line: str) -> tuple[Equation, ...] | None:
    """The equations of a line, one for each sign of equality; ``None`` where it stays text."""
    body = line.strip().removesuffix(".")
    if "=" not in body:
        return None
    lead, *sides = (side.strip() for side in body.split("="))
    if not _LEAD.match(lead) or any(map(_BESIDE.match, sides)):
        return None
    found: list[Equation] = []
    for side in sides:
        tree = formula_of(side)
        if tree is not None:
            found.append(Equation(lead, tree))
        elif _PLAIN_SIDE.match(side):
            found.append(Equation(f"{lead} = {side}".strip()))
        else:
            return None
        lead = ""  # what goes on begins with the sign of equality
    return tuple(found)


def formula_of(text: str) -> Formula | None:
    """A formula in letters and quantities, which keep their units; ``None`` if it is none."""
    kept: dict[str, str] = {}

    def put(match: re.Match[str]) -> str:
        name = f"R{len(kept) + 90000}"
        kept[name] = match[0]
        return name

    bare = _QUANTITY.sub(put, text)
    if bare in kept:
        return None  # a quantity alone is no formula
    for sign, typed in _RAISED.items():
        bare = bare.replace(sign, typed)
    bare = bare.replace("ω₀", "ω0").replace("f₀", "f0")
    names = {name for name in _NAME.findall(bare) if name not in ("pi", "sqrt")}
    try:
        return substituted(parse(bare, names | {"s"}), lambda name: Letter(kept.get(name, name)))
    except FormulaError:
        return None
