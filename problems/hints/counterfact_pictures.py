"""Counter-facts of looks at several circuits: responses, maps, circuits, pairs.

Two circuits are compared where an eye would: at DC, at high frequency, in what lies between, and
last in their figures.  The first difference that there is, is told: what the picture shows, and
what the circuit does instead.
"""

from __future__ import annotations

import math
from dataclasses import replace

from ..algebra import axis_pairs
from ..analysis.arms import End, PlacedArm, working_rails
from ..analysis.ends import end_fact, end_facts
from ..analysis.response import Facts, FilterType, decibels, facts
from ..circuits.model import Ladder
from ..generate.contrast import nearest
from ..quantities.write import write_quantity
from ..questions.looks import Look, LookKind
from .counterfact_counts import against_poles, against_slope, pole_count
from .counterfact_ends import CounterFact, against_type, at_end, between, null_arms, null_phrase
from .ends import end_phrase
from .fill import Named, Phrase, phrase

_DIGITS = 3
_APART = 1.02
"""Figures that lie no further apart than this are not told from each other by eye."""


def chosen(look: Look, answered: str) -> Ladder:
    """The circuit behind the choice ``answered`` of ``look``."""
    return look.shown[look.answers.index(answered)]


def wrong_picture(look: Look, answered: str) -> CounterFact:
    """Where the picture ``answered`` parts from the circuit of ``look``."""
    other = chosen(look, answered)
    mapped = look.kind is LookKind.WHICH_MAP
    found = apart(other, look.ladder, "that-map" if mapped else "that-response")
    return replace(found, lookalike=other)


def wrong_circuit(look: Look, answered: str) -> CounterFact:
    """Where the circuit ``answered`` parts from the response of ``look``."""
    other = chosen(look, answered)
    found = apart(look.ladder, other, "this-response")
    return replace(found, circuit=other, lookalike=look.ladder)


def apart(shown: Ladder, circuit: Ladder, picture: str) -> CounterFact:
    """Where what a picture shows first differs from what a circuit does.

    Args:
        shown: the circuit whose response, or map, is shown.
        circuit: another circuit.
        picture: the phrase that names the picture.
    """
    its, own = facts(shown), facts(circuit)
    mapped = picture.endswith("map")
    for way in _OF_MAPS if mapped else _OF_RESPONSES:
        found = way(its, own)
        if found is not None:
            claim, fact = found
            named = phrase(claim.key, picture=phrase(f"picture.{picture}"), **dict(claim.values))
            return replace(fact, values=(("claim", named), *fact.values))
    return _figures(its, own)


_Parting = tuple[Phrase, CounterFact] | None
"""What a picture shows, and what a circuit does instead; ``None`` where they agree."""


# ----------------------------------------------------------------- the ends


def _ends(shown: Facts, own: Facts) -> _Parting:
    for end in End.HIGH, End.LOW:
        fact = end_fact(own.ladder, end)
        passes = (shown.gain_low if end is End.LOW else shown.gain_high) > 0
        if passes is not fact.passes:
            claim = phrase(f"shows.{end.value}-{'passes' if passes else 'blocked'}")
            return claim, at_end(own.ladder, fact)
    return None


def _slopes(shown: Facts, own: Facts) -> _Parting:
    for end in End.HIGH, End.LOW:
        its, slope = (
            (f.slope_low if end is End.LOW else f.slope_high) for f in (shown, own)
        )  # fmt: skip
        if slope != its:
            claim = (
                phrase(f"shows.{end.value}-slope", slope=slope_text(its))
                if its
                else phrase(f"shows.{end.value}-level")
            )
            return claim, against_slope(own.ladder, end, abs(its) // 20, "slope-")
    return None


def slope_text(slope: int) -> str:
    """A slope with its sign: +20, −40."""
    return f"{slope:+d}".replace("-", "\N{MINUS SIGN}")


def number_key(count: int) -> str:
    """Which words go with a number: ``none``, ``one`` or ``many``."""
    return ("none", "one")[count] if count < 2 else "many"


def _zeros(shown: Facts, own: Facts) -> _Parting:
    its, count = shown.transfer.zeros_at_origin, own.transfer.zeros_at_origin
    if its == count:
        return None
    claim = phrase(f"shows.zeros-{number_key(its)}", count=str(its))
    return claim, against_slope(own.ladder, End.LOW, its, "zeros-")


# ----------------------------------------------------------------- between them


def _poles(shown: Facts, own: Facts) -> _Parting:
    its = shown.transfer.order
    if its == own.transfer.order or own.transfer.order != pole_count(own.ladder):
        return None
    claim = phrase(f"shows.poles-{number_key(its)}", count=str(its))
    return claim, against_poles(own.ladder, its, "poles-")


def _nulls(shown: Facts, own: Facts) -> _Parting:
    if bool(shown.axis_zero_pairs) is bool(own.axis_zero_pairs):
        return None
    if shown.axis_zero_pairs:
        names = tuple(e.name for e in own.ladder.reactive())
        fact = CounterFact("end", (("fact", phrase("between.no-null")),), marked=names)
        return phrase("shows.null"), fact
    arms = null_arms(own.ladder)
    if not arms:
        return None
    text, names = null_phrase(arms[0])
    return phrase("shows.no-null"), CounterFact("end", (("fact", text),), marked=names)


def _elsewhere(shown: Facts, own: Facts) -> _Parting:
    """Zeros neither at the origin nor on the jω axis."""
    its, count = elsewhere(shown), elsewhere(own)
    if its == count:
        return None
    claim = phrase(f"shows.elsewhere-{number_key(its)}", count=str(its))
    arms = tuple(rail for rail in working_rails(own.ladder) if _decaying(rail))
    values: Named = (("count", str(count)),)
    if len(arms) != count:
        return claim, CounterFact(f"elsewhere-{number_key(count)}", values)
    if not arms:
        return claim, CounterFact("elsewhere-none", values)
    values = (*values, ("arms", tuple(rail.text for rail in arms)))
    marked = tuple(name for rail in arms for name in rail.names)
    return claim, CounterFact(f"elsewhere-arms-{number_key(count)}", values, marked=marked)


def elsewhere(known: Facts) -> int:
    """How many finite zeros of ``known`` lie neither at the origin nor on the jω axis."""
    transfer = known.transfer
    return transfer.zero_count - transfer.zeros_at_origin - 2 * known.axis_zero_pairs


def _decaying(rail: PlacedArm) -> int:
    """How many zeros an arm gives that lie neither at the origin nor on the jω axis."""
    p = rail.stopping()
    return int(p.degree()) - (p[0] == 0) - 2 * axis_pairs(p)


def _nature(shown: Facts, own: Facts) -> _Parting:
    """Real poles or pairs, as the values have it."""
    pairs, its = (sum(p.imag > 0 for p in f.poles) for f in (own, shown))
    if pairs == its:
        return None
    claim = phrase(f"shows.pairs-{number_key(its)}", count=str(its))
    key = f"nature-{number_key(pairs)}"
    if own.q is None:
        return claim, CounterFact(key, (("count", str(pairs)),))
    return claim, CounterFact(f"{key}-q", (("q", write_quantity(own.q, "", _DIGITS)),))


_OF_MAPS = (_zeros, _poles, _nulls, _elsewhere, _nature)
_OF_RESPONSES = (_ends, _slopes, _nulls, _poles)


# ----------------------------------------------------------------- figures


def _figures(shown: Facts, own: Facts) -> CounterFact:
    """Figures that differ; at last the frequency at which the gains do most."""
    for key, its, figure, unit in (
        ("corner", shown.corner_hz, own.corner_hz, "Hz"),
        ("q", shown.q, own.q, ""),
        ("null", shown.notch_hz, own.notch_hz, "Hz"),
    ):
        if its and figure and max(its / figure, figure / its) > _APART:
            return CounterFact(
                f"figure-{key}",
                (("its", write_quantity(its, unit, _DIGITS)),
                 ("own", write_quantity(figure, unit, _DIGITS))),
            )  # fmt: skip
    hertz, its_level, own_level = most_apart(shown, own)
    return CounterFact(
        "figure-level",
        (("f", write_quantity(hertz, "Hz", _DIGITS)), ("its", its_level), ("own", own_level)),
    )


def most_apart(shown: Facts, own: Facts) -> tuple[float, str, str]:
    """(frequency in Hz, level of ``shown``, level of ``own``) where the gains differ most."""
    middle = own.corner_hz or 1000.0
    best = (-1.0, middle, "", "")
    for step in range(-24, 25):
        hertz = middle * 10 ** (step / 8)
        one, other = (abs(f.transfer(2j * math.pi * hertz)) for f in (shown, own))
        if not one or not other:
            continue
        difference = abs(math.log(one / other))
        if difference > best[0]:
            best = (difference, hertz, _level(one), _level(other))
    return best[1:]


def _level(gain: float) -> str:
    level = decibels(gain)
    assert level is not None
    return write_quantity(0 if abs(level) < 0.05 else round(level, 1), "dB", 4)


# ----------------------------------------------------------------- pairs


def wrong_pair(look: Look, answered: str) -> CounterFact:
    """Where the two circuits of ``look`` agree, or part; refutes ``answered``."""
    first, second = look.shown[:2]
    kind = facts(first).type_exact
    if answered == "different":
        low = FilterType.LOW_PASS
        other = FilterType.HIGH_PASS if kind is low else low
        alike = nearest(second, LookKind.TYPE, other.value)
        return replace(agreement(first, second), lookalike=alike)
    alike = nearest(second, LookKind.TYPE, kind.value)
    return replace(difference(first, second), lookalike=alike)


def agreement(first: Ladder, second: Ladder) -> CounterFact:
    """What ``first`` and ``second``, circuits of one type, have in common."""
    low, high = end_facts(first)
    kind = facts(first).type_exact.value
    values: Named = (("type", phrase(f"article-{kind}")),)
    key = f"both-{'passes' if low.passes else 'blocked'}-{'passes' if high.passes else 'blocked'}"
    if kind == FilterType.NOTCH.value:
        key = "both-null"
    elif kind == FilterType.FLAT.value:
        key = "both-flat"
    return CounterFact(key, values)


def difference(first: Ladder, second: Ladder) -> CounterFact:
    """What tells ``first`` and ``second``, circuits of different types, apart."""
    for end in End.HIGH, End.LOW:
        one, other = end_fact(first, end), end_fact(second, end)
        if one.passes is not other.passes:
            which, stopped, fact = (
                ("first", second, other) if one.passes else ("second", first, one)
            )
            values: Named = (("fact", end_phrase(fact)),)
            return CounterFact(
                f"only-{which}-{end.value}", values, end, fact.parts, circuit=stopped
            )
    for which, ladder in ("first", first), ("second", second):
        arms = null_arms(ladder)
        if arms and facts(ladder).type_exact is FilterType.NOTCH:
            text, names = null_phrase(arms[0])
            return CounterFact(f"null-{which}", (("fact", text),), marked=names, circuit=ladder)
    told, names = between(first, FilterType.FLAT.value)
    return CounterFact("both-ends", (("fact", told),), marked=names, circuit=first)


def wrong_one(look: Look, answered: str) -> CounterFact:
    """Why the circuit ``answered`` is not of the type that ``look`` asks for."""
    other, right = chosen(look, answered), chosen(look, look.truth)
    found = against_type(other, facts(right).type_exact.value, "")
    return replace(found, circuit=other, lookalike=right)
