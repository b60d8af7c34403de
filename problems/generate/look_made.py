"""Looks that no single circuit drawn at random makes: each kind has a maker of its own.

* four prototypes of which one has the Q, or the map, that is asked for;
* a load that is taken off, an output that is moved to another part of a series R-L-C;
* two circuits, one of which has the larger output at a stated frequency;
* four circuits of which one, its values chosen to suit, has the same H(s).

The right answer is drawn first here too.  What is said of circuits holds for all positive values:
of two circuits made of the same parts the coefficients in letters are compared (``trends``), at an
end what opens, shorts and resistances leave, and at the resonance of one loop the voltages of its
parts (across R all of the source's, across L and across C Q times that, across both nothing).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

from ..analysis.arms import End, sections
from ..analysis.response import FilterType
from ..analysis.structural import Structure, structural_facts
from ..analysis.trends import Trend, null_at_corner, trend_between
from ..catalogue.groups import SkillGroup
from ..catalogue.prototypes import TYPES_OF_TWO, prototype, quality
from ..catalogue.topologies import renamed, structure
from ..catalogue.topology_groups import group_of_ladder
from ..catalogue.topology_values import with_values
from ..chance import Chance
from ..circuits.altered import with_value, without_load
from ..circuits.model import Element, Joint, Kind, Ladder, Place, Stage, join
from ..circuits.text import read_circuit
from ..questions.looks import Look, LookKind, look_row
from .changes import valued_like
from .look_draw import BAND, HIGH, LOW, NOTCH, Wish, draw_circuit
from .look_many import at_a_glance, near
from .look_truth import share_of, sound

Maker = Callable[[LookKind, int, "str | None", Chance], "Look | None"]
"""(kind, seed, type wanted, chance) → a look, if these draws made one."""

_NAMED = (LOW, HIGH, BAND, NOTCH)
_UP, _DOWN, _SAME = (trend.value for trend in (Trend.UP, Trend.DOWN, Trend.SAME))
_TRIES = 60
"""Circuits drawn for one answer, before another look is begun."""

# ------------------------------------------------------------------- prototypes

SHOWN: Mapping[LookKind, tuple[str, ...]] = MappingProxyType(
    {
        LookKind.GAIN_OF_Q: ("½", "1/√2", "2", "10"),
        LookKind.PHASE_OF_Q: ("½", "1/√2", "2", "10"),
        LookKind.STEP_OF_Q: ("½", "1", "3", "10"),
    }
)
"""The four Qs that curves are shown of: far enough apart to be told by eye."""
_CALM, _RINGING = ("½", "1"), ("3", "5")
"""Of the four step responses to a map two have one of these, and two have another."""


def _of_q(kind: LookKind, seed: int, wanted: str | None, chance: Chance) -> Look | None:
    types = [one for one in TYPES_OF_TWO if wanted in (None, one)]
    if not types:
        return None
    type_ = chance.pick(types)
    order = chance.shuffled(SHOWN[kind])
    shown = tuple(prototype(type_, quality(text)) for text in order)
    place = chance.below(len(order))
    told = f"{type_}; {', '.join(order)}; {order[place]}"
    return _plotted(kind, seed, shown, place, told, (("type", type_), ("q", order[place])))


def _of_map(kind: LookKind, seed: int, wanted: str | None, chance: Chance) -> Look | None:
    """Two types, each with a calm and a ringing response: both have to be read off the map."""
    types = chance.shuffled(TYPES_OF_TWO)[:2]
    qualities = chance.pick(_CALM), chance.pick(_RINGING)
    four = chance.shuffled([(type_, text) for type_ in types for text in qualities])
    shown = tuple(prototype(type_, quality(text)) for type_, text in four)
    place = chance.below(len(four))
    if wanted not in (None, four[place][0]):
        return None
    told = "; ".join(f"{type_} {text}" for type_, text in four)
    return _plotted(kind, seed, shown, place, f"{told}; {place}", ())


def _plotted(
    kind: LookKind,
    seed: int,
    shown: tuple[Ladder, ...],
    place: int,
    told: str,
    values: tuple[tuple[str, str], ...],
) -> Look:
    ladder, answers = shown[place], look_row(kind).answers
    group = group_of_ladder(ladder)
    return Look(kind, seed, ladder, answers[place], told, group, shown, values)


# ------------------------------------------------------------------- the load taken off

LOADS = (LookKind.LOAD_CORNER, LookKind.LOAD_Q)


def _load_off(kind: LookKind, seed: int, wanted: str | None, chance: Chance) -> Look | None:
    answer = chance.pick(look_row(kind).answers)
    of_q = kind is LookKind.LOAD_Q
    types = _NAMED if wanted is None else (wanted,)
    wish = Wish(types, most=2, poles=2 if of_q else None, resonant=of_q)
    behind = answer == _SAME and (of_q or chance.below(2) == 0)
    for _ in range(_TRIES):
        drawn = draw_circuit(wish, 1 + chance.below(2), chance)
        if drawn is None or drawn.decoy:
            continue
        ladder = _buffered(drawn.ladder, behind, chance)
        if ladder is None or not at_a_glance(ladder):
            continue
        look = unloaded_look(ladder, kind, seed, chance)
        if look is not None and look.truth == answer:
            return look
    return None


def unloaded_look(ladder: Ladder, kind: LookKind, seed: int, chance: Chance) -> Look | None:
    """The look at a circuit whose load is taken off; ``None`` where it cannot be asked that.

    Args:
        ladder: the circuit.
        kind: of what: ω0, or Q.
        seed: of the look.
        chance: draws values, where it has none.
    """
    after = without_load(ladder)
    if after is None:
        return None
    known, its = structural_facts(ladder), structural_facts(after)
    if (known.type, known.order) != (its.type, its.order) or not its.certain:
        return None
    if not _has_figure(ladder, known, kind) or not _has_figure(after, its, kind):
        return None
    trend = trend_between(ladder, after, corner=kind is LookKind.LOAD_CORNER)
    valued = ladder if ladder.valued else with_values(ladder, chance)
    if trend is None or valued is None or sound(valued, known) is None:
        return None
    if sound(replace(valued, load=None), its) is None:
        return None
    assert valued.load is not None
    values = (("load", valued.load.name),)
    told = structure(ladder)
    return Look(kind, seed, valued, trend.value, told, group_of_ladder(ladder), (), values)


def _buffered(ladder: Ladder, behind: bool, chance: Chance) -> Ladder | None:
    """The load behind a buffer; or else, now and then, a buffer with a divider at the source."""
    stages = list(ladder.stages)
    if behind:
        if stages[-1].place is not Place.SHUNT:
            return None
        load = Element(Kind.R, "RL")
        rest = [_resistor(Place.SERIES, 8)] if chance.below(2) else []
        return renamed(Ladder((*stages, Stage(Place.BUFFER), *rest), ladder.source, load))
    if ladder.load is None:
        return None
    if ladder.source is None and chance.below(3) == 0:
        divider = (_resistor(Place.SERIES, 8), _resistor(Place.SHUNT, 9), Stage(Place.BUFFER))
        return renamed(Ladder((*divider, *stages), None, ladder.load))
    return ladder


def _resistor(place: Place, number: int) -> Stage:
    return Stage(place, Element(Kind.R, f"R{number}"))


def _has_figure(ladder: Ladder, known: Structure, kind: LookKind) -> bool:
    """Whether ω0, or Q, is what everybody means by it (see ``look_change``)."""
    if not known.certain or not known.pure or known.order not in (1, 2):
        return False
    if known.type is FilterType.NOTCH and not null_at_corner(ladder):
        return False
    if kind is LookKind.LOAD_CORNER:
        return True
    kinds = [{name[0] for r in section.rails for name in r.names} for section in sections(ladder)]
    return known.order == 2 and any({"L", "C"} <= some for some in kinds)


# ------------------------------------------------------------------- the output moved

_TAPS: Mapping[str, tuple[Kind, ...]] = MappingProxyType(
    {"R": (Kind.R,), "L": (Kind.L,), "C": (Kind.C,), "LC": (Kind.L, Kind.C)}
)
_ABOVE: Mapping[str, tuple[Kind, ...]] = MappingProxyType(
    {**_TAPS, "RL": (Kind.R, Kind.L), "RC": (Kind.R, Kind.C)}
)


def _loop(across: tuple[Kind, ...], order: list[Kind], *, load: bool, source: bool) -> Ladder:
    """A series R-L-C with its output across some of its parts; R may be the source's own."""
    way: list[Stage] = []
    foot = []
    for kind in order:
        if kind in across:
            foot.append(Element(kind, f"{kind.value}1"))
        elif kind is not Kind.R or not source:
            way.append(Stage(Place.SERIES, Element(kind, f"{kind.value}1")))
    return Ladder(
        (*way, Stage(Place.SHUNT, join(Joint.SERIES, *foot))),
        Element(Kind.R, "Rs") if source else None,
        Element(Kind.R, "RL") if load else None,
    )


def _tap(kind: LookKind, seed: int, wanted: str | None, chance: Chance) -> Look | None:
    """The output of one loop moved, its load with it if it has one."""
    answer = chance.pick(look_row(kind).answers)
    load = answer != _SAME or chance.below(2) == 0
    order = chance.shuffled((Kind.R, Kind.L, Kind.C))
    for _ in range(_TRIES):
        first, second = chance.shuffled(tuple(_TAPS))[:2]
        source = "R" not in (first, second) and chance.below(2) == 0
        before, after = (
            _loop(_TAPS[one], order, load=load, source=source) for one in (first, second)
        )
        trend = trend_between(before, after, corner=kind is LookKind.TAP_CORNER)
        if trend != answer:
            continue
        valued = with_values(before, chance)
        if valued is None or sound(valued) is None:
            continue
        moved = valued_like(after, valued)
        if sound(moved) is None:
            continue
        told = f"{structure(before)} > {structure(after)}"
        group = group_of_ladder(before)
        return Look(kind, seed, valued, answer, told, group, (valued, moved))
    return None


# ------------------------------------------------------------------- two outputs

_AT_RESONANCE: Mapping[str, int] = MappingProxyType(
    {"LC": 0, "R": 1, "L": 2, "C": 2, "RL": 3, "RC": 3}
)
"""Outputs of one loop at f0 by size: nothing, the source's voltage, Q times it, √(1 + Q²) times it.

Q may be less than 1, so R against L, or C, is not asked."""
_SIZES: Mapping[str, int] = MappingProxyType({"nothing": 0, "part": 1, "all": 2})


def _larger(kind: LookKind, seed: int, wanted: str | None, chance: Chance) -> Look | None:
    where = chance.pick((End.LOW.value, End.HIGH.value, "corner"))
    answer = chance.pick(look_row(kind).answers)
    make = _at_resonance if where == "corner" else _at_end
    pair = make(where, answer == _SAME, chance)
    if pair is None:
        return None
    larger, other = pair
    shown = (larger, other) if answer == "first" else (other, larger)
    if answer == _SAME and chance.below(2):
        shown = (larger, other)
    told = " | ".join((*map(structure, shown), where))
    group = group_of_ladder(shown[0])
    return Look(kind, seed, shown[0], answer, told, group, shown, (("where", where),))


def _at_resonance(where: str, same: bool, chance: Chance) -> tuple[Ladder, Ladder] | None:
    """Two outputs of one loop, the larger one first."""
    for _ in range(_TRIES):
        first, second = chance.shuffled(tuple(_AT_RESONANCE))[:2]
        sizes = _AT_RESONANCE[first], _AT_RESONANCE[second]
        if (sizes[0] == sizes[1]) is not same or set(sizes) == {1, 2}:
            continue
        order = chance.shuffled((Kind.R, Kind.L, Kind.C))
        one, two = (_loop(_ABOVE[at], order, load=False, source=False) for at in (first, second))
        valued = with_values(one, chance)
        if valued is None or sound(valued) is None or sound(valued_like(two, valued)) is None:
            continue
        pair = valued, valued_like(two, valued)
        return pair if sizes[0] >= sizes[1] else (pair[1], pair[0])
    return None


def _at_end(where: str, same: bool, chance: Chance) -> tuple[Ladder, Ladder] | None:
    """Two circuits one change apart, that with the larger output at an end first."""
    end = End(where)
    for _ in range(_TRIES):
        drawn = draw_circuit(Wish(_NAMED, most=2), chance.below(2), chance)
        if drawn is None or drawn.decoy or not at_a_glance(drawn.ladder):
            continue
        size = _size_at(drawn.ladder, end)
        valued = with_values(drawn.ladder, chance) if size is not None else None
        if size is None or valued is None or sound(valued) is None:
            continue
        for other in near(drawn.ladder, chance):
            its = _size_at(other, end)
            if its is None or (size == its) is not same or size == its == _SIZES["part"]:
                continue
            beside = valued_like(other, valued)
            if sound(beside) is None:
                continue
            pair = renamed(valued), renamed(beside)
            return pair if size >= its else (pair[1], pair[0])
    return None


def _size_at(ladder: Ladder, end: End) -> int | None:
    known = structural_facts(ladder)
    if end not in known.certain_ends or not known.certain or not known.order or known.unseen:
        return None
    share = share_of(ladder, end)
    return None if share is None else _SIZES[share]


# ------------------------------------------------------------------- the same H(s)

_TWINS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = MappingProxyType(
    {
        "low-pass-1": (("series R1; shunt C1", "source Rs; shunt C1"),
                       ("series L1; shunt R1", "series L1; load RL")),
        "high-pass-1": (("series C1; shunt R1", "series C1; load RL"),
                        ("series R1; shunt L1", "source Rs; shunt L1")),
        "low-pass-2": (("series R1 + L1; shunt C1", "source Rs; series L1; shunt C1"),
                       ("series L1; shunt R1 || C1", "series L1; shunt C1; load RL")),
        "high-pass-2": (("series R1 + C1; shunt L1", "source Rs; series C1; shunt L1"),
                        ("series C1; shunt R1 || L1", "series C1; shunt L1; load RL")),
        "band-pass-2": (("series L1 + C1; shunt R1", "series L1 + C1; load RL"),
                        ("series R1; shunt L1 || C1", "source Rs; shunt L1 || C1")),
        "notch-2": (("series R1; shunt L1 + C1", "source Rs; shunt L1 + C1"),
                    ("series L1 || C1; shunt R1", "series L1 || C1; load RL")),
    }
)  # fmt: skip
"""Circuits with one form of H(s), in two sets that are each other's duals.

With the same L and C (or a product of both kinds, of one pole) the two have the same H(s) exactly
where the resistance of the one is L/(C·R) with R that of the other: R·C = L/R'.
"""
_ONE_POLE = ("low-pass-1", "high-pass-1")
_TWO_POLES = ("low-pass-2", "high-pass-2", "band-pass-2", "notch-2")


def _same_transfer(kind: LookKind, seed: int, wanted: str | None, chance: Chance) -> Look | None:
    # Any of the four forms may be the given one's: the four alone say nothing of it.
    four = chance.shuffled(_TWO_POLES)
    if chance.below(2):
        four = [*_ONE_POLE, *four[:2]]
    forms = [one for one in four if wanted is None or one.startswith(f"{wanted}-")]
    if not forms:
        return None
    form, mine = chance.pick(forms), chance.below(2)
    ladder = read_circuit(chance.pick(_TWINS[form][mine]))
    valued = with_values(ladder, chance)
    if valued is None or sound(valued) is None:
        return None
    twin = _twin(read_circuit(chance.pick(_TWINS[form][1 - mine])), valued, chance)
    others = [
        read_circuit(chance.pick(_TWINS[one][chance.below(2)])) for one in four if one != form
    ]
    beside = [valued_like(other, valued) for other in others]
    if twin is None or any(sound(one) is None for one in beside):
        return None
    place = chance.below(4)
    beside = chance.shuffled(beside)
    shown = (*beside[:place], twin, *beside[place:])
    told = " | ".join(map(structure, (valued, *shown)))
    answer = look_row(kind).answers[place]
    return Look(kind, seed, valued, answer, told, group_of_ladder(valued), shown)


def _twin(ladder: Ladder, valued: Ladder, chance: Chance) -> Ladder | None:
    """The circuit with values that give it the H(s) of its dual."""
    mine = {element.kind: element.value for element in valued.elements()}
    found = with_values(ladder, chance)
    if found is None:
        return None
    for element in found.elements():
        if element.kind.reactive and (value := mine.get(element.kind)) is not None:
            found = with_value(found, element.name, value)
    parts = dict(mine) | {e.kind: e.value for e in found.elements() if e.kind.reactive}
    r, coil, capacitor = mine[Kind.R], parts[Kind.L], parts[Kind.C]
    assert r is not None and coil is not None and capacitor is not None
    resistor = next(e.name for e in found.elements() if e.kind is Kind.R)
    return with_value(found, resistor, Fraction(coil) / (capacitor * r))


MAKERS: Mapping[LookKind, Maker] = MappingProxyType(
    {
        LookKind.GAIN_OF_Q: _of_q,
        LookKind.PHASE_OF_Q: _of_q,
        LookKind.STEP_OF_Q: _of_q,
        LookKind.STEP_OF_MAP: _of_map,
        LookKind.LOAD_CORNER: _load_off,
        LookKind.LOAD_Q: _load_off,
        LookKind.TAP_CORNER: _tap,
        LookKind.TAP_Q: _tap,
        LookKind.LARGER_OUTPUT: _larger,
        LookKind.SAME_TRANSFER: _same_transfer,
    }
)
"""The kinds of look that have makers of their own."""

GROUPS_MADE: Mapping[LookKind, tuple[SkillGroup, ...]] = MappingProxyType(
    dict.fromkeys((*SHOWN, LookKind.STEP_OF_MAP), (SkillGroup.TAPS,))
)
"""The groups of which they can be asked alone; a kind that is not here takes circuits of any."""
