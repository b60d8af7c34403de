"""Reasons to choose from: why an end passes or is blocked, and why the type is what it is.

Every choice is a statement about the circuit.  One is true and names the cause; the
others are what learners believe (a capacitor "blocks" wherever it stands, resonance
"always" gives the most, the output is read across the wrong arm …) and are false *of this
circuit*.  What an arm does is decided by its impedance at DC, at high frequency and
at a lossless resonance, never by what the circuit is called.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from ..analysis.arms import ArmSection, ArmState, End, PlacedArm, plain_end, sections, state
from ..analysis.idle import generic
from ..analysis.response import Facts, FilterType
from ..analysis.transfer import transfer_function
from ..chance import Chance
from ..circuits.model import Kind, Place, leaves
from ..quantities.spelling import listed
from .model import Choice, Values

CHOICES = 4

SERIES, SHUNT = Place.SERIES, Place.SHUNT
LOW, HIGH = End.LOW, End.HIGH


@dataclass(frozen=True, slots=True)
class Claim:
    """A statement about one circuit: the id of its words, their values, and its truth."""

    id: str
    holds: bool
    values: Values = ()

    @property
    def choice(self) -> Choice:
        """The statement as a choice."""
        return Choice(self.id, self.values)


def draw(claims: Sequence[Claim], chance: Chance, sure: int = 2) -> tuple[str, tuple[Choice, ...]]:
    """(id of the true choice, the choices in random order) from claims.

    The first claim that holds is the truth; of the claims that do not hold the first
    ``sure`` are kept, since they speak most closely of this circuit, and chance fills up.

    Args:
        claims: the best first.
        chance: what draws and shuffles.
        sure: how many false claims are kept in any case.

    Raises:
        ValueError: no claim holds, or none is false.
    """
    truth = next((c for c in claims if c.holds), None)
    if truth is None:
        raise ValueError("no claim holds")
    false: dict[str, Claim] = {}
    for claim in claims:
        if not claim.holds and claim.id != truth.id:
            false.setdefault(claim.id, claim)
    if not false:
        raise ValueError("every claim holds")
    ranked = list(false.values())
    ranked = ranked[:sure] + chance.shuffled(ranked[sure:])
    chosen = chance.shuffled([truth, *ranked[: CHOICES - 1]])
    return truth.id, tuple(c.choice for c in chosen)


def _names(rails: Iterable[PlacedArm]) -> str:
    return listed((rail.text for rail in rails), "and")


@dataclass(frozen=True)
class EndPicture:
    """The working arms of a circuit and what they do at the two ends."""

    facts: Facts

    @cached_property
    def sections(self) -> tuple[ArmSection, ...]:
        """The circuit cut at its buffers, without the arms that do nothing."""
        return sections(self.facts.ladder)

    @cached_property
    def rails(self) -> tuple[PlacedArm, ...]:
        """Every arm that affects the output, from the source on."""
        return tuple(rail for section in self.sections for rail in section.rails)

    def at(self, place: Place) -> list[PlacedArm]:
        """The working arms in one place."""
        return [rail for rail in self.rails if rail.place is place]

    def stopping(self, end: End, place: Place | None = None) -> list[PlacedArm]:
        """The arms, in any or one ``place``, that open in the way or short across it at ``end``."""
        return [r for r in self.rails if place in (None, r.place) and r.stops(end)]

    @property
    def idle(self) -> str:
        """A reactive element that does nothing across an ideal source or a buffer, if any."""
        working = {name for rail in self.rails for name in rail.names}
        shunts = (s.arm for s in self.facts.ladder.stages if s.place is SHUNT and s.arm)
        names = [e.name for arm in shunts for e in leaves(arm) if e.kind.reactive]
        return next((name for name in names if name not in working), "")

    def one(self, kind: Kind) -> str:
        """The name of the first working element of a kind, if any."""
        names = (name for rail in self.rails for name in rail.names)
        return next((name for name in names if name[0] == kind.value), "")

    @property
    def has_resonance(self) -> bool:
        """Whether an inductor and a capacitor are at work."""
        return bool(self.one(Kind.L) and self.one(Kind.C))

    @property
    def pair(self) -> Values:
        """A working inductor and capacitor, by name."""
        return ("l", self.one(Kind.L)), ("c", self.one(Kind.C))

    def plain(self, end: End) -> bool:
        """Whether opens and shorts alone decide what happens at an end: else nothing is asked."""
        return plain_end(self.sections, end)

    @property
    def in_series(self) -> str:
        """What the signal passes through: the series arms, or the source's resistance."""
        found = _names(self.at(SERIES))
        source = self.facts.ladder.source
        return found or (source.name if source else "")


# ------------------------------------------------------------------------ the ends


def end_claims(picture: EndPicture, end: End) -> list[Claim]:
    """Why the signal of ``picture`` passes, or is blocked, at ``end``.

    Empty where that is not plain.
    """
    if not picture.plain(end):
        return []
    stopped = bool(picture.stopping(end))
    return list(_why_blocked(picture, end) if stopped else _why_passed(picture, end))


def _reactive_first(rails: list[PlacedArm]) -> list[PlacedArm]:
    return [r for r in rails if r.reactive] or rails


def _why_passed(picture: EndPicture, end: End) -> Iterator[Claim]:
    series = [r for r in picture.at(SERIES) if r.reactive]
    shunt = [r for r in picture.at(SHUNT) if r.reactive]
    yield _passing(("conducts", "spares"), (series, shunt), holds=True)
    if series and shunt:
        yield _passing(("opens", "shorts"), (series, shunt), holds=False)
    for rail in (shunt or picture.at(SHUNT))[:1]:
        short = state(rail.arm, end) is ArmState.SHORT
        yield Claim("shunt-carries", short, (("shunt", rail.text),))
    for rail in (series or picture.at(SERIES))[:1]:
        is_open = state(rail.arm, end) is ArmState.OPEN
        yield Claim("series-holds", is_open, (("series", rail.text),))
    if picture.has_resonance:
        yield Claim("resonance", False, picture.pair)  # it lies between the ends
    if series or shunt:
        yield Claim("kinds-swapped", False)  # the physics upside down
    yield Claim("always", False)  # a series capacitor refutes it at DC, an inductor at high f
    yield Claim("idle-load", False)  # a load can only lower the voltage


def _spoken(words: tuple[str, str], arms: Iterable[list[PlacedArm]]) -> tuple[str, Values]:
    """What arms in series and arms in shunt do: the id of the claim, and its values."""
    parts, values = [], []
    for place, word, rails in zip((SERIES, SHUNT), words, arms, strict=True):
        if rails:
            parts.append(f"{place}-{word}")
            values.append((place.value, _names(rails)))
    return "-".join(parts), tuple(values)


def _passing(words: tuple[str, str], arms: Sequence[list[PlacedArm]], *, holds: bool) -> Claim:
    """What the arms do, or the very reverse."""
    name, values = _spoken(words, arms)
    return Claim(name or "resistances-only", holds, values)


def _why_blocked(picture: EndPicture, end: End) -> Iterator[Claim]:
    opens, shorts = picture.stopping(end, SERIES), picture.stopping(end, SHUNT)

    def opened(rails: list[PlacedArm]) -> bool:
        return bool(rails) and all(r in opens for r in rails)

    def shorted(rails: list[PlacedArm]) -> bool:
        return bool(rails) and all(r in shorts for r in rails)

    def series_open(rails: list[PlacedArm]) -> Claim:
        return Claim("series-open", opened(rails), (("series", _names(rails)),))

    def shunt_short(rails: list[PlacedArm]) -> Claim:
        return Claim("shunt-short", shorted(rails), (("shunt", _names(rails)),))

    def both(one: list[PlacedArm], other: list[PlacedArm]) -> Claim:
        values = (("series", _names(one)), ("shunt", _names(other)))
        return Claim("open-and-short", opened(one) and shorted(other), values)

    series = opens or _reactive_first(picture.at(SERIES))
    shunt = shorts or _reactive_first(picture.at(SHUNT))
    if opens and shorts:
        # Naming one of two causes would be half true, so the places are swapped instead.
        yield both(opens, shorts)
        yield series_open(shorts)
        yield shunt_short(opens)
    elif opens:
        yield series_open(opens)
        yield shunt_short(shunt or opens)
        if shunt:
            yield both(opens, shunt)
    else:
        yield shunt_short(shorts)
        yield series_open(series or shorts)
        if series:
            yield both(series, shorts)
    if picture.idle:
        yield Claim("source-shorted", False, (("name", picture.idle),))  # the source holds
    if picture.has_resonance:
        yield Claim("resonance", False, picture.pair)  # it lies between the ends
    yield Claim("divider", False)  # a divider of resistances leaves a share
    yield Claim("no-signal", False)  # H is a ratio at every frequency, DC among them
    wrong_way = picture.one(Kind.L if end is LOW else Kind.C)
    if wrong_way:
        yield Claim("wrong-kind", False)  # L opens at high, C at low frequency


# ------------------------------------------------------------------------ the type


def type_claims(picture: EndPicture) -> list[Claim]:
    """Why the circuit has its type; empty where no short statement would be exact."""
    match picture.facts.type:
        case FilterType.LOW_PASS if picture.plain(LOW) and picture.plain(HIGH):
            return list(_one_sided(picture, HIGH))
        case FilterType.HIGH_PASS if picture.plain(LOW) and picture.plain(HIGH):
            return list(_one_sided(picture, LOW))
        case FilterType.BAND_PASS if picture.plain(LOW) and picture.plain(HIGH):
            return list(_band_pass(picture))
        case FilterType.NOTCH:
            return list(_notch(picture))
        case FilterType.FLAT:
            return list(_flat(picture))
    return []


def _one_kind(rails: Iterable[PlacedArm]) -> bool:
    """Whether no arm mixes L and C: then its impedance only grows, or only falls.

    The poles and zeros of an R-L or R-C impedance alternate on the negative real axis
    (common practice, no source), which makes |Z(jω)| monotonic.
    """
    return all(len({name[0] for name in rail.names} & {"L", "C"}) < 2 for rail in rails)


def _moves(rail: PlacedArm) -> str:
    """The way its impedance goes with frequency: "grows", "falls", or "" for neither or both."""
    kinds = {name[0] for name in rail.names} & {"L", "C"}
    return {"L": "grows", "C": "falls"}.get("".join(kinds), "")


def _moving(ways: tuple[str, str], series: list[PlacedArm], shunt: list[PlacedArm]) -> Claim:
    """The claim that arms in the series path move one way and those in shunt the other."""
    name, values = _spoken(ways, (series, shunt))
    told = zip((SERIES, SHUNT), ways, (series, shunt), strict=True)
    true = [r.place is place and _moves(r) == way for place, way, rails in told for r in rails]
    return Claim(name, bool(true) and all(true), values)


def _one_sided(picture: EndPicture, end: End) -> Iterator[Claim]:
    opens, shorts = picture.stopping(end, SERIES), picture.stopping(end, SHUNT)
    right, wrong = ("grows", "falls") if end is HIGH else ("falls", "grows")
    if _one_kind(opens + shorts):
        yield _moving((right, wrong), opens, shorts)
        yield _moving((wrong, right), opens, shorts)
        series = [] if opens else picture.at(SERIES)
        shunt = [] if shorts else picture.at(SHUNT)
        if (series or shunt) and _one_kind(series + shunt):
            yield _moving((right, wrong), opens or series, shorts or shunt)
    else:
        which = "stops-highs" if end is HIGH else "stops-lows"
        yield Claim(which, True, (("arms", _names(picture.stopping(end))),))
    if picture.in_series:
        yield Claim("read-across", False, (("series", picture.in_series),))  # H is at the load
    kind = "low" if end is HIGH else "high"
    if picture.one(Kind.C):
        yield Claim(f"capacitor-is-{kind}-pass", False)  # it depends on where it is
    if picture.one(Kind.L):
        yield Claim(f"inductor-is-{kind}-pass", False)  # likewise
    if picture.has_resonance:
        yield Claim("resonance-carries", False, picture.pair)  # the pass band ends about there
    yield Claim("resistor-filters", False)  # a resistance is the same at every frequency


def _swapped(picture: EndPicture, rails: list[PlacedArm]) -> Iterator[Claim]:
    """The L and the C of resonant arms with their tasks swapped."""
    for rail in rails:
        found = {name[0]: name for name in reversed(rail.names)}
        if "L" in found and "C" in found:
            low, high = ("L", "C") if rail.place is SERIES else ("C", "L")
            values = (("low", found[low]), ("high", found[high]))
            # In series L passes the lows, in shunt C does: the claim says the reverse.
            yield Claim("ends-swapped", False, values)
            return


def _one_resonance(rail: PlacedArm) -> bool:
    """Whether the arm has a single resonance: with two, it is least at one, greatest at another."""
    return max(p.degree() for p in rail.impedance()) <= 2


def _band_pass(picture: EndPicture) -> Iterator[Claim]:
    low, high = picture.stopping(LOW), picture.stopping(HIGH)
    if low == high and all(map(_one_resonance, low)):
        # Each arm stops both ends, so it lets most through at its resonance in between.
        arms = [[r for r in low if r.place is place] for place in (SERIES, SHUNT)]
        yield _passing(("least", "greatest"), arms, holds=True)
        yield _passing(("greatest", "least"), arms, holds=False)
        yield from _swapped(picture, low)
    else:
        yield Claim("ends", True, (("low", _names(low)), ("high", _names(high))))
        if low != high:
            swapped = ("low", _names(high)), ("high", _names(low))
            yield Claim("ends-swapped", False, swapped)
        yield Claim("order-decides", False)  # a low-pass before a high-pass refutes it
    if picture.in_series:
        yield Claim("read-across", False, (("series", picture.in_series),))  # H is at the load
    if picture.has_resonance:
        yield Claim("any-lc", False)  # its taps make four types
        yield Claim("resonance-most", False)  # a notch refutes it
    else:
        yield Claim("any-two", False)  # two R-C low-passes refute it


def _notch(picture: EndPicture) -> Iterator[Claim]:
    arms = [[r for r in picture.at(place) if r.makes_null] for place in (SERIES, SHUNT)]
    if not any(arms) or not all(map(_one_resonance, arms[0] + arms[1])):
        return
    yield _passing(("greatest", "least"), arms, holds=True)
    yield _passing(("least", "greatest"), arms, holds=False)
    yield Claim("any-lc-stops", False)  # its taps make four types
    yield Claim("resonance-least", False)  # a band-pass refutes it
    if picture.in_series:
        yield Claim("read-across", False, (("series", picture.in_series),))  # H is at the load
    yield Claim("low-then-high", False)  # such a chain is a band-pass


def _flat(picture: EndPicture) -> Iterator[Claim]:
    moving = transfer_function(generic(picture.facts.ladder)).order > 0
    reactive = any(rail.reactive for rail in picture.rails)
    yield Claim("idle", not moving and not reactive)
    yield Claim("same-ratio", not moving and reactive)
    yield Claim("pole-meets-zero", moving)
    if picture.facts.ladder.reactive():
        yield Claim("too-small", False)  # smallness only moves a corner
    yield Claim("passive-is-flat", False)  # every filter of the catalogue refutes it
