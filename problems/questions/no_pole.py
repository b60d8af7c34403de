"""Which part adds no pole of its own, and why: the pole count, seen from the parts.

A part adds none where a second one of its kind shares its current or its voltage, where an ideal
source holds its voltage, where it leads to an open end, or where a loop of capacitors or a cut of
inductors ties it to the others (``analysis.idle``; Bryant, "The order of complexity of electrical
networks", Proc. IEE 106C (1959) 174).  It is asked where that is the whole story (every part that
stores energy on its own makes a pole of H(s)) and where there is something to look for: a part
that adds none, or two of a kind that might combine.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from ..analysis.idle import Hidden, Reason
from ..analysis.response import Facts
from ..circuits.model import Element, Kind
from .asking import Asking
from .kinds import MAKERS, MEASURES
from .model import Form, Question, Rung
from .reasons import Claim, draw

LEAST, MOST = 2, 4
"""Inductors and capacitors of a circuit that is asked."""

_WORDS = {
    Reason.COMBINABLE: "combined",
    Reason.ACROSS_SOURCE: "across-source",
    Reason.DANGLING: "open-end",
    Reason.DEPENDENT: "tied",
}


def _askable(facts: Facts) -> bool:
    kinds = [part.kind for part in facts.ladder.reactive()]
    tempting = bool(facts.hidden) or len(set(kinds)) < len(kinds)
    # Of a store that is never seen there is more to tell than a choice can hold.
    counted = facts.seen_count == facts.transfer.order and not facts.unseen
    return tempting and LEAST <= len(kinds) <= MOST and counted


def no_pole(facts: Facts) -> str | None:
    """The id of what is true; ``None`` where there is nothing to ask."""
    if not _askable(facts):
        return None
    return _WORDS[facts.hidden[0].reason] if facts.hidden else "each-adds"


MEASURES(Rung.NO_POLE)(no_pole)


def claims(facts: Facts) -> list[Claim]:
    """What may be said of a circuit's parts: what is true first, then what is near to it.

    Args:
        facts: of a circuit that can be asked.
    """
    parts = facts.ladder.reactive()
    found = [_told(hidden) for hidden in facts.hidden]
    found.append(Claim("each-adds", not facts.hidden))
    return [*found, *_near(facts, parts)]


def _told(hidden: Hidden) -> Claim:
    values = (("a", hidden.name), ("b", hidden.partner or ""))
    return Claim(_WORDS[hidden.reason], True, values)


def _near(facts: Facts, parts: tuple[Element, ...]) -> Iterator[Claim]:
    """False claims that speak of this circuit's own parts."""
    together = {frozenset((h.name, h.partner)) for h in facts.hidden if h.partner}
    idle = {h.name for h in facts.hidden}
    for one, other in combinations(parts, 2):
        pair = {one.name, other.name}
        if one.kind is other.kind and pair not in together and not pair & idle:
            yield Claim("combined", False, (("a", other.name), ("b", one.name)))
    # Of parts that store energy on their own: what is said against such a claim is true of them.
    partners = {h.partner for h in facts.hidden}
    free = [part.name for part in parts if part.name not in idle and part.name not in partners]
    if free:
        yield Claim("across-source", False, (("a", free[0]),))
        yield Claim("open-end", False, (("a", free[-1]),))
    coils = [part.name for part in parts if part.kind is Kind.L and part.name not in idle]
    capacitors = [part.name for part in parts if part.kind is Kind.C and part.name not in idle]
    if coils and capacitors:
        yield Claim("pair-is-one", False, (("a", coils[0]), ("b", capacitors[0])))
    yield Claim("too-small", False, (("a", parts[-1].name),))


@MAKERS(Rung.NO_POLE)
def _asked(asking: Asking) -> Question | None:
    if no_pole(asking.facts) is None:
        return None
    truth, choices = draw(claims(asking.facts), asking.chance)
    return Question(Rung.NO_POLE, Form.CHOICE, truth, choices)
