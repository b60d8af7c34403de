"""What ``rungwise bench`` begins with: a circuit, and a list of changes for a class."""

from __future__ import annotations

import textwrap

from ...problems.circuits.model import Ladder
from ...problems.circuits.statement import NotationError
from ...problems.circuits.text import read_circuit
from ...problems.questions.effects import effects
from ..drafting.script import Script, ScriptError, read_script
from ..language.errors import worded
from ..phrases.bench import said
from ..phrases.effects import why
from .console import fail, shown, write

USUAL_FAMILY = "series-rlc-across-c"


def circuit_in(text: str, name: str) -> Ladder:
    """The circuit in a ``text`` from the place of a ``name``, which the bench begins with.

    Raises:
        SystemExit: it cannot be read (status 2).
    """
    try:
        return read_circuit(text)
    except NotationError as error:
        fail(f"{shown(name)}: {worded(error)}")


def script_in(text: str, name: str, ladder: Ladder) -> Script:
    """The changes in a ``text`` from the place of a ``name``; of ``ladder`` if they name no other.

    Raises:
        SystemExit: there are faults in it, and every one has been told (status 2).
    """
    try:
        return read_script(text, ladder)
    except ScriptError as error:
        fail(*(f"{shown(name)}: {worded(trouble)}" for trouble in error.troubles))


def in_lines(script: Script, columns: int) -> None:
    """Print every step of a ``script`` with what it does, in lines of so many ``columns``."""
    before = script.start.version.facts
    write(" · ".join(said(before)))
    for number, step in enumerate(script.steps, 1):
        if not step.text:
            write(f"{number}. # {step.note}")
            continue
        write(f"{number}. {step.text}")
        after = step.moment.version.facts
        if after.ladder != before.ladder:
            for effect in effects(before, after):
                indent = " " * (len(str(number)) + 2)
                write(
                    textwrap.fill(
                        why(effect, after), columns, initial_indent=indent, subsequent_indent=indent
                    )
                )
        before = after
