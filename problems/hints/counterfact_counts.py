"""Counter-facts of what is counted: the feed, poles, zeros at the origin, slopes."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.arms import End, PlacedArm, arm_text, decay, making, sections, state, working_rails
from ..analysis.ends import end_fact, stoppers
from ..analysis.idle import Hidden, Reason, generic, hidden_elements
from ..analysis.ties import tie
from ..analysis.transfer import transfer_function
from ..circuits.altered import arm_without
from ..circuits.model import Element, Kind, Ladder, leaves
from ..questions.looks import Look, LookKind
from .counterfact_ends import CounterFact, at_end
from .ends import counted, end_phrase
from .fill import Named, Phrase, Text, phrase


def wrong_feed(look: Look, answered: str) -> CounterFact:
    """The first reactive arm of ``look`` met from the source; refutes ``answered``."""
    key, values, names = feed_fact(look.ladder)
    return CounterFact(key, values, marked=names)


def feed_fact(ladder: Ladder) -> tuple[str, Named, tuple[str, ...]]:
    """(words, what fills them, its parts) of the first reactive arm that affects the output."""
    working = {e.name for rail in working_rails(ladder) for e in leaves(rail.arm)}
    before: list[Element] = [ladder.source] if ladder.source is not None else []
    for stage in ladder.stages:
        parts = list(leaves(stage.arm)) if stage.arm is not None else []
        if stage.arm is not None and any(p.kind.reactive and p.name in working for p in parts):
            break
        before += parts
    else:
        raise LookupError("nothing reactive affects the output of this circuit")
    arm = PlacedArm(stage.place, stage.arm)
    values: Named = (("arm", arm.text),)
    key = stage.place.value
    idle = tuple(part.name for part in before if part.kind.reactive)
    if idle:
        return f"{key}-idle-{counted(idle)}", (*values, ("before", idle)), arm.names
    if before:
        names = tuple(part.name for part in before)
        return f"{key}-after-{counted(names)}", (*values, ("before", names)), arm.names
    return key, values, arm.names


# ----------------------------------------------------------------- poles


def hidden_phrase(ladder: Ladder) -> Text:
    """Why parts add no pole, those with one reason together."""
    return why_hidden(ladder, hidden_elements(ladder))


def why_hidden(ladder: Ladder, found: Iterable[Hidden]) -> Text:
    """Why some parts of a circuit add no pole, those with one reason together.

    Args:
        ladder: the circuit.
        found: the parts, one at least.
    """
    groups: dict[tuple[str, str], list[str]] = {}
    for hidden in found:
        reason = hidden.reason.value
        if hidden.reason is Reason.DEPENDENT:
            reason = tie(ladder, hidden.name).value
        groups.setdefault((reason, hidden.partner or ""), []).append(hidden.name)
    return joined(
        phrase(f"hidden.{reason}-{counted(tuple(names))}", parts=tuple(names), partner=partner)
        for (reason, partner), names in groups.items()
    )


def joined(texts: Iterable[Text]) -> Text:
    """Clauses as one sentence: "…, and …"."""
    first, *rest = texts
    for second in rest:
        first = phrase("clauses", first=first, second=second)
    return first


def kept_parts(ladder: Ladder) -> tuple[str, ...]:
    """The inductors and capacitors that add a pole each."""
    hidden = {h.name for h in hidden_elements(ladder)}
    return tuple(e.name for e in ladder.reactive() if e.name not in hidden)


def pole_count(ladder: Ladder) -> int:
    """How many poles there are, whatever the values."""
    return transfer_function(generic(ladder)).order


def wrong_poles(look: Look, answered: str) -> CounterFact:
    """Which parts of ``look`` add no pole, or which add one each; refutes ``answered``."""
    return against_poles(look.ladder, int(answered))


def against_poles(ladder: Ladder, claimed: int, prefix: str = "") -> CounterFact:
    """Why ``ladder`` has not ``claimed`` poles; ``prefix`` begins the key."""
    hidden, kept = hidden_elements(ladder), kept_parts(ladder)
    count = pole_count(ladder)
    total: Text = str(count)
    kept_is: Text = phrase(f"adds.{counted(kept)}", parts=kept, count=total) if kept else ""
    if hidden:
        names = tuple(h.name for h in hidden)
        values: Named = (("reasons", hidden_phrase(ladder)), ("kept", kept_is))
        return CounterFact(prefix + ("hidden" if kept else "hidden-none"), values, marked=names)
    if not kept:
        return CounterFact(f"{prefix}none")
    key = f"only-{counted(kept)}"
    if claimed < count:
        rings = count - claimed == 1 and any(
            {e.kind for e in parts} >= {Kind.L, Kind.C} for parts in _by_section(ladder)
        )
        key = f"fewer-{'pair-' if rings else ''}{counted(kept)}"
    return CounterFact(prefix + key, (("parts", kept), ("count", total)), marked=kept)


def _by_section(ladder: Ladder) -> list[list[Element]]:
    """The working parts between buffers: an L and a C can ring there."""
    return [[e for rail in section.rails for e in leaves(rail.arm)] for section in sections(ladder)]


# ----------------------------------------------------------------- zeros at the origin, slopes


def placed(arms: tuple[PlacedArm, ...], end: End) -> Text:
    """``arms`` by the parts that stop ``end``, and where they lie: "C1 in series"."""
    return tuple(phrase(f"in-{arm.place.value}", arm=_stopping_text(arm, end)) for arm in arms)


def _stopping_text(arm: PlacedArm, end: End) -> str:
    names = making(arm.arm, end)
    others = {name for name in arm.names if name not in names}
    kept = arm_without(arm.arm, others)
    assert kept is not None
    return arm_text(kept)


def wrong_zeros(look: Look, answered: str) -> CounterFact:
    """Which parts of ``look`` block DC, a zero at the origin each; refutes ``answered``."""
    return against_zeros(look.ladder, int(answered))


def against_zeros(ladder: Ladder, claimed: int, prefix: str = "") -> CounterFact:
    """Why ``ladder`` has not ``claimed`` zeros at the origin; ``prefix`` begins the key."""
    return _against_decay(ladder, End.LOW, claimed, prefix)


def wrong_slope(look: Look, answered: str) -> CounterFact:
    """Which parts of ``look`` stop an end, 20 dB per decade each; refutes ``answered``."""
    end = End.LOW if look.kind is LookKind.LOW_SLOPE else End.HIGH
    return against_slope(look.ladder, end, abs(int(answered)) // 20)


def against_slope(ladder: Ladder, end: End, claimed: int, prefix: str = "") -> CounterFact:
    """Why ``ladder`` has no slope of ``claimed`` · 20 dB at ``end``; ``prefix`` begins the key."""
    transfer = transfer_function(generic(ladder))
    if end is End.HIGH and claimed == transfer.order and transfer.zero_count and claimed:
        slope = str(20 * (transfer.order - transfer.zero_count))
        zeros = transfer.zero_count
        values: Named = (
            ("poles", str(transfer.order)),
            ("zeros", str(zeros)),
            ("claimed", str(20 * claimed)),
            ("slope", f"\N{MINUS SIGN}{slope}" if slope != "0" else "0"),
        )
        names = tuple(e.name for e in ladder.reactive())
        pole = "pole" if transfer.order == 1 else "poles"
        zero = "zero" if zeros == 1 else "zeros"
        return CounterFact(f"{prefix}back-{pole}-{zero}", values, marked=names)
    return _against_decay(ladder, end, claimed, prefix)


def _against_decay(ladder: Ladder, end: End, claimed: int, prefix: str) -> CounterFact:
    count = decay(sections(ladder), end)
    sign = "+" if end is End.LOW else "\N{MINUS SIGN}"
    values: Named = (("count", str(count)), ("slope", f"{sign}{20 * count}"))
    if not count:
        found = at_end(ladder, end_fact(ladder, end))
        return CounterFact(
            f"{prefix}level", (*values, *found.values), end, found.marked, passes=True
        )
    arms = stoppers(ladder, end)
    if len(arms) != count:
        text = end_phrase(end_fact(ladder, end))
        return CounterFact(f"{prefix}power", (*values, ("fact", text)), end)
    marked = tuple(name for arm in arms for name in making(arm.arm, end))
    values = (*values, ("arms", placed(arms, end)))
    innocent = innocents(ladder, end) if claimed > count else ()
    if innocent:
        values = (*values, ("innocent", innocent[0]))
        return CounterFact(f"{prefix}more-{counted_arms(arms)}", values, end, marked)
    return CounterFact(f"{prefix}stops-{counted_arms(arms)}", values, end, marked)


def counted_arms(arms: tuple[PlacedArm, ...]) -> str:
    """The form of a verb that goes with arms."""
    return "one" if len(arms) == 1 else "many"


def innocents(ladder: Ladder, end: End) -> tuple[Phrase, ...]:
    """Reactive parts of ``ladder`` that stop nothing at ``end`` but work, and what they are."""
    return tuple(
        phrase(f"innocent.{arm.place.value}-{state(e, end).value}", name=e.name)
        for arm in working_rails(ladder)
        if not arm.stops(end)
        for e in leaves(arm.arm)
        if e.kind.reactive
    )
