"""Counter-facts of what a change does: which parts the formula of a figure holds, and how."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import islice
from types import MappingProxyType

from ..analysis.response import facts
from ..chance import Chance
from ..circuits.altered import with_value
from ..circuits.model import Ladder
from ..generate.contrast import lookalikes
from ..generate.look_change import TRENDS
from ..generate.look_made import LOADS, unloaded_look
from ..quantities.write import write_quantity
from ..questions.effects import Effect, EffectOn, effects
from ..questions.looks import Look, LookKind
from .counterfact_ends import CounterFact
from .fill import Named, written

_LONGEST = 90
"""Characters of a formula that is read at a glance."""
_PAIR = 44
"""Characters of each of two."""
_DIGITS = (3, 4, 5, 6, 8, 10, 15)
_TRIED = 16
"""Circuits one change away that are tried: each needs its H(s) in letters."""

ON: Mapping[LookKind, EffectOn] = MappingProxyType(
    {
        LookKind.CHANGE_CORNER: EffectOn.CORNER,
        LookKind.CHANGE_Q: EffectOn.Q,
        LookKind.CHANGE_BANDWIDTH: EffectOn.BANDWIDTH,
        LookKind.CHANGE_GAIN: EffectOn.GAIN,
        LookKind.LOAD_CORNER: EffectOn.CORNER,
        LookKind.LOAD_Q: EffectOn.Q,
        LookKind.TAP_CORNER: EffectOn.CORNER,
        LookKind.TAP_Q: EffectOn.Q,
    }
)
"""The figure that a kind of look asks about."""
TAPS = (LookKind.TAP_CORNER, LookKind.TAP_Q)


def changed_part(look: Look) -> str:
    """The name of the part that a look changes.

    Raises:
        LookupError: the look names none.
    """
    names = {e.name for e in look.ladder.elements()}
    for _, value in look.values:
        if isinstance(value, str) and value in names:
            return value
    raise LookupError(f"look {look.seed} names no part of its circuit")


def before_after(look: Look) -> tuple[Ladder, Ladder]:
    """The circuit of a look before what it asks about, and after it."""
    ladder = look.ladder
    if look.kind in TAPS:
        return look.shown[0], look.shown[1]
    if look.kind in LOADS:
        return ladder, replace(ladder, load=None)
    part = changed_part(look)
    return ladder, with_value(ladder, part, 2 * ladder.part(part).amount)


def wrong_change(look: Look, answered: str) -> CounterFact:
    """Where the part of ``look`` stands in the formula; refutes ``answered``."""
    key, values, names = change_fact(look)
    return CounterFact(key, values, marked=names, lookalike=_where(look, answered))


def _where(look: Look, answered: str) -> Ladder | None:
    """A circuit one change away in which the same change does what was answered."""
    if look.kind in TAPS:
        return None
    if look.kind in LOADS:
        loaded = (c for c in lookalikes(look.ladder) if c.load is not None)
        for circuit in islice(loaded, _TRIED):
            found = unloaded_look(circuit, look.kind, look.seed, Chance(look.seed))
            if found is not None and found.truth == answered:
                return circuit
        return None
    part, trends = changed_part(look), TRENDS[look.kind]
    near = (c for c in lookalikes(look.ladder) if any(e.name == part for e in c.elements()))
    for circuit in islice(near, _TRIED):
        if trends(circuit).get(part) == answered:
            return circuit
    return None


def change_fact(look: Look) -> tuple[str, Named, tuple[str, ...]]:
    """(words, what fills them, parts to mark) of what the change does."""
    before, after = before_after(look)
    found = (e for e in effects(facts(before), facts(after)) if e.on is ON[look.kind])
    effect = next(found)
    if look.kind in (*LOADS, *TAPS):
        key, values = _compared(effect)
        return key, values, () if look.kind in TAPS else (changed_part(look),)
    part = changed_part(look)
    way, text = effect.truth, effect.formulas[0]
    named: Named = (("part", part),)
    if text is not None:
        shown = written(text)
        if not effect.holds and way == "same":
            return "absent", (*named, ("formula", shown)), (part,)
        if effect.holds and len(shown) <= _LONGEST:
            return f"formula-{way}", (*named, ("formula", shown)), (part,)
    return f"figure-{way}", (*named, *_figures(effect)), (part,)


def _compared(effect: Effect) -> tuple[str, Named]:
    """What a figure is before and after, in formulas where they can be read."""
    old, new = (text and written(text) for text in effect.formulas)
    way = effect.truth
    if old and new:
        if old == new and way == "same" and len(old) <= _LONGEST:
            return "kept", (("formula", old),)
        if old != new and max(len(old), len(new)) <= _PAIR:
            return f"formulas-{way}", (("old", old), ("new", new))
    return f"figure-{way}", _figures(effect)


def _figures(effect: Effect) -> Named:
    """Before and after, in as many digits as tell them apart."""
    unit = "" if effect.on in (EffectOn.Q, EffectOn.GAIN) else "Hz"
    texts = "", ""
    for digits in _DIGITS:
        texts = (
            write_quantity(effect.before, unit, digits),
            write_quantity(effect.after, unit, digits),
        )
        if effect.truth == "same" or texts[0] != texts[1]:
            break
    return ("before", texts[0]), ("after", texts[1])
