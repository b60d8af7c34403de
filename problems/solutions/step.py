"""One step of a worked solution, and how its formulas are drawn."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from ..formulas.layout import echo, layout
from ..formulas.tree import Formula
from ..quantities.write import MINUS, UNRAISED, write_quantity
from ..questions.model import Values

WIDTH = 72
MAX_LINES = 24
"""A drawing taller than this is left out: nobody reads it."""


class View(StrEnum):
    """What picture goes with a step."""

    CIRCUIT = "circuit"
    MAP = "map"
    GAIN_LINES = "gain-lines"  # the straight lines alone, as far as they have grown
    PHASE_LINES = "phase-lines"
    CURVE = "curve"  # the exact curve over the straight lines


@dataclass(frozen=True, slots=True)
class Equation:
    """``lead = formula``, to be typeset; without a formula, a line of text as it stands."""

    lead: str
    formula: Formula | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    ``id`` names its words in ``content/worked.toml``, ``values`` fills their placeholders,
    ``display`` is what is shown between them: drawings of formulas, line by line.  ``view``
    is the picture that goes with it; of straight lines, the first ``breaks`` bends are drawn.
    ``equations`` are what ``display`` draws, for those who typeset it.
    """

    id: str
    values: Values = ()
    display: tuple[str, ...] = ()
    view: View = View.CIRCUIT
    breaks: int = 0
    equations: tuple[Equation, ...] = ()


class StepDrawing(list[str]):
    """The lines of a drawing, and what it draws."""

    def __init__(self, lines: Iterable[str], *equations: Equation) -> None:
        super().__init__(lines)
        self.equations = equations


def seen(told: Step, view: View, breaks: int = 0) -> Step:
    """The step ``told`` with another ``view``: its picture, up to so many ``breaks``."""
    return replace(told, view=view, breaks=breaks)


def step(id: str, *drawings: list[str], **values: object) -> Step:  # noqa: A002
    """The step called ``id`` with ``drawings`` one under the other; ``values`` fill its words."""
    lines: list[str] = []
    equations: list[Equation] = []
    tall = False
    for drawing in drawings:
        if len(lines) + len(drawing) > MAX_LINES:
            break
        if lines and (len(drawing) > 1 or tall):
            lines.append("")
        tall = len(drawing) > 1
        lines += [line.rstrip() for line in drawing]
        equations += (
            drawing.equations if isinstance(drawing, StepDrawing) else map(Equation, drawing)
        )
    filled = tuple((name, str(value)) for name, value in values.items())
    return Step(id, filled, tuple(lines), equations=tuple(equations))


_PEN: ContextVar[tuple[int, bool]] = ContextVar("pen", default=(WIDTH, False))
"""How wide the formulas of a worked solution are drawn, and whether in ASCII."""


@contextmanager
def drawing(width: int, ascii: bool) -> Iterator[None]:  # noqa: A002
    """Draw formulas at most ``width`` columns wide, in ``ascii`` if asked, within the block."""
    token = _PEN.set((width, ascii))
    try:
        yield
    finally:
        _PEN.reset(token)


def added(where: str, before: int, change: int, unit: str) -> str:
    """A line of a sum, "90° − 180° = −90° (1 kHz)".

    Args:
        where: what makes the change.
        before: the value before it.
        change: what is added, or taken away.
        unit: of both.
    """
    plain = _PEN.get()[1]
    values = (write_quantity(value, unit, ascii=plain) for value in (before, abs(change)))
    sign = "+" if change > 0 else "-" if plain else MINUS
    after = write_quantity(before + change, unit, ascii=plain)
    return f"{f' {sign} '.join(values)} = {after} ({where})"


def drawn(lead: str, formula: Formula) -> list[str]:
    """``lead = formula`` as on paper, or on one line where that is too wide.

    ``lead`` is text before the sign, ``formula`` what stands after it.
    """
    width, plain = _PEN.get()
    lines = layout(formula, lead=f"{lead} = ", width=width, ascii=plain)
    if width < WIDTH and any(len(line.rstrip()) > width for line in lines):
        lines = [f"{lead} = {echo(formula, ascii=plain)}"]
    return StepDrawing(lines, Equation(lead, formula))


def fitted(drawings: list[list[str]]) -> list[list[str]]:
    """The same drawings, each on one line where together they would be too tall to be shown."""
    if sum(len(drawing) + 1 for drawing in drawings) <= MAX_LINES:
        return drawings
    return [_on_one_line(drawing) for drawing in drawings]


def _on_one_line(drawing: list[str]) -> list[str]:
    told = drawing.equations[0] if isinstance(drawing, StepDrawing) and drawing.equations else None
    if told is None or told.formula is None:
        return drawing
    return StepDrawing([f"{told.lead} = {echo(told.formula, ascii=_PEN.get()[1])}"], told)


def coefficient(value: Fraction) -> str:
    """A rounded number inside a drawing."""
    text = write_quantity(value, "")
    return text.replace("×10", "e").translate(UNRAISED) if _PEN.get()[1] else text
