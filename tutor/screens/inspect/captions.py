"""What stands above the circuits of an explanation: which they are, and how they are drawn."""

from __future__ import annotations

from ....problems.circuits.model import Ladder
from ....problems.hints.counterfact_ends import CounterFact
from ....problems.questions.looks import Facing, Look
from ...language.texts import fill, table
from ...phrases import looks as phrases
from ...phrases.redrawn import caption


def captions(look: Look, fact: CounterFact, answered: str) -> list[str]:
    """The words above each circuit that an explanation shows.

    Args:
        look: what was asked.
        fact: why the answer cannot be right.
        answered: the id of the choice taken.
    """
    if look.row.facing.plotted:
        return list(phrases.curves(look, answered))
    here = fact.circuit or look.ladder
    found = [caption(fact.end, _which(look, here))]
    if fact.lookalike is not None:
        if look.kind.value in table("inspect")["alike"]:
            key = look.row.keys[look.answers.index(answered)]
            found.append(fill("inspect", f"alike.{look.kind}", [("key", key)]))
        else:
            found.append(phrases.alike(look, answered).removesuffix(":"))
    elif two_alike(look, fact):
        found = [caption(fact.end, _which(look, ladder)) for ladder in look.shown]
    return found


def two_alike(look: Look, fact: CounterFact) -> bool:
    """Whether what a ``fact`` tells of a ``look`` is of both circuits of a pair."""
    return look.row.facing is Facing.PAIR and fact.circuit is None and fact.lookalike is None


def _which(look: Look, circuit: Ladder) -> str:
    """A circuit by its place among those that were shown; "" where there was no other."""
    if look.row.facing in (Facing.CIRCUITS, Facing.TWINS) and circuit in look.shown:
        key = look.row.keys[look.shown.index(circuit)]
        return fill("inspect", "seen.number", [("key", key)])
    if look.row.facing is Facing.PAIR and circuit in look.shown:
        return fill("inspect", f"seen.{('first', 'second')[look.shown.index(circuit)]}")
    return ""
