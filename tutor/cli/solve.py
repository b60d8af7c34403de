"""``rungwise solve``: what a circuit does, as JSON for programs and as a page for people."""

from __future__ import annotations

import json
import unicodedata
from typing import Any

from ...problems.circuits.model import CircuitError, Ladder
from ...problems.circuits.statement import NotationError
from ...problems.circuits.text import read_circuit
from ...problems.quantities.units import QuantityError
from ..documents.solved_facts import facts_json
from ..language.errors import worded

SOLVED, UNREADABLE = 0, 2


def page(ladder: Ladder, width: int = 80, ascii: bool = False) -> str:  # noqa: A002
    """The same for people: drawing, type and why, H(s), figures, what adds no pole.

    Args:
        ladder: any circuit; without values the page speaks in letters.
        width: columns to fit into, 20 at least.
        ascii: use plain ASCII characters only.
    """
    from ..documents.solved_page import SolvedPage

    return SolvedPage(ladder, width, ascii).text()


def run(
    text: str,
    as_json: bool = False,
    width: int = 80,
    ascii: bool = False,  # noqa: A002
) -> tuple[int, str, str]:
    """Solve circuit text: (exit status, what goes to standard output, to standard error).

    The status is 0, or 2 where the text cannot be read; the message then names line and
    column, what was found and what was expected, and points at the place.

    Args:
        text: the circuit.
        as_json: as one JSON object instead of a page.
        width: columns to fit into.
        ascii: use plain ASCII characters only.
    """
    try:
        ladder = read_circuit(text)
        answer = _one_object(facts_json(ladder)) if as_json else page(ladder, width, ascii)
    except NotationError as error:
        return UNREADABLE, "", trouble("rungwise solve", text, error, width, ascii)
    except (CircuitError, QuantityError) as error:
        return UNREADABLE, "", f"rungwise solve: {worded(error)}\n"
    return SOLVED, answer.rstrip("\n") + "\n", ""


def _one_object(told: dict[str, Any]) -> str:
    """One key a line; plain ASCII, which survives every pipe."""
    lines = (f"  {json.dumps(k)}: {json.dumps(v, allow_nan=False)}" for k, v in told.items())
    return "{\n" + ",\n".join(lines) + "\n}"


def _one_cell(char: str) -> str:
    """A character that takes one column, so that the caret stands under the right one."""
    if char == "\t":
        return " "
    narrow = unicodedata.east_asian_width(char) not in "WF" and not unicodedata.combining(char)
    return char if narrow and char.isprintable() else "?"


def trouble(
    where: str,
    text: str,
    error: NotationError,
    width: int,
    ascii: bool,  # noqa: A002
) -> str:
    """What is wrong with a circuit's text, and the line with a caret under the place.

    Args:
        where: what was read.
        text: the circuit.
        error: what reading it came to.
        width: columns to fit into.
        ascii: use plain ASCII characters only.
    """
    from ..documents.solved_page import fitting, wrapped

    lines = wrapped(f"{where}: {worded(error)}", width, ascii)
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    place = plain.split("\n")[error.line - 1]
    column = error.column - 1
    # Long lines are cut to a window around the place.
    room = max(width - 4, 10)
    start = max(0, column - room // 2) if len(place) > room else 0
    piece = "".join(_one_cell(c) for c in place[start : start + room])
    if piece.strip():
        lines += [f"  {fitting(piece, ascii, keep=True)}", f"  {' ' * (column - start)}^"]
    return "\n".join(lines) + "\n"
