"""A circuit with something left out: one arm, or the values of some elements.

An arm left out is put in a drawing, or in circuit text, as one element: :data:`BOX`.  No
circuit of the catalogue has an element of that name.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import replace

from .model import Arm, Element, Kind, Ladder, Stage, leaves, mapped
from .write import write_circuit

BOX = Element(Kind.R, "R_unknown")
"""What stands for an arm left out; it is drawn and written as a question mark."""

UNKNOWN = "?"


def place_of(ladder: Ladder, names: Collection[str]) -> int | None:
    """The index in ``ladder`` of the stage whose arm is made of exactly the elements ``names``.

    ``None`` where there is none.
    """
    for index, stage in enumerate(ladder.stages):
        if stage.arm is not None and {e.name for e in leaves(stage.arm)} == set(names):
            return index
    return None


def with_arm(ladder: Ladder, index: int, arm: Arm) -> Ladder:
    """``ladder`` with another ``arm`` in the stage at ``index``.

    Raises:
        CircuitError: a name is used twice.
    """
    stages = list(ladder.stages)
    stages[index] = Stage(stages[index].place, arm)
    return replace(ladder, stages=tuple(stages))


def boxed(ladder: Ladder, names: Collection[str]) -> Ladder:
    """``ladder`` with the arm of the elements ``names`` left out.

    Raises:
        ValueError: they are no arm of their own.
    """
    index = place_of(ladder, names)
    if index is None:
        raise ValueError(f"{', '.join(names)} are no arm of their own")
    return with_arm(ladder, index, BOX)


def unvalued(ladder: Ladder, names: Collection[str]) -> Ladder:
    """``ladder`` without the values of the elements ``names``."""
    return mapped(ladder, lambda e: replace(e, value=None) if e.name in names else e)


def write_boxed(ladder: Ladder, names: Collection[str], separator: str = "\n") -> str:
    """Text of ``ladder`` with the arm of the elements ``names`` as a question mark.

    ``separator`` stands between statements.

    Raises:
        ValueError: they are no arm of their own.
    """
    return write_circuit(boxed(ladder, names), separator).replace(BOX.name, UNKNOWN)


def write_unvalued(ladder: Ladder, names: Collection[str], separator: str = "\n") -> str:
    """Text of ``ladder`` with question marks for the values of the elements ``names``.

    ``separator`` stands between statements.
    """
    text = write_circuit(unvalued(ladder, names), separator)
    pattern = "|".join(map(re.escape, sorted(names)))
    return re.sub(rf"\b({pattern})\b", rf"\1 = {UNKNOWN}", text) if names else text
