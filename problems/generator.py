"""(seed, family or level) → a certified problem.

A seed draws attempts from streams of chance of their own until one certifies, so the
same seed means the same problem on every machine.  Whatever changes the problems that
seeds mean must raise ``FORMAT``; golden files hold it to that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from . import families, preferred
from .chance import Chance
from .circuit import Arm, Element, Group, Joint, Kind, Ladder, Place, Stage, join, leaves
from .families import Family
from .nodal import Network
from .problem import Problem
from .questions import climb, questions_for
from .response import Facts, facts

FORMAT = 1
"""Version of the meaning of seeds."""

ATTEMPTS = 400

# Q from 0.02 (two real poles 2500 apart) to 30, whatever the targets.
_LEAST_Q, _MOST_Q = Fraction(1, 50), Fraction(30)
_LEAST_OMEGA, _MOST_OMEGA = math.tau * 10, math.tau * 1e7

# Reactances from 1 Ω to about 30 kΩ: an ideal 1 H at 1 MHz is in no laboratory.
_REACTANCE = (0, 108)
_JITTER = 2
_MARGIN = 4
_PROBES = 20
_AGREEMENT = 1e-9


class GenerationError(RuntimeError):
    """No attempt of a seed could be certified; the message names family and seed."""


class CertificationError(ValueError):
    """A problem that must not be asked; the message says why."""


def generate(seed: int, *, family: str | None = None, level: int | None = None) -> Problem:
    """The certified problem of a seed, of a family, of a level, or of any family.

    The family a level's seed leads to is drawn apart from the circuit, so that
    ``generate(seed, family=generate(seed, level=n).family)`` is the same problem.

    Raises:
        UnknownFamily: there is no such family.
        ValueError: there is no such level, or the family is of another one.
        GenerationError: no attempt could be certified.
    """
    row = _row(seed, family, level)
    trouble = ""
    for attempt in range(ATTEMPTS):
        chance = Chance(seed, FORMAT, row.name, attempt)
        ladder = draw(row, chance)
        if ladder is None:
            trouble = "no parts of the laboratory fit"
            continue
        known = facts(ladder)
        if not _teachable(row, known):
            trouble = "the corner or Q lies outside the family's range"
            continue
        asked = climb(questions_for(ladder, known, chance), row.level, chance)
        problem = Problem(FORMAT, row.name, row.level, seed, ladder, asked)
        try:
            _certify(problem, known)
        except CertificationError as error:
            trouble = str(error)
            continue
        return problem
    raise GenerationError(
        f"family {row.name}, seed {seed}: no problem in {ATTEMPTS} attempts; last: {trouble}"
    )


def typed(ladder: Ladder) -> Problem:
    """A problem from a typed circuit: every question that makes sense, nothing certified.

    Raises:
        CircuitError: an element has no value.
    """
    return Problem(FORMAT, "", 0, 0, ladder, questions_for(ladder, facts(ladder), Chance(0)))


def certify(problem: Problem) -> None:
    """Prove that a problem may be asked.

    Raises:
        CertificationError: it may not, and why.
    """
    _certify(problem, facts(problem.ladder))


def _row(seed: int, family: str | None, level: int | None) -> Family:
    if level is not None and level not in families.LEVELS:
        raise ValueError(f"there is no level {level}: levels go from 1 to {families.LEVELS[-1]}")
    if family is None:
        rows = families.FAMILIES if level is None else families.of_level(level)
        return Chance(seed, FORMAT, "family", level or 0).pick(rows)
    row = families.find(family)
    if level not in (None, row.level):
        raise ValueError(f"family {family} is of level {row.level}, not {level}")
    return row


# Drawing a circuit ---------------------------------------------------------------------


def draw(family: Family, chance: Chance) -> Ladder | None:
    """One circuit of the family; ``None`` where no parts of the laboratory fit the targets."""
    values = _values(family, chance)
    if values is None:
        return None
    return _arranged(family.ladder, values, chance)


def _between(chance: Chance, least: int, most: int) -> int:
    return least + chance.below(most - least + 1)


def _values(family: Family, chance: Chance) -> dict[str, Fraction] | None:
    """Preferred values: a corner, a Q and a common impedance level, then the nearest parts."""
    omega = _between(chance, *family.omega)
    q = _between(chance, *family.q)
    fine = chance.below(3) == 0
    offsets: dict[Element, int] = {}
    least, most = -preferred.DECADE * 12, preferred.DECADE * 12
    for element in family.ladder.elements():
        spread = family.spread if element.kind is Kind.R else _JITTER
        offset = family.sizes.get(element.name, 0) * q + _between(chance, -spread, spread)
        offsets[element] = offset
        drawer = _drawer(element, fine)
        match element.kind:
            case Kind.R:
                low, high = drawer.least, drawer.most
            case Kind.L:
                low = max(drawer.least + omega, _REACTANCE[0])
                high = min(drawer.most + omega, _REACTANCE[1])
            case Kind.C:
                low, high = -omega - drawer.most, -omega - drawer.least
        least, most = max(least, low - offset), min(most, high - offset)
    if least > most:
        return None
    level = _between(chance, least, most)
    values: dict[str, Fraction] = {}
    for element, offset in offsets.items():
        ohms = level + offset
        place = {Kind.R: ohms, Kind.L: ohms - omega, Kind.C: -omega - ohms}[element.kind]
        nearest = _drawer(element, fine).nearest(place)
        if nearest is None:
            return None
        values[element.name] = preferred.value(nearest)
    return values


def _drawer(element: Element, fine: bool) -> preferred.Drawer:
    if fine and element.kind is Kind.R:
        return preferred.FINE_RESISTORS
    return preferred.DRAWERS[element.kind]


def _arranged(pattern: Ladder, values: dict[str, Fraction], chance: Chance) -> Ladder:
    """The pattern with values, its order varied where that changes nothing, and new names."""
    stages: list[Stage] = []
    for place, arms in _runs(pattern):
        if place is Place.BUFFER:
            stages.append(Stage(place))
            continue
        joint = Joint.SERIES if place is Place.SERIES else Joint.PARALLEL
        parts = [_shuffled(arm, chance) for arm in chance.shuffled(arms)]
        if len(arms) > 1 and chance.below(4) == 0:
            stages.append(Stage(place, join(joint, *parts)))
        else:
            stages.extend(Stage(place, part) for part in parts)
    drawn = [e for stage in stages if stage.arm for e in leaves(stage.arm)]
    names = _names(drawn, chance)

    def final(arm: Arm) -> Arm:
        if isinstance(arm, Element):
            return Element(arm.kind, names[arm.name], values[arm.name])
        return Group(arm.joint, tuple(final(part) for part in arm.parts))

    def end(element: Element | None) -> Element | None:
        return element and replace(element, value=values[element.name])

    return Ladder(
        tuple(replace(stage, arm=final(stage.arm)) if stage.arm else stage for stage in stages),
        end(pattern.source),
        end(pattern.load),
    )


def _runs(pattern: Ladder) -> Iterator[tuple[Place, list[Arm]]]:
    """Neighbouring stages of one place, whose order does not matter, as one run of arms."""
    place: Place | None = None
    arms: list[Arm] = []
    for stage in pattern.stages:
        if stage.place is not place or stage.arm is None:
            if place is not None:
                yield place, arms
            place, arms = stage.place, []
        if stage.arm is not None:
            arms.append(stage.arm)
    if place is not None:
        yield place, arms


def _shuffled(arm: Arm, chance: Chance) -> Arm:
    if isinstance(arm, Element):
        return arm
    return Group(arm.joint, tuple(_shuffled(part, chance) for part in chance.shuffled(arm.parts)))


def _names(elements: list[Element], chance: Chance) -> dict[str, str]:
    """New names: numbered along the circuit, numbered at random, lettered, or bare."""
    style = chance.below(8)
    ordered = elements if style < 4 else chance.shuffled(elements)
    counts = {kind: sum(e.kind is kind for e in elements) for kind in Kind}
    letters = "abcdefgh"
    seen = dict.fromkeys(Kind, 0)
    names: dict[str, str] = {}
    for element in ordered:
        kind = element.kind
        if style == 7:
            suffix = letters[seen[kind]]
        elif style in (3, 6) and counts[kind] == 1:
            suffix = ""
        else:
            suffix = str(seen[kind] + 1)
        seen[kind] += 1
        names[element.name] = kind.value + suffix
    return names


def _teachable(family: Family, known: Facts) -> bool:
    """Whether what was drawn has a corner from 10 Hz to 10 MHz, and it and Q fit the row.

    With three and more poles the geometric mean of the poles stands for the corner.
    """
    if known.transfer.order:
        slowest = max(_LEAST_OMEGA, float(preferred.value(family.omega[0] - _MARGIN)))
        fastest = min(_MOST_OMEGA, float(preferred.value(family.omega[1] + _MARGIN)))
        if not slowest <= centre(known) <= fastest:
            return False
    squared = known.q_squared
    if squared is None or family.q == families.NONE:
        return True
    least = max(_LEAST_Q, preferred.value(family.q[0] - _MARGIN))
    most = min(_MOST_Q, preferred.value(family.q[1] + _MARGIN))
    return least**2 <= squared <= most**2


# Certifying ----------------------------------------------------------------------------


def _certify(problem: Problem, known: Facts) -> None:
    _check_witness(problem.ladder, known)


def centre(known: Facts) -> float:
    """The geometric mean of the poles' magnitudes in rad/s; 2π·1 kHz without poles."""
    transfer = known.transfer
    if transfer.order == 0:
        return math.tau * 1000
    return math.exp(math.log(transfer.denominator[-1]) / transfer.order)


def _check_witness(ladder: Ladder, known: Facts) -> None:
    """Exact H(jω) against nodal analysis at 20 frequencies over four decades."""
    network, middle = Network(ladder), centre(known)
    for k in range(_PROBES):
        omega = middle * 10 ** ((2 * k + 1 - _PROBES) * 2 / _PROBES)
        exact, numeric = known.transfer(1j * omega), network.response(omega)
        if abs(exact - numeric) > _AGREEMENT * abs(exact):
            raise CertificationError(
                f"exact and nodal analysis disagree at {omega} rad/s: {exact} and {numeric}"
            )
