"""Counter-facts of what comes out: of DC, of two circuits at one frequency, and the phase at f0."""

from __future__ import annotations

from dataclasses import replace

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..analysis.letters import figures, formulas
from ..analysis.response import facts
from ..circuits.model import Ladder, leaves
from ..formulas.tree import letters_of
from ..generate.look_truth import share_of
from ..questions.looks import Look
from .counterfact_ends import CounterFact, at_end
from .ends import end_phrase
from .fill import Named, Phrase, phrase, written

_LONGEST = 44
"""Characters of a share that is read at a glance."""


def dc_fact(look: Look) -> CounterFact:
    """What becomes of 1 V of DC in the circuit of ``look``."""
    ladder = look.ladder
    fact = end_fact(ladder, End.LOW)
    found = at_end(ladder, fact)
    if look.truth != "part":
        return replace(found, key=look.truth)
    share, names = _share(ladder, End.LOW)
    key = "part" if share else "part-long"
    return replace(found, key=key, values=(*found.values, *share), marked=names, passes=False)


def _share(ladder: Ladder, end: End) -> tuple[Named, tuple[str, ...]]:
    """The share that resistances leave at an end, if it can be read, and those resistances."""
    key = "gain_low" if end is End.LOW else "gain_high"
    text = getattr(formulas(ladder), key)
    held = letters_of(figures(ladder)[key])
    names = tuple(e.name for e in ladder.elements() if e.name in held)
    if text is None or len(written(text)) > _LONGEST:
        return (), names
    return (("share", written(text)),), names


def phase_fact(look: Look) -> CounterFact:
    """How far poles and zeros have turned the phase of ``look`` at its corner."""
    transfer = facts(look.ladder).transfer
    key = f"poles-{transfer.order}-zeros-{transfer.zeros_at_origin}"
    return CounterFact(key, marked=tuple(e.name for e in look.ladder.reactive()))


# ----------------------------------------------------------------- two outputs


def larger_fact(look: Look) -> CounterFact:
    """What comes out of each of the two circuits of ``look``, at the frequency it asks for."""
    where = dict(look.values)["where"]
    end = None if where == "corner" else End(str(where))
    first, second = (
        _at_resonance(ladder) if end is None else _out(ladder, end) for ladder in look.shown
    )
    key = "both" if first == second else "two"
    return CounterFact(key, (("first", first), ("second", second)), end)


def _out(ladder: Ladder, end: End) -> Phrase:
    fact = end_phrase(end_fact(ladder, end))
    size = share_of(ladder, end)
    if size != "part":
        return phrase(f"out.{size}", fact=fact)
    share, _ = _share(ladder, end)
    return phrase("out.part" if share else "out.part-long", fact=fact, **dict(share))


def _at_resonance(ladder: Ladder) -> Phrase:
    """What the output of one loop of R, L and C is at f0."""
    arm = ladder.stages[-1].arm
    assert arm is not None
    names = tuple(e.name for e in leaves(arm))
    kinds = "".join(sorted(e.kind.value for e in leaves(arm)))
    pair = tuple(e.name for e in ladder.reactive())
    return phrase(f"resonance.{kinds}", parts=names, pair=pair)
