"""One step of a worked solution, and how its formulas are drawn."""

from __future__ import annotations

from dataclasses import dataclass

from .formula_layout import layout
from .formula_tree import Formula
from .problem import Values

WIDTH = 72
MAX_LINES = 24
"""A drawing taller than this is left out: nobody reads it."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    ``id`` names its words in ``content/worked.toml``, ``values`` fills their placeholders,
    ``display`` is what is shown between them: drawings of formulas, line by line.
    """

    id: str
    values: Values = ()
    display: tuple[str, ...] = ()


def step(id: str, *drawings: list[str], **values: object) -> Step:  # noqa: A002
    """A step with its drawings one under the other."""
    lines: list[str] = []
    tall = False
    for drawing in drawings:
        if len(lines) + len(drawing) > MAX_LINES:
            break
        if lines and (len(drawing) > 1 or tall):
            lines.append("")
        tall = len(drawing) > 1
        lines += [line.rstrip() for line in drawing]
    return Step(id, tuple((name, str(value)) for name, value in values.items()), tuple(lines))


def drawn(lead: str, formula: Formula) -> list[str]:
    """``lead = formula`` as on paper."""
    return layout(formula, lead=f"{lead} = ", width=WIDTH)
