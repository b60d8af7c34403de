"""An error seen: the circuit at the end that was misjudged, and beside it what was answered."""

from __future__ import annotations

from collections.abc import Sequence

from ....problems.analysis.arms import End, write_redrawn
from ....problems.circuits.model import Ladder, valueless
from ....problems.hints.counterfact_ends import CounterFact
from ....problems.questions.looks import Look
from .board import LookPicture, Shown
from .redrawn import captioned


def at_end(
    ladder: Ladder, end: End | None, marked: tuple[str, ...] = (), *, valued: bool = True
) -> Shown:
    """A circuit redrawn at an end of the frequency axis.

    Args:
        ladder: the circuit.
        end: the end; ``None``: the circuit as it is.
        marked: names of parts to point out.
        valued: with its values, and not with its letters alone.
    """
    if end is None:
        return Shown(ladder, valued, marked)
    text = write_redrawn(valueless(ladder), end)  # what is open or a short has no value left
    return Shown(ladder, valued, marked, end, text)


def explained(
    look: Look,
    fact: CounterFact,
    captions: Sequence[str],
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002
) -> LookPicture:
    """The circuit redrawn, what decides it marked, and the nearest circuit that is otherwise.

    Args:
        look: what was asked.
        fact: why the answer cannot be right.
        captions: what stands above each of the circuits.
        width: columns of the room.
        height: rows of the room; the picture may take more.
        ascii: use plain ASCII characters only.
    """
    circuits = [at_end(fact.circuit or look.ladder, fact.end, fact.marked, valued=look.valued)]
    if fact.lookalike is not None:
        circuits.append(Shown(fact.lookalike, look.valued))
    elif len(captions) > 1:
        circuits = [Shown(ladder, look.valued) for ladder in look.shown]
    return captioned([*zip(circuits, captions, strict=True)], width, height, ascii=ascii)
