"""Gain and phase at a multiple of the corner frequency, and arithmetic with decibels.

Of the exact H(s) at s = j·k·ω0; a level is 20·log₁₀ of a ratio of voltages and 10·log₁₀ of one of
powers (IEC 60027-3), so that levels of stages that a buffer keeps apart add.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from fractions import Fraction
from functools import partial

from ..analysis.response import TWO_PI, Facts, FilterType, decibels
from ..quantities.units import Quantity
from .asking import Asking, quantity
from .kinds import MAKERS
from .model import Choice, Form, Question, Rung

PLACES = {
    "hundredth": Fraction(1, 100),
    "tenth": Fraction(1, 10),
    "corner": Fraction(1),
    "ten": Fraction(10),
    "hundred": Fraction(100),
}
"""Where it is asked, in multiples of the corner frequency."""

NEAR_DB = Fraction(1, 2)
NEAR_DEGREES = Fraction(2)
_LEAST_DB = -100.0
"""Whatever lies below is nothing, and has no phase that anybody measures."""

AMPLIFIERS = (6, 12, 14, 20, 26, 40)
"""Levels in dB of stages behind a filter."""
GIVEN = (-1, -2, -3, -6, -10, -12, -14, -20, -26)
"""Levels of two sections that are given, in dB."""
RATIOS = {2: 6, 4: 12, 5: 14, 10: 20, 20: 26, 50: 34, 100: 40, 200: 46}
"""Ratios of voltages that everybody should know in dB: those of 2 and 10, and their products."""

POWERS: dict[float, str] = {3: "root", 6: "half", 10: "third", 20: "tenth"}
"""How many dB a voltage is lower, and the id of what is left of it and of its power."""
LEFT = {"root": math.sqrt(0.5), "half": 0.5, "third": math.sqrt(0.1), "tenth": 0.1}
"""What is left of the voltage."""


def response_at(facts: Facts, times: Fraction) -> complex | None:
    """H at a multiple of the corner; ``None`` where nothing gets through.

    Args:
        facts: of the circuit.
        times: the multiple.
    """
    corner = facts.corner_hz
    if corner is None:
        return None
    found = facts.transfer(1j * TWO_PI * float(corner) * float(times))
    level = decibels(abs(found))
    return None if level is None or level < _LEAST_DB else found


def gain_at(facts: Facts, times: Fraction) -> float | None:
    """The gain in dB at a multiple of the corner; ``None`` where nothing gets through.

    Args:
        facts: of the circuit.
        times: the multiple.
    """
    found = response_at(facts, times)
    return None if found is None else decibels(abs(found))


def phase_at(facts: Facts, times: Fraction) -> float | None:
    """The phase in degrees at a multiple of the corner, as it runs from one end to the other.

    ``None`` where nothing gets through.

    Args:
        facts: of the circuit.
        times: the multiple.
    """
    found = response_at(facts, times)
    if found is None:
        return None
    angle = math.degrees(cmath.phase(found))
    low, high = sorted((facts.phase_low, facts.phase_high))
    turns = (angle, angle - 360, angle + 360)
    return next((a for a in turns if low - 1 <= a <= high + 1), angle)


def _place(asking: Asking, *, far: bool = True) -> str | None:
    """A place to ask about, ``far`` ones among them; ``None`` without a corner of one name."""
    known = asking.facts
    if known.corner_hz is None or known.type is FilterType.OTHER:
        return None
    places = ["tenth", "corner", "ten"]
    if far and known.slope_low > 0:
        places.append("hundredth")
    if far and known.slope_high < 0:
        places.append("hundred")
    if known.type is FilterType.NOTCH:
        places.remove("corner")
    return asking.chance.pick(tuple(places))


def _at(
    rung: Rung,
    measure: Callable[[Facts, Fraction], float | None],
    unit: str,
    near: Fraction,
    asking: Asking,
) -> Question | None:
    place = _place(asking)
    found = None if place is None else measure(asking.facts, PLACES[place])
    if place is None or found is None:
        return None
    values = (("asked", place),)
    return Question(rung, Form.LEVEL, round(found, 6) + 0.0, (), unit, near, values)


def stages(facts: Facts, question: Question) -> tuple[float, float] | None:
    """The levels of the two stages that a question about a cascade is about.

    Args:
        facts: of the circuit.
        question: of the kind :attr:`Rung.CASCADE_LEVEL`.
    """
    found = dict(question.values)
    given = tuple(float(v.value) for v in found.values() if isinstance(v, Quantity))
    if len(given) == 2:
        return given[0], given[1]
    own = gain_at(facts, PLACES[question.asked])
    return None if own is None else (own, given[0] if given else own)


MAKERS(Rung.GAIN_AT)(partial(_at, Rung.GAIN_AT, gain_at, "dB", NEAR_DB))
MAKERS(Rung.PHASE_AT)(partial(_at, Rung.PHASE_AT, phase_at, "°", NEAR_DEGREES))


def _level(decibel: float) -> Quantity:
    return Quantity(Fraction(decibel), "dB")


@MAKERS(Rung.CASCADE_LEVEL)
def _cascade(asking: Asking) -> Question | None:
    """Two levels that are given, this filter twice, or this filter and an amplifier.

    What a sheet shows are a question's values: the filter's own level is none of them.
    """
    chance = asking.chance
    asked = chance.pick(("given", "twin", "amplifier"))
    if asked == "given":
        one, other = chance.shuffled(GIVEN)[:2]
        values = (("asked", asked), ("first_level", _level(one)), ("second_level", _level(other)))
        return _cascaded(one + other, values)
    place = _place(asking, far=False)
    own = None if place is None else gain_at(asking.facts, PLACES[place])
    if place is None or own is None:
        return None
    worded = (("worded", f"{asked}-{place}"), ("asked", place))
    if asked == "twin":
        return _cascaded(2 * own, worded)
    amplifier = chance.pick(AMPLIFIERS)
    return _cascaded(own + amplifier, (*worded, ("first_level", _level(amplifier))))


def _cascaded(total: float, values: tuple[tuple[str, str | Quantity], ...]) -> Question:
    truth = round(float(total), 6) + 0.0
    return Question(Rung.CASCADE_LEVEL, Form.LEVEL, truth, (), "dB", NEAR_DB, values)


@MAKERS(Rung.LEVEL_OF_RATIO)
def _level_of_ratio(asking: Asking) -> Question | None:
    ratio, down = asking.chance.pick(tuple(RATIOS)), asking.chance.pick((True, False))
    given = Quantity(Fraction(1, ratio) if down else Fraction(ratio), "")
    truth = round(20 * math.log10(given.value), 6)
    values = (("asked", "down" if down else "up"), ("times", Quantity(Fraction(ratio), "")))
    return Question(Rung.LEVEL_OF_RATIO, Form.LEVEL, truth, (), "dB", NEAR_DB, values)


@MAKERS(Rung.RATIO_OF_LEVEL)
def _ratio_of_level(asking: Asking) -> Question | None:
    level = asking.chance.pick(tuple(RATIOS.values())) * asking.chance.pick((-1, 1))
    truth, values = float(10 ** (level / 20)), (("first_level", _level(level)),)
    return quantity(Rung.RATIO_OF_LEVEL, truth, "", values)


@MAKERS(Rung.HALF_POWER)
def _half_power(asking: Asking) -> Question | None:
    level = asking.chance.pick(tuple(POWERS))
    choices = tuple(Choice(one) for one in POWERS.values())
    values = (("first_level", _level(level)),)
    return Question(Rung.HALF_POWER, Form.CHOICE, POWERS[level], choices, values=values)
