"""Reading a plan file: TOML text → a Plan, with all that is wrong told at once.

A complaint reads ``FILE: where: what was found: what is wrong with it; what mends it``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path

from ...problems.sheets.model import Plan, PlanTrouble, SheetError
from ...problems.sheets.plan import plan_of
from ..language.errors import worded
from ..language.texts import plain
from ..language.told import ToldError
from .console import reason, shown

MOST_BYTES = 256 * 1024
"""Longest plan that is read; twenty sections of typed circuits have a tenth of it."""
MOST_TOLD = 50


class PlanError(ToldError):
    """A plan file that can't be used; its lines say where, what and what mends it."""

    misused = True


def read_plan(file: str) -> Plan:
    """Read a plan file.

    Raises:
        PlanError: it can't be read, is no TOML, or is no plan.
    """
    name = shown(file)
    try:
        with Path(file).open("rb") as source:
            data = source.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        raise PlanError(f"{name}: {reason(error)}; `rungwise sheet start` writes a plan") from None
    return plan_in(data, name)


def plan_in(data: bytes, name: str) -> Plan:
    """The plan in the ``data`` of a file; complaints begin with its ``name``.

    Raises:
        PlanError: it is no TOML, or no plan.
    """
    if len(data) > MOST_BYTES:
        raise PlanError(f"{name}: too long for a plan; at most {MOST_BYTES // 1024} KiB are read")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise PlanError(
            f"{name}: line {line}: {data[error.start]:#04x}: no UTF-8 text; save it as UTF-8"
        ) from None
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PlanError(f"{name}: {plain(_placed(str(error)))}") from None
    except RecursionError:
        raise PlanError(f"{name}: too many brackets within brackets; take some out") from None
    except ValueError:  # a whole number of thousands of digits
        raise PlanError(f"{name}: a number is too long; shorten it") from None
    try:
        return plan_of(document)
    except SheetError as error:
        raise PlanError(*told(error.troubles, name)) from None
    except RecursionError:
        raise PlanError(f"{name}: too many tables within tables; take some out") from None


def _placed(error: str) -> str:
    """``Expected '=' … (at line 3, column 7)`` with the place before it."""
    what, _, place = error.rpartition(" (at ")
    if not what:
        return f"{error}; see `rungwise sheet start` for how a plan is written"
    place = place.rstrip(")").replace("end of document", "end of the file")
    return f"{place}: {what[:1].lower()}{what[1:]}; correct the line, or quote the text"


def told(troubles: Sequence[PlanTrouble], name: str) -> list[str]:
    """``troubles`` of the file ``name``: where, what was found, what is wrong, what mends it."""
    lines = []
    for trouble in troubles:
        places = [place for place in (name, trouble.path, trouble.value) if place]
        remedy = f"; {worded(trouble.remedy)}" if trouble.remedy else ""
        lines.append(plain(f"{': '.join(places)}: {worded(trouble.what)}{remedy}"))
    more = len(lines) - MOST_TOLD
    return [*lines[:MOST_TOLD], *([f"{name}: and {more} more"] if more > 0 else [])]
