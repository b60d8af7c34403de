"""One change of a circuit, and what it does: to f0, Q, the bandwidth, a gain and the type.

All questions of one problem speak of one change: a part is doubled or halved, the load is taken
off, the output tap moves, two parts trade places.  What it does is compared exactly, as squares of
figures before and after; a figure that moves a little, which nobody would predict, is not asked
about.  Gain is that at f0 where an L meets a C in a low-pass or high-pass, else the pass band's.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial
from itertools import combinations

from ..analysis.losses import lossy_arm
from ..analysis.response import Facts, FilterType, facts
from ..analysis.trends import way_of
from ..chance import Chance
from ..circuits.altered import with_value, without_load
from ..circuits.model import CircuitError, Element, Kind, Ladder
from ..circuits.rearrange import output_names, parts_swapped, taps
from ..quantities.spelling import listed
from ..quantities.write import write_quantity
from .analyse import TYPES, pass_band_gain
from .asking import Asking, Stream, quantity
from .effects import WAYS, exact_bandwidth
from .kinds import MAKERS
from .model import Choice, Form, Question, Rung, Values
from .values import value_of

DOUBLE, HALF, UNLOAD, TAP, SWAP = "double", "half", "unload", "tap", "swap"
TIMES: Mapping[str, Fraction] = {DOUBLE: Fraction(2), HALF: Fraction(1, 2)}
"""The changes of one part's value, and what it is multiplied by."""

F0, Q, BAND, GAIN = "f0", "q", "band", "gain"

FACTORS: Mapping[str, Fraction] = {
    "halved": Fraction(1, 4),
    "by-root-half": Fraction(1, 2),
    "kept": Fraction(1),
    "by-root-two": Fraction(2),
    "doubled": Fraction(4),
}
"""The squares of the factors to choose from, by the ids of the choices."""

_KEPT = "kept"
_SPARED = 8
_SPARED_WAYS = {GAIN: 4, F0: 3}
"""That a figure stays, where it would be right too often, is asked once in so many times."""

_LEAST = Fraction(11, 10) ** 2
"""The square of the least factor that is asked about, or one over it."""
_MOST = Fraction(30) ** 2
_NAME = re.compile(r"[RLC]\w*")


@dataclass(frozen=True)
class AskedChange:
    """A change that is asked about.

    Args:
        how: what sort of change.
        parts: the names of the parts it speaks of.
        before: the facts before.
        after: those after.
    """

    how: str
    parts: tuple[str, ...]
    before: Facts
    after: Facts

    @property
    def values(self) -> Values:
        """What fills its sentence."""
        found: Values = (("change", self.how),)
        if self.how == SWAP:
            return (*found, ("part", self.parts[0]), ("partner", self.parts[1]))
        found += (("part", listed(self.parts, "and")),)
        if self.how in TIMES:
            both = (self._value(known.ladder) for known in (self.before, self.after))
            found += tuple(zip(("was", "is"), both, strict=True))
        return found

    def _value(self, ladder: Ladder) -> str:
        part = ladder.part(self.parts[0])
        return write_quantity(part.value or 0, part.kind.unit, 6)

    def figures(self) -> dict[str, Fraction]:
        """The squares of the factors by which figures change, of those that can be asked about."""
        found = {}
        for name, square in SQUARES.items():
            old, new = square(self.before), square(self.after)
            if not old or not new or (name == GAIN and not self._same_gain):
                continue
            factor = new / old
            if factor == 1 or _LEAST <= max(factor, 1 / factor) <= _MOST:
                found[name] = factor
        return found

    @property
    def _same_gain(self) -> bool:
        """Whether the gain is that at the same place before and after."""
        place = gain_place(self.before)
        alike = place == "f0" or self.before.type is self.after.type
        return alike and gain_place(self.after) == place


def names_of(text: str) -> tuple[str, ...]:
    """The names of parts that a ``text`` holds, in its order."""
    return tuple(_NAME.findall(text))


def gain_place(known: Facts) -> str:
    """Where the gain is asked about: "f0", or the "pass" band."""
    kinds = {e.kind for e in known.ladder.reactive()}
    resonates = known.transfer.order == 2 and kinds == {Kind.L, Kind.C}
    return "f0" if resonates and known.type is not FilterType.NOTCH else "pass"


def gain_squared_at_f0(known: Facts) -> Fraction | None:
    """|H(jω0)|², exact; ``None`` unless there are two damped poles.

    The denominator s² + a1·s + a0 is j·a1·ω0 there.
    """
    t = known.transfer
    if t.order != 2 or not t.denominator[1]:
        return None
    n2, n1, n0 = (Fraction(0),) * (3 - len(t.numerator)) + tuple(t.numerator)
    a1, a0 = t.denominator[1:]
    return ((n0 - n2 * a0) ** 2 + n1 * n1 * a0) / (a1 * a1 * a0)


def _gain_squared(known: Facts) -> Fraction | None:
    if gain_place(known) == "f0":
        return gain_squared_at_f0(known)
    found = pass_band_gain(known)
    return None if found is None else found * found


def _band_squared(known: Facts) -> Fraction | None:
    found = exact_bandwidth(known)
    return None if found is None else found * found


SQUARES: Mapping[str, Callable[[Facts], Fraction | None]] = {
    F0: lambda known: known.corner_squared,
    Q: lambda known: known.q_squared,
    BAND: _band_squared,
    GAIN: _gain_squared,
}
"""The squares of the figures that a change may move."""


# ------------------------------------------------------------------- the changes of a circuit


def changed(ladder: Ladder, how: str, parts: tuple[str, ...]) -> Ladder:
    """The circuit after a change.

    Args:
        ladder: the circuit before.
        how: what sort of change.
        parts: the names of the parts it speaks of.

    Raises:
        LookupError: there is no such change of this circuit.
        CircuitError: what comes out is no circuit.
    """
    if how in TIMES:
        return with_value(ladder, parts[0], ladder.part(parts[0]).amount * TIMES[how])
    if how == SWAP:
        return parts_swapped(ladder, *parts[:2])
    found = (
        [without_load(ladder)]
        if how == UNLOAD
        else [tap for tap in taps(ladder) if set(output_names(tap)) == set(parts)]
    )
    if not found or found[0] is None:
        raise LookupError(f"there is no such change: {how} {parts}")
    return found[0]


def told(ladder: Ladder, values: Values) -> AskedChange:
    """The change of ``ladder`` that a question's ``values`` tell of.

    Raises:
        LookupError: they tell of none.
    """
    parts = names_of(value_of(values, "part", str))
    if any(key == "partner" for key, _ in values):
        parts += (value_of(values, "partner", str),)
    how = value_of(values, "change", str)
    return AskedChange(how, parts, facts(ladder), facts(changed(ladder, how, parts)))


def _all(ladder: Ladder) -> Iterator[tuple[str, tuple[str, ...]]]:
    for element in ladder.elements():
        for how in TIMES:
            yield how, (element.name,)
    if ladder.load is not None:
        yield UNLOAD, (ladder.load.name,)
    plain = ladder.source is None and ladder.load is None
    if plain and all(stage.arm for stage in ladder.stages):
        now = set(output_names(ladder))
        for tap in taps(ladder)[1:]:
            names = output_names(tap)
            if set(names) != now and len(names) <= 2:
                yield TAP, names
    if all(stage.arm for stage in ladder.stages):
        inside = [e for s in ladder.stages if isinstance(e := s.arm, Element)]
        for one, other in combinations(inside, 2):
            if one.kind is not other.kind:
                yield SWAP, (one.name, other.name)


@lru_cache(maxsize=64)
def changes_of(ladder: Ladder) -> tuple[AskedChange, ...]:
    """The changes of ``ladder`` that may be asked about: same pole count, no name in doubt."""
    before, found = facts(ladder), []
    for how, parts in _all(ladder):
        try:
            after = facts(changed(ladder, how, parts))
        except CircuitError:
            continue
        alike = after.transfer.order == before.transfer.order in (1, 2)
        if alike and not after.borderline and after.type in TYPES:
            change = AskedChange(how, parts, before, after)
            if change.figures():
                found.append(change)
    return tuple(found)


def trend(factor: Fraction) -> str:
    """Which way a figure goes whose square is multiplied by ``factor``."""
    return way_of(1, factor).value


def change_of(facts: Facts, stream: Stream) -> AskedChange | None:
    """The change that all questions of one problem speak of; ``None`` where there is none.

    A figure and what happens to it are drawn first, so that each answer is about as likely.

    Args:
        facts: of the circuit.
        stream: names the problem's own chance.
    """
    plain = facts.type in TYPES and facts.type is facts.type_exact
    if not plain or lossy_arm(facts.ladder) is not None:
        return None
    return _drawn(facts.ladder, stream)


@lru_cache(maxsize=64)
def _drawn(ladder: Ladder, stream: Stream) -> AskedChange | None:
    chance, found = Chance(*stream, "change"), changes_of(ladder)
    if not found:
        return None
    moved = [c for c in found if c.how not in TIMES]
    if moved and chance.below(3) == 0:
        kind = chance.pick(sorted({c.after.type for c in moved}))
        return chance.pick([c for c in moved if c.after.type is kind])
    figure = chance.pick(tuple(name for name in SQUARES if any(name in c.figures() for c in found)))
    for way in chance.shuffled(WAYS):
        fit = [c for c in found if figure in c.figures() and trend(c.figures()[figure]) == way]
        if fit:
            return chance.pick(fit)
    return None  # pragma: no cover - some change does something


# ------------------------------------------------------------------- the questions


@dataclass(frozen=True)
class _Plan:
    """Which figure is asked about in which way."""

    change: AskedChange
    figures: Mapping[str, Fraction]
    factor: str
    ratio: str


def _plan(asking: Asking) -> _Plan | None:
    """One figure by a factor to choose, one by a factor to type, the others by their way."""
    change = change_of(asking.facts, asking.stream)
    if change is None:
        return None
    figures, chance = change.figures(), asking.drawn("change-factors")
    neat = {name: id_ for name, f in figures.items() for id_, s in FACTORS.items() if f == s}
    ids = sorted({id_ for name, id_ in neat.items() if name != GAIN})
    # That a figure stays is so often right that it is asked about in this way less often.
    wanted = chance.pick([id_ for id_ in ids if id_ != _KEPT] or [_KEPT])
    factor = ""
    if wanted in ids and chance.below(_SPARED if wanted == _KEPT else 2) == 0:
        factor = chance.pick([n for n, id_ in neat.items() if id_ == wanted and n != GAIN])
    rough = [name for name in figures if name not in neat]
    return _Plan(change, figures, factor, chance.pick(rough) if rough else "")


_RUNGS = {
    F0: Rung.CHANGED_F0,
    Q: Rung.CHANGED_Q,
    BAND: Rung.CHANGED_BAND,
    GAIN: Rung.CHANGED_GAIN,
}


def _values(change: AskedChange, figure: str) -> Values:
    place = gain_place(change.before) if figure == GAIN else ""
    asked = f"{figure}-{place}" if place else figure
    return (("asked", asked), *change.values)


def _direction(figure: str, asking: Asking) -> Question | None:
    plan = _plan(asking)
    if plan is None or figure not in plan.figures or figure in (plan.factor, plan.ratio):
        return None
    if figure == F0 and _follows_from_the_words(plan.change):
        return None
    if plan.figures[figure] == 1 and asking.chance.below(_SPARED_WAYS.get(figure, 1)):
        return None
    choices = tuple(Choice(way) for way in WAYS)
    truth = trend(plan.figures[figure])
    values = _values(plan.change, figure)
    return Question(_RUNGS[figure], Form.CHOICE, truth, choices, values=values)


def _follows_from_the_words(change: AskedChange) -> bool:
    """Whether everybody knows which way f0 goes: an L or a C that has a say, larger or smaller."""
    return change.how in TIMES and change.parts[0][0] in "LC"


for _figure, _rung in _RUNGS.items():
    MAKERS(_rung)(partial(_direction, _figure))


@MAKERS(Rung.CHANGED_TYPE)
def _type(asking: Asking) -> Question | None:
    """Where more changes than a value."""
    change = change_of(asking.facts, asking.stream)
    if change is None or change.how in (*TIMES, UNLOAD):
        return None
    # Most changes make a low-pass or high-pass: that is asked for every other time.
    if change.after.type.one_sided and asking.chance.below(2):
        return None
    choices = tuple(Choice(kind.value) for kind in TYPES)
    truth = change.after.type.value
    return Question(Rung.CHANGED_TYPE, Form.CHOICE, truth, choices, values=change.values)


@MAKERS(Rung.CHANGE_FACTOR)
def _factor(asking: Asking) -> Question | None:
    plan = _plan(asking)
    if plan is None or not plan.factor:
        return None
    truth = next(id_ for id_, s in FACTORS.items() if s == plan.figures[plan.factor])
    choices = tuple(Choice(id_) for id_ in FACTORS)
    values = _values(plan.change, plan.factor)
    return Question(Rung.CHANGE_FACTOR, Form.CHOICE, truth, choices, values=values)


@MAKERS(Rung.CHANGE_RATIO)
def _ratio(asking: Asking) -> Question | None:
    plan = _plan(asking)
    if plan is None or not plan.ratio:
        return None
    truth = math.sqrt(plan.figures[plan.ratio])
    values = _values(plan.change, plan.ratio)
    return quantity(Rung.CHANGE_RATIO, truth, "", values)


def figure_asked(values: Values) -> tuple[str, str]:
    """(figure, where) that a question's ``values`` tell it is about: ("gain", "f0"), ("q", "")."""
    figure, _, place = value_of(values, "asked", str).partition("-")
    return figure, place
