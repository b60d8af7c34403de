"""The value of a typed formula in floating point."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from functools import partial

from .tree import Arithmetic, Formula, FormulaError


def evaluate(formula: Formula, values: Mapping[str, float | complex]) -> complex:
    """The value in floating point.

    Args:
        formula: what to evaluate.
        values: the letters' values in SI base units, ``s`` (or ``ω``) among them where it
            is used; π and j are known.

    Raises:
        FormulaError: a letter has no value, or the value does not exist as a finite number.
    """
    floating: Arithmetic[complex] = Arithmetic(
        number=lambda x: complex(float(x)), letter=partial(_letter, values), root=cmath.sqrt
    )
    try:
        result = floating.value(formula)
    except ZeroDivisionError:
        raise FormulaError("formula.by-zero") from None
    except OverflowError:
        raise FormulaError("formula.too-large") from None
    if not cmath.isfinite(result):
        raise FormulaError("formula.too-large")
    return result


def _letter(values: Mapping[str, float | complex], name: str) -> complex:
    if name in values:
        return complex(values[name])
    match name:
        case "pi":
            return complex(math.pi)
        case "j":
            return 1j
        case "ω" if "s" in values:
            return complex(values["s"]) / 1j
        case "s" if "ω" in values:
            return complex(values["ω"]) * 1j
        case _:
            raise FormulaError("formula.no-value", name=name)
