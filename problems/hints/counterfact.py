"""Why a wrong answer to a look cannot be right: an exact fact of this circuit that it contradicts.

Each counter-fact is checked against the exact facts before it is told; its words stand in
``content/looks.toml`` under ``<kind>.counter.<key>``.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..analysis.arms import End
from ..analysis.ends import EndCause, EndFact, end_facts
from ..circuits.model import Ladder
from ..questions.looks import Look, LookKind
from .ends import end_phrase, idle_phrase
from .fill import Named, phrase


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
        lookalike: the nearest circuit that *is* what was answered; ``None`` where there is none.
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


ENDS_OF = {
    "low-pass": (True, False),
    "high-pass": (False, True),
    "band-pass": (False, False),
    "notch": (True, True),
    "flat": (True, True),
}
"""Whether each type passes DC, and very high frequency."""


def counterfact(look: Look, answered: str) -> CounterFact:
    """The exact fact that a wrong answer contradicts.

    Args:
        look: the look.
        answered: the id of the choice taken.

    Raises:
        ValueError: the answer is right, or no choice of the look's kind.
    """
    if answered not in look.answers or answered == look.truth:
        raise ValueError(f"{answered!r} is no wrong answer of {look.kind}")
    low, high = end_facts(look.ladder)
    if look.kind is LookKind.TYPE and answered in ENDS_OF:
        wrong = [
            fact
            for fact, claimed in zip((low, high), ENDS_OF[answered], strict=True)
            if fact.passes is not claimed
        ]
        if wrong:
            # What stops the signal can be pointed at; a path is harder to see.
            fact = min(wrong, key=lambda f: (f.passes, f.cause is EndCause.TOGETHER))
            return _at_end(look.ladder, fact, (("claim", phrase(f"claim.{answered}")),))
    if look.kind in (LookKind.LOW_END, LookKind.HIGH_END):
        return _at_end(look.ladder, low if look.kind is LookKind.LOW_END else high)
    return CounterFact("truth", (("type", phrase(f"article-{look.truth}")),))


def _at_end(ladder: Ladder, fact: EndFact, values: Named = ()) -> CounterFact:
    text, marked = end_phrase(fact), fact.parts
    if fact.passes and (idle := idle_phrase(ladder, fact)):
        text, marked = idle
    return CounterFact("end", (*values, ("fact", text)), fact.end, marked, fact.passes)
