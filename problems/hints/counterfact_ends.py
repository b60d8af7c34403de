"""What a counter-fact is; and of types and ends: at which end an answer misjudges the circuit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..analysis.arms import End, PlacedArm, working_rails
from ..analysis.ends import EndCause, EndFact, end_facts
from ..analysis.idle import Reason, hidden_elements
from ..analysis.response import FilterType, generic_facts
from ..circuits.model import Group, Ladder, Place, leaves
from ..questions.looks import Look, LookKind
from .ends import counted, end_phrase, idle_phrase
from .fill import Named, Phrase, Text, clauses, phrase


@dataclass(frozen=True, slots=True)
class CounterFact:
    """What is true of a look's circuit and cannot go with the answer that was given.

    Args:
        key: its words, ``<kind>.counter.<key>``.
        values: what fills them: names, and phrases of the same file.
        end: the end of the frequency axis at which the circuit is redrawn, reactive parts replaced
            by opens and shorts; ``None`` where no end is in question.
        marked: names of the parts to mark in that drawing: the short across the output, the open
            in the way, or the path that survives.
        passes: whether what is marked is a path that survives (rather than a block).
        lookalike: the nearest circuit that *is* what was answered (of four circuits, or two, the
            one that was asked for); ``None`` where there is none.
        circuit: the circuit that is spoken of and redrawn, where it is not the look's own (of a
            pair, or of four circuits, the one in question).
    """

    key: str
    values: Named = ()
    end: End | None = None
    marked: tuple[str, ...] = ()
    passes: bool = False
    lookalike: Ladder | None = None
    circuit: Ladder | None = None


ENDS_OF: dict[str, tuple[bool, bool]] = {
    "low-pass": (True, False),
    "high-pass": (False, True),
    "band-pass": (False, False),
    "notch": (True, True),
    "flat": (True, True),
}
"""Whether each type passes DC, and high frequency."""


def wrong_type(look: Look, answered: str) -> CounterFact:
    """What the circuit of ``look`` does instead of being a filter of the type ``answered``."""
    return against_type(look.ladder, answered, "")


def against_type(ladder: Ladder, claimed: str, prefix: str) -> CounterFact:
    """Why a circuit is not of a type.

    Args:
        ladder: the circuit.
        claimed: the type that it is not.
        prefix: put before the key of the words.
    """
    ends = end_facts(ladder)
    wrong = [
        fact
        for fact, claim in zip(ends, ENDS_OF.get(claimed, (True, True)), strict=True)
        if fact.passes is not claim
    ]
    values: Named = (("claim", phrase(f"claim.{claimed}")),)
    if wrong and claimed in ENDS_OF:
        # What stops the signal can be pointed at; a path is harder to see.
        fact = min(wrong, key=lambda f: (f.passes, f.cause is EndCause.TOGETHER, not f.idle))
        return at_end(ladder, fact, prefix, values)
    text, marked = between(ladder, claimed)
    if claimed == FilterType.NOTCH.value:
        values = (("claim", phrase("claim.null")),)
    return CounterFact(f"{prefix}end", (*values, ("fact", text)), marked=marked)


def at_end(ladder: Ladder, fact: EndFact, prefix: str = "", values: Named = ()) -> CounterFact:
    """The counter-fact that an end gives: the short, the open, or the path that survives.

    Args:
        ladder: the circuit.
        fact: what happens at the end.
        prefix: begins the key.
        values: come before the fact.
    """
    text, marked = end_phrase(fact), fact.parts
    if fact.passes and (idle := idle_phrase(ladder, fact)):
        text, marked = idle
    found = (*values, ("fact", text))
    return CounterFact(f"{prefix}end", found, fact.end, marked, fact.passes)


def wrong_end(look: Look, answered: str) -> CounterFact:
    """What happens at the end that ``look`` asks about; refutes ``answered``."""
    low, high = end_facts(look.ladder)
    return at_end(look.ladder, low if look.kind is LookKind.LOW_END else high)


# ----------------------------------------------------------------- between the ends


def null_arms(ladder: Ladder) -> tuple[PlacedArm, ...]:
    """The arms whose lossless resonance stops the signal, whatever the values."""
    plain = generic_facts(ladder)
    if not plain.axis_zero_pairs:
        return ()
    return tuple(rail for rail in working_rails(plain.ladder) if rail.makes_null)


def null_phrase(arm: PlacedArm) -> tuple[Phrase, tuple[str, ...]]:
    """How an arm makes a null, and the names of its resonant parts."""
    part = arm
    while inner := next(_resonant_parts(part), None):
        part = inner
    key = "null-series" if arm.place is Place.SERIES else "null-shunt"
    names = tuple(e.name for e in leaves(part.arm) if e.kind.reactive)
    return phrase(f"between.{key}", arm=part.text), names


def _resonant_parts(arm: PlacedArm) -> Iterator[PlacedArm]:
    """Parts of an arm whose resonance alone makes the null."""
    if isinstance(arm.arm, Group):
        parts = (PlacedArm(arm.place, part) for part in arm.arm.parts)
        yield from (part for part in parts if part.makes_null)


def between(ladder: Ladder, claimed: str) -> tuple[Text, tuple[str, ...]]:
    """What ``ladder`` does between the ends that does not go with the type ``claimed``.

    For a circuit and a type that pass the same ends.  With it come the parts that it is due to.
    """
    arms = null_arms(ladder)
    if claimed == FilterType.NOTCH.value:
        if generic_facts(ladder).type is FilterType.FLAT:
            return flatness(ladder)
        names = tuple(e.name for e in ladder.reactive())
        return phrase("between.no-null"), names
    if arms:
        return null_phrase(arms[0])
    names = tuple(e.name for rail in working_rails(ladder) for e in leaves(rail.arm))
    names = tuple(name for name in names if name[0] != "R")
    return phrase(f"between.moves-{counted(names)}", parts=names), names


def flatness(ladder: Ladder) -> tuple[Text, tuple[str, ...]]:
    """Why a circuit does the same at every frequency, and the parts that might have changed it."""
    reactive = tuple(e.name for e in ladder.reactive())
    if not reactive:
        return phrase("flat.resistive"), ()
    working = tuple(
        e.name for rail in working_rails(ladder) for e in leaves(rail.arm) if e.kind.reactive
    )
    if working:
        return phrase(f"flat.ratio-{counted(working)}", parts=working), working
    hidden = hidden_elements(ladder)
    found = ((why, tuple(h.name for h in hidden if h.reason is why)) for why in Reason)
    texts = (phrase(f"flat.{why.value}-{counted(n)}", parts=n) for why, n in found if n)
    return clauses(texts), reactive
