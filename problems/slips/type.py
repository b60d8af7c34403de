"""Slips about what kind of filter it is: the two ends, the type, the feed, the poles' nature."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial

from ..analysis.arms import ArmState, End, PlacedArm, is_reactive, state
from ..analysis.response import Facts, Feed, FilterType, PoleNature, generic_facts
from ..circuits.altered import across_series_arm, roles_swapped
from ..circuits.model import CircuitError, Element, Kind, Ladder, Place, Stage
from ..questions.analyse import BLOCKED, PASSES
from ..questions.model import Rung
from .case import Case, Guess, Topic, instead, many
from .counts import HIDDEN

TOPIC = Topic("type and ends")

ENDS = (Rung.LOW_END, Rung.HIGH_END)
LOW, HIGH = FilterType.LOW_PASS, FilterType.HIGH_PASS
BAND, NOTCH = FilterType.BAND_PASS, FilterType.NOTCH

_PROBE = Element(Kind.R, "R_probe_", Fraction(1013))


@lru_cache(maxsize=256)
def _structure(ladder: Ladder | None) -> Facts | None:
    """Facts of a circuit with unrelated values: what holds by its structure alone."""
    try:
        return generic_facts(ladder) if ladder else None
    except CircuitError:
        return None


def _kinds(rail: PlacedArm) -> set[str]:
    return {name[0] for name in rail.names} & {"L", "C"}


def _resonant(rail: PlacedArm) -> bool:
    return _kinds(rail) == {"L", "C"}


def _has_both(case: Case) -> bool:
    return set().union(*map(_kinds, case.rails)) == {"L", "C"}


# ------------------------------------------------------------------------ the feed


def _first(stages: Iterable[Stage], *, reactive: bool) -> str | None:
    """How the first of some arms lies, or the first that is reactive."""
    for stage in stages:
        if stage.arm is not None and (not reactive or is_reactive(stage.arm)):
            return (Feed.SERIES if stage.place is Place.SERIES else Feed.SHUNT).value
    return None


# The first arm taken, reactive or not.
TOPIC.answer("first-arm-feeds", Rung.FED, by=lambda c: _first(c.ladder.stages, reactive=False))
# The reactive arm next to the load taken.
TOPIC.answer("fed-from-load", Rung.FED, by=lambda c: _first(c.ladder.stages[::-1], reactive=True))


# ------------------------------------------------------------------------ the ends


@TOPIC.slip("c-blocks-dc-in-shunt", Rung.LOW_END)
def c_blocks_dc(case: Case) -> Iterator[Guess]:
    """What blocks DC in the series path said of a capacitor across the output path."""
    end = case.rung is Rung.LOW_END
    shunts = [r for r in case.rails if r.place is Place.SHUNT and _kinds(r) == {"C"}]
    if shunts and (end or case.facts.type is LOW):
        yield Guess(BLOCKED if end else HIGH.value, (("arm", shunts[0].text),))


@TOPIC.slip("shunt-passes-to-output", *ENDS)
def shunt_passes_to_output(case: Case) -> Iterator[Guess]:
    """What goes through a shunt arm taken to reach the output."""
    end = End.LOW if case.rung is Rung.LOW_END else End.HIGH
    for rail in case.rails:
        if rail.place is Place.SHUNT and rail.stops(end):
            yield Guess(PASSES, (("arm", rail.text),))
            return


@TOPIC.slip("open-shunt-blocks", Rung.HIGH_END)
def open_shunt_blocks(case: Case) -> Iterator[Guess]:
    """An inductor across the output path taken to block what it does not conduct."""
    for rail in case.rails:
        if rail.place is Place.SHUNT and _kinds(rail) == {"L"}:
            if state(rail.arm, End.HIGH) is ArmState.OPEN:
                yield Guess(BLOCKED, (("arm", rail.text),))
            return


_DAMPED: dict[str, Callable[[Ladder], Ladder | None]] = {
    "across-source-counted": lambda c: None if c.source else replace(c, source=_PROBE),
    "dangling-counted": lambda c: None if c.load else replace(c, load=_PROBE),
}
"""The circuit in which a part that an ideal end keeps from filtering would filter, by slip."""


def _filtering(case: Case, *, slip: str) -> Iterator[Guess]:
    names = [h.name for h in case.facts.hidden if h.reason is HIDDEN[slip]]
    if names:
        yield from _of(case, _DAMPED[slip](case.ladder), names=" and ".join(names))


for _id in _DAMPED:
    TOPIC.slip(_id, *ENDS, Rung.TYPE)(partial(_filtering, slip=_id))


def _of(case: Case, ladder: Ladder | None, **values: str) -> Iterator[Guess]:
    yield from many(case.measure(_structure(ladder)), values=tuple(values.items()))


# ------------------------------------------------------------------------ the type

TOPIC.slip("c-blocks-dc-in-shunt", Rung.TYPE)(c_blocks_dc)


def _null_arms(case: Case, *, place: Place) -> Iterator[Guess]:
    """An L-C arm that stops its resonance, in this place, taken to let it through."""
    if case.facts.type is NOTCH:
        for rail in case.rails:
            if rail.place is place and rail.makes_null:
                yield Guess(BAND.value, (("arm", rail.text),))
                return


TOPIC.slip("series-pair-in-shunt", Rung.TYPE)(partial(_null_arms, place=Place.SHUNT))
TOPIC.slip("tank-in-series", Rung.TYPE)(partial(_null_arms, place=Place.SERIES))


# Resonance taken to give the largest output always.
TOPIC.answer("resonance-maximum", Rung.TYPE, by=instead({NOTCH: BAND.value}))


@TOPIC.slip("any-lc-band-pass", Rung.TYPE)
def any_lc_band_pass(case: Case) -> Iterator[Guess]:
    """Any circuit of L and C taken for a band-pass."""
    if case.inductors and case.capacitors and _has_both(case):
        yield Guess(BAND.value)


@TOPIC.slip("roles-swapped", *ENDS, Rung.TYPE)
def roles_swapped_type(case: Case) -> Iterator[Guess]:
    """L taken for C and C for L at the ends of the frequency axis."""
    yield from _of(case, roles_swapped(case.letters))


@TOPIC.slip("section-order", Rung.TYPE)
def section_order(case: Case) -> Iterator[Guess]:
    """One section of a band-pass chain taken to decide the type."""
    damped = case.facts.pole_nature in (PoleNature.REAL, PoleNature.DOUBLE)
    if case.facts.type is BAND and damped and not any(map(_resonant, case.rails)):
        yield Guess(LOW.value)
        yield Guess(HIGH.value)


@TOPIC.slip("wide-band-as-notch", Rung.TYPE)
def wide_band_as_notch(case: Case) -> Iterator[Guess]:
    """A wide band-pass taken for a notch."""
    if case.facts.type is BAND and case.facts.q is not None and case.facts.q <= 0.5:
        yield Guess(NOTCH.value)


_SIDES = (LOW.value, HIGH.value)
# A notch taken for flat: both ends tested, and nothing between them.
TOPIC.answer("null-overlooked", Rung.TYPE, by=instead({NOTCH: FilterType.FLAT.value}))
# A band-pass or a notch taken for what one of its ends alone would be.
TOPIC.answer("one-end-tested", Rung.TYPE, by=instead({BAND: _SIDES, NOTCH: _SIDES}))
# A low-pass or high-pass taken for a notch, since it stops something.
TOPIC.answer("notch-for-one-end", Rung.TYPE, by=instead(dict.fromkeys(_SIDES, NOTCH.value)))


@TOPIC.slip("complementary-tap", Rung.TYPE)
def complementary_tap(case: Case) -> Iterator[Guess]:
    """The voltage across the series arm read for the output's."""
    yield from _of(case, across_series_arm(case.ladder), arm=series_arm(case))


def series_arm(case: Case) -> str:
    """The series arms by name."""
    return ", ".join(r.text for r in case.rails if r.place is Place.SERIES)


# ------------------------------------------------------------------- nature of poles


REAL, DOUBLE, COMPLEX = (nature.value for nature in PoleNature)

# Two poles taken to ring whatever their Q.
TOPIC.answer("two-poles-always-complex", Rung.POLE_NATURE, by=lambda c: COMPLEX)


@TOPIC.slip("no-peak-no-pair", Rung.POLE_NATURE)
def no_peak_no_pair(case: Case) -> Iterator[Guess]:
    """Poles taken for real because the response has no peak (Q ≤ 1/√2)."""
    if case.facts.q_squared is not None and Fraction(1, 4) < case.facts.q_squared <= Fraction(1, 2):
        yield Guess(REAL)


# Two real poles taken for a double one, which needs Q = 1/2 exactly.
TOPIC.answer("critical-at-any-overlap", Rung.POLE_NATURE, by=instead({REAL: DOUBLE}))
# A complex pair taken for a double pole, since both have one f0.
TOPIC.answer("pair-taken-for-double", Rung.POLE_NATURE, by=instead({COMPLEX: DOUBLE}))
# A complex pair taken for two real poles.
TOPIC.answer("pair-placed-real", Rung.POLE_NATURE, by=instead({COMPLEX: REAL}))
# A double pole taken for two different ones.
TOPIC.answer("double-taken-for-two", Rung.POLE_NATURE, by=instead({DOUBLE: REAL}))
