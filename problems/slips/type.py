"""Slips about what kind of filter it is: the two ends, the type, the feed, the poles' nature."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial

from ..analysis.arms import ArmState, End, PlacedArm, state
from ..analysis.response import Facts, Feed, FilterType, PoleNature, generic_facts
from ..circuits.altered import across_series_arm, roles_swapped
from ..circuits.model import CircuitError, Element, Kind, Ladder, Place, leaves
from ..questions.analyse import BLOCKED, PASSES
from ..questions.model import Rung
from .case import Case, Guess, Topic, many
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


@TOPIC.slip("first-arm-feeds", Rung.FED)
def first_arm_feeds(case: Case) -> Iterator[Guess]:
    """The first arm taken, reactive or not."""
    for stage in case.ladder.stages:
        if stage.arm is not None:
            feed = Feed.SERIES if stage.place is Place.SERIES else Feed.SHUNT
            yield Guess(feed.value)
            return


@TOPIC.slip("fed-from-load", Rung.FED)
def fed_from_load(case: Case) -> Iterator[Guess]:
    """The reactive arm next to the load taken."""
    for stage in reversed(case.ladder.stages):
        if stage.arm is not None and any(e.kind.reactive for e in leaves(stage.arm)):
            feed = Feed.SERIES if stage.place is Place.SERIES else Feed.SHUNT
            yield Guess(feed.value)
            return


# ------------------------------------------------------------------------ the ends


@TOPIC.slip("c-blocks-dc-in-shunt", Rung.LOW_END)
def c_blocks_dc_at_the_end(case: Case) -> Iterator[Guess]:
    """What blocks DC in the series path said of a capacitor across the output path."""
    shunts = [r for r in case.rails if r.place is Place.SHUNT and _kinds(r) == {"C"}]
    if shunts:
        yield Guess(BLOCKED, (("arm", shunts[0].text),))


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


@TOPIC.slip("c-blocks-dc-in-shunt", Rung.TYPE)
def c_blocks_dc(case: Case) -> Iterator[Guess]:
    """A shunt capacitor taken to make a high-pass, since "a capacitor blocks DC"."""
    shunts = [r for r in case.rails if r.place is Place.SHUNT and _kinds(r) == {"C"}]
    if shunts and case.facts.type is LOW:
        yield Guess(HIGH.value, (("arm", shunts[0].text),))


def _null_arms(case: Case, *, place: Place) -> Iterator[Guess]:
    """An L-C arm that stops its resonance, in this place, taken to let it through."""
    if case.facts.type is NOTCH:
        for rail in case.rails:
            if rail.place is place and rail.makes_null:
                yield Guess(BAND.value, (("arm", rail.text),))
                return


TOPIC.slip("series-pair-in-shunt", Rung.TYPE)(partial(_null_arms, place=Place.SHUNT))
TOPIC.slip("tank-in-series", Rung.TYPE)(partial(_null_arms, place=Place.SERIES))


@TOPIC.slip("resonance-maximum", Rung.TYPE)
def resonance_maximum(case: Case) -> Iterator[Guess]:
    """Resonance taken to give the largest output always."""
    if case.facts.type is NOTCH:
        yield Guess(BAND.value)


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


@TOPIC.slip("null-overlooked", Rung.TYPE)
def null_overlooked(case: Case) -> Iterator[Guess]:
    """A notch taken for flat: both ends tested, and nothing between them."""
    if case.facts.type is NOTCH:
        yield Guess(FilterType.FLAT.value)


@TOPIC.slip("one-end-tested", Rung.TYPE)
def one_end_tested(case: Case) -> Iterator[Guess]:
    """A band-pass or a notch taken for what one of its ends alone would be."""
    if case.facts.type in (BAND, NOTCH):
        yield Guess(LOW.value)
        yield Guess(HIGH.value)


@TOPIC.slip("notch-for-one-end", Rung.TYPE)
def notch_for_one_end(case: Case) -> Iterator[Guess]:
    """A low-pass or high-pass taken for a notch, since it stops something."""
    if case.facts.type in (LOW, HIGH):
        yield Guess(NOTCH.value)


@TOPIC.slip("complementary-tap", Rung.TYPE)
def complementary_tap(case: Case) -> Iterator[Guess]:
    """The voltage across the series arm read for the output's."""
    yield from _of(case, across_series_arm(case.ladder), arm=series_arm(case))


def series_arm(case: Case) -> str:
    """The series arms by name."""
    return ", ".join(r.text for r in case.rails if r.place is Place.SERIES)


# ------------------------------------------------------------------- nature of poles


@TOPIC.slip("two-poles-always-complex", Rung.POLE_NATURE)
def two_poles_always_complex(case: Case) -> Iterator[Guess]:
    """Two poles taken to ring whatever their Q."""
    yield Guess(PoleNature.COMPLEX.value)


@TOPIC.slip("no-peak-no-pair", Rung.POLE_NATURE)
def no_peak_no_pair(case: Case) -> Iterator[Guess]:
    """Poles taken for real because the response has no peak (Q ≤ 1/√2)."""
    if case.facts.q_squared is not None and Fraction(1, 4) < case.facts.q_squared <= Fraction(1, 2):
        yield Guess(PoleNature.REAL.value)


@TOPIC.slip("critical-at-any-overlap", Rung.POLE_NATURE)
def equal_sections(case: Case) -> Iterator[Guess]:
    """Two real poles taken for a double one, which needs Q = 1/2 exactly."""
    if case.facts.pole_nature is PoleNature.REAL:
        yield Guess(PoleNature.DOUBLE.value)


@TOPIC.slip("pair-taken-for-double", Rung.POLE_NATURE)
def pair_taken_for_double(case: Case) -> Iterator[Guess]:
    """A complex pair taken for a double pole, since both have one f0."""
    if case.facts.pole_nature is PoleNature.COMPLEX:
        yield Guess(PoleNature.DOUBLE.value)


@TOPIC.slip("pair-placed-real", Rung.POLE_NATURE)
def pair_taken_for_real(case: Case) -> Iterator[Guess]:
    """A complex pair taken for two real poles."""
    if case.facts.pole_nature is PoleNature.COMPLEX:
        yield Guess(PoleNature.REAL.value)


@TOPIC.slip("double-taken-for-two", Rung.POLE_NATURE)
def double_taken_for_two(case: Case) -> Iterator[Guess]:
    """A double pole taken for two different ones."""
    if case.facts.pole_nature is PoleNature.DOUBLE:
        yield Guess(PoleNature.REAL.value)
