"""The table ``[print]`` of a plan file → PrintOptions."""

from __future__ import annotations

from collections.abc import Mapping

from ..quantities.errors import wording
from ..questions.model import Rung
from .printing import AS_EVER, PageFont, PrintOptions, Working
from .reading import PlanFields, choice, flag, one_of, read_of, whole_of

PRINT_KEYS = ("large", "font", "working", "answer_files", "together", "cover", "duplex")
MOST_LINES = 40
"""Lines of room for working: a page has no more."""


def print_options(plan: PlanFields) -> PrintOptions:
    """What a plan's table ``[print]`` sets; the defaults without it.

    What is wrong in it is noted among the troubles of ``plan``.
    """
    table = plan.table("print", PRINT_KEYS)
    if table is None:
        return AS_EVER
    return PrintOptions(
        large=table.read("large", flag, AS_EVER.large),
        font=table.read("font", one_of(PageFont), AS_EVER.font),
        working=table.read("working", _working, AS_EVER.working),
        answer_files=table.read("answer_files", flag, AS_EVER.answer_files),
        together=table.read("together", flag, AS_EVER.together),
        cover=table.read("cover", flag, AS_EVER.cover),
        duplex=table.read("duplex", flag, AS_EVER.duplex),
    )


# Each raises ValueRefused where a value does not do.


_lines = whole_of(range(MOST_LINES + 1), "plan.no-lines", wording("plan.lines", most=MOST_LINES))


def _working(value: object) -> Working:
    if not isinstance(value, Mapping):
        return Working(_lines(value))
    names = ["each", *(rung.value for rung in Rung)]
    found = {choice(name, names): read_of(name, _lines, lines) for name, lines in value.items()}
    each = found.pop("each", None)
    return Working(each, tuple((Rung(name), lines) for name, lines in found.items()))
