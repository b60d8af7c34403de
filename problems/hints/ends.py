"""What happens at an end of the frequency axis, as phrases of ``content/looks.toml``."""

from __future__ import annotations

from collections.abc import Collection, Sized

from ..analysis.arms import ArmState, End, redrawn
from ..analysis.ends import EndCause, EndFact
from ..analysis.idle import Reason, hidden_elements
from ..circuits.model import Ladder
from .fill import Phrase, Text, clauses, phrase


def at(end: End) -> Phrase:
    """The words that name an end: at DC, at high frequency."""
    return phrase(f"at.{end.value}")


def counted(names: Sized) -> str:
    """Which form of a verb goes with so many names or arms: ``one`` or ``many``."""
    return "one" if len(names) == 1 else "many"


def end_phrase(fact: EndFact, *, table: str = "end") -> Phrase:
    """A fact of an end as a clause.

    Args:
        fact: the fact.
        table: the phrases: ``end`` says what follows, ``at-end`` says the end alone.
    """
    where = at(fact.end)
    if fact.cause is not EndCause.PATH:
        number = counted(fact.parts or ("",))
        if fact.cause is EndCause.RESISTANCES:
            number = "one"
        return phrase(f"{table}.{fact.cause.value}-{number}", parts=fact.parts, at=where)
    if not fact.opens:
        key = f"path-shorts-{counted(fact.shorts)}"
    elif not fact.shorts:
        key = f"path-opens-{counted(fact.opens)}"
    else:
        key = f"path-both-{counted(fact.shorts)}-{counted(fact.opens)}"
    return phrase(f"{table}.{key}", shorts=fact.shorts, opens=fact.opens, at=where)


def idle_phrase(ladder: Ladder, fact: EndFact) -> tuple[Phrase, tuple[str, ...]] | None:
    """Why what would stop the end of ``fact`` elsewhere does not in ``ladder``, and which parts."""
    reasons = {h.name: h.reason for h in hidden_elements(ladder)}
    for reason in Reason.ACROSS_SOURCE, Reason.DANGLING:
        names = tuple(name for name in fact.idle if reasons.get(name) is reason)
        if names:
            key = f"end.{reason.value}-{counted(names)}"
            return phrase(key, parts=names, at=at(fact.end)), names
    return None


def states_phrase(ladder: Ladder, names: Collection[str], end: End) -> Text:
    """What parts of a circuit turn into at an end: "C1 is open and L1 is a short".

    Args:
        ladder: the circuit.
        names: its inductors and capacitors in question, one at least.
        end: the end.
    """
    found = redrawn(ladder, end)
    texts: list[Text] = []
    for wanted in ArmState.SHORT, ArmState.OPEN:
        some = tuple(name for name in names if found[name] is wanted)
        if some:
            texts.append(phrase(f"state.{wanted.value}-{counted(some)}", names=some))
    return clauses(texts)
